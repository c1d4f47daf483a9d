package cdf

import (
	"crypto/sha256"
	"fmt"
	"hash"
)

// held is a member that the reader does not use, as the file has it.
type held struct {
	// name is the member's, id the identifier of an object that has one, language that of
	// a LanguageString. on is the contest that a member of an OrderedContest belongs to.
	name, id, language, on string
	text                   string
	parts                  []held
}

// keeper is a node that keeps the members that the reader does not use, of itself and of
// the nodes in it that are no keepers.
type keeper interface{ keeps() *[]held }

func (r *report) keeps() *[]held    { return &r.held }
func (e *election) keeps() *[]held  { return &e.held }
func (u *unit) keeps() *[]held      { return &u.held }
func (p *party) keeps() *[]held     { return &p.held }
func (h *header) keeps() *[]held    { return &h.held }
func (c *candidate) keeps() *[]held { return &c.held }
func (c *contest) keeps() *[]held   { return &c.held }
func (s *selection) keeps() *[]held { return &s.held }
func (s *style) keeps() *[]held     { return &s.held }

// holder is where a reader puts what it holds. What is beyond maxHeld is digested as it
// stands, so that no file makes the program hold more.
type holder struct {
	on   bool
	into *[]held
	size int
	rest hash.Hash
}

const (
	maxHeld  = 64 << 20
	heldSize = 120 // bytes of a held, about
)

// fits takes account of a text that is to be held, and reports whether it may be.
func (h *holder) fits(name, text string) bool {
	if h.size += len(text) + heldSize; h.size <= maxHeld {
		return true
	}
	h.spill(held{name: name, text: text})
	return false
}

// spill digests what is not held.
func (h *holder) spill(m held) {
	if h.rest == nil {
		h.rest = sha256.New()
	}
	fmt.Fprintf(h.rest, "%q %q %q %d\x00", m.name, m.language, m.text, len(m.parts))
	for _, p := range m.parts {
		h.spill(p)
	}
}

// add adds a part to a member, or digests it where no more is held.
func (h *holder) add(to *held, part held) {
	if h.size += heldSize; h.size <= maxHeld {
		to.parts = append(to.parts, part)
		return
	}
	h.spill(part)
}

// keep puts a member of n where it belongs; before is what was held before it was read.
func (h *holder) keep(n node, m held, before int) {
	if _, is := n.(*ordered); is {
		m = asLayout(m)
		h.size = before + heldSize + len(m.text)
		for _, p := range m.parts {
			h.size += heldSize + len(p.text)
		}
	}
	if _, is := n.(keeper); !is {
		m.name = family(n) + "." + m.name
	}
	if h.size += heldSize; h.size > maxHeld {
		h.spill(m)
		return
	}
	*h.into = append(*h.into, m)
}

// holding is where a holder puts what it holds, and how much is there already.
type holding struct {
	into *[]held
	n    int
}

// enter is called before the members of n are read, and leave afterwards.
func (h *holder) enter(n node) holding {
	before := holding{h.into, len(*h.into)}
	if !h.on {
		return before
	}
	if k, is := n.(keeper); is {
		h.into = k.keeps()
	}
	return before
}

// leave says which contest the members of an OrderedContest belong to: the style keeps them.
func (h *holder) leave(n node, before holding) {
	h.into = before.into
	if o, is := n.(*ordered); is && o.contest.given() {
		for i := before.n; i < len(*h.into); i++ {
			(*h.into)[i].on = o.contest.word()
		}
	}
}
