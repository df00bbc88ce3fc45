-- No one else may connect, and only the owner may create anything. The migrations
-- that create tables grant the rights on them.
REVOKE CREATE ON SCHEMA public FROM PUBLIC;
DO $$
BEGIN
  EXECUTE format('REVOKE ALL ON DATABASE %I FROM PUBLIC', current_database());
  EXECUTE format('GRANT CONNECT ON DATABASE %I TO newel_app, newel_backup', current_database());
END $$;
