package wording

import (
	"fmt"
	"slices"
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

// shownAs is what Visible's signs begin with.
var shownAs = []string{"<U+", "<byte ", "<line break>", "<paragraph>"}

// Visible shows characters that cannot be seen, and spaces other than the common
// one, as <U+200B>; line feeds as <line break> and several as <paragraph>; bytes that are
// not UTF-8 as <byte FF>. Everything else is left as it is, but for a "<" before what these
// begin with, which is shown as <U+003C>: so what is shown in this way is never what is
// printed.
func Visible(s string) string {
	var b strings.Builder
	done := 0
	for i := 0; i < len(s); {
		r, n := decode(s[i:])
		shown := ""
		switch c := classify(r); {
		case r >= invalid:
			shown = fmt.Sprintf("<byte %02X>", r-invalid)
		case strings.HasPrefix(s[i:], "\n\n"):
			shown, n = "<paragraph>", len(s[i:])-len(strings.TrimLeft(s[i:], "\n"))
		case r == '\n':
			shown = "<line break>"
		case c == invisible, c == space && r != ' ':
			shown = fmt.Sprintf("<U+%04X>", r)
		case r == '<' && slices.ContainsFunc(shownAs, func(p string) bool { return strings.HasPrefix(s[i:], p) }):
			shown = "<U+003C>"
		}
		if shown != "" {
			b.WriteString(s[done:i])
			b.WriteString(shown)
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

// Mark returns both wordings in NFC, made Visible, with what stands on one side
// only in brackets (see Readable), for text without color: "Sm[i]th" and "Sm[y]th", "John
// [A. ]Smith". Square brackets mark; where either wording has one of its own, braces
// do; where it has those as well, ⟦ and ⟧ do, and if even these are there, square
// brackets, with those of the wordings shown as <U+005B> and <U+005D>. So a
// bracket that marks is never part of what is printed.
func Mark(primary, second string) (p, s string) {
	open, close := "[", "]"
	content := func(t string) string { return Visible(t) }
	switch both := primary + second; {
	case !strings.ContainsAny(both, "[]"):
	case !strings.ContainsAny(both, "{}"):
		open, close = "{", "}"
	case !strings.ContainsAny(both, "⟦⟧"):
		open, close = "⟦", "⟧"
	default:
		escape := strings.NewReplacer("[", "<U+005B>", "]", "<U+005D>")
		content = func(t string) string { return escape.Replace(Visible(t)) }
	}
	var a, b strings.Builder
	for _, step := range Readable(primary, second) {
		t := content(step.Text)
		switch step.Op {
		case Keep:
			a.WriteString(t)
			b.WriteString(t)
		case Drop:
			a.WriteString(open + t + close)
		case Add:
			b.WriteString(open + t + close)
		}
	}
	return a.String(), b.String()
}
