-- +goose Up
-- Procedural fidelity: which points of the program's checklist were done as
-- planned when staff observed a session. Entries are kept; a mistaken one is
-- voided, and then counts nowhere. For the clinic's staff: it is about the plan,
-- and does not grade anyone.
create table fidelity (
    clinic_id    uuid not null,
    family_id    uuid not null,
    id           uuid not null,
    placement_id uuid not null,
    person_id    uuid not null,      -- who taught
    taught_on    date not null,      -- where the family lives
    watched      text not null check (watched in ('call', 'visit', 'film')),
    points       jsonb not null check (jsonb_array_length(points) > 0), -- text, as the version had it, and what was seen
    note         text not null default '',
    noted_by     uuid not null,
    noted_at     timestamptz not null,
    withdrawn_by uuid,
    withdrawn_at timestamptz,
    primary key (clinic_id, id),
    unique (clinic_id, family_id, id),
    check ((withdrawn_by is null) = (withdrawn_at is null)),
    foreign key (clinic_id, family_id, placement_id) references placement (clinic_id, family_id, id) on delete cascade,
    foreign key (clinic_id, family_id, person_id) references person (clinic_id, family_id, id) on delete cascade,
    foreign key (clinic_id, noted_by) references account,
    foreign key (clinic_id, withdrawn_by) references account
);
create index fidelity_placement on fidelity (clinic_id, family_id, placement_id, taught_on);
create index fidelity_person on fidelity (clinic_id, family_id, person_id);
create index fidelity_noted_by on fidelity (clinic_id, noted_by);
create index fidelity_withdrawn_by on fidelity (clinic_id, withdrawn_by);

alter table fidelity enable row level security;
alter table fidelity force row level security;
create policy scope on fidelity using (
    clinic_id = (select newel_clinic()) and (select newel_staff())
    and ((select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[])));

grant select, insert on fidelity to newel_app;
grant update (withdrawn_by, withdrawn_at) on fidelity to newel_app;

-- Open pages learn of it.
-- +goose StatementBegin
create function tell_fidelity() returns trigger language plpgsql as $$
declare
    assignment uuid;
begin
    select p.assignment_id into assignment from placement p
    where p.clinic_id = new.clinic_id and p.family_id = new.family_id and p.id = new.placement_id;
    perform pg_notify('newel_changes', new.clinic_id || ' ' || new.family_id || ' ' || assignment);
    return null;
end $$;
-- +goose StatementEnd
create trigger tell after insert or update on fidelity for each row execute function tell_fidelity();
