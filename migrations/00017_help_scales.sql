-- +goose Up
-- The clinic's prompt hierarchies: ordered lists of levels, from least to most,
-- with which a program starts. A program keeps the levels it started with, so a
-- hierarchy can be changed. It is archived, never deleted.
create table help_scale (
    clinic_id   uuid not null references clinic on delete cascade,
    id          uuid not null,
    name        text not null check (name <> ''),
    levels      jsonb not null check (jsonb_array_length(levels) > 0), -- name and touch of each
    created_by  uuid not null,
    created_at  timestamptz not null,
    archived_at timestamptz,
    primary key (clinic_id, id),
    foreign key (clinic_id, created_by) references account
);

alter table help_scale enable row level security;
alter table help_scale force row level security;
create policy scope on help_scale using (clinic_id = (select newel_clinic()) and (select newel_staff()));

grant select, insert, update on help_scale to newel_app;
