package desk

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"counterproof/checks"
	"counterproof/model/casefile"
	"counterproof/model/sheets"
)

// countySheets is a county of 5,000 precincts, each with a face of its own, of 30
// contests out of 60.
func countySheets() *sheets.Sheets {
	s := &sheets.Sheets{}
	for c := range 60 {
		code := fmt.Sprintf("c%02d", c+1)
		s.Contests = append(s.Contests, sheets.ContestRow{Contest: code, Title: "Member of the County Council, District " +
			itoa(c+1), Kind: "candidate", VoteFor: "1", Source: "Proof A"})
		for i := range 4 {
			s.Choices = append(s.Choices, sheets.ChoiceRow{Contest: code, Position: itoa(i + 1),
				Name: fmt.Sprintf("Candidate %d of %d", i+1, c+1), PartyLines: "HAR|MEA"})
		}
	}
	for p := range 5000 {
		name, style := fmt.Sprintf("%d-%03d", p/100+1, p%100+1), fmt.Sprintf("S%04d", p+1)
		s.Precincts = append(s.Precincts, sheets.PrecinctRow{Precinct: name, Site: fmt.Sprintf("Hall %d", p/4)})
		s.Styles = append(s.Styles, sheets.StyleRow{Style: style, Precinct: name})
		for i := range 30 {
			s.Ballots = append(s.Ballots, sheets.BallotRow{Style: style, Position: itoa(i + 1),
				Contest: fmt.Sprintf("c%02d", (p+i*7)%60+1)})
		}
		s.Units = append(s.Units, sheets.UnitRow{Unit: "U" + itoa(p/4), Site: fmt.Sprintf("Hall %d", p/4), Precinct: name})
	}
	return s
}

// nowhere takes everything at once: the commit is measured elsewhere.
type nowhere struct{ *casefile.Keying }

func (nowhere) Set(...casefile.Change) error { return nil }

// BenchmarkKeyInACounty measures a key to the new state of the desk, the commit apart,
// with a county of 5,000 precincts of 30 contests open: what a screen asks for after
// each key is in it. Beside it, in the same run, a full compare of the county with
// itself. The contract is at most 5 ms for a key.
func BenchmarkKeyInACounty(b *testing.B) {
	county := countySheets()
	_, r := newCase(b)
	require.NoError(b, r.Load("county", county))
	k := OpenKeying(nowhere{r}, Options{})
	one, err := county.Election()
	require.NoError(b, err)
	two, err := county.Election()
	require.NoError(b, err)
	began := time.Now()
	checks.Compare(one, two, checks.Options{})
	compare := time.Since(began)

	ask := func() {
		for _, s := range k.Stops() {
			k.Flags(s.Stop)
			k.OnDisk(s.Stop)
		}
		k.Items()
		k.Pages()
		k.Unassigned()
	}
	for name, key := range map[string]func(i int){
		"a letter": func(i int) { k.Type(fmt.Sprint("Candidate ", i)) },
		"enter, a name": func(i int) {
			k.goTo(Stop{Kind: ChoiceName, Row: 1, Place: k.e.places[k.page.Row][0]})
			k.Type(fmt.Sprint("Candidate ", i))
			k.Enter()
		},
		"enter, a range": func(i int) {
			k.goTo(Stop{Kind: FacePrecincts, Row: 1})
			k.Type([]string{"50-001..50-040", "!50-001..50-040"}[i%2])
			k.key(k.focus, false)
		},
		"a contest's few letters": func(i int) {
			k.goTo(Stop{Kind: NextContest, Row: 1})
			k.Type([]string{"moc", "mocd5"}[i%2])
		},
	} {
		b.Run(name, func(b *testing.B) {
			k.Open(Page{PageFace, 1})
			worst := time.Duration(0)
			i := 0
			for b.Loop() {
				began := time.Now()
				key(i)
				ask()
				worst = max(worst, time.Since(began))
				i++
			}
			perKey := b.Elapsed() / time.Duration(max(i, 1))
			b.ReportMetric(float64(perKey.Microseconds())/1000, "ms/key")
			b.ReportMetric(float64(worst.Microseconds())/1000, "ms-worst")
			b.ReportMetric(float64(compare.Milliseconds()), "ms/full-compare")
			b.ReportMetric(100*float64(perKey)/float64(compare), "%compare")
		})
	}
}
