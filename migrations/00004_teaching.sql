-- +goose Up
create table assignment (
    clinic_id  uuid not null,
    family_id  uuid not null,
    id         uuid not null,
    learner_id uuid not null,
    program_id uuid not null,
    state      text not null default 'active' check (state in ('active', 'paused', 'resting', 'finished')),
    overrides  jsonb not null default '{}',
    created_by uuid not null,
    created_at timestamptz not null default now(),
    primary key (clinic_id, id),
    unique (clinic_id, family_id, id),
    foreign key (clinic_id, family_id, learner_id) references learner (clinic_id, family_id, id) on delete cascade,
    foreign key (clinic_id, program_id) references program,
    foreign key (clinic_id, created_by) references account
);
create index assignment_learner on assignment (clinic_id, family_id, learner_id);
create index assignment_program on assignment (clinic_id, program_id); -- a family's view of the library
create unique index assignment_once on assignment (clinic_id, family_id, learner_id, program_id) where state <> 'finished';

-- An assignment on one step of one version under one criterion.
create table placement (
    clinic_id     uuid not null,
    family_id     uuid not null,
    id            uuid not null,
    assignment_id uuid not null,
    version_id    uuid not null,
    step_key      text not null,
    strand_key    text not null,
    criterion     text not null,
    step_back     text not null default '',
    planned_help  text not null default '',
    began_at      timestamptz not null,
    began_on      date not null,
    ended_at      timestamptz,
    primary key (clinic_id, id),
    unique (clinic_id, family_id, id),
    foreign key (clinic_id, family_id, assignment_id) references assignment (clinic_id, family_id, id) on delete cascade,
    foreign key (clinic_id, version_id, step_key) references step
);
create index placement_assignment on placement (clinic_id, family_id, assignment_id, began_at);
create index placement_step on placement (clinic_id, version_id, step_key); -- the same
-- One open placement per strand.
create unique index placement_open on placement (clinic_id, family_id, assignment_id, strand_key) where ended_at is null;

-- The evaluator's latest result. A cache: it can be computed again.
create table reading (
    clinic_id    uuid not null,
    family_id    uuid not null,
    placement_id uuid not null,
    as_of        timestamptz not null,
    evaluator    integer not null,
    status       text not null,
    body         jsonb not null,
    idle_from    date,
    stale        boolean not null default false,
    primary key (clinic_id, placement_id),
    foreign key (clinic_id, family_id, placement_id) references placement (clinic_id, family_id, id) on delete cascade
);
create index reading_family on reading (clinic_id, family_id);
create index reading_stale on reading (clinic_id) where stale;

-- One teaching session as a document made on a phone, merged from any number
-- of deliveries. The other columns summarize it, for reading many.
create table recording (
    clinic_id    uuid not null,
    family_id    uuid not null,
    id           uuid not null,
    placement_id uuid not null,
    author_id    uuid not null,
    by_id        uuid,
    state        jsonb not null,          -- everything that was ever delivered
    session      jsonb,                   -- what the evaluator reads; null until closed
    closed       boolean not null default false,
    void         boolean not null default false,
    afterwards   boolean not null default false,
    distress     boolean not null default false, -- ended early because of it
    needs_person boolean not null default false, -- surplus, conflict or something unknown
    started_at   timestamptz not null,    -- effective times
    ended_at     timestamptz not null,
    local_date   date not null,
    corrected    boolean not null default false, -- the phone's clock was corrected
    odd_clock    boolean not null default false, -- its clocks contradict each other
    trials       integer not null default 0,
    received_at  timestamptz not null,
    closed_at    timestamptz,
    primary key (clinic_id, id),
    unique (clinic_id, family_id, id),
    foreign key (clinic_id, family_id, placement_id) references placement (clinic_id, family_id, id) on delete cascade,
    foreign key (clinic_id, author_id) references account,
    foreign key (clinic_id, family_id, by_id) references person (clinic_id, family_id, id) on delete set null (by_id)
);
create index recording_placement on recording (clinic_id, family_id, placement_id, ended_at);
create index recording_by on recording (clinic_id, by_id);
create index recording_attention on recording (clinic_id, family_id) where needs_person;

-- Each accepted body with its receipt. The same body again gets the same
-- receipt and has no other effect.
create table delivery (
    clinic_id    uuid not null,
    family_id    uuid not null,
    recording_id uuid not null,
    body_hash    bytea not null,
    receipt      jsonb not null,
    received_at  timestamptz not null,
    primary key (clinic_id, recording_id, body_hash),
    foreign key (clinic_id, family_id, recording_id) references recording (clinic_id, family_id, id) on delete cascade
);

-- A correction after closing. Never changed or deleted; a correction of a
-- correction is a new row.
create table amendment (
    clinic_id    uuid not null,
    family_id    uuid not null,
    id           uuid not null,
    recording_id uuid not null,
    change       jsonb not null,
    reason       text not null check (reason <> ''),
    made_by      uuid not null,
    made_at      timestamptz not null,
    primary key (clinic_id, id),
    unique (clinic_id, family_id, id),
    foreign key (clinic_id, family_id, recording_id) references recording (clinic_id, family_id, id) on delete cascade,
    foreign key (clinic_id, made_by) references account
);
create index amendment_recording on amendment (clinic_id, family_id, recording_id, made_at);

-- What came from an account that no longer reaches the family, or for an
-- unknown placement. Kept until a person decides.
create table quarantine (
    clinic_id    uuid not null references clinic on delete cascade,
    id           uuid not null,           -- of the recording
    account_id   uuid not null,
    placement_id uuid not null,           -- as sent; may be unknown
    body         jsonb not null,          -- recording state, merged like any other
    receipts     jsonb not null default '{}', -- by hash of the body
    why          text not null,
    received_at  timestamptz not null,
    settled_at   timestamptz,
    settled_by   uuid,
    outcome      text check (outcome in ('taken_in', 'set_aside')),
    primary key (clinic_id, account_id, id),
    foreign key (clinic_id, account_id) references account on delete cascade,
    foreign key (clinic_id, settled_by) references account
);

-- Ids of erased recordings that phones may still hold.
create table tombstone (
    clinic_id uuid not null references clinic on delete cascade,
    id        uuid not null,
    erased_at timestamptz not null,
    primary key (clinic_id, id)
);

-- What a supervisor decided about a reading. Never changed or deleted.
create table decision (
    clinic_id         uuid not null,
    family_id         uuid not null,
    id                uuid not null,
    placement_id      uuid not null,
    kind              text not null check (kind in ('advance', 'step_back', 'hold', 'revise', 'branch', 'pause', 'resume', 'finish', 'seen')),
    closes            boolean not null,
    reason            text not null default '',
    expected          text not null default '',
    expected_by       date,
    reading           jsonb,
    next_placement_id uuid,
    decided_by        uuid not null,
    decided_at        timestamptz not null,
    primary key (clinic_id, id),
    unique (clinic_id, family_id, id),
    foreign key (clinic_id, family_id, placement_id) references placement (clinic_id, family_id, id) on delete cascade,
    foreign key (clinic_id, family_id, next_placement_id) references placement (clinic_id, family_id, id),
    foreign key (clinic_id, decided_by) references account
);
create index decision_placement on decision (clinic_id, family_id, placement_id, decided_at);
create index decision_next on decision (clinic_id, next_placement_id);
-- At most one decision closes a placement.
create unique index decision_closes on decision (clinic_id, family_id, placement_id) where closes;
