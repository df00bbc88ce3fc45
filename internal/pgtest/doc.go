// Package pgtest gives each test a database of its own, cloned from a migrated
// template. Tests only.
//
// Nothing has to be started beforehand: the first test process that needs a
// database starts a server, and those of other packages, running at the same
// time or soon after, share it. The server belongs to none of them but to a
// keeper, a detached process that stops the server and removes its files when no
// test process has used it for a while. Test processes may be killed at any time:
// what they hold is locks, and the kernel gives those back.
//
//	gate    held for a moment by whoever joins, starts or stops the server
//	lease   held, shared, by every test process for its whole life
//	alive   held by the keeper
//	server  what the keeper says about the running server, as JSON
//
// The server forgets everything on a crash (fsync is off), and its sessions are
// in the time zone Asia/Kathmandu, 5:45 ahead of UTC, so that code that forgot
// about zones fails.
package pgtest
