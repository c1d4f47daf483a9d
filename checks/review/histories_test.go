package review_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks"
	"counterproof/checks/internal/casetest"
	"counterproof/checks/internal/planted"
	"counterproof/checks/review"
	"counterproof/model"
	"counterproof/model/casefile"
	"counterproof/model/cdf"
	"counterproof/model/sheets"
)

// unaskedIn are the changes that nobody asked for.
func unaskedIn(t *testing.T, r *review.Review) (out []string) {
	t.Helper()
	for _, i := range casetest.Now(t, r).Items {
		if i.Unasked {
			out = append(out, i.Message)
		}
	}
	return out
}

// An older export that comes in after the corrected one brings every mistake back: each is
// a change that nobody asked for, and what was decided is open again.
func TestAnOlderExportAfterTheCorrectedOne(t *testing.T) {
	r := casetest.Finished(t)
	casetest.Bring(t, r, "export-again.xml", casetest.File(t, "export.xml"))
	s := casetest.Now(t, r)
	reopened := 0
	for _, i := range s.Items {
		if !i.Unasked {
			require.Equal(t, review.StatusReopened, i.Status, i.Message)
			reopened++
		}
	}
	mistakes, _ := casetest.Planted(t)
	require.Equal(t, mistakes, reopened)
	require.GreaterOrEqual(t, len(unaskedIn(t, r)), mistakes)
	for _, m := range unaskedIn(t, r) {
		require.Contains(t, m, "export-again.xml", "the change is named with the export that brought it")
	}
	_, err := r.MaySign(nil, programmer, second, supervisor)
	require.ErrorIs(t, err, review.ErrNotFinished)

	// The corrected one again: nothing is left.
	casetest.Bring(t, r, "corrected-again.xml", casetest.File(t, "corrected.xml"))
	require.Empty(t, casetest.Now(t, r).Items)
}

// A value that was accepted as certified and is silently put back is a change, though it
// now says what was keyed.
func TestWhatStaysAsCertifiedIsNotSilentlyPutBack(t *testing.T) {
	r := casetest.Sealed(t)
	var judge *review.Item
	for i := range casetest.Now(t, r).Items {
		if it := &casetest.Now(t, r).Items[i]; it.Check == "vote-for" && it.Contest == "County Judge" {
			judge = it
		}
	}
	require.NoError(t, r.Decide(review.Verdict{Findings: []string{judge.ID}, Outcome: casefile.OutcomeAsCertified,
		Reason: "one seat", Document: "Order 12"},
		programmer, second))
	back := bytes.Replace(casetest.File(t, "export.xml"), []byte("<VotesAllowed>1</VotesAllowed>"),
		[]byte("<VotesAllowed>1</VotesAllowed>"), 1)
	at := bytes.Index(back, []byte("County Judge"))
	back = append(bytes.Clone(back[:at]), bytes.Replace(back[at:], []byte("<VotesAllowed>1<"), []byte("<VotesAllowed>2<"),
		1)...)
	casetest.Bring(t, r, "back.xml", back)
	require.Len(t, unaskedIn(t, r), 1)
	require.Contains(t, unaskedIn(t, r)[0], `The vote-for of "County Judge" changed from "1" to "2"`)
}

// What was asked of a unit's site asks for nothing of its card: a precinct that the same
// export adds to it is a change.
func TestAPrecinctAddedToACardWithAnAskedChange(t *testing.T) {
	r := casetest.Sealed(t)
	casetest.Settle(t, r)
	corrected := string(casetest.File(t, "corrected.xml"))
	at := strings.Index(corrected, "TW-1302")
	require.Positive(t, at)
	start := strings.LastIndex(corrected[:at], "<ReportingDevice") // its own element
	if start < 0 {
		start = strings.LastIndex(corrected[:at], "<GpUnit")
	}
	end := start + strings.Index(corrected[start:], "</ComposingGpUnitIds>")
	require.Greater(t, end, start)
	list := strings.LastIndex(corrected[:end], ">")
	last := strings.Fields(corrected[list+1 : end])
	require.NotEmpty(t, last)
	other := strings.Fields(elementOf(t, corrected, "TW-1101"))[0]
	also := corrected[:end] + " " + other + corrected[end:]
	casetest.Bring(t, r, "also.xml", []byte(also))
	found := false
	for _, m := range unaskedIn(t, r) {
		found = found || strings.Contains(m, "The card header of unit TW-1302")
	}
	require.True(t, found, unaskedIn(t, r))
}

