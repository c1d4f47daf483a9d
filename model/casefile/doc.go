// Package casefile is the record of one cross-check: a single file,
// NAME.counterproof, that loses nothing, hides what must be hidden and cannot be
// altered unseen.
//
// The journal is the truth. Everything that happens is one appended Entry: who,
// when, what, with the hash of the entry before it. Nothing is updated or deleted;
// undo is a further entry. The state of a case is a fold over its journal (State).
// Exports are kept as received, byte for byte, beside the journal under their
// digest. FORMAT.md, beside this package, writes the layout down and says plainly
// which tampering shows and which does not.
//
// The package keeps rules that belong to the record, and no others: who may sit
// where, whose signatures an act needs, that a case holds no byte of an export
// before its second entry is sealed, and that a sealed value changes only by a
// signed correction or amendment. What is a difference, and what may be signed,
// is for checks/review to say.
//
// A Case may be used by several goroutines at once.
package casefile
