package review

import (
	"bytes"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"counterproof/assets/demo"
	"counterproof/checks/finding"
	"counterproof/model/casefile"
	"counterproof/model/sheets"
)

// After a day with many exports a review has in memory the first and the last, and
// nothing that was made of another; what it says of the day is what a review says that
// sees the case for the first time.
func TestAReviewKeepsTheFirstExportAndTheLast(t *testing.T) {
	c, people := newCase(t)
	r := New(c)
	most := 0
	for n := range 8 {
		data := file(t, "export.xml")
		if n > 3 {
			data = file(t, "corrected.xml")
		}
		// Each has another vote-for that nobody asked for.
		data = bytes.Replace(data, []byte("<VotesAllowed>1<"), fmt.Appendf(nil, "<VotesAllowed>%d<", n+2), 1)
		_, err := r.BringIn(people[0], File{Name: fmt.Sprintf("export-%d.xml", n), Data: data})
		require.NoError(t, err)
		s, err := r.Now()
		require.NoError(t, err)
		if n == 0 {
			require.NoError(t, r.Decide(Verdict{Findings: []string{s.Items[0].ID}, Outcome: casefile.OutcomeFixConfiguration,
				Reason: "the proof is right", Document: "proof 2"}, people[0], people[1]))
			_, err = r.Now()
			require.NoError(t, err)
		}
		most = max(most, len(r.exports))
	}
	require.Equal(t, 2, most, "the first export and the last")

	told, err := r.Rounds()
	require.NoError(t, err)
	require.Len(t, told, 8)
	for _, x := range told[1:] {
		require.NotEmpty(t, x.Unasked)
	}
	require.LessOrEqual(t, len(r.exports), 2)

	fresh := New(c)
	again, err := fresh.Rounds()
	require.NoError(t, err)
	require.Equal(t, again, told)
	require.LessOrEqual(t, len(fresh.exports), 2)
	again, err = fresh.Rounds()
	require.NoError(t, err)
	require.Equal(t, told, again, "told twice, it is the same")

	before, err := r.Now()
	require.NoError(t, err)
	after, err := New(c).Now()
	require.NoError(t, err)
	require.Equal(t, ids(before.Items), ids(after.Items))
}

func ids(items []Item) (list []string) {
	for _, i := range items {
		list = append(list, i.ID+" "+i.Words)
	}
	return list
}

func demoSheets(t *testing.T) *sheets.Sheets {
	t.Helper()
	folder, err := fs.Sub(demo.FS, "second")
	require.NoError(t, err)
	rows, err := sheets.ReadFS(folder)
	require.NoError(t, err)
	return rows
}

// A decision compares nothing, however many exports came in; a correction compares each of
// them with the new second entry, once.
func TestADecisionComparesNothing(t *testing.T) {
	c, people := newCase(t)
	r := New(c)
	for n, name := range []string{"export.xml", "export.xml", "corrected.xml"} {
		_, err := r.BringIn(people[0], File{Name: fmt.Sprintf("%d.xml", n),
			Data: append(file(t, name), strings.Repeat("\n", n)...)})
		require.NoError(t, err)
	}
	compared := func(act func() error) int {
		_, err := r.Now()
		require.NoError(t, err)
		was := r.compares
		require.NoError(t, act())
		_, err = r.Now()
		require.NoError(t, err)
		return r.compares - was
	}
	s, err := r.Now()
	require.NoError(t, err)
	decided := map[bool]int{}
	for i, item := range s.Items {
		v := Verdict{Findings: []string{item.ID}, Reason: "so", Document: "proof 2", Outcome: casefile.Outcomes[i%4]}
		if v.Outcome == casefile.OutcomeKeyingSlip {
			v.Outcome = casefile.OutcomeRefer
		}
		require.Zero(t, compared(func() error { return r.Decide(v, people[0], people[1]) }), "%s: %s", v.Outcome,
			item.Message)
		decided[item.Unasked]++
	}
	require.Positive(t, decided[true])
	require.Positive(t, decided[false])
	require.Equal(t, 3, compared(func() error {
		return c.Correct("Proof", "misread", []casefile.Change{casefile.Set(casefile.Contests, 3, "title", "Another")},
			people[0], people[1])
	}))
}

