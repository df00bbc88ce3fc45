-- +goose Up
-- What a decision tells the family, in words written for them. The reason stays
-- within the clinic.
alter table decision add column for_family text not null default '';
