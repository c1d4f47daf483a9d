package rekey

import (
	"os"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/require"

	"counterproof/app/desk"
	"counterproof/app/ui"
	"counterproof/app/ui/picture"
	"counterproof/assets/demo"
	"counterproof/model/casefile"
)

// marker stands in the primary and nowhere else.
const marker = "ZZ-PRIMARY-MARKER-7741"

// TestTheRekeyScreenIsBlind keys while the primary is known by its digest alone: nothing
// of it is in the case, nor on any page or panel of the place. It can fail: once the
// ballots are sealed the export comes in, and the marker is found in the same file.
func TestTheRekeyScreenIsBlind(t *testing.T) {
	test.NewTempApp(t).Settings().SetTheme(ui.Theme{})
	primary, err := demo.FS.ReadFile("export.xml")
	require.NoError(t, err)
	text := strings.Replace(string(primary), "County Clerk", marker, 1)
	require.Contains(t, text, marker, "the marker is in the export")

	c, k := rekeyCase(t, smallRoster())
	require.NoError(t, c.Announce("p1", "export.xml", casefile.DigestOf([]byte(text)), int64(len(text))))
	_, err = c.Receive("p1", "export.xml", []byte(text))
	require.ErrorIs(t, err, casefile.ErrNotSealed)

	r, p := rekeyWindow(t, k)
	look := func(where string) {
		t.Helper()
		texts := strings.Join(picture.Texts(r.Content()), "\n")
		require.NotEmpty(t, texts)
		require.NotContains(t, texts, marker, where)
		require.NotContains(t, texts, casefile.DigestOf([]byte(text)).String()[:12], where)
	}
	keyOneFace(r, p)
	look("keying")
	p.key(fyne.KeyReturn)
	p.line("1-01..2-03")
	for _, page := range r.d.Pages() {
		r.d.Open(page.Page)
		r.Refresh()
		look("a page")
	}
	for name, panel := range map[string]func(){"keys": r.ShowKeys, "odd": r.ShowOdd, "unassigned": r.ShowUnassigned,
		"find": r.ShowFind, "paste": func() { r.ShowPaste("A (vote for 1)\nB  C\n") }} {
		panel()
		look(name)
		r.lift()
	}
	require.Empty(t, r.d.Find(marker))
	inFile := func() bool {
		for _, end := range []string{"", "-wal"} {
			b, err := os.ReadFile(c.Path() + end)
			if err == nil && strings.Contains(string(b), marker) {
				return true
			}
		}
		return false
	}
	require.NoError(t, r.d.Flush())
	require.False(t, inFile(), "no byte of the export is in the case before it is sealed")

	require.NoError(t, c.Seal("p2", casefile.Seal{Scope: casefile.ScopeBallots}))
	_, err = c.Receive("p1", "export.xml", []byte(text))
	require.NoError(t, err)
	require.True(t, inFile(), "after the seal it is there: the test above could have failed")
	r.d.Refresh()
	r.d.Open(desk.Page{Kind: desk.PageFace, Row: 1})
	r.Refresh()
	look("after the seal")
}
