package pairing

import (
	"encoding/binary"
	"math/bits"
)

// Set is a set of small numbers, as bits. Sets must have the same length to be combined.
type Set []uint64

// NewSet returns an empty set for numbers below n.
func NewSet(n int) Set { return make(Set, (n+63)/64) }

// Add adds a number.
func (s Set) Add(i int) { s[i/64] |= 1 << (i % 64) }

// Has reports whether a number is in the set.
func (s Set) Has(i int) bool { return i >= 0 && i/64 < len(s) && s[i/64]&(1<<(i%64)) != 0 }

// Count returns how many numbers are in the set.
func (s Set) Count() int {
	n := 0
	for _, w := range s {
		n += bits.OnesCount64(w)
	}
	return n
}

// List returns the numbers in ascending order.
func (s Set) List() []int {
	var out []int
	for i, w := range s {
		for w != 0 {
			out = append(out, i*64+bits.TrailingZeros64(w))
			w &= w - 1
		}
	}
	return out
}

// common counts the numbers that are in both sets.
func common(a, b Set) int {
	n := 0
	for i := range a {
		n += bits.OnesCount64(a[i] & b[i])
	}
	return n
}

// Apart counts the numbers that only one of two sets holds.
func Apart(a, b Set) int {
	n := 0
	for i := range a {
		n += bits.OnesCount64(a[i] ^ b[i])
	}
	return n
}

// Keep removes the numbers that other does not have.
func (s Set) Keep(other Set) {
	for i := range s {
		s[i] &= other[i]
	}
}

// Key is equal for equal sets.
func (s Set) Key() string { return string(s.AppendKey(nil)) }

// AppendKey appends the set's key.
func (s Set) AppendKey(b []byte) []byte {
	for _, w := range s {
		b = binary.LittleEndian.AppendUint64(b, w)
	}
	return b
}
