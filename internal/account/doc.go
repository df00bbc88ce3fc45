// Package account handles the secrets that identify people: password hashing,
// the random tokens of links and linked browsers, and throttling of guesses. It
// has no database and no clock.
package account
