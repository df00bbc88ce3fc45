// Package picture prepares uploaded pictures for storage: upright, small enough
// for a phone with a poor connection, and without metadata. A photo's metadata
// shows where, when and with which device it was taken.
package picture
