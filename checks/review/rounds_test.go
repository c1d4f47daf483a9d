package review_test

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/finding"
	"counterproof/checks/internal/casetest"
	"counterproof/checks/review"
	"counterproof/model/casefile"
	"counterproof/model/sheets"
)

func TestAnAmendmentAsksForItsChanges(t *testing.T) {
	r := casetest.Finished(t)
	c := r.Case()
	judge := casetest.Row(t, c, casefile.Contests, "title", "County Judge")
	require.NoError(t, c.Amend(casefile.Amendment{
		Contests: []casefile.Row{{Table: casefile.Contests, Row: judge}}, Document: "Order 12", Date: "2027-10-01",
		Reason: "one seat was abolished",
	}, programmer, second))
	_, err := r.Now()
	require.ErrorIs(t, err, review.ErrBlind)
	amended := []byte(strings.Replace(string(casetest.File(t, "corrected.xml")), "<VotesAllowed>2</VotesAllowed>",
		"<VotesAllowed>1</VotesAllowed>", 1))
	_, err = r.BringIn(programmer, review.File{Name: "amended.xml", Data: amended})
	require.Error(t, err, "the contest is keyed again before the export is seen")

	k, err := c.Keying(second)
	require.NoError(t, err)
	require.NoError(t, k.Set(casefile.Set(casefile.Contests, judge, "vote_for", "1")))
	casetest.Seal(t, c, casefile.ScopeBallots)
	s := casetest.Now(t, r)
	require.Len(t, s.Items, 1, "the export that came before does not know of the order yet")
	require.EqualValues(t, "vote-for", s.Items[0].Check)

	brought, err := r.BringIn(programmer, review.File{Name: "amended.xml", Data: amended})
	require.NoError(t, err)
	require.Empty(t, brought.Unasked)
	require.Empty(t, casetest.Now(t, r).Items)
	rounds, err := r.Rounds()
	require.NoError(t, err)
	require.Len(t, rounds[2].Asked, 1)
	require.Empty(t, rounds[2].Unasked)

	also := bytes.Replace(amended, []byte("Stonebridge"), []byte("Stonebrige"), 1)
	brought, err = r.BringIn(programmer, review.File{Name: "also.xml", Data: also})
	require.NoError(t, err)
	require.Len(t, brought.Unasked, 1)
}

func TestWhatTheExportStatesOnlyNowIsAChangeToo(t *testing.T) {
	with := string(casetest.File(t, "corrected.xml"))
	at := strings.Index(with, "<VotesAllowed>")
	end := at + strings.Index(with[at:], "</VotesAllowed>") + len("</VotesAllowed>")
	without := with[:at] + with[end:]
	for name, files := range map[string][2]string{"stated now": {without, with}, "stated no more": {with, without}} {
		t.Run(name, func(t *testing.T) {
			c := casetest.New(t)
			casetest.Key(t, c, casetest.Sheets(t))
			casetest.Seal(t, c, casefile.ScopeBallots, casefile.ScopeUnits)
			r := review.New(c)
			for i, data := range files {
				_, err := r.BringIn(programmer, review.File{Name: []string{"one.xml", "two.xml"}[i], Data: []byte(data)})
				require.NoError(t, err)
			}
			unasked := 0
			for _, i := range casetest.Now(t, r).Items {
				if i.Check == "unasked-change" {
					unasked++
				}
			}
			require.Equal(t, 1, unasked)
		})
	}
}

func TestAnExportThatCannotBeUsedIsNotKept(t *testing.T) {
	r := casetest.Sealed(t)
	before := r.Case().State().Seq
	_, err := r.BringIn(programmer, review.File{Name: "bad.xml", Data: []byte("<ElectionReport")})
	require.ErrorContains(t, err, "bad.xml")
	_, err = r.BringIn(programmer, review.File{Name: "list.csv", Data: []byte("unit,precinct\nS-1,1-01\n")})
	require.ErrorContains(t, err, "list.csv")
	require.Equal(t, before, r.Case().State().Seq)
	mistakes, slips := casetest.Planted(t)
	require.Len(t, casetest.Now(t, r).Items, mistakes+slips)
}

