-- +goose Up
-- What the current transaction may see. The application sets these for each
-- transaction, never for a session. The policies of every table read them
-- through a scalar sub-select, so that a statement parses each once and not
-- once per row. After a connection has used a setting once, it reads as '' and
-- not as null, hence nullif.

-- +goose StatementBegin
create function newel_clinic() returns uuid language sql stable parallel safe
as $$ select nullif(current_setting('newel.clinic', true), '')::uuid $$;
-- +goose StatementEnd
-- +goose StatementBegin
create function newel_account() returns uuid language sql stable parallel safe
as $$ select nullif(current_setting('newel.account', true), '')::uuid $$;
-- +goose StatementEnd

-- The clinic's staff, as opposed to caregivers and guests.
-- +goose StatementBegin
create function newel_staff() returns boolean language sql stable parallel safe
as $$ select coalesce(current_setting('newel.standing', true), '') = 'staff' $$;
-- +goose StatementEnd

-- Whether every family of the clinic is within reach, or only the listed ones.
-- +goose StatementBegin
create function newel_whole_clinic() returns boolean language sql stable parallel safe
as $$ select coalesce(current_setting('newel.reach', true), '') = 'clinic' $$;
-- +goose StatementEnd
-- +goose StatementBegin
create function newel_families() returns uuid[] language sql stable parallel safe
as $$ select coalesce(string_to_array(nullif(current_setting('newel.families', true), ''), ',')::uuid[], '{}') $$;
-- +goose StatementEnd

-- Before sign-in, a transaction may see the one row whose key it holds: the
-- hash of a link or device token, or a sign-in name.
-- +goose StatementBegin
create function newel_key() returns text language sql stable parallel safe
as $$ select nullif(current_setting('newel.key', true), '') $$;
-- +goose StatementEnd
