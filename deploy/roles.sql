-- Prepares a PostgreSQL of your own (15 or newer) for Newel. Run it as a
-- superuser; it may be run again:
--
--   psql -d postgres -f deploy/roles.sql
--
-- Then give each role a password of its own:
--
--   psql -d postgres -c '\password newel_owner'
--   psql -d postgres -c '\password newel_app'
--   psql -d postgres -c '\password newel_backup'
--
-- and set DATABASE_URL (newel_app), NEWEL_OWNER_URL (newel_owner) and
-- NEWEL_BACKUP_URL (newel_backup).
\set ON_ERROR_STOP on

-- Three roles. The owner makes and changes tables and is used for migrations
-- only. The app owns nothing and is held to the row-level policies. The back-up
-- role reads every row, writes none, and is used for dumps only.
DO $$
DECLARE r text;
BEGIN
  FOREACH r IN ARRAY ARRAY['newel_owner', 'newel_app', 'newel_backup'] LOOP
    IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = r) THEN
      EXECUTE format('CREATE ROLE %I', r);
    END IF;
  END LOOP;
END $$;
ALTER ROLE newel_owner  LOGIN NOSUPERUSER NOCREATEDB NOCREATEROLE NOREPLICATION NOBYPASSRLS;
ALTER ROLE newel_app    LOGIN NOSUPERUSER NOCREATEDB NOCREATEROLE NOREPLICATION NOBYPASSRLS;
ALTER ROLE newel_backup LOGIN NOSUPERUSER NOCREATEDB NOCREATEROLE NOREPLICATION BYPASSRLS;
ALTER ROLE newel_backup SET default_transaction_read_only = on;
GRANT pg_read_all_data TO newel_backup;

SELECT 'CREATE DATABASE newel OWNER newel_owner TEMPLATE template0 ENCODING ''UTF8'' LOCALE ''C.UTF-8'''
WHERE NOT EXISTS (SELECT FROM pg_database WHERE datname = 'newel') \gexec
\connect newel

-- Nobody else may connect, and only the owner may make anything. Rights on
-- tables are given by the migrations that make them.
REVOKE CREATE ON SCHEMA public FROM PUBLIC;
DO $$
BEGIN
  EXECUTE format('REVOKE ALL ON DATABASE %I FROM PUBLIC', current_database());
  EXECUTE format('GRANT CONNECT ON DATABASE %I TO newel_app, newel_backup', current_database());
END $$;