func elementOf(t *testing.T, export, unit string) string {
	t.Helper()
	at := strings.Index(export, unit)
	start := strings.LastIndex(export[:at], "<ReportingDevice")
	if start < 0 {
		start = strings.LastIndex(export[:at], "<GpUnit")
	}
	end := start + strings.Index(export[start:], "</ComposingGpUnitIds>")
	begin := strings.LastIndex(export[:end], ">")
	return export[begin+1 : end]
}

// A corrected title orphans no decision on its contest.
func TestACorrectedTitleKeepsTheDecisionsOnItsContest(t *testing.T) {
	r := casetest.Sealed(t)
	casetest.Settle(t, r)
	before := map[string]int{}
	for _, i := range casetest.Now(t, r).Items {
		before[string(i.Status)]++
	}
	c := r.Case()
	judge := casetest.Row(t, c, casefile.Contests, "title", "County Judge")
	require.NoError(t, c.Correct("Certified list", "misread",
		[]casefile.Change{casefile.Set(casefile.Contests, judge, "title", "County Judges")}, programmer, second))
	s := casetest.Now(t, r)
	for _, i := range s.Items {
		switch {
		case i.Contest == "County Judges" && i.Check == "vote-for":
			require.Equal(t, review.StatusWaiting, i.Status, "it is decided still")
		case i.Contest == "County Judges":
			require.Equal(t, review.StatusOpen, i.Status)
		}
	}
	require.Empty(t, unaskedIn(t, r))
}

// A finding that was decided twice asks for nothing beside itself: a reference to nothing
// that a later export brings is a change.
func TestAFindingDecidedTwiceAsksForNothingElse(t *testing.T) {
	r := casetest.Sealed(t)
	casetest.Settle(t, r)
	casetest.Settle(t, r)
	corrected := casetest.File(t, "corrected.xml")
	casetest.Bring(t, r, "corrected.xml", corrected)
	require.Empty(t, unaskedIn(t, r))
	begin := []byte("<ElectionDistrictId>")
	at := bytes.Index(corrected, begin)
	require.Positive(t, at)
	at += len(begin)
	end := at + bytes.IndexByte(corrected[at:], '<')
	broken := slices.Concat(corrected[:at], []byte("district-that-is-not-there"), corrected[end:])
	casetest.Bring(t, r, "broken.xml", broken)
	require.True(t, slices.ContainsFunc(unaskedIn(t, r),
		func(m string) bool { return strings.Contains(m, "eferences to nothing") }), unaskedIn(t, r))
}

// exportOf writes an election as an export.
func exportOf(t *testing.T, e *model.Election) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, cdf.WriteXML(&b, e, cdf.WriteOptions{}))
	return b.Bytes()
}

// siteOfParent reports whether a sentence is about the polling site of a precinct that is split.
func siteOfParent(e *model.Election, sentence string) bool {
	return slices.ContainsFunc(e.Precincts, func(p model.Precinct) bool {
		return len(p.Members) > 0 && strings.HasPrefix(sentence, "The polling site of precinct "+p.Name.In("")+" changed ")
	})
}

// precinctLabel finds which precinct has another label.
var precinctLabel = regexp.MustCompile(`^The (?:name|number) of precinct (.*?)(?::| changed from )`)

