// Package embeddedpg runs a private PostgreSQL as a child process, so that a
// new installation needs no separate database, and dumps its data.
//
// One data folder belongs to one running instance. It holds:
//
//	lock             held by the instance; a second one is refused
//	postgres.lock    held by every process of the database, through an inherited
//	                 descriptor; while it is held no new database is started
//	postgres/        the cluster
//	postgres.new/    a cluster being created; renamed when complete
//	postgres.log     the database's log
//	run/             its socket; in /tmp if the path would be too long
//
// The database listens only on that socket. Anyone who can open the socket can
// become any role, so only the database's own account may enter the socket's
// folder.
package embeddedpg

import "errors"

var (
	// ErrNoBinaries means that no PostgreSQL server programs were found.
	ErrNoBinaries = errors.New("no PostgreSQL server was found")
	// ErrInUse means that another process uses the data folder.
	ErrInUse = errors.New("the data folder is in use")
	// ErrOtherMajor means that the data was created by a major version of
	// PostgreSQL that is not installed.
	ErrOtherMajor = errors.New("the data was made by another version of PostgreSQL")
	// ErrClosed means that the database's account cannot reach a folder it
	// needs.
	ErrClosed = errors.New("the database's account cannot reach a folder")
	// ErrNoDumpTool means that pg_dump or pg_restore is missing or too old.
	ErrNoDumpTool = errors.New("PostgreSQL's backup programs are not available")
)

// The roles and the database that Start provides.
const (
	RoleOwner  = "newel_owner"  // owns the tables; migrations only
	RoleApp    = "newel_app"    // the application's role
	RoleBackup = "newel_backup" // reads everything, for dumps
	Database   = "newel"

	// RoleSuper is the cluster's first role. Only this package and the test
	// helper use it.
	RoleSuper = "newel_super"
)
