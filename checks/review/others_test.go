package review_test

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/finding"
	"counterproof/checks/internal/casetest"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// differing are the findings that two formats disagree on.
func differing(t *testing.T, r *review.Review) (out []*review.Item) {
	t.Helper()
	s := casetest.Now(t, r)
	for i := range s.Items {
		if strings.HasPrefix(s.Items[i].ID, "exports-differ-") {
			out = append(out, &s.Items[i])
		}
	}
	return out
}

// definition is the demo's export as a ballot definition, with a text of it replaced; an empty text is
// replaced nowhere.
func definition(t *testing.T, name, old, new string) []byte {
	t.Helper()
	data := casetest.Definition(t, casetest.File(t, name))
	if old == "" {
		return data
	}
	require.Contains(t, string(data), old)
	return bytes.Replace(data, []byte(old), []byte(new), 1)
}

func TestAnotherFormatIsComparedOnceAndNeverInSequence(t *testing.T) {
	r := casetest.Sealed(t)
	before := casetest.Now(t, r)
	in, err := r.LookAt(t.Context(), review.File{Name: "definition.xml", Data: definition(t, "export.xml", "", "")})
	require.NoError(t, err)
	require.Equal(t, "It is in another format (SP 1500-20 version 1) than export.xml (SP 1500-100 version 2), which is "+
		"under proof: the two are compared with each other, once.", in.Beside)
	in, err = r.LookAt(t.Context(), review.File{Name: "corrected.xml", Data: casetest.File(t, "corrected.xml")})
	require.NoError(t, err)
	require.Empty(t, in.Beside)
	casetest.Bring(t, r, "definition.xml", definition(t, "export.xml", "", ""))
	s := casetest.Now(t, r)
	require.Len(t, s.Items, len(before.Items), "what agrees is no finding")
	require.Equal(t, before.Latest.Name(), s.Latest.Name())
	require.Len(t, s.Others, 1)
	require.Equal(t, "definition.xml", s.Others[0].Name())
	require.Equal(t, "SP 1500-20 version 1", s.Others[0].Format)
	require.Equal(t, before.Latest.Seq, s.Others[0].With.Seq)
	rounds, err := r.Rounds()
	require.NoError(t, err)
	require.Len(t, rounds, 1, "it is in no sequence")
}

func TestADisagreementOfTwoFormatsStaysUntilItIsSettled(t *testing.T) {
	r := corrected(t)
	casetest.Bring(t, r, "definition.xml", definition(t, "corrected.xml", "<VotesAllowed>2<", "<VotesAllowed>3<"))
	list := differing(t, r)
	require.Len(t, list, 1)
	require.Equal(t, `The vote-for of "County Judge" is "2" in corrected.xml and "3" in definition.xml. They are exports `+
		`of one election in two formats. The second entry has "2".`, list[0].Message)
	require.Equal(t, []string{"2 (in the other format: 3)", "2"}, []string{list[0].Primary, list[0].Second})
	require.Equal(t, "County Judge", list[0].Contest)
	require.Equal(t, finding.MustFix, list[0].Grade)
	require.Equal(t, review.StatusOpen, list[0].Status)
	missing, err := r.MissingToSign()
	require.NoError(t, err)
	require.NotEmpty(t, missing, "nothing is signed while two formats disagree")

	require.NoError(t, r.Decide(review.Verdict{Findings: []string{list[0].ID}, Outcome: casefile.OutcomeFixConfiguration,
		Reason: "the definition is of another day", Document: "Certified list 3"}, casetest.Programmer, casetest.Second))
	require.Equal(t, review.StatusWaiting, differing(t, r)[0].Status)
	// A further export in sequence says nothing of the other format.
	casetest.Bring(t, r, "again.xml", casetest.File(t, "corrected.xml"))
	require.Equal(t, review.StatusWaiting, differing(t, r)[0].Status)
	require.Empty(t, unreadIn(t, r))

	casetest.Bring(t, r, "definition2.xml", definition(t, "corrected.xml", "", ""))
	require.Empty(t, differing(t, r))
	s := casetest.Now(t, r)
	require.Len(t, s.Others, 2)
	require.Equal(t, "again.xml", s.Others[1].With.Name())
	cleared := s.Item(list[0].ID)
	require.Equal(t, review.StatusCleared, cleared.Status)
	require.Equal(t, s.Others[1].Seq, cleared.ClearedBy)
}

