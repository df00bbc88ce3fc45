-- +goose Up
-- A supervisor may move the planned prompt of a placement, one level down or up.
alter table decision drop constraint decision_kind_check;
alter table decision add constraint decision_kind_check check (kind in
    ('advance', 'step_back', 'hold', 'revise', 'branch', 'pause', 'resume', 'finish', 'seen', 'less_help', 'more_help'));
alter table decision add column help text not null default ''; -- the prompt planned from then on; empty: none, or another decision

-- Placements with targets mastered one by one, or with a prompt rule, are
-- evaluated again, because earlier versions ignored both. (The owner changes the
-- rows; no policy applies while it does.)
alter table reading no force row level security;
alter table placement no force row level security;
alter table version no force row level security;
update reading set stale = true from placement p join version v on v.clinic_id = p.clinic_id and v.id = p.version_id
where p.clinic_id = reading.clinic_id and p.id = reading.placement_id
    and (jsonb_path_exists(v.document, '$.strands[*].steps[*] ? (@.key == $key && @.at_once > 0)', jsonb_build_object('key', p.step_key))
        or v.document -> 'procedure' ? 'less_help' or v.document -> 'procedure' ? 'more_help');
alter table reading force row level security;
alter table placement force row level security;
alter table version force row level security;
