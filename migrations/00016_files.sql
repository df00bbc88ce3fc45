-- +goose Up
-- A program may be brought in by whoever runs the installation, at the command
-- line: then no account of the clinic has made it.
alter table program alter column created_by drop not null;      -- null: the command line
alter table draft alter column updated_by drop not null;        -- the same
alter table draft_state alter column edited_by drop not null;
alter table picture alter column made_by drop not null;

-- A picture that nothing shows any more is cleared out after a while. One that
-- a version shows cannot be: step_picture holds it.
grant delete on picture to newel_app;
