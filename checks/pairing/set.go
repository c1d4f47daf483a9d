package pairing

import "math/bits"

// set is a set of small numbers, as bits. Sets that are combined have the same
// length.
type Set []uint64

func NewSet(n int) Set { return make(Set, (n+63)/64) }

func (s Set) Add(i int) { s[i/64] |= 1 << (i % 64) }

func (s Set) Has(i int) bool { return i >= 0 && i/64 < len(s) && s[i/64]&(1<<(i%64)) != 0 }

func (s Set) Count() int {
	n := 0
	for _, w := range s {
		n += bits.OnesCount64(w)
	}
	return n
}

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

// common counts what both sets hold, apart what only one of them holds.
func common(a, b Set) int {
	n := 0
	for i := range a {
		n += bits.OnesCount64(a[i] & b[i])
	}
	return n
}

func Apart(a, b Set) int {
	n := 0
	for i := range a {
		n += bits.OnesCount64(a[i] ^ b[i])
	}
	return n
}

// key is equal for equal sets.
func (s Set) Key() string {
	b := make([]byte, 0, len(s)*8)
	for _, w := range s {
		for k := 0; k < 64; k += 8 {
			b = append(b, byte(w>>k))
		}
	}
	return string(b)
}
