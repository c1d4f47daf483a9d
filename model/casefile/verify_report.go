package casefile

import (
	"fmt"
	"strings"
)

// Expect is what the printed pages say about a case. The chain alone cannot show that its end was
// cut off, or that the case was rewritten from the beginning with new keys. The printed values can.
type Expect struct {
	// Head is a printed head: some entry must have this hash. Zero if none is known.
	Head Digest
	// Keys are printed fingerprints: each must belong to a key on the roster. If any are given,
	// every key that signed must be among them.
	Keys []Digest
}

// Fault is one thing that Verify found wrong.
type Fault struct {
	// Entry is the entry concerned, 0 for the file as a whole.
	Entry int64
	// Text says what is wrong.
	Text string
}

// Words describes the fault in one sentence.
func (f Fault) Words() string {
	if f.Entry == 0 {
		return f.Text
	}
	return fmt.Sprintf("entry %d: %s", f.Entry, f.Text)
}

// CheckedSignature is a signature that was checked.
type CheckedSignature struct {
	// Entry is the entry that was signed, Kind what it records.
	Entry int64
	Kind  Kind
	// Person, Name, Seat and Key identify the signer.
	Person PersonID
	Name   string
	Seat   Seat
	Key    Digest
	// Head is the journal's head that the signature covers: if the signature is valid, nothing up
	// to that head can have changed.
	Head  Digest
	Holds bool
}

// CheckedBlob is a stored file that was checked.
type CheckedBlob struct {
	Digest Digest
	// Entry is the first entry that refers to it; What describes it in words.
	Entry int64
	What  string
	Size  int64
	Holds bool
}

// Report is the result of Verify.
type Report struct {
	// Path is the file, Case the case number, Election its election.
	Path     string
	Case     string
	Election Election
	// Entries is the number of intact entries from the first on, Head the hash of the last of them.
	Entries int64
	Head    Digest
	// Signed and SignedHead are the last entry with valid signatures.
	Signed     int64
	SignedHead Digest
	// ExpectedAt is the entry with the expected head, 0 if none was given or no entry has it.
	ExpectedAt int64
	// Beside is how many of the entries are not yet in the file but beside it, in a write-ahead log
	// or rollback journal that a program left.
	Beside      int64
	besideNames string
	People      []Person
	Signatures  []CheckedSignature
	Blobs       []CheckedBlob
	Faults      []Fault
	// State is the state of the case up to the end of the intact entries.
	State *State
}

// Good reports whether nothing is wrong.
func (r *Report) Good() bool { return len(r.Faults) == 0 }

// Words describes the result in a few sentences.
func (r *Report) Words() string {
	var b strings.Builder
	if r.Good() {
		fmt.Fprintf(&b, "%s holds together: %d entries, %d signatures and %d kept files.\n", r.Path, r.Entries,
			len(r.Signatures), len(r.Blobs))
	} else {
		fmt.Fprintf(&b, "%s does NOT hold together.\n", r.Path)
		for _, f := range r.Faults {
			fmt.Fprintf(&b, "  %s\n", f.Words())
		}
	}
	if r.Beside > 0 {
		b.WriteString(r.BesideWords() + "\n")
	}
	fmt.Fprintf(&b, "Head after entry %d: %s\n", r.Entries, r.Head.Groups())
	switch {
	case r.ExpectedAt > 0 && r.ExpectedAt == r.Entries:
		b.WriteString("The printed head is this head.\n")
	case r.ExpectedAt > 0:
		fmt.Fprintf(&b, "The printed head is that of entry %d; what follows came later.\n", r.ExpectedAt)
	}
	if r.Signed < r.Entries {
		fmt.Fprintf(&b, "Signatures reach to entry %d. The entries after it hold together, but nobody signed them yet.\n",
			r.Signed)
	}
	return b.String()
}

// BesideWords says which entries are still beside the file; empty if there are none.
func (r *Report) BesideWords() string {
	switch r.Beside {
	case 0:
		return ""
	case 1:
		return fmt.Sprintf("Its last entry is in %s beside it, because the case was not closed: keep the files together.",
			r.besideNames)
	}
	return fmt.Sprintf(
		"Its last %d entries are in %s beside it, because the case was not closed: keep the files together.", r.Beside,
		r.besideNames)
}
