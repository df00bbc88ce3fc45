-- +goose Up
-- Open pages learn of changes from what the database sends when a transaction
-- commits: the ids of clinic, family and assignment, and nothing else. Triggers
-- send it, so that no code path can forget to. They do not send what a phone
-- delivers before it closes a recording, which is most of what is written.
-- +goose StatementBegin
create function tell_change() returns trigger language plpgsql as $$
declare
    assignment uuid;
begin
    if tg_table_name = 'assignment' then
        assignment := new.id;
    else
        select p.assignment_id into assignment from placement p
        where p.clinic_id = new.clinic_id and p.family_id = new.family_id and p.id = new.placement_id;
    end if;
    perform pg_notify('newel_changes', new.clinic_id || ' ' || new.family_id || ' ' || assignment);
    return null;
end $$;
-- +goose StatementEnd
create trigger tell after insert or update on reading for each row execute function tell_change();
create trigger tell after insert on decision for each row execute function tell_change();
create trigger tell after insert or update of state on assignment for each row execute function tell_change();
create trigger tell after insert or update on question for each row execute function tell_change();
