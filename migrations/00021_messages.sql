-- +goose Up
-- Messages between a family and the clinic, and whether someone on the other
-- side has read them.
create table message (
    clinic_id   uuid not null,
    family_id   uuid not null,
    id          uuid not null,
    from_clinic boolean not null,
    text        text not null check (text <> ''),
    written_by  uuid not null,
    written_at  timestamptz not null,
    read_by     uuid,
    read_at     timestamptz,
    primary key (clinic_id, id),
    unique (clinic_id, family_id, id),
    check ((read_by is null) = (read_at is null)),
    foreign key (clinic_id, family_id) references family on delete cascade,
    foreign key (clinic_id, written_by) references account,
    foreign key (clinic_id, read_by) references account
);
create index message_family on message (clinic_id, family_id, written_at);
create index message_unread on message (clinic_id, family_id) where read_at is null;
create index message_written_by on message (clinic_id, written_by);
create index message_read_by on message (clinic_id, read_by);

-- Each side writes its own messages, and marks the other's as read.
alter table message enable row level security;
alter table message force row level security;
create policy seen on message for select using (
    clinic_id = (select newel_clinic())
    and ((select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[])));
create policy own on message for insert with check (
    from_clinic = (select newel_staff()) and written_by = (select newel_account()) and clinic_id = (select newel_clinic())
    and ((select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[])));
create policy other on message for update using (
    from_clinic <> (select newel_staff()) and clinic_id = (select newel_clinic())
    and ((select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[])));

grant select, insert on message to newel_app;
grant update (read_by, read_at) on message to newel_app;

create trigger tell after insert or update on message for each row execute function tell_family();
