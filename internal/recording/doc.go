// Package recording is the contract between a phone and the server: the
// document in which a phone records one teaching session, the merge of
// everything that arrives for it, the amendments made later, and the receipt
// that tells the phone its data is safe.
//
// What the server stores (State) is a set of facts that only grows, so Merge is
// a set union: the order, the number of deliveries and the number of devices do
// not matter. Everything a person sees (which answer counts, what was late,
// what conflicts) is derived from that set by pure functions. The package reads
// no clock and uses no randomness.
//
// docs/recording-contract.md describes the contract itself.
package recording
