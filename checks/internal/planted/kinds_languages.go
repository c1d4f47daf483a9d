package planted

import (
	"math/rand/v2"
	"slices"
	"strings"

	"counterproof/checks/finding"
	"counterproof/model"
)

// languageKinds are mistakes in a further language, and in the order of parties. Both entries
// are right in the first language; the second entry is keyed in Spanish too.
var languageKinds = join(
	onEither("title misspelt in Spanish alone", "", "contest-title", finding.MustFix, inSpanishOf(spanishTitle, misspell)),
	onEither("title in other capitals in Spanish alone", "", "contest-title", finding.Confirm,
		inSpanishOf(spanishTitle, capitals)),
	onEither("a number wrong in the Spanish text of a measure", "", "measure-text", finding.MustFix,
		inSpanishOf(spanishText, number)),
	onEither("choice of a measure wrong in Spanish alone", "", "choice-name", finding.MustFix,
		inSpanishOf(spanishChoice, lengthened)),
	onEither("heading misspelt in Spanish alone", "", "heading", finding.MustFix, spanishHeading),
	[]*Kind{
		{Name: "a number wrong in Spanish, which nobody keyed", Code: "language-twin", Grade: finding.Confirm,
			Side: "primary", plant: unkeyedNumber},
		{Name: "a number wrong in Spanish, in the proof too", Code: "language-twin", Grade: finding.Confirm, Side: "both",
			plant: sharedNumber},
		{Name: "a title that lacks its Spanish", Code: "language-twin", Grade: finding.Confirm, Side: "primary",
			plant: titleUntranslated},
		{Name: "parties in another order than the election's", Code: "party-order", Grade: finding.Confirm, Side: "both",
			Doc: "In proof and export alike.", plant: partyOrderBroken},
	},
)

// keySpanish adds to the second entry what the export says in Spanish; false where the county has
// one language.
func (g *planter) keySpanish() bool {
	if !g.Shape.TwoLanguages || g.Shape.NamesOnly {
		return false
	}
	e := g.Second.Election
	if len(e.Origins.Languages) > 0 {
		return true // another mistake did
	}
	e.Origins.Languages = []string{"", "es"}
	add := func(to *model.Stated[model.Text], from model.Text) {
		if words, ok := from.Only("es"); ok && to.Known && len(to.Value) > 0 {
			to.Value = append(slices.Clone(to.Value), model.Phrase{Language: "es", Words: words})
		}
	}
	for i := range e.Contests {
		p := g.Primary.contest(g.Second.Keys.Contests[i])
		if p < 0 {
			continue
		}
		from, to := &g.Primary.Contests[p], &e.Contests[i]
		add(&to.Title, from.Title.Value)
		add(&to.Subtitle, from.Subtitle.Value)
		add(&to.Text, from.Text.Value)
		for j := range to.Choices {
			if k := g.Primary.choice(p, g.Second.Keys.Choices[i][j]); k >= 0 && to.Kind.Value != model.KindCandidate {
				add(&to.Choices[j].Name, from.Choices[k].Name.Value)
			}
		}
	}
	for i := range e.Styles {
		for k := range e.Styles[i].Content {
			list := slices.Clone(e.Styles[i].Content[k].Headings.Value)
			for h := range list {
				list[h] = append(slices.Clone(list[h]), model.Phrase{Language: "es", Words: inSpanish(list[h].In(""))})
			}
			e.Styles[i].Content[k].Headings.Value = list
		}
	}
	return true
}

// rewordSpanish changes a stated text by a slip, in Spanish alone.
func rewordSpanish(g *planter, t *model.Stated[model.Text], change slip) bool {
	words, ok := t.Value.Only("es")
	if !ok || !t.Known {
		return false
	}
	if words, ok = change(g.Rand, strings.Trim(words, "«»")); !ok {
		return false
	}
	out := slices.Clone(t.Value)
	for i := range out {
		if out[i].Language == "es" {
			out[i].Words = "«" + words + "»"
		}
	}
	t.Value = out
	return true
}

// spanishTitle and the like choose a wording of a contest: what it is called in a claim, the wording
// on either side, and the key of the choice that it belongs to.
type chosenText func(g *planter, s *Side, b both) (aspect string, text *model.Stated[model.Text], choice string)

func spanishTitle(g *planter, s *Side, b both) (string, *model.Stated[model.Text], string) {
	return "/title", &s.Contests[g.in(s, b)].Title, ""
}

func spanishText(g *planter, s *Side, b both) (string, *model.Stated[model.Text], string) {
	return "/text", &s.Contests[g.in(s, b)].Text, ""
}

func spanishChoice(g *planter, s *Side, b both) (string, *model.Stated[model.Text], string) {
	i := g.in(s, b)
	if g.kind(b) != model.KindMeasure {
		return "", nil, ""
	}
	for j := range s.Contests[i].Choices {
		key := s.Keys.Choices[i][j]
		if g.other.choice(g.in(g.other, b), key) >= 0 {
			return "/choice/" + key, &s.Contests[i].Choices[j].Name, key
		}
	}
	return "", nil, ""
}

// lengthened is a slip in a word that is too short for others.
func lengthened(_ *rand.Rand, s string) (string, bool) { return s + "o", true }

