package report_test

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/casetest"
	"counterproof/checks/report"
	"counterproof/checks/review"
	"counterproof/model/cards"
)

// loaded is the demo with its corrected export and a card for each unit; the first two units are read, the
// first is signed for, and the second's clock is an hour behind.
func loaded(t *testing.T) *review.Review {
	t.Helper()
	r := casetest.Finished(t)
	require.NoError(t, r.SetMachineRules(pageRules, programmer, second))
	m, err := r.Machines()
	require.NoError(t, err)
	var ledger []cards.Card
	for i, u := range m.Warehouse.Plan.Units {
		from := r.Case().State().Exports[1]
		if i == 11 {
			from = r.Case().State().Exports[0] // an old one
		}
		ledger = append(ledger, cards.Card{Label: fmt.Sprintf("C-%02d", i+1), Unit: u.Name, Export: from.Digest.String(),
			Made: "2027-10-13", By: "OF"})
	}
	require.NoError(t, r.MakeCards(programmer, ledger...))
	for i := range 2 {
		u := m.Warehouse.Plan.Units[i]
		now := time.Date(2027, 10, 14, 13, 0, 0, 0, time.UTC)
		screen := m.Warehouse.Clock.Must(now).Screen().Add(-time.Duration(i) * time.Hour)
		read := func(field cards.Field, name, value string, list ...string) {
			one := cards.Reading{Unit: u.Name, Field: field, Name: name, Value: value, List: list}
			if field == cards.Clock {
				one.Read = now.Format(time.RFC3339)
			}
			require.NoError(t, r.ReadUnit(second, one))
		}
		read(cards.Header, "", "", u.Header...)
		read(cards.Election, "", "General Election")
		read(cards.Date, "", "2027-11-02")
		read(cards.Label, "", ledger[i].Label)
		read(cards.Clock, "", screen.Format(cards.ClockLayout))
		for _, key := range pageRules.Keys {
			read(cards.Key, key, cards.Turns)
		}
		read(cards.Zero, "", cards.AllZero)
		read(cards.Initials, "", "", "A1", "A2")
		for _, counter := range pageRules.Counters {
			read(cards.Counter, counter, "12")
		}
		read(cards.LoadTime, "", "89")
		for n, place := range pageRules.Seals {
			read(cards.SealApplied, place, fmt.Sprintf("41%02d", 2*i+n))
		}
	}
	require.NoError(t, r.SignUnit(m.Warehouse.Plan.Units[0].Name, programmer, second))
	return r
}

// The part says of each unit what was expected, read, sealed and signed; its first sentence counts no more
// than what was held.
func TestTheReportSaysWhatWasHeldAtTheMachines(t *testing.T) {
	if testing.Short() {
		t.Skip("sets many pages: long; run without -short")
	}
	without, err := report.Make(casetest.Finished(t))
	require.NoError(t, err)
	require.Nil(t, without.Loading, "nothing was loaded")

	r := loaded(t)
	made, err := report.Make(r)
	require.NoError(t, err)
	first := made.Loading.Said[0]
	for _, words := range []string{"list – no certified list was held", "proof and export – what the second " +
		"party keyed was held against the export, and no difference is open", "the cards of 11 of 12 units",
		"at 1 of 12 units everything was done and signed",
		"test deck – no machine's count of a test deck is on record"} {
		assert.Contains(t, first, words)
	}
	assert.Equal(t, "11 units are not done.", made.Loading.Said[1])
	one, two := made.Loading.Units[0], made.Loading.Units[1]
	assert.Empty(t, one.Left)
	assert.Empty(t, one.Findings)
	assert.Len(t, one.Visits[0].By, 2)
	assert.Empty(t, two.Visits[0].By)
	require.Len(t, two.Findings, 1)
	assert.Contains(t, two.Findings[0].Message, "1 hour behind")

	var pdf, html bytes.Buffer
	require.NoError(t, made.PDF(&pdf))
	require.NoError(t, made.HTML(&html))
	if *keepDeck != "" {
		deckPDF(t, "report", func(w *bytes.Buffer) error { return made.PDF(w) })
	}
	text := strings.Join(strings.Fields(poppler(t, pdf.String(), "pdftotext", "-raw", "FILE", "-")), " ")
	for _, words := range []string{"Loading", "Signed by Odile Farrow", "Nobody signed for this visit", "4100",
		"Link by link"} {
		assert.Contains(t, text, words)
		assert.Contains(t, html.String(), words)
	}

	// Each unit has one status. The digest of an export stands once, however many cards were made from it.
	assert.Contains(t, text, "1 thing left, 1 finding open")
	for word, times := range map[string]int{">done<": 1, ">not begun<": 9, ">not begun, 1 finding open<": 1} {
		assert.Equal(t, times, strings.Count(html.String(), word), word)
	}
	for _, x := range r.Case().State().Exports {
		digest := x.Digest.String()[:4] + " " + x.Digest.String()[4:8]
		of := html.String()[strings.Index(html.String(), "The exports that the cards were made from"):]
		assert.Equal(t, 1, strings.Count(of[:strings.Index(of, "Unit ")], digest), x.Name)
		assert.NotContains(t, of[strings.Index(of, "Unit "):], digest, x.Name)
	}
	// What was read is worded as on the screen on which it was keyed.
	for _, words := range []string{"the seal applied to the card door", "all zero", "1:29"} {
		assert.Contains(t, text, words)
	}

	// Whoever makes it again from the case gets the same bytes.
	again, err := report.Make(review.New(r.Case()))
	require.NoError(t, err)
	assert.Equal(t, made.Loading, again.Loading)
}

