-- +goose Up
create table clinic (
    id         uuid primary key,
    name       text not null,
    time_zone  text not null default 'UTC',
    created_at timestamptz not null default now()
);

create table account (
    clinic_id    uuid not null references clinic on delete cascade,
    id           uuid not null,
    name         text not null,
    capacities   text[] not null,
    active       boolean not null default true,
    created_at   timestamptz not null default now(),
    primary key (clinic_id, id),
    check (capacities <@ array['administrator','lead','supervisor','trainee','office','caregiver'])
);

-- How staff sign in. Separate from account, so that listing accounts cannot leak it.
create table credential (
    clinic_id     uuid not null,
    account_id    uuid not null,
    sign_in_name  text not null check (sign_in_name = lower(sign_in_name)),
    password_hash text not null,          -- empty until a setup link was used
    epoch         integer not null default 1,
    changed_at    timestamptz not null default now(),
    primary key (clinic_id, account_id),
    unique (sign_in_name),
    foreign key (clinic_id, account_id) references account on delete cascade
);

-- A link with which a staff account chooses its password, once.
create table setup_link (
    clinic_id   uuid not null,
    id          uuid not null,
    account_id  uuid not null,
    token_hash  text not null unique,
    created_at  timestamptz not null default now(),
    expires_at  timestamptz not null,
    consumed_at timestamptz,
    revoked_at  timestamptz,
    primary key (clinic_id, id),
    foreign key (clinic_id, account_id) references account on delete cascade
);
create index setup_link_account on setup_link (clinic_id, account_id);

create table family (
    clinic_id  uuid not null references clinic on delete cascade,
    id         uuid not null,
    name       text not null,
    time_zone  text not null,
    language   text not null default 'en',
    created_at timestamptz not null default now(),
    primary key (clinic_id, id)
);

-- The families on the caseload of a supervisor or trainee.
create table caseload (
    clinic_id  uuid not null,
    family_id  uuid not null,
    account_id uuid not null,
    since      timestamptz not null default now(),
    primary key (clinic_id, family_id, account_id),
    foreign key (clinic_id, family_id) references family on delete cascade,
    foreign key (clinic_id, account_id) references account on delete cascade
);
create index caseload_account on caseload (clinic_id, account_id);

-- A person of a family who may teach, with an account or without.
create table person (
    clinic_id  uuid not null,
    family_id  uuid not null,
    id         uuid not null,
    name       text not null,
    account_id uuid,
    created_at timestamptz not null default now(),
    primary key (clinic_id, id),
    unique (clinic_id, family_id, id),
    foreign key (clinic_id, family_id) references family on delete cascade,
    foreign key (clinic_id, account_id) references account on delete set null (account_id)
);
create index person_family on person (clinic_id, family_id);
create index person_account on person (clinic_id, account_id);

create table learner (
    clinic_id   uuid not null,
    family_id   uuid not null,
    id          uuid not null,
    nickname    text not null,
    birth_month date check (extract(day from birth_month) = 1),
    care        jsonb not null default '{}',
    care_rev    integer not null default 0,
    created_at  timestamptz not null default now(),
    primary key (clinic_id, id),
    unique (clinic_id, family_id, id),
    foreign key (clinic_id, family_id) references family on delete cascade
);
create index learner_family on learner (clinic_id, family_id);

create table consent (
    clinic_id    uuid not null,
    family_id    uuid not null,
    id           uuid not null,
    learner_id   uuid not null,
    kind         text not null check (kind in ('teaching', 'recording')),
    given_on     date not null,
    given_by     text not null,
    recorded_by  uuid not null,
    withdrawn_on date,
    created_at   timestamptz not null default now(),
    primary key (clinic_id, id),
    unique (clinic_id, family_id, id),
    foreign key (clinic_id, family_id, learner_id) references learner (clinic_id, family_id, id) on delete cascade,
    foreign key (clinic_id, recorded_by) references account
);
create index consent_learner on consent (clinic_id, family_id, learner_id);
-- One consent of each kind is in force at a time; withdrawn ones are kept.
create unique index consent_stands on consent (clinic_id, family_id, learner_id, kind) where withdrawn_on is null;

-- A link that binds one person's browser. Stores only the hash of its token.
create table invitation (
    clinic_id   uuid not null,
    family_id   uuid not null,
    id          uuid not null,
    person_id   uuid not null,
    token_hash  text not null unique,
    created_by  uuid not null,
    created_at  timestamptz not null default now(),
    expires_at  timestamptz not null,
    consumed_at timestamptz,
    revoked_at  timestamptz,
    primary key (clinic_id, id),
    unique (clinic_id, family_id, id),
    foreign key (clinic_id, family_id, person_id) references person (clinic_id, family_id, id) on delete cascade,
    foreign key (clinic_id, created_by) references account
);
create index invitation_person on invitation (clinic_id, family_id, person_id);

-- A browser bound to an account. Stores only the hash of its credential.
create table device (
    clinic_id  uuid not null,
    id         uuid not null,
    account_id uuid not null,
    token_hash text not null unique,
    label      text not null default '',
    created_at timestamptz not null default now(),
    seen_on    date not null default current_date,
    revoked_at timestamptz,
    primary key (clinic_id, id),
    foreign key (clinic_id, account_id) references account on delete cascade
);
create index device_account on device (clinic_id, account_id);

-- Sign-ins, kept by the session library under its own name. Holds only ids.
create table sessions (
    token  text primary key,
    data   bytea not null,
    expiry timestamptz not null
);
create index sessions_expiry on sessions (expiry);
