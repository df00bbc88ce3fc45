-- +goose Up
-- What a supervisor planned for the next session of a placement: the latest row
-- counts, until a session of its kind has been recorded. Rows are kept.
create table planned_session (
    clinic_id    uuid not null,
    family_id    uuid not null,
    id           uuid not null,
    placement_id uuid not null,
    kind         text not null check (kind in ('usual', 'baseline', 'probe', 'maintenance', 'none')), -- none: no more checks
    planned_by   uuid not null,
    planned_at   timestamptz not null,
    primary key (clinic_id, id),
    unique (clinic_id, family_id, id),
    foreign key (clinic_id, family_id, placement_id) references placement (clinic_id, family_id, id) on delete cascade,
    foreign key (clinic_id, planned_by) references account
);
create index planned_session_placement on planned_session (clinic_id, family_id, placement_id, planned_at);
create index planned_session_planned_by on planned_session (clinic_id, planned_by);

-- Families see it, staff plan it in their own names.
alter table planned_session enable row level security;
alter table planned_session force row level security;
create policy seen on planned_session for select using (
    clinic_id = (select newel_clinic())
    and ((select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[])));
create policy own on planned_session for insert with check (
    (select newel_staff()) and planned_by = (select newel_account()) and clinic_id = (select newel_clinic())
    and ((select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[])));

grant select, insert on planned_session to newel_app;

create trigger tell after insert on planned_session for each row execute function tell_family();
