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
