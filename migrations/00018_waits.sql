-- +goose Up
-- A person who has locked a phone, or handed it over, waits: their token opens
-- nothing until they enter their PIN. Otherwise a late response that renews the
-- cookie would let in anyone who holds the phone.
alter table device add column waits boolean not null default false;