func TestACardListGoesWithItsExport(t *testing.T) {
	c := casetest.New(t)
	casetest.Key(t, c, casetest.Sheets(t))
	casetest.Seal(t, c, casefile.ScopeBallots, casefile.ScopeUnits)
	r := review.New(c)
	// The export without its devices, and the list that the EMS prints of its cards.
	export := string(casetest.File(t, "corrected.xml"))
	for {
		from := strings.Index(export, `<GpUnit xsi:type="ReportingDevice"`)
		if from < 0 {
			break
		}
		export = export[:from] + export[from+strings.Index(export[from:], "</GpUnit>")+len("</GpUnit>"):]
	}
	cards := casetest.File(t, "second/units.csv")
	_, err := r.BringIn(programmer, review.File{Name: "cards.csv", Data: cards},
		review.File{Name: "export.xml", Data: []byte(export)})
	require.NoError(t, err)
	s := casetest.Now(t, r)
	require.NotNil(t, s.Latest.Cards)
	require.Equal(t, "export.xml with cards.csv", s.Latest.Name())
	require.NotZero(t, s.Result.Summary.Units)
	rounds, err := r.Rounds()
	require.NoError(t, err)
	require.Len(t, rounds, 1, "they came in together")
	for _, i := range s.Items {
		require.False(t, i.Unasked, i.Message)
	}
	// One that comes later is an export of its own: the pair looked at the one before it.
	_, err = r.BringIn(programmer, review.File{Name: "cards.csv", Data: []byte(strings.Replace(string(cards), "TW-", "XW-",
		1))})
	require.NoError(t, err)
	rounds, err = r.Rounds()
	require.NoError(t, err)
	require.Len(t, rounds, 2)
	require.NotEmpty(t, rounds[1].Unasked)
}

// half keeps the ballots of the styles that are kept.
func half(rows *sheets.Sheets, keep func(style string) bool) *sheets.Sheets {
	h := *rows
	h.Ballots, h.Styles, h.Units = nil, nil, nil
	on := map[string]bool{}
	for _, b := range rows.Ballots {
		if keep(b.Style) {
			h.Ballots = append(h.Ballots, b)
			on[b.Contest] = true
		}
	}
	for _, s := range rows.Styles {
		if keep(s.Style) {
			h.Styles = append(h.Styles, s)
		}
	}
	h.Contests, h.Choices = nil, nil
	for _, c := range rows.Contests {
		if on[c.Contest] {
			h.Contests = append(h.Contests, c)
		}
	}
	for _, c := range rows.Choices {
		if on[c.Contest] {
			h.Choices = append(h.Choices, c)
		}
	}
	return &h
}

