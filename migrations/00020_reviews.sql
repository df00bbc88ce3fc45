-- +goose Up
-- A review: a call about one learner in which everyone who has joined sees the
-- page that the leader opens. One at a time for a learner.
create table review (
    clinic_id    uuid not null,
    family_id    uuid not null,
    id           uuid not null,
    learner_id   uuid not null,
    led_by       uuid not null,      -- who turned the page last
    placement_id uuid,               -- the open page; null: the agreed actions
    began_at     timestamptz not null,
    ended_at     timestamptz,
    primary key (clinic_id, id),
    unique (clinic_id, family_id, id),
    foreign key (clinic_id, family_id, learner_id) references learner (clinic_id, family_id, id) on delete cascade,
    foreign key (clinic_id, family_id, placement_id) references placement (clinic_id, family_id, id) on delete cascade,
    foreign key (clinic_id, led_by) references account
);
create unique index review_open on review (clinic_id, family_id, learner_id) where ended_at is null;
create index review_learner on review (clinic_id, family_id, learner_id, began_at);
create index review_placement on review (clinic_id, family_id, placement_id);
create index review_led_by on review (clinic_id, led_by);

-- Who has joined a review, and when one of their pages was last open.
create table review_guest (
    clinic_id  uuid not null,
    family_id  uuid not null,
    review_id  uuid not null,
    account_id uuid not null,
    seen_at    timestamptz not null,
    primary key (clinic_id, review_id, account_id),
    foreign key (clinic_id, family_id, review_id) references review (clinic_id, family_id, id) on delete cascade,
    foreign key (clinic_id, account_id) references account on delete cascade
);
create index review_guest_family on review_guest (clinic_id, family_id, review_id);
create index review_guest_account on review_guest (clinic_id, account_id);

-- An agreed action, who is to do it, and its outcome.
create table agreed_action (
    clinic_id   uuid not null,
    family_id   uuid not null,
    id          uuid not null,
    learner_id  uuid not null,
    review_id   uuid not null,      -- where it was agreed
    text        text not null check (text <> ''),
    whose       text not null check (whose in ('family', 'clinic')),
    due_on      date,               -- in the family's time zone; null: not set
    agreed_by   uuid not null,      -- who wrote it down
    agreed_at   timestamptz not null,
    outcome     text check (outcome in ('done', 'dropped')), -- null: still to do
    settled_by  uuid,
    settled_at  timestamptz,
    primary key (clinic_id, id),
    unique (clinic_id, family_id, id),
    check ((outcome is null) = (settled_at is null) and (outcome is null) = (settled_by is null)),
    foreign key (clinic_id, family_id, learner_id) references learner (clinic_id, family_id, id) on delete cascade,
    foreign key (clinic_id, family_id, review_id) references review (clinic_id, family_id, id) on delete cascade,
    foreign key (clinic_id, agreed_by) references account,
    foreign key (clinic_id, settled_by) references account
);
create index agreed_action_learner on agreed_action (clinic_id, family_id, learner_id, agreed_at);
create index agreed_action_open on agreed_action (clinic_id, family_id) where outcome is null;
create index agreed_action_review on agreed_action (clinic_id, family_id, review_id);
create index agreed_action_agreed_by on agreed_action (clinic_id, agreed_by);
create index agreed_action_settled_by on agreed_action (clinic_id, settled_by);

-- The family sees all of it. It joins by itself and closes its own actions. Only
-- the clinic writes the rest.
alter table review enable row level security;
alter table review force row level security;
create policy seen on review for select using (
    clinic_id = (select newel_clinic())
    and ((select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[])));
create policy scope on review using (
    (select newel_staff()) and clinic_id = (select newel_clinic())
    and ((select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[])));
alter table review_guest enable row level security;
alter table review_guest force row level security;
create policy seen on review_guest for select using (
    clinic_id = (select newel_clinic())
    and ((select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[])));
create policy own on review_guest using (
    account_id = (select newel_account()) and clinic_id = (select newel_clinic())
    and ((select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[])));
alter table agreed_action enable row level security;
alter table agreed_action force row level security;
create policy seen on agreed_action for select using (
    clinic_id = (select newel_clinic())
    and ((select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[])));
create policy own on agreed_action for update using (
    whose = 'family' and clinic_id = (select newel_clinic())
    and ((select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[])));
create policy scope on agreed_action using (
    (select newel_staff()) and clinic_id = (select newel_clinic())
    and ((select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[])));

grant select, insert on review to newel_app;
grant update (led_by, placement_id, ended_at) on review to newel_app;
grant select, insert on review_guest to newel_app;
grant update (seen_at) on review_guest to newel_app;
grant select, insert on agreed_action to newel_app;
grant update (outcome, settled_by, settled_at) on agreed_action to newel_app;

-- Open pages learn of it, under an assignment id of zeros, because it is about no
-- assignment. A person who stays is not reported again. A person who joins, or
-- returns after being away, is.
-- +goose StatementBegin
create function tell_family() returns trigger language plpgsql as $$
begin
    perform pg_notify('newel_changes', new.clinic_id || ' ' || new.family_id || ' ' || '00000000-0000-0000-0000-000000000000');
    return null;
end $$;
-- +goose StatementEnd
create trigger tell after insert or update on review for each row execute function tell_family();
create trigger tell after insert or update on agreed_action for each row execute function tell_family();
create trigger tell_came after insert on review_guest for each row execute function tell_family();
create trigger tell_back after update on review_guest for each row when (new.seen_at - old.seen_at > interval '40 seconds')
    execute function tell_family();
