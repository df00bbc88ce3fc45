-- The schema after migration 00025, written by go test ./migrations -run Drift -update.
-- It is for reading. The files in migrations/ make the databases.

-- What the current transaction may see.
CREATE OR REPLACE FUNCTION public.count_waiting()
 RETURNS trigger
 LANGUAGE plpgsql
AS $function$
begin
    update reading g set waiting = (select count(*) from recording n where n.clinic_id = g.clinic_id and n.family_id = g.family_id
        and n.placement_id = g.placement_id and n.needs_person)
    where g.clinic_id = new.clinic_id and g.family_id = new.family_id and g.placement_id = new.placement_id;
    return null;
end $function$;
CREATE OR REPLACE FUNCTION public.newel_account()
 RETURNS uuid
 LANGUAGE sql
 STABLE PARALLEL SAFE
AS $function$ select nullif(current_setting('newel.account', true), '')::uuid $function$;
CREATE OR REPLACE FUNCTION public.newel_clinic()
 RETURNS uuid
 LANGUAGE sql
 STABLE PARALLEL SAFE
AS $function$ select nullif(current_setting('newel.clinic', true), '')::uuid $function$;
CREATE OR REPLACE FUNCTION public.newel_families()
 RETURNS uuid[]
 LANGUAGE sql
 STABLE PARALLEL SAFE
AS $function$ select coalesce(string_to_array(nullif(current_setting('newel.families', true), ''), ',')::uuid[], '{}') $function$;
CREATE OR REPLACE FUNCTION public.newel_key()
 RETURNS text
 LANGUAGE sql
 STABLE PARALLEL SAFE
AS $function$ select nullif(current_setting('newel.key', true), '') $function$;
CREATE OR REPLACE FUNCTION public.newel_staff()
 RETURNS boolean
 LANGUAGE sql
 STABLE PARALLEL SAFE
AS $function$ select coalesce(current_setting('newel.standing', true), '') = 'staff' $function$;
CREATE OR REPLACE FUNCTION public.newel_whole_clinic()
 RETURNS boolean
 LANGUAGE sql
 STABLE PARALLEL SAFE
AS $function$ select coalesce(current_setting('newel.reach', true), '') = 'clinic' $function$;
CREATE OR REPLACE FUNCTION public.tell_change()
 RETURNS trigger
 LANGUAGE plpgsql
AS $function$
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
end $function$;
CREATE OR REPLACE FUNCTION public.tell_family()
 RETURNS trigger
 LANGUAGE plpgsql
AS $function$
begin
    perform pg_notify('newel_changes', new.clinic_id || ' ' || new.family_id || ' ' || '00000000-0000-0000-0000-000000000000');
    return null;
end $function$;
CREATE OR REPLACE FUNCTION public.tell_fidelity()
 RETURNS trigger
 LANGUAGE plpgsql
AS $function$
declare
    assignment uuid;
begin
    select p.assignment_id into assignment from placement p
    where p.clinic_id = new.clinic_id and p.family_id = new.family_id and p.id = new.placement_id;
    perform pg_notify('newel_changes', new.clinic_id || ' ' || new.family_id || ' ' || assignment);
    return null;
end $function$;
CREATE OR REPLACE FUNCTION public.tell_talk()
 RETURNS trigger
 LANGUAGE plpgsql
AS $function$
begin
    perform pg_notify('newel_changes', new.clinic_id || ' ' || new.family_id || ' ' || new.assignment_id);
    return null;
end $function$;
CREATE OR REPLACE FUNCTION public.tell_verdict()
 RETURNS trigger
 LANGUAGE plpgsql
AS $function$
declare
    assignment uuid;
begin
    select p.assignment_id into assignment from decision d
    join placement p on p.clinic_id = d.clinic_id and p.family_id = d.family_id and p.id = d.placement_id
    where d.clinic_id = new.clinic_id and d.family_id = new.family_id and d.id = new.decision_id;
    perform pg_notify('newel_changes', new.clinic_id || ' ' || new.family_id || ' ' || assignment);
    return null;
end $function$;

CREATE TABLE clinic (
    id uuid not null,
    name text not null,
    time_zone text not null default 'UTC'::text,
    created_at timestamp with time zone not null default now(),
    PRIMARY KEY (id)
);
ALTER TABLE clinic ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY own ON clinic FOR SELECT
    USING (id = (SELECT newel_clinic()));
CREATE POLICY scope ON clinic FOR ALL
    USING ((id = (SELECT newel_clinic())) AND (SELECT newel_staff()));
CREATE POLICY start ON clinic FOR SELECT
    USING ((SELECT newel_key()) = 'start'::text);
GRANT INSERT, SELECT, UPDATE ON clinic TO newel_app;

CREATE TABLE account (
    clinic_id uuid not null,
    id uuid not null,
    name text not null,
    capacities text[] not null,
    active boolean not null default true,
    created_at timestamp with time zone not null default now(),
    PRIMARY KEY (clinic_id, id),
    CHECK ((capacities <@ ARRAY['administrator'::text, 'lead'::text, 'supervisor'::text, 'trainee'::text, 'office'::text, 'caregiver'::text])),
    FOREIGN KEY (clinic_id) REFERENCES clinic(id) ON DELETE CASCADE
);
ALTER TABLE account ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY near ON account FOR SELECT
    USING ((clinic_id = (SELECT newel_clinic())) AND ((id = (SELECT newel_account())) OR (EXISTS ( SELECT FROM caseload c WHERE ((c.clinic_id = account.clinic_id) AND (c.account_id = account.id))))));
CREATE POLICY newcomer ON account FOR INSERT
    WITH CHECK ((clinic_id = (SELECT newel_clinic())) AND (id = (SELECT newel_account())) AND (capacities = ARRAY['caregiver'::text]));
CREATE POLICY scope ON account FOR ALL
    USING ((clinic_id = (SELECT newel_clinic())) AND (SELECT newel_staff()));
GRANT INSERT, SELECT, UPDATE ON account TO newel_app;

-- How staff sign in. Separate from account, so that listing accounts cannot leak it.
CREATE TABLE credential (
    clinic_id uuid not null,
    account_id uuid not null,
    sign_in_name text not null,
    password_hash text not null,
    epoch integer not null default 1,
    changed_at timestamp with time zone not null default now(),
    PRIMARY KEY (clinic_id, account_id),
    UNIQUE (sign_in_name),
    CHECK ((sign_in_name = lower(sign_in_name))),
    FOREIGN KEY (clinic_id, account_id) REFERENCES account(clinic_id, id) ON DELETE CASCADE
);
ALTER TABLE credential ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY key ON credential FOR SELECT
    USING (sign_in_name = (SELECT newel_key()));
CREATE POLICY own ON credential FOR SELECT
    USING ((clinic_id = (SELECT newel_clinic())) AND (account_id = (SELECT newel_account())));
CREATE POLICY scope ON credential FOR ALL
    USING ((clinic_id = (SELECT newel_clinic())) AND (SELECT newel_staff()));
GRANT INSERT, SELECT, UPDATE ON credential TO newel_app;

-- A link with which a staff account chooses its password, once.
CREATE TABLE setup_link (
    clinic_id uuid not null,
    id uuid not null,
    account_id uuid not null,
    token_hash text not null,
    created_at timestamp with time zone not null default now(),
    expires_at timestamp with time zone not null,
    consumed_at timestamp with time zone,
    revoked_at timestamp with time zone,
    PRIMARY KEY (clinic_id, id),
    UNIQUE (token_hash),
    FOREIGN KEY (clinic_id, account_id) REFERENCES account(clinic_id, id) ON DELETE CASCADE
);
CREATE INDEX setup_link_account ON public.setup_link USING btree (clinic_id, account_id);
ALTER TABLE setup_link ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY key ON setup_link FOR SELECT
    USING (token_hash = (SELECT newel_key()));
CREATE POLICY scope ON setup_link FOR ALL
    USING ((clinic_id = (SELECT newel_clinic())) AND (SELECT newel_staff()));
GRANT INSERT, SELECT, UPDATE ON setup_link TO newel_app;