func TestTwoKeyersShareTheWork(t *testing.T) {
	rows := casetest.Sheets(t)
	odd := func(style string) bool {
		return strings.HasSuffix(style, "1") || strings.HasSuffix(style, "3") || strings.HasSuffix(style, "5")
	}
	first, other := half(rows, odd), half(rows, func(s string) bool { return !odd(s) })
	require.NotEmpty(t, first.Ballots)
	require.NotEmpty(t, other.Ballots)
	join := func(t *testing.T, alter func(*sheets.Sheets)) *review.Review {
		c, d := casetest.New(t), casetest.New(t)
		a := *first
		a.Units = rows.Units
		casetest.Key(t, c, &a)
		b := *other
		alter(&b)
		casetest.Key(t, d, &b)
		path := d.Path()
		require.NoError(t, d.Close())
		_, err := c.Join(second, path)
		require.NoError(t, err)
		casetest.Seal(t, c, casefile.ScopeBallots, casefile.ScopeUnits)
		r := review.New(c)
		_, err = r.BringIn(programmer, review.File{Name: "export.xml", Data: casetest.File(t, "export.xml")})
		require.NoError(t, err)
		return r
	}
	t.Run("together they are the whole", func(t *testing.T) {
		r := join(t, func(*sheets.Sheets) {})
		require.ElementsMatch(t, ids(compareDemo(t, "export.xml")), itemIDs(casetest.Now(t, r).Items))
	})
	t.Run("what is said of a party is not said of the election", func(t *testing.T) {
		r := join(t, func(s *sheets.Sheets) {
			s.Parties = append([]sheets.PartyRow{}, s.Parties...)
			s.Parties[0].Name += " United"
		})
		said := 0
		for _, i := range casetest.Now(t, r).Items {
			if i.Check == "keyers-differ" {
				said++
				require.Contains(t, i.Message, "differ on the party ")
			}
		}
		require.Positive(t, said)
	})
	t.Run("what both keyed and keyed differently is said", func(t *testing.T) {
		r := join(t, func(s *sheets.Sheets) {
			s.Contests = append([]sheets.ContestRow{}, s.Contests...)
			for i := range s.Contests {
				if s.Contests[i].Title == "County Judge" {
					s.Contests[i].VoteFor = "1"
				}
			}
		})
		var differ []finding.Finding
		for _, i := range casetest.Now(t, r).Items {
			if i.Check == "keyers-differ" {
				differ = append(differ, i.Finding)
			}
		}
		require.Len(t, differ, 1)
		require.Equal(t, "County Judge", differ[0].Contest)
		require.Contains(t, differ[0].Second, `"1"`)
		require.Contains(t, differ[0].Second, `"2"`)
		mistakes, slips := casetest.Planted(t)
		require.Len(t, casetest.Now(t, r).Items, mistakes+slips+1)
		// No configuration can be fixed for it, and no document certifies it.
		for _, o := range []casefile.Outcome{casefile.OutcomeFixConfiguration, casefile.OutcomeAsCertified} {
			err := r.Decide(review.Verdict{Findings: []string{differ[0].ID}, Outcome: o, Reason: "so", Document: "Proof 2"},
				programmer, second)
			require.ErrorIs(t, err, review.ErrUndecidable)
			require.ErrorContains(t, err, "keying-slip")
		}
		// Mended in the joined case, by a correction that both sign.
		var wrong int
		list, err := r.Case().Rows(1, casefile.Contests)
		require.NoError(t, err)
		for _, row := range list {
			if row.Cells[1] == "County Judge" {
				wrong = row.Row
			}
		}
		change := casefile.Change{Field: casefile.Field{Source: 1, Table: casefile.Contests, Row: wrong, Column: "vote_for"},
			Value: "2"}
		require.NoError(t, r.Decide(review.Verdict{Findings: []string{differ[0].ID}, Outcome: casefile.OutcomeKeyingSlip,
			Reason: "misread", Document: "Proof 2", Correction: []casefile.Change{change}}, programmer, second))
		require.Len(t, casetest.Now(t, r).Items, mistakes+slips)
	})
}

func TestAMappingNamesWhatIsThere(t *testing.T) {
	r := casetest.Sealed(t)
	try := func(kind, primary, of string) error {
		return r.Map(casefile.Mapping{Kind: kind, Primary: primary, Second: of, Reason: "the district table"}, programmer,
			second)
	}
	require.ErrorContains(t, try("precinct", "1-01", "9-99"), `no precinct in the second entry is called "9-99"`)
	require.ErrorContains(t, try("precinct", "9-99", "1-01"), `no precinct in export.xml is called "9-99"`)
	require.ErrorContains(t, try("contest", "County Judge", "County Juge"), `"County Juge"`)
	require.ErrorContains(t, try("unit", "TW-1101", "TW-9"), `"TW-9"`)
	require.ErrorContains(t, try("party", "Nobody's", "Nobody's"), `"Nobody's"`)
	require.ErrorContains(t, try("precinct", "", "1-01"), "nothing to take back")
	require.Empty(t, r.Case().State().Mappings)
	require.NoError(t, try("precinct", "1-01", "1-01"))
	require.NoError(t, try("precinct", "", "1-01"))
}

func TestACorrectionThatChangesNothingIsRefused(t *testing.T) {
	r := casetest.Sealed(t)
	rows, err := r.Case().Rows(0, casefile.Contests)
	require.NoError(t, err)
	same := casefile.Set(casefile.Contests, rows[0].Row, "title", rows[0].Cells[1])
	require.Equal(t, "title", casefile.Contests.Columns()[1])
	before := r.Case().State().Seq
	require.ErrorContains(t, r.Case().MayCorrect([]casefile.Change{same}), "changes nothing")
	require.ErrorContains(t, r.Case().Correct("Proof", "misread", []casefile.Change{same}, programmer, second),
		"changes nothing")
	require.Equal(t, before, r.Case().State().Seq)
}

