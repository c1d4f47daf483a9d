package review_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/casetest"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// slips returns the two findings of the demo that are slips of the keyer, each with its correction.
func slips(t *testing.T, r *review.Review) (ids []string, corrections [][]casefile.Change) {
	t.Helper()
	for _, i := range casetest.Now(t, r).Items {
		if i.Contest != "Member of Town Council Town of Dunmere" && i.Contest != "Town Supervisor Town of Corrie" {
			continue
		}
		change, err := r.Slip(i.ID)
		require.NoError(t, err)
		require.NotEmpty(t, change)
		ids, corrections = append(ids, i.ID), append(corrections, change)
	}
	require.Len(t, ids, 2)
	return ids, corrections
}

func slip(id string, correction []casefile.Change) review.Verdict {
	return review.Verdict{Findings: []string{id}, Outcome: casefile.OutcomeKeyingSlip, Reason: "misread",
		Document: "ballot proof, 8 October", Correction: correction}
}

func fix(ids ...string) review.Verdict {
	return review.Verdict{Findings: ids, Outcome: casefile.OutcomeFixConfiguration, Reason: "the proof is right",
		Document: "ballot proof, 8 October"}
}

// other returns the identities of n findings that are no slips of the keyer.
func other(t *testing.T, r *review.Review, n int) (out []string) {
	t.Helper()
	not, _ := slips(t, r)
	for _, i := range casetest.Now(t, r).Items {
		if i.ID != not[0] && i.ID != not[1] && len(out) < n {
			out = append(out, i.ID)
		}
	}
	require.Len(t, out, n)
	return out
}

func seqs(t *testing.T, r *review.Review) (live, dropped []int64) {
	t.Helper()
	for _, c := range casetest.Now(t, r).Collected {
		if c.Dropped == "" {
			live = append(live, c.Seq)
		} else {
			dropped = append(dropped, c.Seq)
		}
	}
	return live, dropped
}

// What is collected and signed as a list is what decisions one by one would have recorded.
func TestAListThatIsSignedIsTheSameAsDecisionsOneByOne(t *testing.T) {
	decided := func(do func(r *review.Review, list []review.Verdict)) (out []casefile.Decision, items []review.Status) {
		r := casetest.Sealed(t)
		ids, corrections := slips(t, r)
		more := other(t, r, 3)
		do(r, []review.Verdict{slip(ids[0], corrections[0]), fix(more[0], more[1]), slip(ids[1], corrections[1]),
			{Findings: more[2:], Outcome: casefile.OutcomeRefer, Reason: "unclear"}})
		s := casetest.Now(t, r)
		for _, d := range s.State.Decisions {
			assert.Len(t, d.Signatures, 2)
			d.Terms.Correction = min(d.Terms.Correction, 1)
			out = append(out, d.Terms)
		}
		for _, i := range s.Items {
			items = append(items, i.Status)
		}
		return out, items
	}
	alone, statusAlone := decided(func(r *review.Review, list []review.Verdict) {
		for _, v := range list {
			require.NoError(t, r.Decide(v, "p1", "p2"))
		}
	})
	together, statusTogether := decided(func(r *review.Review, list []review.Verdict) {
		before := casetest.Now(t, r)
		for _, v := range list {
			require.NoError(t, r.Collect("", v))
		}
		now := casetest.Now(t, r)
		assert.Equal(t, before.Counts(), now.Counts(), "what is collected settles nothing")
		live, dropped := seqs(t, r)
		require.Len(t, live, 4)
		require.Empty(t, dropped)
		require.Error(t, r.SignCollected(live, "p1"), "one person alone signs no list")
		require.Empty(t, r.Case().State().Decisions)
		require.NoError(t, r.SignCollected(live, "p1", "p2"))
		require.Empty(t, r.Case().State().Collected)
		require.Len(t, r.Case().State().Corrections, 2)
	})
	require.Equal(t, alone, together)
	require.Equal(t, statusAlone, statusTogether)
}

