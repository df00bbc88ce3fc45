-- +goose Up
-- What the caseload needs from a reading, beside its body, so that opening it
-- touches no recordings.
alter table reading
    add column gist jsonb,                               -- status, flags and counts, by which rows are grouped
    add column latest jsonb not null default '[]',       -- the last sessions, for a small graph
    add column waiting integer not null default 0,       -- recordings that need a person
    add column by_rule boolean not null default false,   -- met, on a step that may be advanced by rule
    add column late jsonb,                               -- what came after the latest decision, and what it would change
    add column late_at timestamptz;
create index reading_late on reading (clinic_id, family_id) where late_at is not null;
create index reading_by_rule on reading (clinic_id) where by_rule;

-- A decision keeps the gist of the reading that it answered, and whether a
-- signed rule made it.
alter table decision
    add column answered jsonb,
    add column by_rule boolean not null default false;

-- +goose StatementBegin
create function gist_of(body jsonb) returns jsonb language sql immutable as $$
    select case when jsonb_typeof(body -> 'status') = 'string' then jsonb_build_object(
        'status', body -> 'status',
        'flags', case when jsonb_typeof(body -> 'flags') = 'array' then body -> 'flags' else '[]' end,
        'sessions', case when jsonb_typeof(body -> 'sessions') = 'array' then jsonb_array_length(body -> 'sessions') else 0 end,
        'counted', case when jsonb_typeof(body -> 'sessions') = 'array' then
            (select count(*) from jsonb_array_elements(body -> 'sessions') s where s -> 'counted' = 'true') else 0 end) end
$$;
-- +goose StatementEnd
-- (The owner migrates the rows; no policy applies while it does.)
alter table reading no force row level security;
alter table recording no force row level security;
alter table decision no force row level security;
update reading set gist = gist_of(body),
    latest = coalesce((select jsonb_agg(s.session order by s.ended_at, s.id) from (
        select n.id, n.session, n.ended_at from recording n
        where n.clinic_id = reading.clinic_id and n.family_id = reading.family_id and n.placement_id = reading.placement_id
            and n.session is not null
        order by n.ended_at desc, n.id desc limit 10) s), '[]'),
    waiting = (select count(*) from recording n where n.clinic_id = reading.clinic_id and n.family_id = reading.family_id
        and n.placement_id = reading.placement_id and n.needs_person);
update decision set answered = gist_of(reading) where reading is not null;
alter table reading force row level security;
alter table recording force row level security;
alter table decision force row level security;
drop function gist_of;

-- Counts what needs a person wherever that changes.
-- +goose StatementBegin
create function count_waiting() returns trigger language plpgsql as $$
begin
    update reading g set waiting = (select count(*) from recording n where n.clinic_id = g.clinic_id and n.family_id = g.family_id
        and n.placement_id = g.placement_id and n.needs_person)
    where g.clinic_id = new.clinic_id and g.family_id = new.family_id and g.placement_id = new.placement_id;
    return null;
end $$;
-- +goose StatementEnd
create trigger waiting_new after insert on recording for each row when (new.needs_person) execute function count_waiting();
create trigger waiting_changed after update on recording for each row when (new.needs_person is distinct from old.needs_person)
    execute function count_waiting();

-- A version made for one learner: the program as it was, with smaller steps in
-- place of one. Accounts that do not reach the family do not see it.
create table branch (
    clinic_id     uuid not null,
    family_id     uuid not null,
    version_id    uuid not null,
    assignment_id uuid not null,
    step_key      text not null,          -- the step that was split
    made_by       uuid not null,
    made_at       timestamptz not null,
    primary key (clinic_id, version_id),
    -- At the end of the transaction, because the version is visible only with this row.
    foreign key (clinic_id, version_id) references version on delete cascade deferrable initially deferred,
    foreign key (clinic_id, family_id, assignment_id) references assignment (clinic_id, family_id, id) on delete cascade,
    foreign key (clinic_id, made_by) references account
);
create index branch_assignment on branch (clinic_id, family_id, assignment_id);

alter table version add column own boolean not null default false; -- branch says whose
alter table step add column own boolean not null default false;
alter table version drop constraint version_clinic_id_program_id_number_key;
create unique index version_number on version (clinic_id, program_id, number) where not own;

-- A question to a family about one placement, asked with a decision, and the
-- family's answer.
create table question (
    clinic_id    uuid not null,
    family_id    uuid not null,
    id           uuid not null,
    placement_id uuid not null,
    text         text not null check (text <> ''),
    asked_by     uuid not null,
    asked_at     timestamptz not null,
    answer       text not null default '',
    answered_by  uuid,
    answered_at  timestamptz,
    primary key (clinic_id, id),
    unique (clinic_id, family_id, id),
    foreign key (clinic_id, family_id, placement_id) references placement (clinic_id, family_id, id) on delete cascade,
    foreign key (clinic_id, asked_by) references account,
    foreign key (clinic_id, answered_by) references account
);
create index question_placement on question (clinic_id, family_id, placement_id, asked_at);
create index question_asked_by on question (clinic_id, asked_by);
create index question_answered_by on question (clinic_id, answered_by);

alter table branch enable row level security;
alter table branch force row level security;
alter table question enable row level security;
alter table question force row level security;
create policy scope on branch using (
    clinic_id = (select newel_clinic())
    and ((select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[])));
create policy scope on question using (
    clinic_id = (select newel_clinic())
    and ((select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[])));

drop policy scope on version;
create policy scope on version using (
    clinic_id = (select newel_clinic()) and (select newel_staff())
    and (not own or exists (select from branch b where b.clinic_id = version.clinic_id and b.version_id = version.id)));
drop policy scope on step;
create policy scope on step using (
    clinic_id = (select newel_clinic()) and (select newel_staff())
    and (not own or exists (select from branch b where b.clinic_id = step.clinic_id and b.version_id = step.version_id)));

grant select, insert on branch to newel_app;
grant select, insert, update on question to newel_app;