// What two of different parties accepted is no open finding, and the sentence says that it was accepted.
func TestAnAcceptedFindingAtAMachineIsSettledInTheReport(t *testing.T) {
	r := loaded(t)
	m, err := r.Machines()
	require.NoError(t, err)
	var clock string
	for _, i := range m.Items {
		if strings.Contains(i.Message, "1 hour behind") {
			clock = i.ID
		}
	}
	require.NoError(t, r.DecideUnit(review.UnitVerdict{Findings: []string{clock}, Outcome: cards.Accept,
		Reason: "the clock is not used"}, programmer, second))
	require.NoError(t, r.SignUnit(m.Warehouse.Plan.Units[1].Name, programmer, second))
	made, err := report.Make(r)
	require.NoError(t, err)
	assert.Contains(t, made.Loading.Said[0], "at 2 of 12 units everything was done")
	assert.Contains(t, made.Loading.Said[0], "agrees or was accepted")
	assert.Equal(t, "the clock is not used", made.Loading.Units[1].Findings[0].Decisions[0].Reason)
}

// What two signed for on a visit is told as it was then: a later visit's reading stands by itself, and a
// correction that came after the signatures says so.
func TestAReadingAfterTheSignaturesIsNotTakenForWhatWasSigned(t *testing.T) {
	r := loaded(t)
	m, err := r.Machines()
	require.NoError(t, err)
	unit := m.Warehouse.Plan.Units[0].Name
	counter, _ := m.Visit(unit).Get(cards.Counter, pageRules.Counters[0])
	require.NoError(t, r.ReadUnit(second, cards.Reading{Unit: unit, Field: cards.Visit}))
	require.NoError(t, r.ReadUnit(second, cards.Reading{Unit: unit, Field: cards.Zero, Value: cards.NotZero}))
	require.NoError(t, r.ReadUnit(second, cards.Reading{Unit: unit, Field: cards.Counter, Name: counter.Name,
		Value: "13", Corrects: counter.Entry, Reason: "misread"}))
	made, err := report.Make(r)
	require.NoError(t, err)
	visits := made.Loading.Units[0].Visits
	require.Len(t, visits, 2)
	shown := func(v report.LoadedVisit) (out []string) {
		for _, reading := range v.Readings {
			out = append(out, reading.What+": "+reading.Read)
		}
		return out
	}
	assert.Contains(t, shown(visits[0]), "the zero report: all zero")
	require.Len(t, visits[0].Corrected, 1)
	assert.Contains(t, visits[0].Corrected[0], "after the signatures")
	assert.Contains(t, shown(visits[1]), "the zero report: not all zero")
	assert.Contains(t, shown(visits[1]), "the clock, read on an earlier visit: "+visits[0].Readings[4].Read)
}
