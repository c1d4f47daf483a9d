package report_test

import (
	"bytes"
	"errors"
	"io"
	"strings"
	"testing"

	"counterproof/checks/report"
)

// FuzzParse reads any bytes: they are refused, or they are a report that gives its own
// bytes again and can be shown in every form.
func FuzzParse(f *testing.F) {
	_, made := signed(f)
	small := *made
	whole, err := made.JSON()
	if err != nil {
		f.Fatal(err)
	}
	f.Add(whole)
	// One that is quick to change: of each list the first.
	small.Findings = small.Findings[:1]
	small.Coverage.Contests, small.Coverage.Precincts, small.Coverage.Units = small.Coverage.Contests[:1],
		small.Coverage.Precincts[:1], small.Coverage.Units[:1]
	small.Overview.Rows = small.Overview.Rows[:0]
	f.Add(shortened(f, small))
	f.Add([]byte(`{"format":"counterproof-report/1"}`))
	f.Add([]byte(`{"findings":[{},{},{}],"format":"counterproof-report/1"}`))
	f.Add([]byte(`{"Format":"x","format":"counterproof-report/1"}`))
	f.Fuzz(func(t *testing.T, b []byte) {
		r, err := report.Parse(b)
		if err != nil {
			if !errors.Is(err, report.ErrNotReport) {
				t.Fatalf("not an ErrNotReport: %v", err)
			}
			return
		}
		again, err := r.JSON()
		if err != nil || !bytes.Equal(again, b) {
			t.Fatalf("it gives other bytes again (%v)", err)
		}
		if err := r.HTML(io.Discard); err != nil {
			t.Fatal(err)
		}
		if err := r.PDF(io.Discard); err != nil {
			t.Fatal(err)
		}
	})
}

// FuzzAnnex reads any bytes as an annex: they are refused, or can be shown in every form.
func FuzzAnnex(f *testing.F) {
	_, made := signed(f)
	whole, err := made.Ballots().JSON()
	if err != nil {
		f.Fatal(err)
	}
	f.Add(whole)
	f.Add([]byte(`{"case":"","contests":[{"choices":[{"name":"A","party_lines":["X"],"write_in":false},{"name":"B",` +
		`"party_lines":[],"write_in":true}],"kind":"","primary_parties":[],"subtitle":"","text":"","title":"","vote_for":""}],` +
		`"entries":1,"format":"counterproof-annex/1","head":"","sites":[],"styles":[{"closing":[],"contests":[{"contest":0,` +
		`"headings":[],"order":[1,0]}],"findings":[],"label":"","parties":[],"precincts":["1"]},{"closing":["x"],"contests":` +
		`[{"contest":0,"headings":["y"],"order":[1]}],"findings":[2],"label":"","parties":["X"],"precincts":[]}],"units":[]}`))
	f.Fuzz(func(t *testing.T, b []byte) {
		r, err := report.WithAnnex(*made, b)
		if err != nil {
			if !errors.Is(err, report.ErrNotReport) {
				t.Fatalf("not an ErrNotReport: %v", err)
			}
			return
		}
		if err := r.AnnexHTML(io.Discard); err != nil {
			t.Fatal(err)
		}
		if err := r.AnnexPDF(io.Discard); err != nil {
			t.Fatal(err)
		}
	})
}

// shortened is the JSON of a report that was put together.
func shortened(f *testing.F, r report.Report) []byte {
	f.Helper()
	fresh := report.Fresh(r)
	b, err := fresh.JSON()
	if err != nil {
		f.Fatal(err)
	}
	return bytes.ReplaceAll(b, []byte("null"), []byte("[]"))
}

// Names that differ in capitals alone are not taken for each other, and nothing is said
// twice.
func TestAReportSaysEachThingOnce(t *testing.T) {
	_, made := signed(t)
	b, err := made.JSON()
	if err != nil {
		t.Fatal(err)
	}
	for name, change := range map[string][2]string{
		"another spelling":  {`"format":`, `"Format":"","format":`},
		"a name twice":      {`"format":`, `"format":"counterproof-report/1","format":`},
		"null for a list":   {`"mappings":[]`, `"mappings":null`},
		"an empty object":   {`"mappings":[]`, `"mappings":[{}]`},
		"a person's number": {`","id":"p1","name"`, `","id":"../p1","name"`},
		"a person twice":    {`","id":"p2","name"`, `","id":"p1","name"`},
	} {
		now := strings.Replace(string(b), change[0], change[1], 1)
		if now == string(b) {
			t.Fatalf("%s: nothing was changed", name)
		}
		if _, err := report.Parse([]byte(now)); !errors.Is(err, report.ErrNotReport) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
