package app_test

import (
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/internal/windowtest"
)

// printed prints what the place in view shows, and returns the file.
func printed(t *testing.T, w *windowtest.Window) (name, text string) {
	opened := w.Opened()
	w.Print()
	require.Len(t, *opened, 1)
	u, err := url.Parse((*opened)[0])
	require.NoError(t, err)
	info, err := os.Stat(u.Path)
	require.NoError(t, err)
	assert.Zero(t, info.Mode().Perm()&0o077, "for this account alone")
	b, err := os.ReadFile(u.Path)
	require.NoError(t, err)
	return filepath.Base(u.Path), string(b)
}

func TestFaceDifferencesAndReportArePrinted(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	w.Print()
	assert.Empty(t, w.Sheets.All(), "Case has nothing to print")
	w.Go("Re-key")
	w.Fyne().Canvas().Focused().(fyne.Shortcutable).TypedShortcut(
		&desktop.CustomShortcut{KeyName: fyne.KeyPageUp, Modifier: fyne.KeyModifierControl}) // a face that is keyed
	name, text := printed(t, w)
	assert.True(t, strings.HasSuffix(name, ".html"))
	assert.Contains(t, text, "As keyed by the second party. This is no ballot and no proof.")
	assert.Contains(t, text, "Precincts of this face")

	w.Compare()
	w.Go("Differences")
	name, text = printed(t, w)
	assert.Equal(t, "differences.html", name)
	assert.Contains(t, text, "must-fix, open")
	assert.NotContains(t, text, "<script")

	w.Go("Sign")
	opened := w.Opened()
	assert.Eventually(t, func() bool { w.Print(); w.CloseSheets(); return len(*opened) > 0 }, 10*time.Second,
		10*time.Millisecond)
	assert.True(t, strings.HasSuffix((*opened)[0], "/report.pdf"))
	u, err := url.Parse((*opened)[0])
	require.NoError(t, err)
	b, err := os.ReadFile(u.Path)
	require.NoError(t, err)
	assert.True(t, strings.HasPrefix(string(b), "%PDF-"))
	w.Quit()
	assert.NoFileExists(t, u.Path, "nothing of it stays behind")
}