// An earlier version found each reference to what is not there by itself. Where each was
// decided, and all alike, the one finding that is made of them now is decided; else it is open.
func TestReferencesThatWereDecidedOneByOne(t *testing.T) {
	broken := bytes.ReplaceAll(file(t, "corrected.xml"), []byte("<ElectionDistrictId>"), []byte("<ElectionDistrictId>no-"))
	fix, certified := casefile.OutcomeFixConfiguration, casefile.OutcomeAsCertified
	for _, x := range []struct {
		name     string
		outcomes func(references int) []casefile.Outcome
		status   Status
		cleared  int
	}{
		{"all alike", func(n int) []casefile.Outcome { return slices.Repeat([]casefile.Outcome{fix}, n) }, StatusWaiting, 0},
		{"one otherwise", func(n int) []casefile.Outcome {
			return append(slices.Repeat([]casefile.Outcome{fix}, n-1), certified)
		}, StatusOpen, -1},
		{"one not at all", func(n int) []casefile.Outcome { return slices.Repeat([]casefile.Outcome{fix}, n-1) }, StatusOpen,
			-1},
	} {
		t.Run(x.name, func(t *testing.T) {
			c, people := newCase(t)
			r := New(c)
			_, err := r.BringIn(people[0], File{Name: "export.xml", Data: broken})
			require.NoError(t, err)
			s, err := r.Now()
			require.NoError(t, err)
			references := func(f *finding.Finding) int {
				if d, ok := f.Facts.(interface{ Count() int }); ok {
					return d.Count()
				}
				return 0
			}
			i := slices.IndexFunc(s.Items, func(i Item) bool { return references(&i.Finding) > 1 })
			require.GreaterOrEqual(t, i, 0)
			f := s.Items[i].Finding
			words := wordsOf(decidedAlone(&f))
			for n, outcome := range x.outcomes(references(&f)) {
				require.NoError(t, c.Decide(casefile.Decision{Outcome: outcome, Reason: "so", Document: "proof 2",
					Findings: []casefile.Decided{{Finding: fmt.Sprintf("%s-%012d", f.Check, n), Message: f.Message,
						Said: casefile.DigestOf([]byte(words)), Words: words}}}, nil, people[0], people[1]))
			}
			for _, r := range []*Review{r, New(c)} {
				s, err = r.Now()
				require.NoError(t, err)
				require.Equal(t, x.status, s.Item(f.ID).Status)
				if x.cleared == 0 {
					require.Empty(t, s.Cleared)
				}
			}
		})
	}
}

// newCase is a case of the demo, keyed and sealed, and its three people.
func newCase(t *testing.T) (*casefile.Case, []casefile.PersonID) {
	t.Helper()
	const passphrase = "plum ferry under bridges"
	c, err := casefile.Create(filepath.Join(t.TempDir(), "day"+casefile.Extension), casefile.Start{
		Election: casefile.Election{Name: "General Election", Date: "2027-11-02", Jurisdiction: "Tarnwick County"},
		Parties:  []string{"Meridian", "Clearwater"},
	}, casefile.Options{WorkFactor: 1, Idle: time.Hour})
	require.NoError(t, err)
	t.Cleanup(func() { _ = c.Close() })
	var people []casefile.PersonID
	for i, seat := range casefile.Seats {
		p, err := c.Enrol(casefile.NewPerson{Name: []string{"Odile Farrow", "Wren Aldous", "Bram Castellan"}[i],
			Initials: []string{"OF", "WA", "BC"}[i],
			Party:    []string{"Meridian", "Clearwater"}[i%2], Seat: seat, Passphrase: passphrase})
		require.NoError(t, err)
		require.NoError(t, c.Unlock(p.ID, passphrase))
		people = append(people, p.ID)
	}
	k, err := c.Keying(people[1])
	require.NoError(t, err)
	require.NoError(t, k.Load("the ballot proof", demoSheets(t)))
	for _, scope := range []casefile.Scope{casefile.ScopeBallots, casefile.ScopeUnits} {
		require.NoError(t, c.Seal(people[1], casefile.Seal{Scope: scope, Without: c.Unkeyed(scope)}))
	}
	return c, people
}

func file(t *testing.T, name string) []byte {
	t.Helper()
	b, err := demo.FS.ReadFile(name)
	require.NoError(t, err)
	return b
}