func inSpanishOf(chosen chosenText, change slip) func(*planter) []Expect {
	return func(g *planter) []Expect {
		if !g.keySpanish() {
			return nil
		}
		for _, b := range g.contests() {
			aspect, text, choice := chosen(g, g.mine, b)
			_, other, _ := chosen(g, g.other, b)
			if text == nil || other == nil || !other.Value.Has("es") {
				continue
			}
			words := *text
			if !rewordSpanish(g, &words, change) || !g.claim("contest/"+b.key+aspect) {
				continue
			}
			*text = words
			g.mark(b.key)
			return []Expect{{Contest: b.key, Choice: choice, Everywhere: true}}
		}
		return nil
	}
}

func spanishHeading(g *planter) []Expect {
	if !g.headings() || !g.keySpanish() {
		return nil
	}
	s := g.mine
	place := s.Styles[0].Content[0]
	if len(place.Headings.Value) == 0 || !place.Headings.Value[0].Has("es") {
		return nil
	}
	old := model.Say(place.Headings.Value[0])
	words := old
	if !rewordSpanish(g, &words, misspell) || !g.claim("heading") {
		return nil
	}
	var keys []string
	for i := range s.Styles {
		for k := range s.Styles[i].Content {
			h := &s.Styles[i].Content[k].Headings
			if len(h.Value) > 0 && h.Value[0].In("") == old.Value.In("") {
				h.Value = append([]model.Text{words.Value}, h.Value[1:]...)
				keys = append(keys, s.precinctKeys(s.Styles[i].Precincts)...)
			}
		}
	}
	slices.Sort(keys)
	return []Expect{{Precincts: slices.Compact(keys)}}
}

// textNumber puts another number into the Spanish text of a measure, on the sides named.
func textNumber(g *planter, sides ...*Side) []Expect {
	for _, b := range g.contests() {
		text := g.Primary.Contests[b.p].Text
		if !rewordSpanish(g, &text, number) || !g.claim("contest/"+b.key+"/text") {
			continue
		}
		words, _ := text.Value.Only("es")
		for _, s := range sides {
			t := &s.Contests[g.in(s, b)].Text
			rewordSpanish(g, t, func(*rand.Rand, string) (string, bool) { return strings.Trim(words, "«»"), true })
		}
		g.mark(b.key)
		return []Expect{{Contest: b.key}}
	}
	return nil
}

func unkeyedNumber(g *planter) []Expect {
	if !g.Shape.TwoLanguages || len(g.Second.Origins.Languages) > 0 {
		return nil
	}
	return textNumber(g, g.Primary)
}

func sharedNumber(g *planter) []Expect {
	if !g.keySpanish() {
		return nil
	}
	return textNumber(g, g.Primary, g.Second)
}

// titleUntranslated leaves the Spanish off a title, and off what the second entry says of it: its
// keyer saw no Spanish there.
func titleUntranslated(g *planter) []Expect {
	if !g.Shape.TwoLanguages || g.Shape.NamesOnly || len(g.Second.Origins.Languages) > 0 {
		return nil
	}
	b, ok := g.contest("/title", nil)
	if !ok || !g.claim("untranslated") {
		return nil
	}
	title := &g.Primary.Contests[b.p].Title
	title.Value = title.Value[:1:1]
	return []Expect{{}}
}

// partyOrderBroken keys the order of parties, and exchanges the candidates of two parties in both
// entries.
func partyOrderBroken(g *planter) []Expect {
	e := g.Second.Election
	keyed := slices.ContainsFunc(e.Parties, func(p model.Party) bool { return p.Order.Known })
	if !keyed {
		for i, key := range g.Primary.Keys.Parties {
			if at := slices.Index(g.Second.Keys.Parties, key); at >= 0 {
				e.Parties[at].Order = model.Say(i + 1)
			}
		}
	}
	first := func(c model.Choice) int {
		if len(c.Lines.Value) == 0 {
			return 0
		}
		return e.Parties[c.Lines.Value[0]].Order.Value
	}
	rotates := func(key string) bool {
		p := g.Primary.contest(key)
		return p >= 0 && g.Primary.Contests[p].Rotates.Value
	}
	for i, c := range e.Contests {
		if c.Kind.Value == model.KindCandidate && !rotates(g.Second.Keys.Contests[i]) && !keyed &&
			!slices.IsSortedFunc(withLines(c.Choices), func(a, b model.Choice) int { return first(a) - first(b) }) {
			return nil
		}
	}
	for _, b := range g.contests() {
		p, s := &g.Primary.Contests[b.p], &g.Second.Contests[b.s]
		if !g.candidates(b) || rotates(b.key) || s.VoteFor.Value != 1 || len(withLines(s.Choices)) < 2 ||
			len(p.Choices) != len(s.Choices) ||
			!slices.Equal(g.Primary.Keys.Choices[b.p], g.Second.Keys.Choices[b.s]) {
			continue
		}
		for j := 1; j < len(s.Choices); j++ {
			x, y := s.Choices[j-1], s.Choices[j]
			if x.WriteIn || y.WriteIn || first(x) == 0 || first(x) >= first(y) || !g.claim("contest/"+b.key) {
				continue
			}
			for _, side := range []*Side{g.Primary, g.Second} {
				i := g.in(side, b)
				list, keys := side.Contests[i].Choices, side.Keys.Choices[i]
				list[j-1], list[j] = list[j], list[j-1]
				keys[j-1], keys[j] = keys[j], keys[j-1]
			}
			g.mark(b.key)
			return []Expect{{Contest: b.key, Everywhere: true}}
		}
	}
	return nil
}

func withLines(list []model.Choice) []model.Choice {
	return slices.DeleteFunc(slices.Clone(list), func(c model.Choice) bool { return len(c.Lines.Value) == 0 })
}
