package cdf

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"
)

// The physical layout of a contest (SP 1500-20, OrderedContest.Physical) has some ten numbers for each
// voting position of each ballot, which nobody reads one by one. It is held as a digest and what it
// refers to, so that the layout of a large county does not displace what else is held.

// layout is the digest of a member, and the identifiers in it in an order that goes with the digest.
type layout struct {
	digest string
	refs   []string
}

// layoutOf digests a member with its parts, in whatever order these stand, and leaves identifiers out.
func layoutOf(m *held) layout {
	text, out := m.text, layout{}
	if isReference(m.name) {
		text, out.refs = "", strings.Fields(m.text)
	}
	parts := make([]layout, len(m.parts))
	for i := range m.parts {
		parts[i] = layoutOf(&m.parts[i])
	}
	slices.SortStableFunc(parts, func(a, b layout) int { return cmp.Compare(a.digest, b.digest) })
	sum := sha256.New()
	fmt.Fprintf(sum, "%q %q %q %d", m.name, m.language, text, len(out.refs))
	for _, p := range parts {
		fmt.Fprintf(sum, " %s", p.digest)
		out.refs = append(out.refs, p.refs...)
	}
	out.digest = hex.EncodeToString(sum.Sum(nil)[:8])
	return out
}

// asLayout is a member as its layout is held: what it refers to stands in the order of the digest, by
// numbers.
func asLayout(m held) held {
	l := layoutOf(&m)
	out := held{name: m.name, text: "SHA-256 " + l.digest + "…"}
	if len(l.refs) > 0 {
		out.parts = []held{{name: inOrder, text: strings.Join(l.refs, " ")}}
	}
	return out
}

// inOrder is the name of a part that holds identifiers in an order.
const inOrder = "refers in order to"

// layoutWords are the words of such a part.
func (w *whole) layoutWords(ids string, resolve bool) string {
	var to []string
	for _, id := range strings.Fields(ids) {
		if resolve {
			to = append(to, w.called(id))
		}
	}
	return strings.Join(to, ", ")
}
