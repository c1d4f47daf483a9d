package review_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/casetest"
	"counterproof/checks/review"
	"counterproof/model"
	"counterproof/model/casefile"
)

// votesIn is a certified list that states how many votes one contest of the county allows.
func votesIn(votes int) review.CertifiedFile {
	c := county().Contests[0]
	var b strings.Builder
	b.WriteString("contest,name,vote_for\n")
	for _, choice := range c.Choices {
		fmt.Fprintf(&b, "%q,%s,%d\n", c.Title.Value.In(""), choice.Name.Value.In(""), votes)
	}
	return review.CertifiedFile{Kind: model.WitnessCandidates, File: review.File{Name: "list.csv",
		Data: []byte(b.String())}}
}

func certify(t *testing.T, r *review.Review, list review.CertifiedFile, version string) {
	t.Helper()
	require.NoError(t, r.BringCertified(list, "Certified list", version, second))
}

func votesFor(n int) edit { return func(e *model.Election) { e.Contests[0].VoteFor = model.Say(n) } }

func only(t *testing.T, r *review.Review) review.Item {
	t.Helper()
	items := casetest.Now(t, r).Items
	require.Len(t, items, 1, "%v", messages(t, r))
	return items[0]
}

// What export and second entry share, a certified list finds; the export is fixed, the second entry
// corrected, and nothing of it is a change that nobody asked for.
func TestAListThatIsRightEndsWithBothEntriesPutRight(t *testing.T) {
	r := keyed(t, county(), county())
	require.Empty(t, casetest.Now(t, r).Items)
	certify(t, r, votesIn(2), "1")
	item := only(t, r)
	require.Equal(t, "list-differs", string(item.Check))
	require.Equal(t, review.StatusOpen, item.Status)
	decide(t, r, casefile.OutcomeFixConfiguration, item.ID)
	require.Equal(t, review.StatusWaiting, only(t, r).Status)

	bring(t, r, "2.xml", votesFor(2))
	item = only(t, r)
	require.Equal(t, "vote-for", string(item.Check))
	require.True(t, strings.HasPrefix(item.Message, "The certified list agrees with the export. "), item.Message)
	row := casetest.Row(t, r.Case(), casefile.Contests, "title", county().Contests[0].Title.Value.In(""))
	slip := review.Verdict{Findings: []string{item.ID}, Outcome: casefile.OutcomeKeyingSlip, Reason: "the list says so",
		Document: "Certified list", Correction: []casefile.Change{casefile.Set(casefile.Contests, row, "vote_for", "2")}}
	require.NoError(t, r.Decide(slip, programmer, second))
	require.Empty(t, casetest.Now(t, r).Items, "the change was asked for")
	rounds, err := r.Rounds()
	require.NoError(t, err)
	require.Empty(t, rounds[1].Unasked)
}

// A list that is wrong is decided once; another version of it that says something else is another
// difference.
func TestADecisionOnAListIsAboutWhatItSays(t *testing.T) {
	r := keyed(t, county(), county())
	certify(t, r, votesIn(2), "1")
	decide(t, r, casefile.OutcomeAsCertified, only(t, r).ID)
	require.Equal(t, review.StatusSettled, only(t, r).Status)
	certify(t, r, votesIn(3), "2")
	require.Equal(t, review.StatusReopened, only(t, r).Status)
	certify(t, r, votesIn(1), "3")
	require.Empty(t, casetest.Now(t, r).Items)
}

// Accepting that a list is wrong accepts no change of the export in the contest that it is about.
func TestAListThatIsWrongExcusesNoChange(t *testing.T) {
	r := keyed(t, county(), county())
	bring(t, r, "2.xml", func(e *model.Election) { e.Contests[0].Variation = model.Say("cumulative") })
	require.True(t, only(t, r).Unasked)
	list := votesIn(1)
	list.File.Data = append(list.File.Data, fmt.Sprintf("%q,Somebody Else,1\n",
		county().Contests[0].Title.Value.In(""))...)
	certify(t, r, list, "1")
	for _, i := range casetest.Now(t, r).Items {
		if !i.Unasked {
			decide(t, r, casefile.OutcomeAsCertified, i.ID)
		}
	}
	items := casetest.Now(t, r).Items
	require.Len(t, items, 2, "%v", messages(t, r))
	for _, i := range items {
		require.Equal(t, i.Unasked, i.Status == review.StatusOpen, i.Message)
	}
}

// What was accepted as certified is open again once a certified list says that the export is wrong.
func TestAListThatComesInLaterReopensWhatItContradicts(t *testing.T) {
	for votes, want := range map[int]review.Status{1: review.StatusReopened, 2: review.StatusSettled} {
		r := keyed(t, county(), county(votesFor(2)))
		decide(t, r, casefile.OutcomeAsCertified, only(t, r).ID)
		require.Equal(t, review.StatusSettled, only(t, r).Status)
		certify(t, r, votesIn(votes), "1")
		item := only(t, r)
		require.Equal(t, want, item.Status, item.Message)
		decide(t, r, casefile.OutcomeAsCertified, item.ID)
		require.Equal(t, review.StatusSettled, only(t, r).Status, "the pair has seen the list now")
	}
}

// A correction that a certified list contradicts is none that the program proposes.
func TestNoSlipIsProposedAgainstACertifiedList(t *testing.T) {
	r := keyed(t, county(), county(votesFor(2)))
	slip, err := r.Slip(only(t, r).ID)
	require.NoError(t, err)
	require.NotEmpty(t, slip)
	certify(t, r, votesIn(1), "1")
	slip, err = r.Slip(only(t, r).ID)
	require.NoError(t, err)
	require.Empty(t, slip)
}

// A certified document may come in before the seal. Nothing is said of it until then, it keys nothing, and
// after a report is signed it opens a new round.
func TestACertifiedDocumentBeforeTheSealSaysNothing(t *testing.T) {
	c := casetest.New(t)
	r := review.New(c)
	certify(t, r, votesIn(2), "1")
	_, err := r.Now()
	require.ErrorIs(t, err, review.ErrBlind)
	rows, err := c.Rows(0, casefile.Contests)
	require.NoError(t, err)
	require.Empty(t, rows)
	require.Error(t, r.BringCertified(votesIn(2), "Certified list", "1", second), "it is there already")
	bad := votesIn(2)
	bad.File.Data = []byte("office,person\n")
	require.ErrorContains(t, r.BringCertified(bad, "Other list", "1", second), "without --mapping")
	require.Len(t, c.State().Witnesses, 1)
}

// A document that cannot be read, because another program put it in, stops nothing and is named.
func TestACertifiedDocumentThatCannotBeReadIsNamed(t *testing.T) {
	r := keyed(t, county(), county(votesFor(2)))
	require.NoError(t, r.Case().BringWitness(casefile.Witness{Document: "Picture", Version: "1", Kind: model.WitnessSites,
		Name: "list.png"}, []byte("\x89PNG"), nil, second))
	require.Equal(t, "vote-for", string(only(t, r).Check))
	notes := casetest.Now(t, r).Witnessed.Notes
	require.Len(t, notes, 1)
	require.Contains(t, notes[0], "The site list is held against nothing, because it cannot be read")
}
