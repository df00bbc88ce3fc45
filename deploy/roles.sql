-- Prepares a PostgreSQL of your own (15 or newer) for Newel. Run it as a
-- superuser. Running it again does no harm:
--
--   psql -d postgres -f deploy/roles.sql
--
-- Then give each role its own password:
--
--   psql -d postgres -c '\password newel_owner'
--   psql -d postgres -c '\password newel_app'
--   psql -d postgres -c '\password newel_backup'
--
-- and set DATABASE_URL (newel_app), NEWEL_OWNER_URL (newel_owner) and
-- NEWEL_BACKUP_URL (newel_backup).
\set ON_ERROR_STOP on

-- Three roles. The owner creates and changes tables; only migrations use it. The
-- app owns nothing, and the row-level policies apply to it. The backup role reads
-- every row and writes none; only database backups use it.
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

-- No one else may connect, and only the owner may create anything. The migrations
-- that create tables grant the rights on them.
REVOKE CREATE ON SCHEMA public FROM PUBLIC;
DO $$
BEGIN
  EXECUTE format('REVOKE ALL ON DATABASE %I FROM PUBLIC', current_database());
  EXECUTE format('GRANT CONNECT ON DATABASE %I TO newel_app, newel_backup', current_database());
END $$;
