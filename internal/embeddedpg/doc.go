// Package embeddedpg runs a private PostgreSQL as a child process, so that a
// fresh installation needs no database set up by hand, and makes dumps of it.
//
// One data folder belongs to one running instance. It holds:
//
//	lock             held by the instance; a second one is refused
//	postgres.lock    held by every process of the database, through an inherited
//	                 descriptor; while it is held no new database is started
//	postgres/        the cluster
//	postgres.new/    a cluster being made; renamed when complete
//	postgres.log     what the database says
//	run/             its socket; in /tmp instead when the path is too long
//
// The database listens on that socket only. Whoever can open the socket may
// become any role, so its folder is closed to everyone but the database's own
// account.
package embeddedpg

import "errors"

var (
	// ErrNoBinaries says that no PostgreSQL server programs were found.
	ErrNoBinaries = errors.New("no PostgreSQL server was found")
	// ErrInUse says that another process uses the data folder.
	ErrInUse = errors.New("the data folder is in use")
	// ErrOtherMajor says that the data was made by a major version of
	// PostgreSQL other than those installed.
	ErrOtherMajor = errors.New("the data was made by another version of PostgreSQL")
	// ErrClosed says that the database's account cannot reach a folder it needs.
	ErrClosed = errors.New("the database's account cannot reach a folder")
	// ErrNoDumpTool says that pg_dump or pg_restore is missing or too old.
	ErrNoDumpTool = errors.New("PostgreSQL's backup programs are not available")
)

// The roles and the database that Start provides.
const (
	RoleOwner  = "newel_owner"  // owns the tables; migrations only
	RoleApp    = "newel_app"    // what the application connects as
	RoleBackup = "newel_backup" // reads everything, for dumps
	Database   = "newel"

	// RoleSuper is the cluster's first role. Only this package and the test
	// helper connect as it.
	RoleSuper = "newel_super"
)
