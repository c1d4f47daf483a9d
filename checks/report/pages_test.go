package report_test

import (
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/casetest"
	"counterproof/checks/report"
)

var keep = flag.String("keep", "", "write the reports of TestPages into this folder, as HTML, PDF and JSON, to be looked at and checked by other tools")

// TestPages makes reports of every kind; with -keep they can be looked at.
func TestPages(t *testing.T) {
	for name, make := range map[string]func(*testing.T) *report.Report{
		"signed": func(t *testing.T) *report.Report { _, r := signed(t); return r },
		"open": func(t *testing.T) *report.Report {
			r, err := report.Make(casetest.Sealed(t))
			require.NoError(t, err)
			return r
		},
	} {
		t.Run(name, func(t *testing.T) {
			canonical, page, pdf := forms(t, make(t))
			if *keep == "" {
				return
			}
			for end, content := range map[string]string{".json": string(canonical), ".html": page, ".pdf": pdf} {
				require.NoError(t, os.WriteFile(filepath.Join(*keep, name+end), []byte(content), 0o644))
			}
		})
	}
}
