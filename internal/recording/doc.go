// Package recording is the contract between a phone and the server: the
// document in which a phone keeps one teaching session, the merge of
// everything that arrives for it, the amendments made to it later, and the
// receipt that lets the phone believe that it is safe.
//
// What the server keeps (State) is a set of facts that only ever grows, so
// Merge is a set union: it does not matter in which order documents arrive,
// how often, or from how many devices. Everything a person sees (which answer
// stands, what was too late, what contradicts) is derived from that set by
// pure functions. The package reads no clock and no randomness.
//
// The contract itself is written down in docs/recording-contract.md.
package recording
