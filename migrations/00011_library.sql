-- +goose Up
-- (The owner migrates the rows and checks references; no policy applies while it
-- does.)
alter table draft no force row level security;
alter table account no force row level security;
alter table program no force row level security;

-- Earlier states of a draft, as far back as they are kept: what undo restores,
-- and the common state from which two people's changes are merged.
create table draft_state (
    clinic_id  uuid not null,
    program_id uuid not null,
    rev        integer not null,
    document   jsonb not null,
    deed       text not null default '', -- what led here: a kind, a colon and its object
    edited_by  uuid not null,
    edited_at  timestamptz not null,
    since      timestamptz not null,     -- when this run of typing started
    undo_to    integer,                  -- the state that undo restores
    redo_to    integer,                  -- the state that was undone
    primary key (clinic_id, program_id, rev),
    foreign key (clinic_id, program_id) references draft on delete cascade,
    foreign key (clinic_id, edited_by) references account
);

-- A trainee submits a draft for sign-off; those who may publish see it.
alter table draft
    add column handed_in_by uuid,
    add column handed_in_at timestamptz,
    add foreign key (clinic_id, handed_in_by) references account;
create index draft_handed_in_by on draft (clinic_id, handed_in_by);
create index draft_state_edited_by on draft_state (clinic_id, edited_by);

-- What the publisher confirmed, in the words of the form.
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
