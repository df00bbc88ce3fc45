// Package picture prepares uploaded pictures for storage: upright, small enough
// for a phone with a poor connection, and without metadata. A photo's metadata
// tells where, when and with what it was taken.
package picture