CREATE TABLE family (
    clinic_id uuid not null,
    id uuid not null,
    name text not null,
    time_zone text not null,
    language text not null default 'en'::text,
    created_at timestamp with time zone not null default now(),
    PRIMARY KEY (clinic_id, id),
    FOREIGN KEY (clinic_id) REFERENCES clinic(id) ON DELETE CASCADE
);
ALTER TABLE family ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY scope ON family FOR ALL
    USING ((clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (id = ANY ((SELECT newel_families())::uuid[]))));
GRANT INSERT, SELECT, UPDATE ON family TO newel_app;

-- The families on the caseload of a supervisor or trainee.
CREATE TABLE caseload (
    clinic_id uuid not null,
    family_id uuid not null,
    account_id uuid not null,
    since timestamp with time zone not null default now(),
    PRIMARY KEY (clinic_id, family_id, account_id),
    FOREIGN KEY (clinic_id, account_id) REFERENCES account(clinic_id, id) ON DELETE CASCADE,
    FOREIGN KEY (clinic_id, family_id) REFERENCES family(clinic_id, id) ON DELETE CASCADE
);
CREATE INDEX caseload_account ON public.caseload USING btree (clinic_id, account_id);
ALTER TABLE caseload ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY own ON caseload FOR SELECT
    USING ((clinic_id = (SELECT newel_clinic())) AND (account_id = (SELECT newel_account())));
