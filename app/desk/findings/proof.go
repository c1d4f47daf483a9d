package findings

import (
	"slices"
	"strings"

	"counterproof/checks/review"
	"counterproof/model"
)

// ProofStyle returns the label of the ballot face whose printed proof shows a finding, as the second
// entry has it: a face that one of its precincts gets, with its contest on it. Empty if there is none.
func ProofStyle(s *review.Snapshot, i *review.Item) string {
	label, _ := ProofStyles(s, i)
	return label
}

// ProofStyles is ProofStyle with the number of faces that show the finding as well as that one.
func ProofStyles(s *review.Snapshot, i *review.Item) (label string, of int) {
	e := s.Second
	best := 0
	for _, style := range e.Styles {
		score := 0
		if i.Style != "" && style.Label.Value == i.Style {
			score += 4
		}
		if slices.ContainsFunc(style.Content, func(at model.Placement) bool {
			return titled(e.Contests[at.Contest], i.Contest)
		}) {
			score += 2
		}
		if slices.ContainsFunc(style.Precincts, func(n int) bool {
			return slices.Contains(i.Precincts, precinctName(e, n))
		}) {
			score++
		}
		switch {
		case score > best:
			best, label, of = score, style.Label.Value, 1
		case score == best && score > 0:
			of++
		}
	}
	return label, of
}

func titled(c model.Contest, words string) bool {
	title := strings.TrimSpace(c.Title.Value.In("") + " " + c.Subtitle.Value.In(""))
	return words != "" && title == words
}

func precinctName(e *model.Election, n int) string {
	if e.Precincts[n].Number != "" {
		return e.Precincts[n].Number
	}
	return e.Precincts[n].Name.In("")
}
