-- +goose Up
-- A supervisor may move the planned help of a placement, one level down or up.
alter table decision drop constraint decision_kind_check;
alter table decision add constraint decision_kind_check check (kind in
    ('advance', 'step_back', 'hold', 'revise', 'branch', 'pause', 'resume', 'finish', 'seen', 'less_help', 'more_help'));
alter table decision add column help text not null default ''; -- the help planned from then on; empty: none, or another decision

-- What is judged target by target, or has a rule for its help, is read again:
-- until now that was not looked at. (Rows are changed by the owner, who for
-- that long is held by no policy.)
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
