-- +goose Up
-- An incident outside a session: what was seen before, during and after it. What
-- was written stays. Later additions and the clinic's response are notes under
-- it. It is open until the clinic has responded.
create table incident (
    clinic_id   uuid not null,
    family_id   uuid not null,
    id          uuid not null,
    learner_id  uuid not null,
    happened_on date not null,           -- where the family lives
    about_when  text not null default '', -- in the writer's words
    before      text not null default '',
    saw         text not null check (saw <> ''),
    after       text not null default '',
    helped      text not null default '',
    minutes     integer check (minutes between 0 and 1440),
    hurt        boolean not null,        -- someone was hurt
    written_by  uuid not null,
    written_at  timestamptz not null,
    settled_by  uuid,
    settled_at  timestamptz,
    primary key (clinic_id, id),
    unique (clinic_id, family_id, id),
    check ((settled_by is null) = (settled_at is null)),
    foreign key (clinic_id, family_id, learner_id) references learner (clinic_id, family_id, id) on delete cascade,
    foreign key (clinic_id, written_by) references account,
    foreign key (clinic_id, settled_by) references account
);
create index incident_learner on incident (clinic_id, family_id, learner_id, happened_on);
create index incident_open on incident (clinic_id, family_id) where settled_at is null;
create index incident_written_by on incident (clinic_id, written_by);
create index incident_settled_by on incident (clinic_id, settled_by);

create table incident_note (
    clinic_id   uuid not null,
    family_id   uuid not null,
    id          uuid not null,
    incident_id uuid not null,
    text        text not null check (text <> ''),
    written_by  uuid not null,
    written_at  timestamptz not null,
    primary key (clinic_id, id),
    unique (clinic_id, family_id, id),
    foreign key (clinic_id, family_id, incident_id) references incident (clinic_id, family_id, id) on delete cascade,
    foreign key (clinic_id, written_by) references account
);
create index incident_note_incident on incident_note (clinic_id, family_id, incident_id, written_at);
create index incident_note_written_by on incident_note (clinic_id, written_by);

-- Both sides write in their own names. Only the clinic responds.
alter table incident enable row level security;
alter table incident force row level security;
create policy seen on incident for select using (
    clinic_id = (select newel_clinic())
    and ((select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[])));
create policy own on incident for insert with check (
    written_by = (select newel_account()) and clinic_id = (select newel_clinic())
    and ((select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[])));
create policy settled on incident for update using (
    (select newel_staff()) and clinic_id = (select newel_clinic())
    and ((select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[])));
alter table incident_note enable row level security;
alter table incident_note force row level security;
create policy seen on incident_note for select using (
    clinic_id = (select newel_clinic())
    and ((select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[])));
create policy own on incident_note for insert with check (
    written_by = (select newel_account()) and clinic_id = (select newel_clinic())
    and ((select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[])));

grant select, insert on incident to newel_app;
grant update (settled_by, settled_at) on incident to newel_app;
grant select, insert on incident_note to newel_app;

create trigger tell after insert or update on incident for each row execute function tell_family();
create trigger tell after insert on incident_note for each row execute function tell_family();
