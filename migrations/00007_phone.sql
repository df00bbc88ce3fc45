-- +goose Up
-- Key pairs with which phones seal what they keep for a person who is signed
-- out. Only the server can open it. Never changed, so that what was sealed with
-- an older key still opens. Phones get the newest.
create table phone_key (
    clinic_id   uuid not null references clinic on delete cascade,
    id          uuid not null,
    private_key bytea not null,          -- P-256 scalar
    made_at     timestamptz not null,
    primary key (clinic_id, id)
);

-- What a family says about a child's no.
create table talk (
    clinic_id     uuid not null,
    family_id     uuid not null,
    id            uuid not null,         -- made on the phone
    assignment_id uuid not null,
    made_by       uuid not null,
    talked_at     timestamptz not null,  -- by the phone's clock, corrected
    rests         boolean not null,      -- a no came after it, so the program is still paused
    received_at   timestamptz not null,
    primary key (clinic_id, id),
    unique (clinic_id, family_id, id),
    foreign key (clinic_id, family_id, assignment_id) references assignment (clinic_id, family_id, id) on delete cascade,
    foreign key (clinic_id, made_by) references account
);
create index talk_assignment on talk (clinic_id, family_id, assignment_id, talked_at);

-- The short PIN with which a person comes back on a shared phone, the attempts
-- at it, and what the phone says it still holds.
alter table device
    add column pin_hash text,
    add column pin_tries integer not null default 0,
    add column pin_after timestamptz,    -- no attempt counts before
    add column unsent uuid[] not null default '{}';

alter table phone_key enable row level security;
alter table phone_key force row level security;
alter table talk enable row level security;
alter table talk force row level security;

create policy scope on phone_key using (clinic_id = (select newel_clinic()));
create policy scope on talk using (
    clinic_id = (select newel_clinic())
    and ((select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[])));

grant select, insert on phone_key, talk to newel_app;
