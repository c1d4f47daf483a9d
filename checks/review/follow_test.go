package review_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/casetest"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// A review that followed a case through corrections, decisions, mappings, amendments
// and exports shows at every step what a review shows that sees the case for the
// first time.
func TestAReviewThatFollowedACaseShowsWhatAFreshOneShows(t *testing.T) {
	all := map[string]int{}
	walks, steps := uint64(2), 45
	switch {
	case testing.Short():
		walks, steps = 1, 25 // each step reads the whole case again
	case os.Getenv("CI") == "true":
		walks = 10
	}
	for seed := range walks {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			rnd := rand.New(rand.NewPCG(seed, 4))
			c := casetest.New(t)
			casetest.Key(t, c, casetest.Sheets(t))
			scopes := []casefile.Scope{casefile.ScopeBallots}
			if seed%2 == 0 {
				scopes = append(scopes, casefile.ScopeUnits)
			}
			casetest.Seal(t, c, scopes...)
			r := review.New(c)
			bring := func(name string) error {
				_, err := r.BringIn(programmer, review.File{Name: name, Data: casetest.File(t, name)})
				return err
			}
			require.NoError(t, bring("export.xml"))
			did := map[string]int{}
			for step := range steps {
				what := oneAct(t, rnd, r, step, bring)
				did[what]++
				fresh := review.New(c)
				want, wantErr := fresh.Now()
				got, err := r.Now()
				require.Equal(t, fmt.Sprint(wantErr), fmt.Sprint(err), "step %d, %s", step, what)
				if err != nil {
					continue
				}
				// What single items and coverage say, and how far each is.
				if d := cmp.Diff(want.Items, got.Items); d != "" {
					t.Fatalf("step %d, %s: the findings differ (-fresh +followed):\n%s", step, what, d)
				}
				require.Equal(t, itemIDs(want.Cleared), itemIDs(got.Cleared), "step %d, %s", step, what)
				require.Empty(t, cmp.Diff(want.Result.Coverage, got.Result.Coverage), "step %d, %s", step, what)
				require.Equal(t, want.Result.Causes, got.Result.Causes, "step %d, %s", step, what)
				require.Equal(t, want.Result.Summary, got.Result.Summary, "step %d, %s", step, what)
				require.Equal(t, want.Second, got.Second, "step %d, %s", step, what)
			}
			for what, n := range did {
				all[what] += n
			}
		})
	}
	if walks < 10 {
		return // few walks need not hold all of it
	}
	for _, what := range []string{"correction", "decision", "mapping", "export", "amendment"} {
		require.Greater(t, all[what], 3, "%v: the walks have nothing of what they are to prove", all)
	}
}

// oneAct does something at random that the pair may do, and says what. What the case
// refuses is no act.
func oneAct(t *testing.T, rnd *rand.Rand, r *review.Review, step int, bring func(string) error) string {
	c := r.Case()
	pick := func(n int) int { return rnd.IntN(n) }
	correct := func(changes ...casefile.Change) string {
		if _, err := r.Try(changes); err != nil {
			return "refused"
		}
		if err := c.Correct("Ballot proof", "misread", changes, programmer, second); err != nil {
			return "refused"
		}
		return "correction"
	}
	some := func(table casefile.Table) casefile.KeyedRow {
		rows, err := c.Rows(0, table)
		require.NoError(t, err)
		return rows[pick(len(rows))]
	}
	cell := func(row casefile.KeyedRow, table casefile.Table, column string) string {
		return row.Cells[slices.Index(table.Columns(), column)]
	}
	contest, choice := some(casefile.Contests), some(casefile.Choices)
	switch pick(17) {
	case 0:
		return correct(casefile.Set(casefile.Contests, contest.Row, "title",
			cell(some(casefile.Contests), casefile.Contests, "title")))
	case 1:
		return correct(casefile.Set(casefile.Contests, contest.Row, "title", fmt.Sprint("Title ", step)),
			casefile.Set(casefile.Contests, contest.Row, "subtitle", ""))
	case 2:
		return correct(casefile.Set(casefile.Contests, contest.Row, "vote_for", []string{"", "1", "2", "9"}[pick(4)]))
	case 3:
		return correct(casefile.Set(casefile.Choices, choice.Row, "name",
			cell(some(casefile.Choices), casefile.Choices, "name")))
	case 4:
		return correct(casefile.Set(casefile.Choices, choice.Row, "party_lines",
			[]string{"", "-", "GRO", "A New Party", "HRT|MER"}[pick(5)]))
	case 5:
		return correct(casefile.Set(casefile.Choices, choice.Row, "position", fmt.Sprint(1+pick(6), ".5")))
	case 6:
		return correct(casefile.Set(casefile.Contests, contest.Row, "text", []string{"", "Shall it be so?"}[pick(2)]))
	case 7:
		return correct(casefile.Set(casefile.Contests, contest.Row, "source", fmt.Sprint("Proof ", step)))
	case 8:
		return correct(casefile.Set(casefile.Faces, some(casefile.Faces).Row, "style", fmt.Sprint("Label ", pick(3))))
	case 9:
		if !c.State().Sealed(casefile.ScopeUnits) {
			return "refused"
		}
		return correct(casefile.Set(casefile.Units, some(casefile.Units).Row, "site", fmt.Sprint("Hall ", pick(3))))
	case 10: // one person at a further position
		n, err := c.Rows(0, casefile.Choices)
		require.NoError(t, err)
		last := n[len(n)-1].Row + 1
		return correct(casefile.Set(casefile.Choices, last, "contest", fmt.Sprint(contest.Row)),
			casefile.Set(casefile.Choices, last, "position", fmt.Sprint(20+step)),
			casefile.Set(casefile.Choices, last, "name", cell(choice, casefile.Choices, "name")))
	case 11:
		if err := c.Map(casefile.Mapping{Kind: "contest", Primary: "County Judge",
			Second: cell(contest, casefile.Contests, "title"), Reason: "looked at"}, programmer, second); err != nil {
			return "refused"
		}
		return "mapping"
	case 12:
		if step < 20 {
			return "nothing"
		}
		if bring([]string{"corrected.xml", "export.xml"}[pick(2)]) != nil {
			return "refused" // the same as the last
		}
		return "export"
	case 13:
		if step%2 > 0 || c.Amend(casefile.Amendment{
			Contests: []casefile.Row{{Table: casefile.Contests, Row: contest.Row}}, Document: "Order", Date: "2027-10-01",
			Reason: "ordered", MailedStand: pick(2) == 0,
		}, programmer, second) != nil {
			return "refused"
		}
		k, err := c.Keying(second)
		require.NoError(t, err)
		require.NoError(t, k.Set(casefile.Set(casefile.Contests, contest.Row, "vote_for", fmt.Sprint(1+pick(3)))))
		casetest.Seal(t, c, casefile.ScopeBallots)
		return "amendment"
	default:
		s, err := r.Now()
		if err != nil || len(s.Items) == 0 {
			return "nothing"
		}
		id := s.Items[pick(len(s.Items))].ID
		v := review.Verdict{Findings: []string{id}, Outcome: []casefile.Outcome{casefile.OutcomeFixConfiguration,
			casefile.OutcomeAsCertified, casefile.OutcomeRefer}[pick(3)], Reason: "so", Document: "Proof 2"}
		if pick(2) == 0 {
			if v.Correction, err = r.Slip(id); err == nil && len(v.Correction) > 0 {
				v.Outcome = casefile.OutcomeKeyingSlip
			}
		}
		if r.Decide(v, programmer, second, supervisor) != nil {
			return "refused"
		}
		return "decision"
	}
}