// Histories of three exports of generated counties: with planted mistakes that are all
// asked to be fixed, then fixed but with others made silently, then the first again. No
// silent mistake is missed, and nothing that was asked for is called unasked.
func TestHistoriesOfThreeExports(t *testing.T) {
	n := 20
	switch {
	case testing.Short():
		n = 3
	case os.Getenv("CI") == "true":
		n = 60
	}
	kinds := planted.Kinds()
	tried, silent := 0, 0
	for seed := uint64(1); int(seed) <= n; seed++ {
		rnd := rand.New(rand.NewPCG(seed, 3))
		clean := planted.New(seed, planted.ShapeOf(seed))
		plant := func(count int) *model.Election {
			county := clean.Clone()
			claims := &planted.Claims{}
			for range count * 4 {
				if count == 0 {
					break
				}
				k := kinds[rnd.IntN(len(kinds))]
				if k.Side == "primary" && k.Plant(rnd, county, claims, "") != nil {
					count--
				}
			}
			return county.Primary.Election
		}
		if read, _, err := cdf.Read([]cdf.Part{{Name: "clean.xml", Data: exportOf(t, clean.Primary.Election)}},
			cdf.Options{}); err != nil ||
			len(checks.Compare(read, clean.Second.Election, checks.Options{}).Findings) > 0 {
			continue // its shape is not one that a file of the format carries
		}
		first, other := plant(1+rnd.IntN(6)), plant(rnd.IntN(4))
		second := sheets.FromElection(clean.Second.Election, "")
		t.Run(fmt.Sprintf("seed %d", seed), func(t *testing.T) {
			r := casetest.Opened(t, casetest.New(t), second, "first.xml", exportOf(t, first))
			s := casetest.Now(t, r)
			if len(s.Items) == 0 || bytes.Equal(exportOf(t, first), exportOf(t, clean.Primary.Election)) {
				return
			}
			tried++
			for _, i := range s.Items {
				require.NoError(t, r.Decide(review.Verdict{Findings: []string{i.ID}, Outcome: casefile.OutcomeFixConfiguration,
					Reason: "the proof is right", Document: "Proof 2"}, programmer, casetest.Second))
			}
			// What is fixed exactly is no change to anybody. Our writer says a line as the candidate's
			// own or as an endorsement, as the contest's other positions need it.
			casetest.Bring(t, r, "clean.xml", exportOf(t, clean.Primary.Election))
			for _, m := range unaskedIn(t, r) {
				if siteOfParent(clean.Primary.Election, m) {
					continue // where a split precinct votes is read off its halves, one of which came back
				}
				label := precinctLabel.FindStringSubmatch(m)
				if label != nil && !slices.ContainsFunc(clean.Second.Precincts,
					func(p model.Precinct) bool { return p.Name.In("") == label[1] }) {
					continue // a member of a keyed precinct, which was not keyed itself
				}
				// What was never keyed is for the pair to confirm, if a fault of the export alone
				// was mended by it, and so is a translation, the district of a contest that came
				// back, and the judge of a measure that became a retention question. So is the label of
				// a ballot that is alone on its style, where no label was keyed.
				require.Regexp(t, `^(The precincts of district|District|The district of|The [a-z ]+ in Spanish of |Candidate.PartyId `+
					`of|EndorsementPartyIds of|The label of the ballot of |GpUnit that nothing uses|CandidateId of|`+
					`Candidate in no contest)`, m,
					"everything that changed was asked for")
			}
			// What changes silently then shows.
			if bytes.Equal(exportOf(t, other), exportOf(t, clean.Primary.Election)) {
				return
			}
			casetest.Bring(t, r, "other.xml", exportOf(t, other))
			now := casetest.Now(t, r)
			findings := len(now.Items) - len(unaskedIn(t, r))
			if findings > 0 {
				silent++
				require.NotEmpty(t, unaskedIn(t, r))
			}
			// And the first again: nothing of it is asked for any more.
			casetest.Bring(t, r, "first-again.xml", exportOf(t, first))
			require.NotEmpty(t, unaskedIn(t, r))
			for _, i := range casetest.Now(t, r).Items {
				require.NotEqual(t, review.StatusWaiting, i.Status, i.Message)
			}
		})
	}
	t.Logf("%d histories, %d with silent mistakes that are findings too", tried, silent)
	require.Greater(t, tried, n/3)
	require.Positive(t, silent)
}
