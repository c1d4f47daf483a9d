package review_test

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/casetest"
	"counterproof/checks/review"
	"counterproof/model"
	"counterproof/model/casefile"
	"counterproof/model/cdf"
)

// A court abolishes one of two seats after ballots were mailed. The export then holds
// each ballot twice: as mailed, with a vote for 2, and as amended, with a vote for 1.
func TestMailedBallotsMayStandBesideAmendedOnes(t *testing.T) {
	twice := func(mailedVoteFor int) []byte {
		e, _, err := cdf.Read([]cdf.Part{{Name: "corrected.xml", Data: casetest.File(t, "corrected.xml")}}, cdf.Options{})
		require.NoError(t, err)
		e = e.Clone()
		judge := -1
		for i := range e.Contests {
			if e.Contests[i].Title.Value.In("") == "County Judge" {
				judge = i
			}
		}
		require.GreaterOrEqual(t, judge, 0)
		amended := e.Contests[judge].Clone()
		amended.VoteFor = model.Say(1)
		e.Contests[judge].VoteFor = model.Say(mailedVoteFor)
		e.Contests = append(e.Contests, amended)
		e.Origins.Contests = append(e.Origins.Contests, model.ContestOrigin{Origin: model.Origin{ID: "con-judge-amended"}})
		for i, n := 0, len(e.Styles); i < n; i++ {
			st := e.Styles[i].Clone()
			for k := range st.Content {
				if st.Content[k].Contest == judge {
					st.Content[k].Contest = len(e.Contests) - 1
				}
			}
			e.Styles = append(e.Styles, st)
			e.Origins.Styles = append(e.Origins.Styles, model.Origin{})
		}
		var out bytes.Buffer
		require.NoError(t, cdf.WriteXML(&out, e, cdf.WriteOptions{}))
		return out.Bytes()
	}
	for name, c := range map[string]struct {
		stand   bool
		mailed  int
		settled bool
	}{
		"both versions are as keyed":                {true, 2, true},
		"the mailed version is not what was keyed":  {true, 3, false},
		"the amendment says nothing of mailed ones": {false, 2, false},
	} {
		t.Run(name, func(t *testing.T) {
			r := casetest.Finished(t)
			on := r.Case()
			judge := casetest.Row(t, on, casefile.Contests, "title", "County Judge")
			require.NoError(t, on.Amend(casefile.Amendment{
				Contests: []casefile.Row{{Table: casefile.Contests, Row: judge}}, Document: "Order 12", Date: "2027-10-01",
				Reason: "one seat was abolished", MailedStand: c.stand,
			}, programmer, second))
			k, err := on.Keying(second)
			require.NoError(t, err)
			require.NoError(t, k.Set(casefile.Set(casefile.Contests, judge, "vote_for", "1")))
			casetest.Seal(t, on, casefile.ScopeBallots)
			_, err = r.BringIn(programmer, review.File{Name: "both.xml", Data: twice(c.mailed)})
			require.NoError(t, err)
			open := 0
			for _, i := range casetest.Now(t, r).Items {
				// Our writer leaves out what the export says and nothing compares.
				if i.Status.Open() && i.Check != "unread-change" {
					open++
				}
			}
			if c.settled {
				for _, i := range casetest.Now(t, r).Items {
					t.Log(i.Check, i.Grade, i.Message)
				}
				require.Zero(t, open)
			} else {
				require.NotZero(t, open)
			}
		})
	}
}
