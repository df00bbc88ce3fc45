-- +goose Up
-- Caregiver training: how far a person of a family has come with a program,
-- which decides what they may teach alone. Entries are only added. The latest
-- counts, and an empty state clears it. An entry is about a person and a program,
-- not an assignment: a program may be shown before it is assigned, and once for
-- two siblings.
create table training (
    clinic_id  uuid not null,
    family_id  uuid not null,
    id         uuid not null,
    person_id  uuid not null,
    program_id uuid not null,
    state      text not null check (state in ('', 'read', 'shown', 'practised', 'alone')),
    version_id uuid,                     -- taught at that time; null: none
    note       text not null default '',
    set_by     uuid,                     -- null: they had taught before training was recorded
    set_at     timestamptz not null,
    primary key (clinic_id, id),
    unique (clinic_id, family_id, id),
    foreign key (clinic_id, family_id, person_id) references person (clinic_id, family_id, id) on delete cascade,
    foreign key (clinic_id, program_id) references program on delete cascade,
    foreign key (clinic_id, version_id) references version on delete set null (version_id),
    foreign key (clinic_id, set_by) references account
);
create index training_person on training (clinic_id, family_id, person_id, program_id);
create index training_program on training (clinic_id, program_id);
create index training_version on training (clinic_id, version_id);
create index training_set_by on training (clinic_id, set_by);

-- People who have taught a program may continue with it.
-- (The owner migrates the rows; no policy applies while it does.)
alter table recording no force row level security;
alter table placement no force row level security;
alter table assignment no force row level security;
insert into training (clinic_id, family_id, id, person_id, program_id, state, version_id, set_at)
    select clinic_id, family_id, gen_random_uuid(), by_id, program_id, 'practised', (array_agg(version_id order by started_at desc))[1], min(started_at)
    from (select r.clinic_id, r.family_id, r.by_id, a.program_id, p.version_id, r.started_at
        from recording r
        join placement p on p.clinic_id = r.clinic_id and p.family_id = r.family_id and p.id = r.placement_id
        join assignment a on a.clinic_id = p.clinic_id and a.family_id = p.family_id and a.id = p.assignment_id
        where r.by_id is not null and not r.void) taught
    group by clinic_id, family_id, by_id, program_id;
alter table recording force row level security;
alter table placement force row level security;
alter table assignment force row level security;

alter table training enable row level security;
alter table training force row level security;
create policy scope on training using (
    clinic_id = (select newel_clinic())
    and ((select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[])));
grant select, insert on training to newel_app;
