-- +goose Up
-- (Rows are carried over and references checked by the owner, who for that long
-- is held by no policy.)
alter table draft no force row level security;
alter table account no force row level security;
alter table program no force row level security;

-- The states of a draft since it was begun, as far back as they are kept: what
-- undo goes back to, and from what two who write at once began.
create table draft_state (
    clinic_id  uuid not null,
    program_id uuid not null,
    rev        integer not null,
    document   jsonb not null,
    deed       text not null default '', -- what led here: a kind, a colon and what it was done to
    edited_by  uuid not null,
    edited_at  timestamptz not null,
    since      timestamptz not null,     -- when this run of typing began
    undo_to    integer,                  -- the state that undo goes back to
    redo_to    integer,                  -- the state that was undone
    primary key (clinic_id, program_id, rev),
    foreign key (clinic_id, program_id) references draft on delete cascade,
    foreign key (clinic_id, edited_by) references account
);

-- A trainee hands a draft in; whoever may publish is told.
alter table draft
    add column handed_in_by uuid,
    add column handed_in_at timestamptz,
    add foreign key (clinic_id, handed_in_by) references account;
create index draft_handed_in_by on draft (clinic_id, handed_in_by);
create index draft_state_edited_by on draft_state (clinic_id, edited_by);

-- What whoever published has confirmed, in the words that stood there.
alter table version add column confirmed text not null default '';

alter table program
    add column archived_at timestamptz,
    add column origin text not null default '' check (origin in ('', 'copy', 'import', 'starter')),
    add column copied_from uuid,
    add foreign key (clinic_id, copied_from) references program on delete set null (copied_from);
create index program_copied_from on program (clinic_id, copied_from);

insert into draft_state (clinic_id, program_id, rev, document, edited_by, edited_at, since)
    select clinic_id, program_id, rev, document, updated_by, updated_at, updated_at from draft;
alter table draft force row level security;
alter table account force row level security;
alter table program force row level security;

alter table draft_state enable row level security;
alter table draft_state force row level security;

create policy scope on draft_state using (clinic_id = (select newel_clinic()) and (select newel_staff()));

grant select, insert, delete on draft_state to newel_app;
