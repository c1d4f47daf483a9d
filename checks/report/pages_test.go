package report_test

import (
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/casetest"
	"counterproof/checks/internal/planted"
	"counterproof/checks/report"
	"counterproof/model"
	"counterproof/model/sheets"
)

var keep = flag.String("keep", "", "write the reports of TestPages into this folder, as HTML, PDF and JSON, to be "+
	"looked at and checked by other tools")

// TestPages makes reports of every kind; with -keep they can be looked at.
func TestPages(t *testing.T) {
	if testing.Short() {
		t.Skip("sets many pages: long; run without -short")
	}
	for name, make := range map[string]func(*testing.T) *report.Report{
		"signed": func(t *testing.T) *report.Report { _, r := signed(t); return r },
		"open": func(t *testing.T) *report.Report {
			r, err := report.Make(casetest.Sealed(t))
			require.NoError(t, err)
			return r
		},
		"excepted": func(t *testing.T) *report.Report {
			r := casetest.Sealed(t)
			missing, err := r.MissingToSign()
			require.NoError(t, err)
			reasons := map[string]string{}
			for _, m := range missing {
				reasons[m.ID] = "By order of the board of 11 October 2027; to be mended before the cards are loaded"
			}
			out, err := report.SignOff(r, reasons, programmer, second, supervisor)
			require.NoError(t, err)
			return out
		},
		"amended": func(t *testing.T) *report.Report {
			r, err := report.Make(amended(t))
			require.NoError(t, err)
			return r
		},
		"superseded": func(t *testing.T) *report.Report {
			list, err := report.Signed(amended(t).Case())
			require.NoError(t, err)
			return list[0]
		},
		"hostile": func(t *testing.T) *report.Report { return hostileReport(t) },
		"primary": func(t *testing.T) *report.Report {
			county := planted.New(12, planted.ShapeOf(12))
			require.Equal(t, planted.ClosedPrimary, county.Shape.Kind)
			export := county.Primary.Election
			name := &export.Contests[1].Choices[0].Name
			*name = model.Say(model.Plain(name.Value.In("") + "e"))
			export.Contests[3].VoteFor = model.Say(export.Contests[3].VoteFor.Value + 1)
			r := casetest.Opened(t, casetest.New(t), sheets.FromElection(county.Second.Election, ""), "export.xml",
				casetest.Export(t, export))
			out, err := report.Make(r)
			require.NoError(t, err)
			require.NotEmpty(t, out.Ballots().Styles[0].Parties)
			return out
		},
		"county": func(t *testing.T) *report.Report {
			out, err := report.Make(largeCounty(t, false))
			require.NoError(t, err)
			return out
		},
	} {
		t.Run(name, func(t *testing.T) {
			if *keep == "" && (name == "county" || name == "hostile") {
				t.Skip("only to be looked at: -keep FOLDER")
			}
			r := make(t)
			canonical, page, pdf := forms(t, r)
			if *keep == "" {
				return
			}
			_, annexPage, annexPDF := annexForms(t, r)
			for end, content := range map[string]string{".json": string(canonical), ".html": page, ".pdf": pdf,
				"-annex.html": annexPage, "-annex.pdf": annexPDF} {
				require.NoError(t, os.WriteFile(filepath.Join(*keep, name+end), []byte(content), 0o644))
			}
		})
	}
}
