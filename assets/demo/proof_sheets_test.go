package demo_test

import (
	"io/fs"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/assets/demo"
	"counterproof/model/sheets"
)

// printed is what the office prints: the second entry without its two planted slips (numbers 14
// and 15 of PLANTED.md).
func printed(t *testing.T) *sheets.Sheets {
	t.Helper()
	folder, err := fs.Sub(demo.FS, "second")
	require.NoError(t, err)
	s, err := sheets.ReadFS(folder)
	require.NoError(t, err)
	accent := slices.IndexFunc(s.Choices, func(r sheets.ChoiceRow) bool { return r.Name == "Ines Carrasquel" })
	require.GreaterOrEqual(t, accent, 0, "slip 14 is in the second entry")
	s.Choices[accent].Name = "Inés Carrasquel"
	vote := slices.IndexFunc(s.Contests, func(r sheets.ContestRow) bool {
		return r.Contest == "town-council-dunmere" && r.VoteFor == "3"
	})
	require.GreaterOrEqual(t, vote, 0, "slip 15 is in the second entry")
	s.Contests[vote].VoteFor = "2"
	return s
}

// office is a contest on a face, as it is drawn: in columns of its own, or below them.
type office struct {
	sheets.ContestRow
	heading string // that it stands under
	choices []sheets.ChoiceRow
}

// face is one ballot face.
type face struct {
	style     string
	precincts []string
	offices   []office
}

// facesOf returns the ballot faces in their order.
func facesOf(s *sheets.Sheets) (out []face) {
	for _, r := range s.Styles {
		if len(out) == 0 || out[len(out)-1].style != r.Style {
			out = append(out, face{style: r.Style})
		}
		last := &out[len(out)-1]
		last.precincts = append(last.precincts, r.Precinct)
	}
	for i := range out {
		f := &out[i]
		heading := ""
		for _, r := range s.Ballots {
			if r.Style != f.style {
				continue
			}
			if r.Heading != "" {
				heading = r.Heading
			}
			o := office{heading: heading}
			for _, c := range s.Contests {
				if c.Contest == r.Contest {
					o.ContestRow = c
				}
			}
			for _, c := range s.Choices {
				if c.Contest == r.Contest {
					o.choices = append(o.choices, c)
				}
			}
			f.offices = append(f.offices, o)
		}
	}
	return out
}

// spanish returns the Spanish wording of a cell of further languages.
func spanish(further string) string { return strings.TrimPrefix(further, "[es] ") }

// lines returns the codes of a choice's party lines.
func lines(c sheets.ChoiceRow) []string {
	return strings.FieldsFunc(c.PartyLines, func(r rune) bool { return r == '|' || r == '-' })
}
