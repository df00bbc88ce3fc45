-- +goose Up
-- Pictures of targets and steps, named by their content, so that each clinic
-- stores the same picture once. Never changed.
create table picture (
    clinic_id uuid not null references clinic on delete cascade,
    sha256    bytea not null check (length(sha256) = 32),
    kind      text not null check (kind in ('image/png', 'image/jpeg', 'image/webp')),
    width     integer not null check (width > 0),
    height    integer not null check (height > 0),
    body      bytea not null check (length(body) between 1 and 204800),
    made_by  uuid not null,
    made_at  timestamptz not null,
    primary key (clinic_id, sha256),
    foreign key (clinic_id, made_by) references account
);

-- Which pictures the steps of a version show. It decides which families may see
-- a picture, and keeps a picture that is in use.
create table step_picture (
    clinic_id  uuid not null,
    version_id uuid not null,
    step_key   text not null,
    sha256     bytea not null,
    primary key (clinic_id, version_id, step_key, sha256),
    foreign key (clinic_id, version_id, step_key) references step on delete cascade,
    foreign key (clinic_id, sha256) references picture
);
create index step_picture_of on step_picture (clinic_id, sha256);

alter table picture enable row level security;
alter table picture force row level security;
alter table step_picture enable row level security;
alter table step_picture force row level security;

create policy scope on picture using (clinic_id = (select newel_clinic()) and (select newel_staff()));
create policy taught on picture for select using (
    clinic_id = (select newel_clinic())
    and exists (select from step_picture s where s.clinic_id = picture.clinic_id and s.sha256 = picture.sha256));
create policy scope on step_picture using (clinic_id = (select newel_clinic()) and (select newel_staff()));
create policy taught on step_picture for select using (
    clinic_id = (select newel_clinic())
    and exists (select from placement p where p.clinic_id = step_picture.clinic_id
        and p.version_id = step_picture.version_id and p.step_key = step_picture.step_key));

-- The account that sent a body. A person who has lost access still learns that
-- it is stored, because a receipt says nothing about a child.
-- (The owner migrates the rows; no policy applies while it does.)
alter table delivery no force row level security;
alter table recording no force row level security;
alter table account no force row level security;
alter table delivery add column author_id uuid;
update delivery d set author_id = r.author_id from recording r
    where r.clinic_id = d.clinic_id and r.family_id = d.family_id and r.id = d.recording_id;
alter table delivery alter column author_id set not null,
    add foreign key (clinic_id, author_id) references account;
alter table delivery force row level security;
alter table recording force row level security;
alter table account force row level security;
create policy own on delivery for select using (
    clinic_id = (select newel_clinic()) and author_id = (select newel_account()));

grant select, insert on picture, step_picture to newel_app;
