package review_test

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/finding"
	"counterproof/checks/internal/casetest"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// with is an export with a text of it replaced, as often as it stands there.
func with(t *testing.T, export []byte, old, new string) []byte {
	t.Helper()
	require.Contains(t, string(export), old)
	return bytes.ReplaceAll(export, []byte(old), []byte(new))
}

// open are the sentences of what is open, but for what the demo's first export gave.
func unreadIn(t *testing.T, r *review.Review) (out []*review.Item) {
	t.Helper()
	s := casetest.Now(t, r)
	for i := range s.Items {
		if strings.HasPrefix(s.Items[i].ID, "unread-change-") {
			out = append(out, &s.Items[i])
		}
	}
	return out
}

// accepted is the demo with its corrected export, and nothing open.
func corrected(t *testing.T) *review.Review {
	t.Helper()
	r := casetest.Sealed(t)
	casetest.Settle(t, r)
	casetest.Bring(t, r, "corrected.xml", casetest.File(t, "corrected.xml"))
	for _, i := range unreadIn(t, r) {
		t.Error(i.Message)
	}
	return r
}

func TestWhatNoCheckComparesDoesNotChangeUnseen(t *testing.T) {
	r := corrected(t)
	export := casetest.File(t, "corrected.xml")
	changed := with(t, export, "<Type>general</Type>", "<Type>special</Type>")
	changed = with(t, changed, "<IsTopTicket>true</IsTopTicket>", "<IsTopTicket>false</IsTopTicket>")
	changed = bytes.Replace(changed, []byte("<VotesAllowed>2</VotesAllowed>"),
		[]byte("<NumberElected>2</NumberElected><VotesAllowed>2</VotesAllowed>"), 1)
	casetest.Bring(t, r, "again.xml", changed)
	list := unreadIn(t, r)
	var said []string
	for _, i := range list {
		said = append(said, i.Message)
		require.Equal(t, review.StatusOpen, i.Status)
		require.Equal(t, finding.Confirm, i.Grade)
		require.True(t, i.Unasked)
	}
	all := strings.Join(said, "\n")
	require.Contains(t, all, `Election.Type`)
	require.Contains(t, all, `from "general" to "special"`)
	require.Contains(t, all, `Candidate.IsTopTicket of 3 things`)
	require.Contains(t, all, `NumberElected of`)
	require.Len(t, list, 3, all)
	missing, err := r.MissingToSign()
	require.NoError(t, err)
	require.NotEmpty(t, missing, "nothing is signed while a change is open")

	ids := []string{}
	for _, i := range list {
		ids = append(ids, i.ID)
	}
	require.NoError(t, r.Decide(review.Verdict{Findings: ids, Outcome: casefile.OutcomeAsCertified,
		Reason:   "the office asked",
		Document: "Order 12"}, casetest.Programmer, casetest.Second))
	for _, i := range unreadIn(t, r) {
		require.False(t, i.Status.Open(), "%s: %s", i.Status, i.Message)
	}
	casetest.Bring(t, r, "back.xml", export)
	require.Len(t, unreadIn(t, r), 3, "putting back what was accepted is a change again")
}

func TestTheSameChangeOnAFurtherThingIsNotDecidedWithTheFirst(t *testing.T) {
	r := corrected(t)
	export := casetest.File(t, "corrected.xml")
	one := bytes.Replace(export, []byte("<IsTopTicket>true</IsTopTicket>"), []byte("<IsTopTicket>false</IsTopTicket>"), 1)
	casetest.Bring(t, r, "one.xml", one)
	list := unreadIn(t, r)
	require.Len(t, list, 1)
	require.NoError(t, r.Decide(review.Verdict{Findings: []string{list[0].ID}, Outcome: casefile.OutcomeAsCertified,
		Reason: "so it is", Document: "Order 12"}, casetest.Programmer, casetest.Second))
	casetest.Bring(t, r, "two.xml", with(t, export, "<IsTopTicket>true</IsTopTicket>", "<IsTopTicket>false</IsTopTicket>"))
	var open []string
	for _, i := range unreadIn(t, r) {
		if i.Status.Open() {
			open = append(open, i.Message)
		}
	}
	require.Len(t, open, 1)
	require.Contains(t, open[0], "of 2 things")
}

func TestWhoMadeAnExportAndWhenIsNoChangeOfIt(t *testing.T) {
	r := corrected(t)
	export := string(casetest.File(t, "corrected.xml"))
	at := strings.Index(export, "<GeneratedDate>") + len("<GeneratedDate>")
	casetest.Bring(t, r, "again.xml", []byte(export[:at]+"2028-10-13"+export[at+10:]))
	require.Empty(t, unreadIn(t, r))
}

// A number changed in the Spanish text of a measure alone is how a real election failed: one
// language of a ballot was wrong.
func TestAChangeInALanguageThatNobodyKeyedIsSeen(t *testing.T) {
	spanish := func(export []byte, years string) []byte {
		at := bytes.Index(export, []byte("<FullText>")) + len("<FullText>")
		require.Greater(t, at, len("<FullText>"))
		return bytes.Join([][]byte{export[:at], []byte(`<Text Language="es">Se extiende a ` + years + ` años.</Text>`),
			export[at:]}, nil)
	}
	r := casetest.Sealed(t)
	casetest.Settle(t, r)
	casetest.Bring(t, r, "corrected.xml", spanish(casetest.File(t, "corrected.xml"), "3"))
	var before []string
	for _, i := range casetest.Now(t, r).Items {
		before = append(before, i.ID)
	}
	casetest.Bring(t, r, "again.xml", spanish(casetest.File(t, "corrected.xml"), "5"))
	var said []string
	for _, i := range casetest.Now(t, r).Items {
		if !slices.Contains(before, i.ID) && i.Status.Open() {
			said = append(said, i.Message)
		}
	}
	require.Len(t, said, 1)
	require.Contains(t, said[0], "in Spanish")
	require.Contains(t, said[0], "5 años")
}
