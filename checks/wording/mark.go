package wording

import (
	"fmt"
	"strings"

	"github.com/clipperhouse/uax29/v2/graphemes"
)

func clusters(s string) []string {
	out := make([]string, 0, len(s))
	for g := graphemes.FromString(s); g.Next(); {
		out = append(out, g.Value())
	}
	return out
}

// Visible shows invisible, control and bidirectional characters, and spaces
// other than the common one, as <U+200B>; bytes that are not UTF-8 as <byte FF>.
// Everything else is left as it is.
func Visible(s string) string {
	var b strings.Builder
	done := 0
	for i := 0; i < len(s); {
		r, n := decode(s[i:])
		if c := classify(r); r >= invalid || c == invisible || c == space && r != ' ' {
			b.WriteString(s[done:i])
			if r >= invalid {
				fmt.Fprintf(&b, "<byte %02X>", r-invalid)
			} else {
				fmt.Fprintf(&b, "<U+%04X>", r)
			}
			done = i + n
		}
		i += n
	}
	if done == 0 {
		return s
	}
	b.WriteString(s[done:])
	return b.String()
}

// Mark returns both wordings with what differs in brackets, made for text
// without colour: "Sm[i]th" and "Sm[y]th".
func Mark(primary, second string) (p, s string) {
	var a, b strings.Builder
	for _, step := range Script(primary, second) {
		t := Visible(step.Text)
		switch step.Op {
		case Keep:
			a.WriteString(t)
			b.WriteString(t)
		case Drop:
			a.WriteString("[" + t + "]")
		case Add:
			b.WriteString("[" + t + "]")
		}
	}
	return a.String(), b.String()
}
