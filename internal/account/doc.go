// Package account keeps the secrets by which people are known: passwords and
// how they are hashed, the random tokens of links and bound browsers, and
// the brake on guessing. It holds no database and no clock.
package account
