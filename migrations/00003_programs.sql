-- +goose Up
create table program (
    clinic_id  uuid not null references clinic on delete cascade,
    id         uuid not null,
    title      text not null,
    skill_area text not null default '',
    created_by uuid not null,
    created_at timestamptz not null default now(),
    primary key (clinic_id, id),
    foreign key (clinic_id, created_by) references account
);

-- The version being written, as typed.
create table draft (
    clinic_id  uuid not null,
    program_id uuid not null,
    document   jsonb not null,
    rev        integer not null default 1,
    updated_by uuid not null,
    updated_at timestamptz not null default now(),
    primary key (clinic_id, program_id),
    foreign key (clinic_id, program_id) references program on delete cascade,
    foreign key (clinic_id, updated_by) references account
);

-- A published version. The application role may not change or delete one.
create table version (
    clinic_id    uuid not null,
    id           uuid not null,
    program_id   uuid not null,
    number       integer not null check (number >= 1),
    document     jsonb not null,
    hash         text not null,
    help_levels  text[] not null default '{}', -- the document's, for lists
    published_by uuid not null,
    published_at timestamptz not null default now(),
    primary key (clinic_id, id),
    unique (clinic_id, program_id, number),
    unique (clinic_id, program_id, id),
    foreign key (clinic_id, program_id) references program on delete cascade,
    foreign key (clinic_id, published_by) references account
);

-- The steps of a version in short form, so that placements can refer to them and
-- lists can draw stairways without reading whole documents.
create table step (
    clinic_id  uuid not null,
    version_id uuid not null,
    key        text not null,
    strand     text not null,
    role       text not null default '',
    place      integer not null,          -- across all strands, from 0
    label      text not null default '',
    name       text not null default '',
    helped     boolean not null default false, -- a prompt is planned on it
    primary key (clinic_id, version_id, key),
    foreign key (clinic_id, version_id) references version on delete cascade
);
