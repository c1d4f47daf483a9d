package app_test

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/app/internal/windowtest"
	"counterproof/model/casefile"
)

func TestPicturesOfTheWindow(t *testing.T) {
	windowtest.Pictures(t, "case-", map[string]func(t *testing.T, w *windowtest.Window){
		"ask-new":    func(_ *testing.T, w *windowtest.Window) { w.AskNew() },
		"ask-enrol":  func(t *testing.T, w *windowtest.Window) { w.LayOutDemo(); w.AskEnrol(casefile.SeatSupervisor) },
		"ask-unlock": func(t *testing.T, w *windowtest.Window) { w.LayOutDemo(); w.AskUnlock("p2", "", nil) },
		"ask-roster": func(t *testing.T, w *windowtest.Window) { w.LayOutDemo(); w.AskRoster() },
		"keys":       func(t *testing.T, w *windowtest.Window) { w.LayOutDemo(); w.Help() },
		"about":      func(_ *testing.T, w *windowtest.Window) { w.About() },
		"incoming": func(_ *testing.T, w *windowtest.Window) {
			w.LayOutDemo()
			w.Seal()
			w.Drop([]string{"Counterproof demo/export.xml"})
		},
		"ask-certified": func(_ *testing.T, w *windowtest.Window) { w.LayOutDemo(); w.AskCertified() },
		"certified": func(_ *testing.T, w *windowtest.Window) {
			w.LayOutDemo()
			w.AskCertified()
			w.Tap("Candidates by contest")
			w.Write("File", filepath.Join("certified", "candidates.csv"))
			w.Press("Return")
		},
		"certified-name": func(_ *testing.T, w *windowtest.Window) {
			w.LayOutDemo()
			w.AskCertified()
			w.Tap("Candidates by contest")
			w.Write("File", filepath.Join("certified", "candidates.csv"))
			w.Press("Return")
			w.Tap("Go on to sign it in")
		},
		"error": func(t *testing.T, w *windowtest.Window) {
			bad := filepath.Join(t.TempDir(), "minutes.counterproof")
			require.NoError(t, os.WriteFile(bad, []byte("minutes of the board"), 0o644))
			w.Fail(errors.New("minutes.counterproof is not a case file; choose a file that this program made"))
		},
	})
}
