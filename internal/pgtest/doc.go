// Package pgtest gives each test its own database, cloned from a migrated
// template. Tests only.
//
// When a test ends, its database is given back the template's rows and kept,
// with its sessions, for the next test of the process; one whose schema, rights
// or settings have changed is dropped.
//
// Nothing needs to be started beforehand. The first test process that needs a
// database starts a server, and test processes of other packages share it if
// they run at the same time or soon after. The server belongs to a keeper, a
// detached process that stops the server and removes its files when no test
// process has used it for a while. Test processes may be killed at any time:
// they hold only locks, which the kernel releases.
//
//	gate    held briefly to join, start or stop the server
//	lease   held, shared, by every test process for its whole life
//	alive   held by the keeper while it runs
//	server  the keeper's report about the running server, as JSON
//
// The server loses all data in a crash (fsync is off). Its sessions use the
// time zone Asia/Kathmandu, 5:45 ahead of UTC, so that code that ignores time
// zones fails.
package pgtest
