package embeddedpg

import (
	"context"
	_ "embed"
	"fmt"

	"github.com/jackc/pgx/v5"
)

// The same text as in deploy/roles.sql, for external PostgreSQL servers.
var (
	//go:embed sql/roles.sql
	rolesSQL string
	//go:embed sql/database.sql
	databaseSQL string
)

// quietSQL keeps failed statements of Newel out of the database's log, because
// their messages can quote what a person typed. Newel sees the errors itself.
// Errors of the database's background processes are still logged.
const quietSQL = `
ALTER ROLE newel_owner  SET log_min_messages = 'log';
ALTER ROLE newel_app    SET log_min_messages = 'log';
ALTER ROLE newel_backup SET log_min_messages = 'log';`

// provision creates the roles and the database. Every step can be repeated, so
// the next start completes an interrupted first start.
func (s *Server) provision(ctx context.Context) error {
	err := withConn(ctx, s.URL(RoleSuper, "postgres"), func(c *pgx.Conn) error {
		if _, err := c.Exec(ctx, rolesSQL+quietSQL); err != nil {
			return fmt.Errorf("create the roles: %w", err)
		}
		var exists bool
		if err := c.QueryRow(ctx, `SELECT EXISTS (SELECT FROM pg_database WHERE datname = $1)`, Database).Scan(&exists); err != nil {
			return fmt.Errorf("look for the database %s: %w", Database, err)
		}
		if exists {
			return nil
		}
		// Name the template, so that collation and encoding are as requested
		// even if template1 was changed.
		if _, err := c.Exec(ctx, `CREATE DATABASE newel OWNER newel_owner TEMPLATE template0 ENCODING 'UTF8'`); err != nil {
			return fmt.Errorf("create the database %s: %w", Database, err)
		}
		return nil
	})
	if err != nil {
		return err
	}
	return withConn(ctx, s.URL(RoleSuper, Database), func(c *pgx.Conn) error {
		return PrepareDatabase(ctx, c)
	})
}

// PrepareDatabase closes a database to everyone but Newel's roles. conn is
// connected to it as a superuser or as its owner.
func PrepareDatabase(ctx context.Context, conn *pgx.Conn) error {
	if _, err := conn.Exec(ctx, databaseSQL); err != nil {
		return fmt.Errorf("set permissions on the database: %w", err)
	}
	return nil
}

func withConn(ctx context.Context, url string, do func(*pgx.Conn) error) error {
	c, err := pgx.Connect(ctx, url)
	if err != nil {
		return fmt.Errorf("connect to the built-in database: %w", err)
	}
	err = do(c)
	if cerr := c.Close(ctx); err == nil && cerr != nil {
		return fmt.Errorf("close the connection: %w", cerr)
	}
	return err
}
