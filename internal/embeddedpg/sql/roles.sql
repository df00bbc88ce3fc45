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