func TestWhatIsCollectedDropsOutWhenAValueChanges(t *testing.T) {
	r := casetest.Sealed(t)
	ids, corrections := slips(t, r)
	more := other(t, r, 1)
	require.NoError(t, r.Collect("", slip(ids[0], corrections[0])))
	require.NoError(t, r.Collect("", slip(ids[1], corrections[1])))
	require.NoError(t, r.Collect("", fix(more[0])))
	live, _ := seqs(t, r)

	// The second entry changes, by another way.
	require.NoError(t, r.Decide(slip(ids[0], corrections[0]), "p1", "p2"))
	now, dropped := seqs(t, r)
	require.Equal(t, live[1:], now)
	require.Equal(t, live[:1], dropped)
	assert.Contains(t, casetest.Now(t, r).Collected[0].Dropped, "drops out")
	require.ErrorIs(t, r.SignCollected(live, "p1", "p2"), review.ErrListChanged, "it is not the list that was read")

	// The export changes.
	casetest.Bring(t, r, "corrected.xml", casetest.File(t, "corrected.xml"))
	now, _ = seqs(t, r)
	require.Equal(t, live[1:2], now, "the export put the other right")
	require.NoError(t, r.SignCollected(now, "p1", "p2"))
	require.Len(t, r.Case().State().Decisions, 2)
	require.Empty(t, r.Case().State().Collected, "what dropped out is off the list")
}

// The list takes nothing that could not be signed, or not together with the rest.
func TestTheListTakesOnlyWhatCanBeSigned(t *testing.T) {
	r := casetest.Sealed(t)
	ids, corrections := slips(t, r)
	wrong := slip(ids[0], []casefile.Change{{Field: corrections[0][0].Field, Value: "Somebody Else Entirely"}})
	if corrections[0][0].Column == "vote_for" {
		wrong.Correction[0].Value = "9"
	}
	require.ErrorContains(t, r.Collect("", wrong), "would still be there")
	require.ErrorContains(t, r.Collect("", review.Verdict{Findings: ids[:1], Outcome: casefile.OutcomeAsCertified,
		Reason: "seen"}), "names the document")
	require.Empty(t, r.Case().State().Collected)

	require.NoError(t, r.Collect("", fix(ids...)))
	require.ErrorContains(t, r.Collect("", slip(ids[0], corrections[0])), "1 other")
	live, _ := seqs(t, r)
	require.NoError(t, r.Uncollect("", live...))
	require.NoError(t, r.Collect("", fix(ids[0])))
	require.NoError(t, r.Collect("", slip(ids[0], corrections[0])), "it is changed")
	live, _ = seqs(t, r)
	require.Len(t, live, 1)
	require.NoError(t, r.Uncollect("", live...))

	// A correction that would end what another decision is about.
	require.NoError(t, r.Collect("", fix(ids[0])))
	both := slip(ids[1], append(append([]casefile.Change{}, corrections[0]...), corrections[1]...))
	require.ErrorContains(t, r.Collect("", both), "take one of them off the list")
}

// Whoever of the pair disagrees refers alone; what both decided is not taken back by one.
func TestAPairThatDisagreesRefersWithOneSignature(t *testing.T) {
	r := casetest.Sealed(t)
	more := other(t, r, 2)
	refer := review.Verdict{Findings: more[:1], Outcome: casefile.OutcomeRefer, Reason: "we read the list differently"}
	require.NoError(t, r.Collect("p2", refer))
	live, _ := seqs(t, r)
	require.NoError(t, r.SignCollected(live, "p2"))
	require.Equal(t, review.StatusReferred, casetest.Now(t, r).Item(more[0]).Status)
	require.ErrorContains(t, r.Decide(fix(more[0]), "p1", "p2"), "supervisor, who signs")

	require.NoError(t, r.Decide(fix(more[1]), "p1", "p2"))
	refer.Findings = more[1:]
	require.ErrorContains(t, r.Decide(refer, "p1"), "both of them refer it")
	require.ErrorContains(t, r.Decide(refer, "p1", "p3"), "both of them refer it", "the supervisor is none of the pair")
	require.NoError(t, r.Decide(refer, "p1", "p2"))

	// The supervisor signs what was referred, and nothing else of the list.
	third := other(t, r, 3)[2]
	require.NoError(t, r.Collect("", fix(more[0])))
	require.NoError(t, r.Collect("", fix(third)))
	live, _ = seqs(t, r)
	require.ErrorContains(t, r.SignCollected(live, "p1", "p2"), "supervisor, who signs")
	require.NoError(t, r.SignCollected(live, "p1", "p2", "p3"))
	d := r.Case().State().Decisions
	require.Len(t, d[len(d)-2].Signatures, 3)
	require.Len(t, d[len(d)-1].Signatures, 2)
}