// TestADisagreementSaysWhatWasKeyed: of a title, a name, a date, a line.
func TestADisagreementSaysWhatWasKeyed(t *testing.T) {
	r := corrected(t)
	data := string(casetest.Definition(t, casetest.File(t, "corrected.xml")))
	for old, new := range map[string]string{">County Clerk<": ">County Clerks<",
		"Ruth-Anne Skarsgaard":  "Ruth-Anne Skarsgard",
		"<StartDate>2027-11-02": "<StartDate>2027-11-03"} {
		require.Contains(t, data, old)
		data = strings.ReplaceAll(data, old, new)
	}
	casetest.Bring(t, r, "definition.xml", []byte(data))
	var said []string
	for _, i := range differing(t, r) {
		said = append(said, i.Second)
	}
	require.ElementsMatch(t, []string{"County Clerk", "Ruth-Anne Skarsgaard", "2027-11-02"}, said)
}

func TestADecisionOnTwoFormatsBindsToWhatBothSay(t *testing.T) {
	r := corrected(t)
	casetest.Bring(t, r, "definition.xml", definition(t, "corrected.xml", "<VotesAllowed>2<", "<VotesAllowed>3<"))
	require.NoError(t, r.Decide(review.Verdict{Findings: []string{differing(t, r)[0].ID},
		Outcome: casefile.OutcomeAsCertified, Reason: "the report is right", Document: "Certified list 3"},
		casetest.Programmer, casetest.Second))
	require.Equal(t, review.StatusSettled, differing(t, r)[0].Status)
	casetest.Bring(t, r, "definition2.xml", definition(t, "corrected.xml", "<VotesAllowed>2<", "<VotesAllowed>4<"))
	list := differing(t, r)
	require.Len(t, list, 1)
	require.Equal(t, review.StatusOpen, list[0].Status)
	require.Contains(t, list[0].Message, `"4" in definition2.xml`)
}

func TestAnExportInAnotherFormatIsWithdrawn(t *testing.T) {
	r := corrected(t)
	casetest.Bring(t, r, "definition.xml", definition(t, "corrected.xml", "<VotesAllowed>2<", "<VotesAllowed>3<"))
	require.Len(t, differing(t, r), 1)
	entries, err := r.Exported("definition.xml")
	require.NoError(t, err)
	require.Len(t, entries, 1)
	require.NoError(t, r.Case().Withdraw(casefile.Withdrawal{Exports: entries, Reason: "by mistake"}, casetest.Programmer,
		casetest.Second))
	require.Empty(t, differing(t, r))
	require.Empty(t, casetest.Now(t, r).Others)
}

// TestAReportBesideADefinition: the first export decides which format is under proof.
func TestAReportBesideADefinition(t *testing.T) {
	c := casetest.New(t)
	r := casetest.Opened(t, c, casetest.Sheets(t), "definition.xml", definition(t, "export.xml", "", ""))
	first := casetest.Now(t, r)
	casetest.Bring(t, r, "report.xml", casetest.File(t, "export.xml"))
	require.Empty(t, differing(t, r), "a definition has no voting units, so it disagrees on none")
	require.Equal(t, "definition.xml", casetest.Now(t, r).Latest.Name())
	require.Len(t, casetest.Now(t, r).Items, len(first.Items))
	casetest.Bring(t, r, "definition2.xml", definition(t, "corrected.xml", "", ""))
	rounds, err := r.Rounds()
	require.NoError(t, err)
	require.Len(t, rounds, 2)
	require.Empty(t, rounds[1].Asked)
	require.NotEmpty(t, rounds[1].Unasked, "nothing was decided, so nothing was asked for")
}
