-- +goose Up
-- Who did what, without content. Written in the transaction of the action.
create table audit (
    clinic_id  uuid not null references clinic on delete cascade,
    id         uuid not null,
    at         timestamptz not null,
    account_id uuid,                      -- null: the installation itself
    family_id  uuid,                      -- null: about no family
    deed       text not null,
    subject    uuid,
    primary key (clinic_id, id)
);
create index audit_at on audit (clinic_id, at);

-- A submitted form and where it led. Submitting it again leads to the same
-- place and does nothing else.
create table form_sent (
    clinic_id  uuid not null,
    account_id uuid not null,
    token      uuid not null,
    location   text not null,
    sent_at    timestamptz not null,
    primary key (clinic_id, account_id, token),
    foreign key (clinic_id, account_id) references account on delete cascade
);
create index form_sent_at on form_sent (clinic_id, sent_at);
