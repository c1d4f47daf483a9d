package desk

import (
	"strings"

	"counterproof/app/desk/paper"
	"counterproof/checks/finding"
	"counterproof/model/casefile"
)

// Printed is the open page as it is printed: what was keyed, for reading beside the proof. It has
// nothing of an export.
func (k *Keying) Printed() *paper.Page {
	p := &paper.Page{Title: finding.Capital(k.PageName(k.page)),
		Note: "As keyed by the second party. This is no ballot and no proof.", Empty: "Nothing is keyed here yet."}
	if k.Correcting() {
		p.Note += " A correction in it is not signed yet."
	}
	switch k.page.Kind {
	case PageElection:
		facts := paper.Section{}
		for _, kind := range []StopKind{FactName, FactDate, FactJurisdiction} {
			if v := k.Value(Stop{Kind: kind, Row: 1}); v != "" {
				facts.Lines = append(facts.Lines, paper.Line{Left: v})
			}
		}
		k.e.Each(casefile.Parties, func(row int, _ []string) {
			facts.Lines = append(facts.Lines, paper.Line{Left: k.e.Value(casefile.Parties, row, "name"),
				Right: k.e.Value(casefile.Parties, row, "party")})
		})
		if len(facts.Lines) > 0 {
			p.Sections = append(p.Sections, facts)
		}
	case PageFace:
		if party := k.faceParty(k.page.Row); party != "" {
			p.Note += " For the voters of " + strings.ReplaceAll(party, "|", ", ") + "."
		}
		for _, place := range k.e.places[k.page.Row] {
			p.Sections = append(p.Sections, k.printedContest(k.e.Ref(casefile.Placements, place, "contest"), place))
		}
		if given := k.e.on(k.page.Row); len(given) > 0 {
			p.Sections = append(p.Sections, paper.Section{Kicker: "Precincts of this face",
				Lines: []paper.Line{{Left: strings.Join(given, ", ")}}})
		}
	case PageLoose:
		for _, c := range k.loose() {
			p.Sections = append(p.Sections, k.printedContest(c, 0))
		}
	case PageUnits:
		k.e.Each(casefile.Units, func(row int, _ []string) {
			p.Sections = append(p.Sections, paper.Section{Head: k.e.Value(casefile.Units, row, "unit"),
				Lines: []paper.Line{{Left: k.e.Value(casefile.Units, row, "site"), Right: k.e.Value(casefile.Units, row, "use")},
					{Left: strings.Join(k.e.header(row), ", ")}}})
		})
	}
	return p
}

// printedContest is a contest at its place on a face, 0 for none.
func (k *Keying) printedContest(c, place int) paper.Section {
	value := func(column string) string {
		if v := k.e.Value(casefile.Contests, c, column); v != NothingMark {
			return v
		}
		return ""
	}
	s := paper.Section{Head: k.ContestWords(c)}
	if h := k.e.Value(casefile.Placements, place, "heading"); h != NothingMark {
		s.Kicker = h
	}
	for _, v := range []string{"Vote for " + value("vote_for"), value("text")} {
		if v != "" && v != "Vote for " {
			s.Lines = append(s.Lines, paper.Line{Left: v})
		}
	}
	if party := value("primary_party"); party != "" {
		s.Lines = append(s.Lines, paper.Line{Left: "Primary of " + strings.ReplaceAll(party, "|", ", ")})
	}
	if v := value("variation"); v != "" {
		s.Lines = append(s.Lines, paper.Line{Left: VariationWords(v)})
	}
	for _, row := range k.e.choices[c] {
		s.Lines = append(s.Lines, paper.Line{Left: "○ " + k.e.Value(casefile.Choices, row, "name"),
			Right: strings.Join(codes(k.e.Value(casefile.Choices, row, "party_lines")), " · ")})
	}
	if order := k.e.Value(casefile.Placements, place, "choice_order"); order != "" {
		words, _ := k.OrderWords(place, order)
		s.Lines = append(s.Lines, paper.Line{Left: "Order on this face: " + words})
	}
	return s
}
