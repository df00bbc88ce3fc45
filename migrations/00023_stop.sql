-- +goose Up
-- Only the clinic lifts the pause after a child's no, by a decision that says
-- what was agreed (its reason) and on which day. What the family says about a no
-- is kept, and lifts nothing.
alter table decision drop constraint decision_kind_check;
alter table decision add constraint decision_kind_check check (kind in
    ('advance', 'step_back', 'hold', 'revise', 'branch', 'pause', 'resume', 'finish', 'seen', 'less_help', 'more_help', 'lift'));
alter table decision add column agreed_on date; -- of a lift: the day on which it was agreed, where the family lives
alter table decision add constraint decision_lift_check check (
    case when kind = 'lift' then agreed_on is not null and reason <> '' else agreed_on is null end);

-- Families read decisions, and the clinic makes them.
drop policy scope on decision;
create policy seen on decision for select using (
    clinic_id = (select newel_clinic())
    and ((select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[])));
create policy made on decision for insert with check (
    (select newel_staff()) and clinic_id = (select newel_clinic())
    and ((select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[])));

-- An account of a family may pause what its child refused, and start nothing.
drop policy scope on assignment;
create policy seen on assignment for select using (
    clinic_id = (select newel_clinic())
    and ((select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[])));
create policy made on assignment for insert with check (
    (select newel_staff()) and clinic_id = (select newel_clinic())
    and ((select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[])));
create policy changed on assignment for update using (
    clinic_id = (select newel_clinic())
    and ((select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[]))) with check (
    (state = 'resting' or (select newel_staff())) and clinic_id = (select newel_clinic())
    and ((select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[])));

-- Until now, a talk after the no lifted the pause. Those that did, or that found
-- nothing paused, keep that meaning. (The owner changes the rows; no policy
-- applies while it does.)
alter table talk add column line text not null default ''; -- in the family's words; empty: "We talked about it"
alter table talk add column lifted boolean not null default false;
alter table talk no force row level security;
update talk set lifted = true where not rests;
alter table talk force row level security;
create index talk_made_by on talk (clinic_id, made_by);

-- A talk is in the speaker's own name, and no new one lifts a pause.
drop policy scope on talk;
create policy seen on talk for select using (
    clinic_id = (select newel_clinic())
    and ((select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[])));
create policy own on talk for insert with check (
    not lifted and made_by = (select newel_account()) and clinic_id = (select newel_clinic())
    and ((select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[])));

-- Open pages learn of it.
-- +goose StatementBegin
create function tell_talk() returns trigger language plpgsql as $$
begin
    perform pg_notify('newel_changes', new.clinic_id || ' ' || new.family_id || ' ' || new.assignment_id);
    return null;
end $$;
-- +goose StatementEnd
create trigger tell after insert on talk for each row execute function tell_talk();
