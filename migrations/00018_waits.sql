-- +goose Up
-- Whoever has locked a phone, or handed it on, waits: the token opens nothing
-- until their PIN was given. Without this a late answer that renews the cookie
-- would let in again whoever holds the phone.
alter table device add column waits boolean not null default false;
