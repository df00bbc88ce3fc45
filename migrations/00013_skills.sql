-- +goose Up
-- The clinic's list of skills: what programs need before they start and what
-- they teach. A skill is archived, never deleted.
create table skill (
    clinic_id   uuid not null references clinic on delete cascade,
    id          uuid not null,
    name        text not null check (name <> ''),
    area        text not null default '',
    created_by  uuid not null,
    created_at  timestamptz not null,
    archived_at timestamptz,
    primary key (clinic_id, id),
    foreign key (clinic_id, created_by) references account
);

-- Every name that a skill has or had, folded for comparison. A published program
-- names a skill as it was called then, and still means it.
create table skill_name (
    clinic_id uuid not null,
    folded    text not null check (folded <> ''),
    skill_id  uuid not null,
    primary key (clinic_id, folded),
    foreign key (clinic_id, skill_id) references skill on delete cascade
);
create index skill_name_skill on skill_name (clinic_id, skill_id);

-- What was recorded about a learner's skill. Never changed or deleted; the
-- latest counts. For the clinic's staff.
create table skill_note (
    clinic_id    uuid not null,
    family_id    uuid not null,
    id           uuid not null,
    learner_id   uuid not null,
    skill_id     uuid not null,
    status       text not null check (status in ('not_yet', 'emerging', 'acquired', 'maintained')),
    noted_on     date not null,
    evidence     text not null default '',
    placement_id uuid,                       -- the placement that met it
    recorded_by  uuid not null,
    recorded_at  timestamptz not null,
    primary key (clinic_id, id),
    unique (clinic_id, family_id, id),
    foreign key (clinic_id, family_id, learner_id) references learner (clinic_id, family_id, id) on delete cascade,
    foreign key (clinic_id, skill_id) references skill,
    foreign key (clinic_id, family_id, placement_id) references placement (clinic_id, family_id, id) on delete cascade,
    foreign key (clinic_id, recorded_by) references account
);
create index skill_note_learner on skill_note (clinic_id, family_id, learner_id, skill_id, recorded_at);
create index skill_note_skill on skill_note (clinic_id, skill_id);
create index skill_note_placement on skill_note (clinic_id, family_id, placement_id);

alter table skill enable row level security;
alter table skill force row level security;
create policy scope on skill using (clinic_id = (select newel_clinic()) and (select newel_staff()));
alter table skill_name enable row level security;
alter table skill_name force row level security;
create policy scope on skill_name using (clinic_id = (select newel_clinic()) and (select newel_staff()));
alter table skill_note enable row level security;
alter table skill_note force row level security;
create policy scope on skill_note using (
    clinic_id = (select newel_clinic()) and (select newel_staff())
    and ((select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[])));

grant select, insert, update on skill to newel_app;
grant select, insert on skill_name, skill_note to newel_app;
