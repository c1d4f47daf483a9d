// Package casefile stores the record of one cross-check in a single file, NAME.counterproof. The
// record loses nothing, keeps the blind parts hidden, and cannot be changed without a trace.
//
// The journal is the truth. Every act appends one Entry: who, when, what, and the hash of the
// previous entry. Nothing is updated or deleted; undo is another entry. The state of a case is a
// fold over its journal (State). Exports are stored byte for byte as received, beside the journal
// under their digests. FORMAT.md in this folder documents the layout, and which tampering shows and
// which does not.
//
// The package enforces only the rules that belong to the record: who may hold which seat, which
// signatures an act needs, that a case has no byte of an export before its second entry is sealed,
// and that a sealed value changes only by a signed correction or amendment. checks/review decides
// what is a difference and what may be signed.
//
// A Case may be used by several goroutines at once.
package casefile
