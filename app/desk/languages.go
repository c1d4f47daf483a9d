package desk

import (
	"fmt"
	"slices"

	"counterproof/model"
	"counterproof/model/casefile"
)

// A face is keyed in its first language, with everything on it. A further language is a second
// reading of the same faces, by the same person or another: only wordings are keyed, beside what
// was keyed first. Nothing else can be changed in it.

// Language is the tag of the language that is read now, empty for the first.
func (k *Keying) Language() string { return k.language }

// Read starts a reading in a further language (a tag of BCP 47), or goes back to the first with an
// empty tag. It returns false and sets the message if the tag names no language, or if what was
// typed cannot be kept.
func (k *Keying) Read(tag string) bool {
	if tag != "" {
		known, ok := model.LanguageTag(tag)
		if !ok {
			k.message = fmt.Sprintf("%q names no language; type its tag, such as es, vi or zh-Hant", tag)
			return false
		}
		tag = known
	}
	if !k.leave() {
		return false
	}
	k.language, k.heading, k.before, k.beforeChoice, k.message = tag, "", 0, 0, ""
	k.stale()
	k.toFirstEmpty()
	return true
}

// Languages lists the further languages in which something was keyed.
func (k *Keying) Languages() []string { return k.e.Languages() }

// First returns the value of a stop in the first language.
func (k *Keying) First(s Stop) string {
	s.Language = ""
	return k.Value(s)
}

// wordingsOnly reports whether a key that changes more than a wording has no effect now, and says
// so: in a further language, and on a page that is sealed.
func (k *Keying) wordingsOnly() bool {
	if k.quiet() {
		k.message = k.sealedWords()
		return true
	}
	if k.language == "" {
		return false
	}
	k.message = "in a further language only wordings are keyed; F9 goes back to the first"
	return true
}

// languageStops are the wordings of the open page that the first language has.
func (k *Keying) languageStops() {
	add := func(s Stop, contest int) {
		if first := k.Value(s); first != "" && first != NothingMark {
			s.Language = k.language
			k.stop(s, true, contest)
		}
	}
	contest := func(c, place int) {
		add(Stop{Kind: Title, Row: c, Place: place}, c)
		add(Stop{Kind: Subtitle, Row: c, Place: place}, c)
		add(Stop{Kind: MeasureText, Row: c, Place: place}, c)
		if k.e.Value(casefile.Contests, c, "kind") == "candidate" {
			return // the name of a person is the same in all languages
		}
		for _, ch := range k.e.choices[c] {
			if k.e.Value(casefile.Choices, ch, "write_in") == "" {
				add(Stop{Kind: ChoiceName, Row: ch, Place: place}, c)
			}
		}
	}
	switch k.page.Kind {
	case PageElection:
		add(Stop{Kind: FactName, Row: 1}, 0)
		k.e.Each(casefile.Parties, func(row int, _ []string) { add(Stop{Kind: PartyName, Row: row}, 0) })
	case PageFace:
		for _, p := range k.e.places[k.page.Row] {
			add(Stop{Kind: Heading, Row: p, Place: p}, 0)
			if c := k.e.Ref(casefile.Placements, p, "contest"); c > 0 {
				contest(c, p)
			}
		}
	case PageLoose:
		for _, c := range k.loose() {
			contest(c, 0)
		}
	}
}

// sameHeadings returns changes that give a heading's wording in a further language to all places
// with the same heading that lack it: a heading is keyed once, as a contest is.
func (k *Keying) sameHeadings(s Stop, value string) (out []casefile.Change) {
	first := k.First(s)
	f, _ := s.field()
	k.e.Each(casefile.Placements, func(row int, _ []string) {
		if row != s.Row && k.e.Value(casefile.Placements, row, "heading") == first &&
			slices.Contains([]string{"", k.Value(s)}, k.e.Value(casefile.Placements, row, f.Column)) {
			out = append(out, casefile.Set(casefile.Placements, row, f.Column, value))
		}
	})
	return out
}