CREATE POLICY scope ON caseload FOR ALL
    USING ((clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
GRANT DELETE, INSERT, SELECT ON caseload TO newel_app;

-- A person of a family who may teach, with an account or without.
CREATE TABLE person (
    clinic_id uuid not null,
    family_id uuid not null,
    id uuid not null,
    name text not null,
    account_id uuid,
    created_at timestamp with time zone not null default now(),
    PRIMARY KEY (clinic_id, id),
    UNIQUE (clinic_id, family_id, id),
    FOREIGN KEY (clinic_id, account_id) REFERENCES account(clinic_id, id) ON DELETE SET NULL (account_id),
    FOREIGN KEY (clinic_id, family_id) REFERENCES family(clinic_id, id) ON DELETE CASCADE
);
CREATE INDEX person_account ON public.person USING btree (clinic_id, account_id);
CREATE INDEX person_family ON public.person USING btree (clinic_id, family_id);
ALTER TABLE person ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY own ON person FOR SELECT
    USING ((clinic_id = (SELECT newel_clinic())) AND (account_id = (SELECT newel_account())));
CREATE POLICY scope ON person FOR ALL
    USING ((clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
GRANT INSERT, SELECT, UPDATE ON person TO newel_app;

CREATE TABLE learner (
    clinic_id uuid not null,
    family_id uuid not null,
    id uuid not null,
    nickname text not null,
    birth_month date,
    care jsonb not null default '{}'::jsonb,
    care_rev integer not null default 0,
    created_at timestamp with time zone not null default now(),
    PRIMARY KEY (clinic_id, id),
    UNIQUE (clinic_id, family_id, id),
    CHECK ((EXTRACT(day FROM birth_month) = (1)::numeric)),
    FOREIGN KEY (clinic_id, family_id) REFERENCES family(clinic_id, id) ON DELETE CASCADE
);
CREATE INDEX learner_family ON public.learner USING btree (clinic_id, family_id);
ALTER TABLE learner ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY scope ON learner FOR ALL
    USING ((clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
GRANT INSERT, SELECT, UPDATE ON learner TO newel_app;

CREATE TABLE consent (
    clinic_id uuid not null,
    family_id uuid not null,
    id uuid not null,
    learner_id uuid not null,
    kind text not null,
    given_on date not null,
    given_by text not null,
    recorded_by uuid not null,
    withdrawn_on date,
    created_at timestamp with time zone not null default now(),
    PRIMARY KEY (clinic_id, id),
    UNIQUE (clinic_id, family_id, id),
    CHECK ((kind = ANY (ARRAY['teaching'::text, 'recording'::text, 'video'::text]))),
    FOREIGN KEY (clinic_id, family_id, learner_id) REFERENCES learner(clinic_id, family_id, id) ON DELETE CASCADE,
    FOREIGN KEY (clinic_id, recorded_by) REFERENCES account(clinic_id, id)
);
CREATE INDEX consent_learner ON public.consent USING btree (clinic_id, family_id, learner_id);
CREATE UNIQUE INDEX consent_stands ON public.consent USING btree (clinic_id, family_id, learner_id, kind) WHERE (withdrawn_on IS NULL);
ALTER TABLE consent ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY scope ON consent FOR ALL
    USING ((clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
GRANT INSERT, SELECT, UPDATE ON consent TO newel_app;

-- A link that binds one person's browser. Stores only the hash of its token.
CREATE TABLE invitation (
    clinic_id uuid not null,
    family_id uuid not null,
    id uuid not null,
    person_id uuid not null,
    token_hash text not null,
    created_by uuid not null,
    created_at timestamp with time zone not null default now(),
    expires_at timestamp with time zone not null,
    consumed_at timestamp with time zone,
    revoked_at timestamp with time zone,
    PRIMARY KEY (clinic_id, id),
    UNIQUE (clinic_id, family_id, id),
    UNIQUE (token_hash),
    FOREIGN KEY (clinic_id, created_by) REFERENCES account(clinic_id, id),
    FOREIGN KEY (clinic_id, family_id, person_id) REFERENCES person(clinic_id, family_id, id) ON DELETE CASCADE
);
CREATE INDEX invitation_person ON public.invitation USING btree (clinic_id, family_id, person_id);
ALTER TABLE invitation ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY key ON invitation FOR SELECT
    USING (token_hash = (SELECT newel_key()));
CREATE POLICY scope ON invitation FOR ALL
    USING ((clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
GRANT INSERT, SELECT, UPDATE ON invitation TO newel_app;

-- A browser bound to an account. Stores only the hash of its credential.
CREATE TABLE device (
    clinic_id uuid not null,
    id uuid not null,
    account_id uuid not null,
    token_hash text not null,
    label text not null default ''::text,
    created_at timestamp with time zone not null default now(),
    seen_on date not null default CURRENT_DATE,
    revoked_at timestamp with time zone,
    pin_hash text,
    pin_tries integer not null default 0,
    pin_after timestamp with time zone,
    unsent uuid[] not null default '{}'::uuid[],
    waits boolean not null default false,
    PRIMARY KEY (clinic_id, id),
    UNIQUE (token_hash),
    FOREIGN KEY (clinic_id, account_id) REFERENCES account(clinic_id, id) ON DELETE CASCADE
);
CREATE INDEX device_account ON public.device USING btree (clinic_id, account_id);
ALTER TABLE device ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY cut ON device FOR UPDATE
    USING ((clinic_id = (SELECT newel_clinic())) AND (SELECT newel_staff()));
CREATE POLICY key ON device FOR SELECT
    USING (token_hash = (SELECT newel_key()));
CREATE POLICY own ON device FOR ALL
    USING ((clinic_id = (SELECT newel_clinic())) AND (account_id = (SELECT newel_account())));
CREATE POLICY seen ON device FOR SELECT
    USING ((clinic_id = (SELECT newel_clinic())) AND (SELECT newel_staff()));
GRANT INSERT, SELECT, UPDATE ON device TO newel_app;

-- Sign-ins, kept by the session library under its own name. Holds only ids.
CREATE TABLE sessions (
    token text not null,
    data bytea not null,
    expiry timestamp with time zone not null,
    PRIMARY KEY (token)
);
CREATE INDEX sessions_expiry ON public.sessions USING btree (expiry);
GRANT DELETE, INSERT, SELECT, UPDATE ON sessions TO newel_app;

CREATE TABLE program (
    clinic_id uuid not null,
    id uuid not null,
    title text not null,
    skill_area text not null default ''::text,
    created_by uuid,
    created_at timestamp with time zone not null default now(),
    archived_at timestamp with time zone,
    origin text not null default ''::text,
    copied_from uuid,
    PRIMARY KEY (clinic_id, id),
    CHECK ((origin = ANY (ARRAY[''::text, 'copy'::text, 'import'::text, 'starter'::text]))),
    FOREIGN KEY (clinic_id, copied_from) REFERENCES program(clinic_id, id) ON DELETE SET NULL (copied_from),
    FOREIGN KEY (clinic_id, created_by) REFERENCES account(clinic_id, id),
    FOREIGN KEY (clinic_id) REFERENCES clinic(id) ON DELETE CASCADE
);
CREATE INDEX program_copied_from ON public.program USING btree (clinic_id, copied_from);
ALTER TABLE program ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY scope ON program FOR ALL
    USING ((clinic_id = (SELECT newel_clinic())) AND (SELECT newel_staff()));
CREATE POLICY taught ON program FOR SELECT
    USING ((clinic_id = (SELECT newel_clinic())) AND (EXISTS ( SELECT FROM assignment a WHERE ((a.clinic_id = program.clinic_id) AND (a.program_id = program.id)))));
GRANT INSERT, SELECT, UPDATE ON program TO newel_app;

-- The version being written, as typed.
CREATE TABLE draft (
    clinic_id uuid not null,
    program_id uuid not null,
    document jsonb not null,
    rev integer not null default 1,
    updated_by uuid,
    updated_at timestamp with time zone not null default now(),
    handed_in_by uuid,
    handed_in_at timestamp with time zone,
    PRIMARY KEY (clinic_id, program_id),
    FOREIGN KEY (clinic_id, handed_in_by) REFERENCES account(clinic_id, id),
    FOREIGN KEY (clinic_id, program_id) REFERENCES program(clinic_id, id) ON DELETE CASCADE,
    FOREIGN KEY (clinic_id, updated_by) REFERENCES account(clinic_id, id)
);
CREATE INDEX draft_handed_in_by ON public.draft USING btree (clinic_id, handed_in_by);
ALTER TABLE draft ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY scope ON draft FOR ALL
    USING ((clinic_id = (SELECT newel_clinic())) AND (SELECT newel_staff()));
GRANT DELETE, INSERT, SELECT, UPDATE ON draft TO newel_app;

-- A published version. The application role may not change or delete one.
CREATE TABLE version (
    clinic_id uuid not null,
    id uuid not null,
    program_id uuid not null,
    number integer not null,
    document jsonb not null,
    hash text not null,
    help_levels text[] not null default '{}'::text[],
    published_by uuid not null,
    published_at timestamp with time zone not null default now(),
    own boolean not null default false,
    confirmed text not null default ''::text,
    PRIMARY KEY (clinic_id, id),
    UNIQUE (clinic_id, program_id, id),
    CHECK ((number >= 1)),
    FOREIGN KEY (clinic_id, program_id) REFERENCES program(clinic_id, id) ON DELETE CASCADE,
    FOREIGN KEY (clinic_id, published_by) REFERENCES account(clinic_id, id)
);
CREATE UNIQUE INDEX version_number ON public.version USING btree (clinic_id, program_id, number) WHERE (NOT own);
ALTER TABLE version ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY scope ON version FOR ALL
    USING ((clinic_id = (SELECT newel_clinic())) AND (SELECT newel_staff()) AND ((NOT own) OR (EXISTS ( SELECT FROM branch b WHERE ((b.clinic_id = version.clinic_id) AND (b.version_id = version.id))))));
CREATE POLICY taught ON version FOR SELECT
    USING ((clinic_id = (SELECT newel_clinic())) AND (EXISTS ( SELECT FROM placement p WHERE ((p.clinic_id = version.clinic_id) AND (p.version_id = version.id)))));
GRANT INSERT, SELECT ON version TO newel_app;

-- The steps of a version in short form, so that placements can refer to them and lists can draw stairways without reading whole documents.
CREATE TABLE step (
    clinic_id uuid not null,
    version_id uuid not null,
    key text not null,
    strand text not null,
    role text not null default ''::text,
    place integer not null,
    label text not null default ''::text,
    name text not null default ''::text,
    helped boolean not null default false,
    own boolean not null default false,
    PRIMARY KEY (clinic_id, version_id, key),
    FOREIGN KEY (clinic_id, version_id) REFERENCES version(clinic_id, id) ON DELETE CASCADE
);
ALTER TABLE step ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY scope ON step FOR ALL
    USING ((clinic_id = (SELECT newel_clinic())) AND (SELECT newel_staff()) AND ((NOT own) OR (EXISTS ( SELECT FROM branch b WHERE ((b.clinic_id = step.clinic_id) AND (b.version_id = step.version_id))))));
CREATE POLICY taught ON step FOR SELECT
    USING ((clinic_id = (SELECT newel_clinic())) AND (EXISTS ( SELECT FROM placement p WHERE ((p.clinic_id = step.clinic_id) AND (p.version_id = step.version_id)))));
GRANT INSERT, SELECT ON step TO newel_app;

CREATE TABLE assignment (
    clinic_id uuid not null,
    family_id uuid not null,
    id uuid not null,
    learner_id uuid not null,
    program_id uuid not null,
    state text not null default 'active'::text,
    overrides jsonb not null default '{}'::jsonb,
    created_by uuid not null,
    created_at timestamp with time zone not null default now(),
    PRIMARY KEY (clinic_id, id),
    UNIQUE (clinic_id, family_id, id),
    CHECK ((state = ANY (ARRAY['active'::text, 'paused'::text, 'resting'::text, 'finished'::text]))),
    FOREIGN KEY (clinic_id, created_by) REFERENCES account(clinic_id, id),
    FOREIGN KEY (clinic_id, family_id, learner_id) REFERENCES learner(clinic_id, family_id, id) ON DELETE CASCADE,
    FOREIGN KEY (clinic_id, program_id) REFERENCES program(clinic_id, id)
);
CREATE INDEX assignment_learner ON public.assignment USING btree (clinic_id, family_id, learner_id);
CREATE UNIQUE INDEX assignment_once ON public.assignment USING btree (clinic_id, family_id, learner_id, program_id) WHERE (state <> 'finished'::text);
CREATE INDEX assignment_program ON public.assignment USING btree (clinic_id, program_id);
ALTER TABLE assignment ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY changed ON assignment FOR UPDATE
    USING ((clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))))
    WITH CHECK (((state = 'resting'::text) OR (SELECT newel_staff())) AND (clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
CREATE POLICY made ON assignment FOR INSERT
    WITH CHECK ((SELECT newel_staff()) AND (clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
CREATE POLICY seen ON assignment FOR SELECT
    USING ((clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
GRANT INSERT, SELECT, UPDATE ON assignment TO newel_app;

-- An assignment on one step of one version under one criterion.
CREATE TABLE placement (
    clinic_id uuid not null,
    family_id uuid not null,
    id uuid not null,
    assignment_id uuid not null,
    version_id uuid not null,
    step_key text not null,
    strand_key text not null,
    criterion text not null,
    step_back text not null default ''::text,
    planned_help text not null default ''::text,
    began_at timestamp with time zone not null,
    began_on date not null,
    ended_at timestamp with time zone,
    PRIMARY KEY (clinic_id, id),
    UNIQUE (clinic_id, family_id, id),
    FOREIGN KEY (clinic_id, family_id, assignment_id) REFERENCES assignment(clinic_id, family_id, id) ON DELETE CASCADE,
    FOREIGN KEY (clinic_id, version_id, step_key) REFERENCES step(clinic_id, version_id, key)
);
CREATE INDEX placement_assignment ON public.placement USING btree (clinic_id, family_id, assignment_id, began_at);
CREATE UNIQUE INDEX placement_open ON public.placement USING btree (clinic_id, family_id, assignment_id, strand_key) WHERE (ended_at IS NULL);
CREATE INDEX placement_step ON public.placement USING btree (clinic_id, version_id, step_key);
ALTER TABLE placement ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY scope ON placement FOR ALL
    USING ((clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
GRANT INSERT, SELECT, UPDATE ON placement TO newel_app;

-- The evaluator's latest result. A cache: it can be computed again.
CREATE TABLE reading (
    clinic_id uuid not null,
    family_id uuid not null,
    placement_id uuid not null,
    as_of timestamp with time zone not null,
    evaluator integer not null,
    status text not null,
    body jsonb not null,
    idle_from date,
    stale boolean not null default false,
    gist jsonb,
    latest jsonb not null default '[]'::jsonb,
    waiting integer not null default 0,
    by_rule boolean not null default false,
    late jsonb,
    late_at timestamp with time zone,
    PRIMARY KEY (clinic_id, placement_id),
    FOREIGN KEY (clinic_id, family_id, placement_id) REFERENCES placement(clinic_id, family_id, id) ON DELETE CASCADE
);
CREATE INDEX reading_by_rule ON public.reading USING btree (clinic_id) WHERE by_rule;
CREATE INDEX reading_family ON public.reading USING btree (clinic_id, family_id);
CREATE INDEX reading_late ON public.reading USING btree (clinic_id, family_id) WHERE (late_at IS NOT NULL);
CREATE INDEX reading_stale ON public.reading USING btree (clinic_id) WHERE stale;
ALTER TABLE reading ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY scope ON reading FOR ALL
    USING ((clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
GRANT INSERT, SELECT, UPDATE ON reading TO newel_app;

-- One teaching session as a document made on a phone, merged from any number of deliveries. The other columns summarize it, for reading many.
CREATE TABLE recording (
    clinic_id uuid not null,
    family_id uuid not null,
    id uuid not null,
    placement_id uuid not null,
    author_id uuid not null,
    by_id uuid,
    state jsonb not null,
    session jsonb,
    closed boolean not null default false,
    void boolean not null default false,
    afterwards boolean not null default false,
    distress boolean not null default false,
    needs_person boolean not null default false,
    started_at timestamp with time zone not null,
    ended_at timestamp with time zone not null,
    local_date date not null,
    corrected boolean not null default false,
    odd_clock boolean not null default false,
    trials integer not null default 0,
    received_at timestamp with time zone not null,
    closed_at timestamp with time zone,
    PRIMARY KEY (clinic_id, id),
    UNIQUE (clinic_id, family_id, id),
    FOREIGN KEY (clinic_id, author_id) REFERENCES account(clinic_id, id),
    FOREIGN KEY (clinic_id, family_id, by_id) REFERENCES person(clinic_id, family_id, id) ON DELETE SET NULL (by_id),
    FOREIGN KEY (clinic_id, family_id, placement_id) REFERENCES placement(clinic_id, family_id, id) ON DELETE CASCADE
);
CREATE INDEX recording_attention ON public.recording USING btree (clinic_id, family_id) WHERE needs_person;
CREATE INDEX recording_by ON public.recording USING btree (clinic_id, by_id);
CREATE INDEX recording_placement ON public.recording USING btree (clinic_id, family_id, placement_id, ended_at);
ALTER TABLE recording ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY scope ON recording FOR ALL
    USING ((clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
GRANT INSERT, SELECT, UPDATE ON recording TO newel_app;

-- Each accepted body with its receipt. The same body again gets the same receipt and has no other effect.
CREATE TABLE delivery (
    clinic_id uuid not null,
    family_id uuid not null,
    recording_id uuid not null,
    body_hash bytea not null,
    receipt jsonb not null,
    received_at timestamp with time zone not null,
    author_id uuid not null,
    PRIMARY KEY (clinic_id, recording_id, body_hash),
    FOREIGN KEY (clinic_id, author_id) REFERENCES account(clinic_id, id),
    FOREIGN KEY (clinic_id, family_id, recording_id) REFERENCES recording(clinic_id, family_id, id) ON DELETE CASCADE
);
ALTER TABLE delivery ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY own ON delivery FOR SELECT
    USING ((clinic_id = (SELECT newel_clinic())) AND (author_id = (SELECT newel_account())));
CREATE POLICY scope ON delivery FOR ALL
    USING ((clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
GRANT INSERT, SELECT ON delivery TO newel_app;

-- A correction after closing. Never changed or deleted; a correction of a correction is a new row.
CREATE TABLE amendment (
    clinic_id uuid not null,
    family_id uuid not null,
    id uuid not null,
    recording_id uuid not null,
    change jsonb not null,
    reason text not null,
    made_by uuid not null,
    made_at timestamp with time zone not null,
    PRIMARY KEY (clinic_id, id),
    UNIQUE (clinic_id, family_id, id),
    CHECK ((reason <> ''::text)),
    FOREIGN KEY (clinic_id, family_id, recording_id) REFERENCES recording(clinic_id, family_id, id) ON DELETE CASCADE,
    FOREIGN KEY (clinic_id, made_by) REFERENCES account(clinic_id, id)
);
CREATE INDEX amendment_recording ON public.amendment USING btree (clinic_id, family_id, recording_id, made_at);
ALTER TABLE amendment ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY scope ON amendment FOR ALL
    USING ((clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
GRANT INSERT, SELECT ON amendment TO newel_app;

-- What came from an account that no longer reaches the family, or for an unknown placement. Kept until a person decides.
CREATE TABLE quarantine (
    clinic_id uuid not null,
    id uuid not null,
    account_id uuid not null,
    placement_id uuid not null,
    body jsonb not null,
    receipts jsonb not null default '{}'::jsonb,
    why text not null,
    received_at timestamp with time zone not null,
    settled_at timestamp with time zone,
    settled_by uuid,
    outcome text,
    PRIMARY KEY (clinic_id, account_id, id),
    CHECK ((outcome = ANY (ARRAY['taken_in'::text, 'set_aside'::text]))),
    FOREIGN KEY (clinic_id, account_id) REFERENCES account(clinic_id, id) ON DELETE CASCADE,
    FOREIGN KEY (clinic_id) REFERENCES clinic(id) ON DELETE CASCADE,
    FOREIGN KEY (clinic_id, settled_by) REFERENCES account(clinic_id, id)
);
ALTER TABLE quarantine ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY scope ON quarantine FOR ALL
    USING ((clinic_id = (SELECT newel_clinic())) AND ((account_id = (SELECT newel_account())) OR ((SELECT newel_staff()) AND ((SELECT newel_whole_clinic()) OR (EXISTS ( SELECT FROM placement p WHERE ((p.clinic_id = quarantine.clinic_id) AND (p.id = quarantine.placement_id))))))));
GRANT INSERT, SELECT, UPDATE ON quarantine TO newel_app;

-- Ids of erased recordings that phones may still hold.
CREATE TABLE tombstone (
    clinic_id uuid not null,
    id uuid not null,
    erased_at timestamp with time zone not null,
    PRIMARY KEY (clinic_id, id),
    FOREIGN KEY (clinic_id) REFERENCES clinic(id) ON DELETE CASCADE
);
ALTER TABLE tombstone ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY scope ON tombstone FOR ALL
    USING (clinic_id = (SELECT newel_clinic()));
GRANT INSERT, SELECT ON tombstone TO newel_app;

-- What a supervisor decided about a reading. Never changed or deleted.
CREATE TABLE decision (
    clinic_id uuid not null,
    family_id uuid not null,
    id uuid not null,
    placement_id uuid not null,
    kind text not null,
    closes boolean not null,
    reason text not null default ''::text,
    expected text not null default ''::text,
    expected_by date,
    reading jsonb,
    next_placement_id uuid,
    decided_by uuid not null,
    decided_at timestamp with time zone not null,
    answered jsonb,
    by_rule boolean not null default false,
    help text not null default ''::text,
    agreed_on date,
    for_family text not null default ''::text,
    PRIMARY KEY (clinic_id, id),
    UNIQUE (clinic_id, family_id, id),
    CHECK ((kind = ANY (ARRAY['advance'::text, 'step_back'::text, 'hold'::text, 'revise'::text, 'branch'::text, 'pause'::text, 'resume'::text, 'finish'::text, 'seen'::text, 'less_help'::text, 'more_help'::text, 'lift'::text]))),
    CHECK (
CASE
    WHEN (kind = 'lift'::text) THEN ((agreed_on IS NOT NULL) AND (reason <> ''::text))
    ELSE (agreed_on IS NULL)
END),
    FOREIGN KEY (clinic_id, decided_by) REFERENCES account(clinic_id, id),
    FOREIGN KEY (clinic_id, family_id, next_placement_id) REFERENCES placement(clinic_id, family_id, id),
    FOREIGN KEY (clinic_id, family_id, placement_id) REFERENCES placement(clinic_id, family_id, id) ON DELETE CASCADE
);
CREATE UNIQUE INDEX decision_closes ON public.decision USING btree (clinic_id, family_id, placement_id) WHERE closes;
CREATE INDEX decision_expects ON public.decision USING btree (clinic_id, expected_by) WHERE ((expected <> ''::text) AND (expected_by IS NOT NULL));
CREATE INDEX decision_next ON public.decision USING btree (clinic_id, next_placement_id);
CREATE INDEX decision_placement ON public.decision USING btree (clinic_id, family_id, placement_id, decided_at);
ALTER TABLE decision ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY made ON decision FOR INSERT
    WITH CHECK ((SELECT newel_staff()) AND (clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
CREATE POLICY seen ON decision FOR SELECT
    USING ((clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
GRANT INSERT, SELECT ON decision TO newel_app;

-- Who did what, without content. Written in the transaction of the action.
CREATE TABLE audit (
    clinic_id uuid not null,
    id uuid not null,
    at timestamp with time zone not null,
    account_id uuid,
    family_id uuid,
    deed text not null,
    subject uuid,
    PRIMARY KEY (clinic_id, id),
    FOREIGN KEY (clinic_id) REFERENCES clinic(id) ON DELETE CASCADE
);
CREATE INDEX audit_at ON public.audit USING btree (clinic_id, at);
ALTER TABLE audit ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY add ON audit FOR INSERT
    WITH CHECK ((clinic_id = (SELECT newel_clinic())) AND ((family_id IS NULL) OR (SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
CREATE POLICY scope ON audit FOR SELECT
    USING ((clinic_id = (SELECT newel_clinic())) AND (SELECT newel_staff()) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
GRANT INSERT, SELECT ON audit TO newel_app;

-- A submitted form and where it led. Submitting it again leads to the same place and does nothing else.
CREATE TABLE form_sent (
    clinic_id uuid not null,
    account_id uuid not null,
    token uuid not null,
    location text not null,
    sent_at timestamp with time zone not null,
    PRIMARY KEY (clinic_id, account_id, token),
    FOREIGN KEY (clinic_id, account_id) REFERENCES account(clinic_id, id) ON DELETE CASCADE
);
CREATE INDEX form_sent_at ON public.form_sent USING btree (clinic_id, sent_at);
ALTER TABLE form_sent ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY scope ON form_sent FOR ALL
    USING ((clinic_id = (SELECT newel_clinic())) AND (account_id = (SELECT newel_account())));
GRANT DELETE, INSERT, SELECT ON form_sent TO newel_app;

-- Key pairs with which phones seal what they keep for a person who is signed out. Only the server can open it. Never changed, so that what was sealed with an older key still opens. Phones get the newest.
CREATE TABLE phone_key (
    clinic_id uuid not null,
    id uuid not null,
    private_key bytea not null,
    made_at timestamp with time zone not null,
    PRIMARY KEY (clinic_id, id),
    FOREIGN KEY (clinic_id) REFERENCES clinic(id) ON DELETE CASCADE
);
ALTER TABLE phone_key ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY scope ON phone_key FOR ALL
    USING (clinic_id = (SELECT newel_clinic()));
GRANT INSERT, SELECT ON phone_key TO newel_app;

-- What a family says about a child's no.
CREATE TABLE talk (
    clinic_id uuid not null,
    family_id uuid not null,
    id uuid not null,
    assignment_id uuid not null,
    made_by uuid not null,
    talked_at timestamp with time zone not null,
    rests boolean not null,
    received_at timestamp with time zone not null,
    line text not null default ''::text,
    lifted boolean not null default false,
    PRIMARY KEY (clinic_id, id),
    UNIQUE (clinic_id, family_id, id),
    FOREIGN KEY (clinic_id, family_id, assignment_id) REFERENCES assignment(clinic_id, family_id, id) ON DELETE CASCADE,
    FOREIGN KEY (clinic_id, made_by) REFERENCES account(clinic_id, id)
);
CREATE INDEX talk_assignment ON public.talk USING btree (clinic_id, family_id, assignment_id, talked_at);
CREATE INDEX talk_made_by ON public.talk USING btree (clinic_id, made_by);
ALTER TABLE talk ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY own ON talk FOR INSERT
    WITH CHECK ((NOT lifted) AND (made_by = (SELECT newel_account())) AND (clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
CREATE POLICY seen ON talk FOR SELECT
    USING ((clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
GRANT INSERT, SELECT ON talk TO newel_app;

-- Pictures of targets and steps, named by their content, so that each clinic stores the same picture once. Never changed.
CREATE TABLE picture (
    clinic_id uuid not null,
    sha256 bytea not null,
    kind text not null,
    width integer not null,
    height integer not null,
    body bytea not null,
    made_by uuid,
    made_at timestamp with time zone not null,
    PRIMARY KEY (clinic_id, sha256),
    CHECK (((length(body) >= 1) AND (length(body) <= 204800))),
    CHECK ((height > 0)),
    CHECK ((kind = ANY (ARRAY['image/png'::text, 'image/jpeg'::text, 'image/webp'::text]))),
    CHECK ((length(sha256) = 32)),
    CHECK ((width > 0)),
    FOREIGN KEY (clinic_id) REFERENCES clinic(id) ON DELETE CASCADE,
    FOREIGN KEY (clinic_id, made_by) REFERENCES account(clinic_id, id)
);
ALTER TABLE picture ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY scope ON picture FOR ALL
    USING ((clinic_id = (SELECT newel_clinic())) AND (SELECT newel_staff()));
CREATE POLICY taught ON picture FOR SELECT
    USING ((clinic_id = (SELECT newel_clinic())) AND (EXISTS ( SELECT FROM step_picture s WHERE ((s.clinic_id = picture.clinic_id) AND (s.sha256 = picture.sha256)))));
GRANT DELETE, INSERT, SELECT ON picture TO newel_app;

-- Which pictures the steps of a version show. It decides which families may see a picture, and keeps a picture that is in use.
CREATE TABLE step_picture (
    clinic_id uuid not null,
    version_id uuid not null,
    step_key text not null,
    sha256 bytea not null,
    PRIMARY KEY (clinic_id, version_id, step_key, sha256),
    FOREIGN KEY (clinic_id, sha256) REFERENCES picture(clinic_id, sha256),
    FOREIGN KEY (clinic_id, version_id, step_key) REFERENCES step(clinic_id, version_id, key) ON DELETE CASCADE
);
CREATE INDEX step_picture_of ON public.step_picture USING btree (clinic_id, sha256);
ALTER TABLE step_picture ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY scope ON step_picture FOR ALL
    USING ((clinic_id = (SELECT newel_clinic())) AND (SELECT newel_staff()));
CREATE POLICY taught ON step_picture FOR SELECT
    USING ((clinic_id = (SELECT newel_clinic())) AND (EXISTS ( SELECT FROM placement p WHERE ((p.clinic_id = step_picture.clinic_id) AND (p.version_id = step_picture.version_id) AND (p.step_key = step_picture.step_key)))));
GRANT INSERT, SELECT ON step_picture TO newel_app;

-- A version made for one learner: the program as it was, with smaller steps in place of one. Accounts that do not reach the family do not see it.
CREATE TABLE branch (
    clinic_id uuid not null,
    family_id uuid not null,
    version_id uuid not null,
    assignment_id uuid not null,
    step_key text not null,
    made_by uuid not null,
    made_at timestamp with time zone not null,
    PRIMARY KEY (clinic_id, version_id),
    FOREIGN KEY (clinic_id, family_id, assignment_id) REFERENCES assignment(clinic_id, family_id, id) ON DELETE CASCADE,
    FOREIGN KEY (clinic_id, made_by) REFERENCES account(clinic_id, id),
    FOREIGN KEY (clinic_id, version_id) REFERENCES version(clinic_id, id) ON DELETE CASCADE DEFERRABLE INITIALLY DEFERRED
);
CREATE INDEX branch_assignment ON public.branch USING btree (clinic_id, family_id, assignment_id);
ALTER TABLE branch ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY scope ON branch FOR ALL
    USING ((clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
GRANT INSERT, SELECT ON branch TO newel_app;

-- A question to a family about one placement, asked with a decision, and the family's answer.
CREATE TABLE question (
    clinic_id uuid not null,
    family_id uuid not null,
    id uuid not null,
    placement_id uuid not null,
    text text not null,
    asked_by uuid not null,
    asked_at timestamp with time zone not null,
    answer text not null default ''::text,
    answered_by uuid,
    answered_at timestamp with time zone,
    PRIMARY KEY (clinic_id, id),
    UNIQUE (clinic_id, family_id, id),
    CHECK ((text <> ''::text)),
    FOREIGN KEY (clinic_id, answered_by) REFERENCES account(clinic_id, id),
    FOREIGN KEY (clinic_id, asked_by) REFERENCES account(clinic_id, id),
    FOREIGN KEY (clinic_id, family_id, placement_id) REFERENCES placement(clinic_id, family_id, id) ON DELETE CASCADE
);
CREATE INDEX question_answered_by ON public.question USING btree (clinic_id, answered_by);
CREATE INDEX question_asked_by ON public.question USING btree (clinic_id, asked_by);
CREATE INDEX question_placement ON public.question USING btree (clinic_id, family_id, placement_id, asked_at);
ALTER TABLE question ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY scope ON question FOR ALL
    USING ((clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
GRANT INSERT, SELECT, UPDATE ON question TO newel_app;

-- Earlier states of a draft, as far back as they are kept: what undo restores, and the common state from which two people's changes are merged.
CREATE TABLE draft_state (
    clinic_id uuid not null,
    program_id uuid not null,
    rev integer not null,
    document jsonb not null,
    deed text not null default ''::text,
    edited_by uuid,
    edited_at timestamp with time zone not null,
    since timestamp with time zone not null,
    undo_to integer,
    redo_to integer,
    PRIMARY KEY (clinic_id, program_id, rev),
    FOREIGN KEY (clinic_id, edited_by) REFERENCES account(clinic_id, id),
    FOREIGN KEY (clinic_id, program_id) REFERENCES draft(clinic_id, program_id) ON DELETE CASCADE
);
CREATE INDEX draft_state_edited_by ON public.draft_state USING btree (clinic_id, edited_by);
ALTER TABLE draft_state ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY scope ON draft_state FOR ALL
    USING ((clinic_id = (SELECT newel_clinic())) AND (SELECT newel_staff()));
GRANT DELETE, INSERT, SELECT ON draft_state TO newel_app;

-- Caregiver training: how far a person of a family has come with a program, which decides what they may teach alone. Entries are only added. The latest counts, and an empty state clears it. An entry is about a person and a program, not an assignment: a program may be shown before it is assigned, and once for two siblings.
CREATE TABLE training (
    clinic_id uuid not null,
    family_id uuid not null,
    id uuid not null,
    person_id uuid not null,
    program_id uuid not null,
    state text not null,
    version_id uuid,
    note text not null default ''::text,
    set_by uuid,
    set_at timestamp with time zone not null,
    PRIMARY KEY (clinic_id, id),
    UNIQUE (clinic_id, family_id, id),
    CHECK ((state = ANY (ARRAY[''::text, 'read'::text, 'shown'::text, 'practised'::text, 'alone'::text]))),
    FOREIGN KEY (clinic_id, family_id, person_id) REFERENCES person(clinic_id, family_id, id) ON DELETE CASCADE,
    FOREIGN KEY (clinic_id, program_id) REFERENCES program(clinic_id, id) ON DELETE CASCADE,
    FOREIGN KEY (clinic_id, set_by) REFERENCES account(clinic_id, id),
    FOREIGN KEY (clinic_id, version_id) REFERENCES version(clinic_id, id) ON DELETE SET NULL (version_id)
);
CREATE INDEX training_person ON public.training USING btree (clinic_id, family_id, person_id, program_id);
CREATE INDEX training_program ON public.training USING btree (clinic_id, program_id);
CREATE INDEX training_set_by ON public.training USING btree (clinic_id, set_by);
CREATE INDEX training_version ON public.training USING btree (clinic_id, version_id);
ALTER TABLE training ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY scope ON training FOR ALL
    USING ((clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
GRANT INSERT, SELECT ON training TO newel_app;

-- The clinic's list of skills: what programs need before they start and what they teach. A skill is archived, never deleted.
CREATE TABLE skill (
    clinic_id uuid not null,
    id uuid not null,
    name text not null,
    area text not null default ''::text,
    created_by uuid not null,
    created_at timestamp with time zone not null,
    archived_at timestamp with time zone,
    PRIMARY KEY (clinic_id, id),
    CHECK ((name <> ''::text)),
    FOREIGN KEY (clinic_id, created_by) REFERENCES account(clinic_id, id),
    FOREIGN KEY (clinic_id) REFERENCES clinic(id) ON DELETE CASCADE
);
ALTER TABLE skill ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY scope ON skill FOR ALL
    USING ((clinic_id = (SELECT newel_clinic())) AND (SELECT newel_staff()));
GRANT INSERT, SELECT, UPDATE ON skill TO newel_app;

-- Every name that a skill has or had, folded for comparison. A published program names a skill as it was called then, and still means it.
CREATE TABLE skill_name (
    clinic_id uuid not null,
    folded text not null,
    skill_id uuid not null,
    PRIMARY KEY (clinic_id, folded),
    CHECK ((folded <> ''::text)),
    FOREIGN KEY (clinic_id, skill_id) REFERENCES skill(clinic_id, id) ON DELETE CASCADE
);
CREATE INDEX skill_name_skill ON public.skill_name USING btree (clinic_id, skill_id);
ALTER TABLE skill_name ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY scope ON skill_name FOR ALL
    USING ((clinic_id = (SELECT newel_clinic())) AND (SELECT newel_staff()));
GRANT INSERT, SELECT ON skill_name TO newel_app;

-- What was recorded about a learner's skill. Never changed or deleted; the latest counts. For the clinic's staff.
CREATE TABLE skill_note (
    clinic_id uuid not null,
    family_id uuid not null,
    id uuid not null,
    learner_id uuid not null,
    skill_id uuid not null,
    status text not null,
    noted_on date not null,
    evidence text not null default ''::text,
    placement_id uuid,
    recorded_by uuid not null,
    recorded_at timestamp with time zone not null,
    PRIMARY KEY (clinic_id, id),
    UNIQUE (clinic_id, family_id, id),
    CHECK ((status = ANY (ARRAY['not_yet'::text, 'emerging'::text, 'acquired'::text, 'maintained'::text]))),
    FOREIGN KEY (clinic_id, family_id, learner_id) REFERENCES learner(clinic_id, family_id, id) ON DELETE CASCADE,
    FOREIGN KEY (clinic_id, family_id, placement_id) REFERENCES placement(clinic_id, family_id, id) ON DELETE CASCADE,
    FOREIGN KEY (clinic_id, recorded_by) REFERENCES account(clinic_id, id),
    FOREIGN KEY (clinic_id, skill_id) REFERENCES skill(clinic_id, id)
);
CREATE INDEX skill_note_learner ON public.skill_note USING btree (clinic_id, family_id, learner_id, skill_id, recorded_at);
CREATE INDEX skill_note_placement ON public.skill_note USING btree (clinic_id, family_id, placement_id);
CREATE INDEX skill_note_skill ON public.skill_note USING btree (clinic_id, skill_id);
ALTER TABLE skill_note ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY scope ON skill_note FOR ALL
    USING ((clinic_id = (SELECT newel_clinic())) AND (SELECT newel_staff()) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
GRANT INSERT, SELECT ON skill_note TO newel_app;

-- Whether the outcome that a decision expected came, as a person judged it. Never changed or deleted; a later judgment is a new row. For the clinic's staff.
CREATE TABLE verdict (
    clinic_id uuid not null,
    family_id uuid not null,
    id uuid not null,
    decision_id uuid not null,
    came text not null,
    line text not null default ''::text,
    given_by uuid not null,
    given_at timestamp with time zone not null,
    PRIMARY KEY (clinic_id, id),
    UNIQUE (clinic_id, family_id, id),
    CHECK ((came = ANY (ARRAY['true'::text, 'not_yet'::text, 'no'::text]))),
    FOREIGN KEY (clinic_id, family_id, decision_id) REFERENCES decision(clinic_id, family_id, id) ON DELETE CASCADE,
    FOREIGN KEY (clinic_id, given_by) REFERENCES account(clinic_id, id)
);
CREATE INDEX verdict_decision ON public.verdict USING btree (clinic_id, family_id, decision_id, given_at);
CREATE INDEX verdict_given_by ON public.verdict USING btree (clinic_id, given_by);
ALTER TABLE verdict ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY scope ON verdict FOR ALL
    USING ((clinic_id = (SELECT newel_clinic())) AND (SELECT newel_staff()) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
GRANT INSERT, SELECT ON verdict TO newel_app;

-- The clinic's prompt hierarchies: ordered lists of levels, from least to most, with which a program starts. A program keeps the levels it started with, so a hierarchy can be changed. It is archived, never deleted.
CREATE TABLE help_scale (
    clinic_id uuid not null,
    id uuid not null,
    name text not null,
    levels jsonb not null,
    created_by uuid not null,
    created_at timestamp with time zone not null,
    archived_at timestamp with time zone,
    PRIMARY KEY (clinic_id, id),
    CHECK ((jsonb_array_length(levels) > 0)),
    CHECK ((name <> ''::text)),
    FOREIGN KEY (clinic_id, created_by) REFERENCES account(clinic_id, id),
    FOREIGN KEY (clinic_id) REFERENCES clinic(id) ON DELETE CASCADE
);
ALTER TABLE help_scale ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY scope ON help_scale FOR ALL
    USING ((clinic_id = (SELECT newel_clinic())) AND (SELECT newel_staff()));
GRANT INSERT, SELECT, UPDATE ON help_scale TO newel_app;

-- Procedural fidelity: which points of the program's checklist were done as planned when staff observed a session. Entries are kept; a mistaken one is voided, and then counts nowhere. For the clinic's staff: it is about the plan, and does not grade anyone.
CREATE TABLE fidelity (
    clinic_id uuid not null,
    family_id uuid not null,
    id uuid not null,
    placement_id uuid not null,
    person_id uuid not null,
    taught_on date not null,
    watched text not null,
    points jsonb not null,
    note text not null default ''::text,
    noted_by uuid not null,
    noted_at timestamp with time zone not null,
    withdrawn_by uuid,
    withdrawn_at timestamp with time zone,
    PRIMARY KEY (clinic_id, id),
    UNIQUE (clinic_id, family_id, id),
    CHECK (((withdrawn_by IS NULL) = (withdrawn_at IS NULL))),
    CHECK ((jsonb_array_length(points) > 0)),
    CHECK ((watched = ANY (ARRAY['call'::text, 'visit'::text, 'film'::text]))),
    FOREIGN KEY (clinic_id, family_id, person_id) REFERENCES person(clinic_id, family_id, id) ON DELETE CASCADE,
    FOREIGN KEY (clinic_id, family_id, placement_id) REFERENCES placement(clinic_id, family_id, id) ON DELETE CASCADE,
    FOREIGN KEY (clinic_id, noted_by) REFERENCES account(clinic_id, id),
    FOREIGN KEY (clinic_id, withdrawn_by) REFERENCES account(clinic_id, id)
);
CREATE INDEX fidelity_noted_by ON public.fidelity USING btree (clinic_id, noted_by);
CREATE INDEX fidelity_person ON public.fidelity USING btree (clinic_id, family_id, person_id);
CREATE INDEX fidelity_placement ON public.fidelity USING btree (clinic_id, family_id, placement_id, taught_on);
CREATE INDEX fidelity_withdrawn_by ON public.fidelity USING btree (clinic_id, withdrawn_by);
ALTER TABLE fidelity ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY scope ON fidelity FOR ALL
    USING ((clinic_id = (SELECT newel_clinic())) AND (SELECT newel_staff()) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
GRANT INSERT, SELECT ON fidelity TO newel_app;
GRANT UPDATE (withdrawn_by, withdrawn_at) ON fidelity TO newel_app;

-- A review: a call about one learner in which everyone who has joined sees the page that the leader opens. One at a time for a learner.
CREATE TABLE review (
    clinic_id uuid not null,
    family_id uuid not null,
    id uuid not null,
    learner_id uuid not null,
    led_by uuid not null,
    placement_id uuid,
    began_at timestamp with time zone not null,
    ended_at timestamp with time zone,
    PRIMARY KEY (clinic_id, id),
    UNIQUE (clinic_id, family_id, id),
    FOREIGN KEY (clinic_id, family_id, learner_id) REFERENCES learner(clinic_id, family_id, id) ON DELETE CASCADE,
    FOREIGN KEY (clinic_id, family_id, placement_id) REFERENCES placement(clinic_id, family_id, id) ON DELETE CASCADE,
    FOREIGN KEY (clinic_id, led_by) REFERENCES account(clinic_id, id)
);
CREATE INDEX review_learner ON public.review USING btree (clinic_id, family_id, learner_id, began_at);
CREATE INDEX review_led_by ON public.review USING btree (clinic_id, led_by);
CREATE UNIQUE INDEX review_open ON public.review USING btree (clinic_id, family_id, learner_id) WHERE (ended_at IS NULL);
CREATE INDEX review_placement ON public.review USING btree (clinic_id, family_id, placement_id);
ALTER TABLE review ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY scope ON review FOR ALL
    USING ((SELECT newel_staff()) AND (clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
CREATE POLICY seen ON review FOR SELECT
    USING ((clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
GRANT INSERT, SELECT ON review TO newel_app;
GRANT UPDATE (led_by, placement_id, ended_at) ON review TO newel_app;

-- Who has joined a review, and when one of their pages was last open.
CREATE TABLE review_guest (
    clinic_id uuid not null,
    family_id uuid not null,
    review_id uuid not null,
    account_id uuid not null,
    seen_at timestamp with time zone not null,
    PRIMARY KEY (clinic_id, review_id, account_id),
    FOREIGN KEY (clinic_id, account_id) REFERENCES account(clinic_id, id) ON DELETE CASCADE,
    FOREIGN KEY (clinic_id, family_id, review_id) REFERENCES review(clinic_id, family_id, id) ON DELETE CASCADE
);
CREATE INDEX review_guest_account ON public.review_guest USING btree (clinic_id, account_id);
CREATE INDEX review_guest_family ON public.review_guest USING btree (clinic_id, family_id, review_id);
ALTER TABLE review_guest ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY own ON review_guest FOR ALL
    USING ((account_id = (SELECT newel_account())) AND (clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
CREATE POLICY seen ON review_guest FOR SELECT
    USING ((clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
GRANT INSERT, SELECT ON review_guest TO newel_app;
GRANT UPDATE (seen_at) ON review_guest TO newel_app;

-- An agreed action, who is to do it, and its outcome.
CREATE TABLE agreed_action (
    clinic_id uuid not null,
    family_id uuid not null,
    id uuid not null,
    learner_id uuid not null,
    review_id uuid not null,
    text text not null,
    whose text not null,
    due_on date,
    agreed_by uuid not null,
    agreed_at timestamp with time zone not null,
    outcome text,
    settled_by uuid,
    settled_at timestamp with time zone,
    PRIMARY KEY (clinic_id, id),
    UNIQUE (clinic_id, family_id, id),
    CHECK ((((outcome IS NULL) = (settled_at IS NULL)) AND ((outcome IS NULL) = (settled_by IS NULL)))),
    CHECK ((outcome = ANY (ARRAY['done'::text, 'dropped'::text]))),
    CHECK ((text <> ''::text)),
    CHECK ((whose = ANY (ARRAY['family'::text, 'clinic'::text]))),
    FOREIGN KEY (clinic_id, agreed_by) REFERENCES account(clinic_id, id),
    FOREIGN KEY (clinic_id, family_id, learner_id) REFERENCES learner(clinic_id, family_id, id) ON DELETE CASCADE,
    FOREIGN KEY (clinic_id, family_id, review_id) REFERENCES review(clinic_id, family_id, id) ON DELETE CASCADE,
    FOREIGN KEY (clinic_id, settled_by) REFERENCES account(clinic_id, id)
);
CREATE INDEX agreed_action_agreed_by ON public.agreed_action USING btree (clinic_id, agreed_by);
CREATE INDEX agreed_action_learner ON public.agreed_action USING btree (clinic_id, family_id, learner_id, agreed_at);
CREATE INDEX agreed_action_open ON public.agreed_action USING btree (clinic_id, family_id) WHERE (outcome IS NULL);
CREATE INDEX agreed_action_review ON public.agreed_action USING btree (clinic_id, family_id, review_id);
CREATE INDEX agreed_action_settled_by ON public.agreed_action USING btree (clinic_id, settled_by);
ALTER TABLE agreed_action ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY own ON agreed_action FOR UPDATE
    USING ((whose = 'family'::text) AND (clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
CREATE POLICY scope ON agreed_action FOR ALL
    USING ((SELECT newel_staff()) AND (clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
CREATE POLICY seen ON agreed_action FOR SELECT
    USING ((clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
GRANT INSERT, SELECT ON agreed_action TO newel_app;
GRANT UPDATE (outcome, settled_by, settled_at) ON agreed_action TO newel_app;

-- Messages between a family and the clinic, and whether someone on the other side has read them.
CREATE TABLE message (
    clinic_id uuid not null,
    family_id uuid not null,
    id uuid not null,
    from_clinic boolean not null,
    text text not null,
    written_by uuid not null,
    written_at timestamp with time zone not null,
    read_by uuid,
    read_at timestamp with time zone,
    PRIMARY KEY (clinic_id, id),
    UNIQUE (clinic_id, family_id, id),
    CHECK (((read_by IS NULL) = (read_at IS NULL))),
    CHECK ((text <> ''::text)),
    FOREIGN KEY (clinic_id, family_id) REFERENCES family(clinic_id, id) ON DELETE CASCADE,
    FOREIGN KEY (clinic_id, read_by) REFERENCES account(clinic_id, id),
    FOREIGN KEY (clinic_id, written_by) REFERENCES account(clinic_id, id)
);
CREATE INDEX message_family ON public.message USING btree (clinic_id, family_id, written_at);
CREATE INDEX message_read_by ON public.message USING btree (clinic_id, read_by);
CREATE INDEX message_unread ON public.message USING btree (clinic_id, family_id) WHERE (read_at IS NULL);
CREATE INDEX message_written_by ON public.message USING btree (clinic_id, written_by);
ALTER TABLE message ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY other ON message FOR UPDATE
    USING ((from_clinic <> (SELECT newel_staff())) AND (clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
CREATE POLICY own ON message FOR INSERT
    WITH CHECK ((from_clinic = (SELECT newel_staff())) AND (written_by = (SELECT newel_account())) AND (clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
CREATE POLICY seen ON message FOR SELECT
    USING ((clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
GRANT INSERT, SELECT ON message TO newel_app;
GRANT UPDATE (read_by, read_at) ON message TO newel_app;

-- An incident outside a session: what was seen before, during and after it. What was written stays. Later additions and the clinic's response are notes under it. It is open until the clinic has responded.
CREATE TABLE incident (
    clinic_id uuid not null,
    family_id uuid not null,
    id uuid not null,
    learner_id uuid not null,
    happened_on date not null,
    about_when text not null default ''::text,
    before text not null default ''::text,
    saw text not null,
    after text not null default ''::text,
    helped text not null default ''::text,
    minutes integer,
    hurt boolean not null,
    written_by uuid not null,
    written_at timestamp with time zone not null,
    settled_by uuid,
    settled_at timestamp with time zone,
    PRIMARY KEY (clinic_id, id),
    UNIQUE (clinic_id, family_id, id),
    CHECK (((settled_by IS NULL) = (settled_at IS NULL))),
    CHECK (((minutes >= 0) AND (minutes <= 1440))),
    CHECK ((saw <> ''::text)),
    FOREIGN KEY (clinic_id, family_id, learner_id) REFERENCES learner(clinic_id, family_id, id) ON DELETE CASCADE,
    FOREIGN KEY (clinic_id, settled_by) REFERENCES account(clinic_id, id),
    FOREIGN KEY (clinic_id, written_by) REFERENCES account(clinic_id, id)
);
CREATE INDEX incident_learner ON public.incident USING btree (clinic_id, family_id, learner_id, happened_on);
CREATE INDEX incident_open ON public.incident USING btree (clinic_id, family_id) WHERE (settled_at IS NULL);
CREATE INDEX incident_settled_by ON public.incident USING btree (clinic_id, settled_by);
CREATE INDEX incident_written_by ON public.incident USING btree (clinic_id, written_by);
ALTER TABLE incident ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY own ON incident FOR INSERT
    WITH CHECK ((written_by = (SELECT newel_account())) AND (clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
CREATE POLICY seen ON incident FOR SELECT
    USING ((clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
CREATE POLICY settled ON incident FOR UPDATE
    USING ((SELECT newel_staff()) AND (clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
GRANT INSERT, SELECT ON incident TO newel_app;
GRANT UPDATE (settled_by, settled_at) ON incident TO newel_app;

CREATE TABLE incident_note (
    clinic_id uuid not null,
    family_id uuid not null,
    id uuid not null,
    incident_id uuid not null,
    text text not null,
    written_by uuid not null,
    written_at timestamp with time zone not null,
    PRIMARY KEY (clinic_id, id),
    UNIQUE (clinic_id, family_id, id),
    CHECK ((text <> ''::text)),
    FOREIGN KEY (clinic_id, family_id, incident_id) REFERENCES incident(clinic_id, family_id, id) ON DELETE CASCADE,
    FOREIGN KEY (clinic_id, written_by) REFERENCES account(clinic_id, id)
);
CREATE INDEX incident_note_incident ON public.incident_note USING btree (clinic_id, family_id, incident_id, written_at);
CREATE INDEX incident_note_written_by ON public.incident_note USING btree (clinic_id, written_by);
ALTER TABLE incident_note ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY own ON incident_note FOR INSERT
    WITH CHECK ((written_by = (SELECT newel_account())) AND (clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
CREATE POLICY seen ON incident_note FOR SELECT
    USING ((clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
GRANT INSERT, SELECT ON incident_note TO newel_app;

-- What a supervisor planned for the next session of a placement: the latest row counts, until a session of its kind has been recorded. Rows are kept.
CREATE TABLE planned_session (
    clinic_id uuid not null,
    family_id uuid not null,
    id uuid not null,
    placement_id uuid not null,
    kind text not null,
    planned_by uuid not null,
    planned_at timestamp with time zone not null,
    PRIMARY KEY (clinic_id, id),
    UNIQUE (clinic_id, family_id, id),
    CHECK ((kind = ANY (ARRAY['usual'::text, 'baseline'::text, 'probe'::text, 'maintenance'::text, 'none'::text]))),
    FOREIGN KEY (clinic_id, family_id, placement_id) REFERENCES placement(clinic_id, family_id, id) ON DELETE CASCADE,
    FOREIGN KEY (clinic_id, planned_by) REFERENCES account(clinic_id, id)
);
CREATE INDEX planned_session_placement ON public.planned_session USING btree (clinic_id, family_id, placement_id, planned_at);
CREATE INDEX planned_session_planned_by ON public.planned_session USING btree (clinic_id, planned_by);
ALTER TABLE planned_session ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY own ON planned_session FOR INSERT
    WITH CHECK ((SELECT newel_staff()) AND (planned_by = (SELECT newel_account())) AND (clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
CREATE POLICY seen ON planned_session FOR SELECT
    USING ((clinic_id = (SELECT newel_clinic())) AND ((SELECT newel_whole_clinic()) OR (family_id = ANY ((SELECT newel_families())::uuid[]))));
GRANT INSERT, SELECT ON planned_session TO newel_app;