// A finding that is counted as open is one that has to be decided before anybody signs.
func TestWhatIsOpenIsWhatIsLeftToDo(t *testing.T) {
	for name, r := range map[string]*review.Review{"sealed": casetest.Sealed(t), "finished": casetest.Finished(t)} {
		for _, export := range []string{"", "export.xml"} {
			if export != "" && name == "finished" {
				casetest.Bring(t, r, "again.xml", casetest.File(t, export))
			}
			s := casetest.Now(t, r)
			missing, err := r.MissingToSign()
			require.NoError(t, err)
			open := 0
			for _, m := range missing {
				if s.Item(m.ID) != nil {
					open++
				}
			}
			c, sum := s.Counts(), s.Result.Summary
			require.Equal(t, c.Open+c.Waiting, open, name)
			require.Equal(t, len(s.Items), c.Open+c.Waiting+c.Settled+c.Noted, name)
			require.Equal(t, len(s.Items), sum.MustFix+sum.Confirm+sum.Note, name)
		}
	}
}

// The first act after a signed report says that a new round is open, and the next report
// that is signed closes it.
func TestTheFirstActAfterASignedReportOpensANewRound(t *testing.T) {
	r := casetest.Finished(t)
	sign := func() {
		require.NoError(t, r.SignOff([]byte(`{"format":"counterproof-report/1"}`), nil, nil, programmer, second, supervisor))
	}
	require.Empty(t, review.NewRound(r.Case().State()))
	sign()
	require.Empty(t, review.NewRound(r.Case().State()))
	signed := r.Case().State().Seq
	contest := casetest.Row(t, r.Case(), casefile.Contests, "title", "County Judge")
	require.NoError(t, r.Case().Correct("Certified list", "named wrongly",
		[]casefile.Change{casefile.Set(casefile.Contests, contest, "source", "Certified list, 1 October")}, programmer,
		second))
	words := review.NewRound(r.Case().State())
	require.Contains(t, words, fmt.Sprintf("signed in entry %d the second entry was corrected (entry %d)", signed,
		signed+1))
	casetest.Bring(t, r, "again.xml", casetest.File(t, "export.xml"))
	require.Equal(t, words, review.NewRound(r.Case().State()), "the first act is the one that is named")
	casetest.Bring(t, r, "corrected-again.xml", casetest.File(t, "corrected.xml"))
	sign()
	require.Empty(t, review.NewRound(r.Case().State()))
}

// A note that was decided and says something else now is open again, and left to do.
func TestADecidedNoteThatChangedIsLeftToDo(t *testing.T) {
	with := func(name string) []byte {
		export := string(casetest.File(t, "corrected.xml"))
		at := strings.Index(export, ">County Judge<")
		start := strings.LastIndex(export[:at], "<BallotTitle>")
		end := start + strings.Index(export[start:], "</BallotTitle>") + len("</BallotTitle>")
		name0 := end + strings.Index(export[end:], "<Name>")
		name1 := end + strings.Index(export[end:], "</Name>")
		return []byte(export[:start] + export[end:name0] + "<Name>" + name + export[name1:])
	}
	r := casetest.Finished(t)
	casetest.Bring(t, r, "one.xml", with("COUNTY JUDGE"))
	note := func() *review.Item {
		for i := range casetest.Now(t, r).Items {
			if it := &casetest.Now(t, r).Items[i]; it.Grade == finding.Note {
				return it
			}
		}
		require.Fail(t, "no note")
		return nil
	}
	decide(t, r, casefile.OutcomeAsCertified, note().ID)
	casetest.Bring(t, r, "two.xml", with("county judge"))
	require.Equal(t, review.StatusReopened, note().Status)
	missing, err := r.MissingToSign()
	require.NoError(t, err)
	require.True(t, slices.ContainsFunc(missing, func(m review.Missing) bool { return m.ID == note().ID }))
}
