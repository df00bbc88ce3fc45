-- +goose Up
-- Row-level security on every table, enabled and forced (an owner is not
-- exempt). Every policy names its clinic; those of family-owned rows also name
-- the family. sessions is the library's own table: it has no clinic, and only
-- the hash of an unguessable token finds its rows.

-- +goose StatementBegin
do $$
declare t text;
begin
    foreach t in array array['clinic','account','credential','setup_link','family','caseload','person','learner',
        'consent','invitation','device','program','draft','version','step','assignment','placement','reading',
        'recording','delivery','amendment','quarantine','tombstone','decision','audit','form_sent'] loop
        execute format('alter table %I enable row level security', t);
        execute format('alter table %I force row level security', t);
    end loop;

    -- Family-owned tables all have the same rule.
    foreach t in array array['person','learner','consent','assignment','placement','reading','recording','delivery',
        'amendment','decision'] loop
        execute format($p$create policy scope on %I using (
            clinic_id = (select newel_clinic())
            and ((select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[])))$p$, t);
    end loop;
end $$;
-- +goose StatementEnd

create policy scope on clinic using (id = (select newel_clinic()) and (select newel_staff()));
create policy own on clinic for select using (id = (select newel_clinic()));
-- Start-up must find out whether there is any clinic. It sees only ids, with an empty key.
create policy start on clinic for select using ((select newel_key()) = 'start');

-- Staff manage the clinic's accounts. Caregivers see their own account and those with their family on the caseload.
-- A new person adds only their own account, and only as a caregiver.
create policy scope on account using (clinic_id = (select newel_clinic()) and (select newel_staff()));
create policy near on account for select using (
    clinic_id = (select newel_clinic())
    and (id = (select newel_account())
         or exists (select from caseload c where c.clinic_id = account.clinic_id and c.account_id = account.id)));
create policy newcomer on account for insert with check (
    clinic_id = (select newel_clinic()) and id = (select newel_account()) and capacities = array['caregiver']);

create policy scope on credential using (clinic_id = (select newel_clinic()) and (select newel_staff()));
create policy own on credential for select using (
    clinic_id = (select newel_clinic()) and account_id = (select newel_account()));
create policy key on credential for select using (sign_in_name = (select newel_key()));

create policy scope on setup_link using (clinic_id = (select newel_clinic()) and (select newel_staff()));
create policy key on setup_link for select using (token_hash = (select newel_key()));

create policy scope on family using (
    clinic_id = (select newel_clinic())
    and ((select newel_whole_clinic()) or id = any ((select newel_families())::uuid[])));

create policy scope on caseload using (
    clinic_id = (select newel_clinic())
    and ((select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[])));
-- An account may always see its own caseload, because the scope is computed from it. (Seeing only: no one can add
-- a family out of reach to their own caseload.)
create policy own on caseload for select using (
    clinic_id = (select newel_clinic()) and account_id = (select newel_account()));
create policy own on person for select using (
    clinic_id = (select newel_clinic()) and account_id = (select newel_account()));

create policy scope on invitation using (
    clinic_id = (select newel_clinic())
    and ((select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[])));
create policy key on invitation for select using (token_hash = (select newel_key()));

-- No one binds a browser to another person's account. Staff remove a browser's access.
create policy own on device using (clinic_id = (select newel_clinic()) and account_id = (select newel_account()));
create policy seen on device for select using (clinic_id = (select newel_clinic()) and (select newel_staff()));
create policy cut on device for update using (clinic_id = (select newel_clinic()) and (select newel_staff()));
create policy key on device for select using (token_hash = (select newel_key()));

-- Staff see and write the library. A family sees what is assigned to its learner.
create policy scope on program using (clinic_id = (select newel_clinic()) and (select newel_staff()));
create policy taught on program for select using (
    clinic_id = (select newel_clinic())
    and exists (select from assignment a where a.clinic_id = program.clinic_id and a.program_id = program.id));
create policy scope on draft using (clinic_id = (select newel_clinic()) and (select newel_staff()));
create policy scope on version using (clinic_id = (select newel_clinic()) and (select newel_staff()));
create policy taught on version for select using (
    clinic_id = (select newel_clinic())
    and exists (select from placement p where p.clinic_id = version.clinic_id and p.version_id = version.id));
create policy scope on step using (clinic_id = (select newel_clinic()) and (select newel_staff()));
create policy taught on step for select using (
    clinic_id = (select newel_clinic())
    and exists (select from placement p where p.clinic_id = step.clinic_id and p.version_id = step.version_id));

-- An account sees what it sent. Staff see what names a placement within reach. Accounts that reach the whole clinic
-- also see what names no existing placement.
create policy scope on quarantine using (
    clinic_id = (select newel_clinic())
    and (account_id = (select newel_account())
         or (select newel_staff()) and ((select newel_whole_clinic()) or exists (
             select from placement p where p.clinic_id = quarantine.clinic_id and p.id = quarantine.placement_id))));
create policy scope on tombstone using (clinic_id = (select newel_clinic()));

create policy scope on audit for select using (
    clinic_id = (select newel_clinic()) and (select newel_staff())
    and ((select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[])));
create policy add on audit for insert with check (
    clinic_id = (select newel_clinic())
    and (family_id is null or (select newel_whole_clinic()) or family_id = any ((select newel_families())::uuid[])));
create policy scope on form_sent using (
    clinic_id = (select newel_clinic()) and account_id = (select newel_account()));

-- What the application may do. Published versions, amendments, decisions and
-- the audit trail are written once.
grant usage on schema public to newel_app;
grant select, insert, update on clinic, account, credential, setup_link, family, person, learner, consent, invitation,
    device, program, draft, assignment, placement, reading, recording, quarantine to newel_app;
grant select, insert on version, step, delivery, amendment, decision, audit, tombstone, form_sent to newel_app;
grant delete on caseload, draft, form_sent to newel_app;
grant select, insert on caseload to newel_app;
grant select, insert, update, delete on sessions to newel_app;
grant select on goose_db_version to newel_app;
