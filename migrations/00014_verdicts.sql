-- +goose Up
-- Whether the outcome that a decision expected came, as a person judged it.
-- Never changed or deleted; a later judgment is a new row. For the clinic's
-- staff.
create table verdict (
    clinic_id   uuid not null,
    family_id   uuid not null,
    id          uuid not null,
    decision_id uuid not null,
    came        text not null check (came in ('true', 'not_yet', 'no')),
    line        text not null default '',
    given_by    uuid not null,
    given_at    timestamptz not null,
    primary key (clinic_id, id),
    unique (clinic_id, family_id, id),
    foreign key (clinic_id, family_id, decision_id) references decision (clinic_id, family_id, id) on delete cascade,
    foreign key (clinic_id, given_by) references account
);
create index verdict_decision on verdict (clinic_id, family_id, decision_id, given_at);
create index verdict_given_by on verdict (clinic_id, given_by);
-- The caseload asks for a verdict when its date has passed.
create index decision_expects on decision (clinic_id, expected_by) where expected <> '' and expected_by is not null;

alter table verdict enable row level security;
alter table verdict force row level security;
create policy scope on verdict using (
    clinic_id = (select newel_clinic()) and (select newel_staff())
    and ((select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[])));

grant select, insert on verdict to newel_app;

-- Being filmed is a separate consent, on which nothing depends.
alter table consent drop constraint consent_kind_check;
alter table consent add constraint consent_kind_check check (kind in ('teaching', 'recording', 'video'));

-- Open pages learn of it.
-- +goose StatementBegin
create function tell_verdict() returns trigger language plpgsql as $$
declare
    assignment uuid;
begin
    select p.assignment_id into assignment from decision d
    join placement p on p.clinic_id = d.clinic_id and p.family_id = d.family_id and p.id = d.placement_id
    where d.clinic_id = new.clinic_id and d.family_id = new.family_id and d.id = new.decision_id;
    perform pg_notify('newel_changes', new.clinic_id || ' ' || new.family_id || ' ' || assignment);
    return null;
end $$;
-- +goose StatementEnd
create trigger tell after insert on verdict for each row execute function tell_verdict();
