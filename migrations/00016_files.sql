-- +goose Up
-- The operator may import a program at the command line. Then no account of the
-- clinic has made it.
alter table program alter column created_by drop not null;      -- null: the command line
alter table draft alter column updated_by drop not null;        -- the same
alter table draft_state alter column edited_by drop not null;
alter table picture alter column made_by drop not null;

-- A picture that nothing shows any more is deleted after a while. step_picture
-- keeps one that a version shows.
grant delete on picture to newel_app;
