package report_test

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/casetest"
	"counterproof/checks/loading"
	"counterproof/checks/pairing"
	"counterproof/checks/report"
	"counterproof/model/cards"
	"counterproof/model/casefile"
	"counterproof/model/cdf"
)

// loadingPages are pages for the units of the demo's corrected export.
func loadingPages(t *testing.T, rules cards.Rules) report.LoadingPages {
	t.Helper()
	export, _, err := cdf.Read([]cdf.Part{{Name: "corrected.xml", Data: casetest.File(t, "corrected.xml")}}, cdf.Options{})
	require.NoError(t, err)
	second, err := casetest.Sheets(t).Election()
	require.NoError(t, err)
	w := &loading.Warehouse{Plan: loading.PlanOf(pairing.Of(export, second, "", nil)), Rules: rules,
		Party: func(string) string { return "" }}
	digest := strings.Repeat("3f9a", 16)
	w.From = func(cards.Card) (loading.Export, bool) { return loading.Export{Name: "corrected.xml"}, true }
	for i, u := range w.Plan.Units[1:] {
		w.Ledger = append(w.Ledger, cards.Card{Label: fmt.Sprintf("C-%02d", i+2), Unit: u.Name, Export: digest,
			Made: "2027-10-14", By: "HV"})
	}
	w.Clock, err = loading.ClockOf(rules, "2027-11-02")
	require.NoError(t, err)
	var units []*loading.Unit
	for i := range w.Plan.Units {
		units = append(units, &w.Plan.Units[i])
	}
	return report.LoadingPages{Units: units, Election: casefile.Election{Name: "General Election", Date: "2027-11-02",
		Jurisdiction: "Tarnwick County"}, Made: "2027-10-15T13:00:00Z", Foot: "corrected.xml 3f9a3f9a…", Warehouse: w}
}

var pageRules = cards.Rules{Zone: "America/New_York", Keys: []string{"power", "ballot box"},
	Seals: []string{"card door", "ballot box"}, Counters: []string{"public", "protective"}}

// Printed on both sides, each unit's sheet has what is written on its front and what must be read on its back,
// and on the back alone.
func TestLoadSheetsAreBlindUntilTheyAreTurned(t *testing.T) {
	pages := loadingPages(t, pageRules)
	pdf := deckPDF(t, "load-sheets", func(w *bytes.Buffer) error { return pages.LoadSheets(w) })
	text := poppler(t, string(pdf), "pdftotext", "-layout", "FILE", "-")
	sides := strings.Split(text, "\f")
	units := 0
	for i, side := range sides {
		if !strings.Contains(side, "Seal applied: card door") {
			continue
		}
		units++
		assert.Zero(t, i%2, "page %d is a front: it must be odd", i+1)
		back := sides[i+1]
		assert.Contains(t, back, "must show", "page %d", i+2)
		for _, secret := range []string{"1-0", "2-0", "3-0", "4-0", "General Election\n", "C-", "2 November"} {
			front := strings.SplitN(side, "\n", 3)[2] // but for the head of the page
			assert.NotContains(t, front, secret, "page %d", i+1)
		}
		assert.Contains(t, back, "2 November 2027")
	}
	assert.Equal(t, 12, units)
	assert.Contains(t, text, "the ledger has no card for this unit")
	assert.Contains(t, text, "Clocks are not moved before election morning.")
}

// A unit with more precincts, keys and seals than a page has room for still begins a sheet of its own.
func TestLoadSheetsOfLongFormsBeginSheets(t *testing.T) {
	if testing.Short() {
		t.Skip("sets many pages: long; run without -short")
	}
	rules := pageRules
	for i := range 20 {
		rules.Keys = append(rules.Keys, fmt.Sprintf("key %d", i))
	}
	pages := loadingPages(t, rules)
	for i := range pages.Warehouse.Plan.Units {
		for n := range 300 {
			pages.Warehouse.Plan.Units[i].Header = append(pages.Warehouse.Plan.Units[i].Header, fmt.Sprintf("9-%03d", n))
		}
	}
	pdf := deckPDF(t, "load-sheets-long", func(w *bytes.Buffer) error { return pages.LoadSheets(w) })
	for i, side := range strings.Split(poppler(t, string(pdf), "pdftotext", "-layout", "FILE", "-"), "\f") {
		if strings.Contains(side, "Seal found: card door") && !strings.Contains(side, "the one last recorded") {
			assert.Zero(t, i%2, "page %d is a front: it must be odd", i+1)
		}
	}
}

// The labels name the card, its unit and the export; a unit without a card in the ledger has its own name.
func TestLabelsOfCards(t *testing.T) {
	pages := loadingPages(t, pageRules)
	pdf := deckPDF(t, "labels", func(w *bytes.Buffer) error { return pages.CardLabels(w) })
	text := strings.Join(strings.Fields(poppler(t, string(pdf), "pdftotext", "-raw", "FILE", "-")), " ")
	for _, u := range pages.Warehouse.Plan.Units {
		assert.Contains(t, text, "Unit "+u.Name+" "+u.Site)
	}
	assert.Contains(t, text, "C-12 Unit")
	assert.Contains(t, text, "made 2027-10-14 from corrected.xml, 3f9a3f9a3f9a…")
}

// Where clocks are moved before election morning, the pages say what a clock shows until then, by what the
// office says of its machines. In 2024 daylight saving time ended on 3 November (tz database).
func TestPagesSayWhatClocksMustShow(t *testing.T) {
	if testing.Short() {
		t.Skip("sets many pages: long; run without -short")
	}
	rules := pageRules
	for _, itself := range []bool{true, false} {
		rules.ChangesItself = itself
		pages := loadingPages(t, rules)
		pages.Made = "2024-10-15T13:00:00Z"
		clock, err := loading.ClockOf(rules, "2024-11-05")
		require.NoError(t, err)
		pages.Warehouse.Clock = clock
		pdf := deckPDF(t, fmt.Sprintf("clocks-%v", itself), func(w *bytes.Buffer) error { return pages.LoadSheets(w) })
		text := strings.Join(strings.Fields(poppler(t, string(pdf), "pdftotext", "-raw", "FILE", "-")), " ")
		assert.Contains(t, text, "are moved 1 hour back")
		assert.Equal(t, !itself, strings.Contains(text, "1 hour behind the county's time, until clocks are moved back"))
	}
}
