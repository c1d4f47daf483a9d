package app_test

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/desk/session"
	"counterproof/app/internal/windowtest"
	"counterproof/app/ui"
)

// lay writes files into a folder, each written a minute later than the one before.
func lay(t *testing.T, dir string, names ...string) {
	t.Helper()
	at := time.Date(2027, 10, 8, 16, 40, 0, 0, time.Local)
	for _, name := range names {
		path := filepath.Join(dir, name)
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, []byte(name), 0o644))
		require.NoError(t, os.Chtimes(path, at, at))
		at = at.Add(time.Minute)
	}
}

func keysTo(f fyne.Focusable, keys ...fyne.KeyName) {
	for _, k := range keys {
		f.TypedKey(&fyne.KeyEvent{Name: k})
	}
}

func TestAFileIsChosenByKeyboardAlone(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	dir := t.TempDir()
	t.Setenv("HOME", dir)
	lay(t, dir, "first.xml", "minutes.txt", "exports/second.XML", "third.xml", ".hidden.xml")
	var got []string
	ask := func() *ui.Field {
		got = nil
		w.ChooseFiles("The export", "", "Bring it in", []string{".xml"}, true, func(paths []string) { got = paths })
		return w.Field("File")
	}
	at := func(names ...string) (out []string) {
		for _, n := range names {
			out = append(out, filepath.Join(dir, n))
		}
		return out
	}

	f := ask()
	assert.Equal(t, dir+"/", f.Text)
	assert.Contains(t, w.Says(), "2 files with .xml in this folder")
	for _, not := range []string{"minutes", "hidden"} {
		assert.NotContains(t, w.Says(), not)
	}
	keysTo(f, fyne.KeyReturn)
	assert.Nil(t, got, "nothing is taken that was not picked")
	assert.Contains(t, w.Says(), "Type the file's name")
	keysTo(f, fyne.KeyDown, fyne.KeyReturn)
	assert.Equal(t, at("third.xml"), got, "the newest is the first")
	assert.Empty(t, w.Sheets.All())

	f = ask()
	test.Type(f, "FIR")
	keysTo(f, fyne.KeyReturn)
	assert.Equal(t, at("first.xml"), got, "a few letters and Enter")

	f = ask()
	test.Type(f, "exp")
	keysTo(f, fyne.KeyReturn)
	assert.Equal(t, dir+"/exports/", f.Text, "Enter goes into a folder")
	keysTo(f, fyne.KeyDown, fyne.KeyReturn)
	assert.Equal(t, at("exports/second.XML"), got)

	for typed, want := range map[string]string{"third.xml": "third.xml", "~/first.xml": "first.xml",
		`"` + dir + `/first.xml"`:               "first.xml",
		"file://" + dir + "/exports/second.XML": "exports/second.XML", dir + "/minutes.txt": "minutes.txt"} {
		f = ask()
		f.SetText(typed)
		keysTo(f, fyne.KeyReturn)
		assert.Equal(t, at(want), got, typed)
	}

	f = ask()
	f.SetText(dir + "/missing.xml")
	keysTo(f, fyne.KeyReturn)
	assert.Nil(t, got)
	assert.Contains(t, w.Says(), "There is no file "+dir+"/missing.xml")
	f.SetText(dir + "/no such folder/")
	assert.Contains(t, w.Says(), "There is no such folder")
	keysTo(f, fyne.KeyEscape)
	assert.Empty(t, w.Sheets.All())

	f = ask()
	test.Type(f, "first.xml")
	w.Tap("And another file")
	assert.Contains(t, w.Says(), "Together with first.xml")
	keysTo(f, fyne.KeyDown, fyne.KeyReturn)
	assert.Equal(t, at("first.xml", "third.xml"), got)
	f = ask()
	test.Type(f, "thi")
	w.Tap("And another file")
	keysTo(f, fyne.KeyReturn)
	assert.Equal(t, at("third.xml"), got, "Enter after the last of several")
}

func TestPicturesOfChoosingAFile(t *testing.T) {
	windowtest.Pictures(t, "", map[string]func(t *testing.T, w *windowtest.Window){
		"choose": func(t *testing.T, w *windowtest.Window) {
			folder := filepath.Join(t.TempDir(), "county")
			lay(t, folder, "export 1 October.xml", "export 8 October.xml", "cards.csv", "older/export.xml")
			t.Setenv("HOME", folder)
			w.ChooseFiles("The export", "Its XML or JSON file, or all its parts one after the other; with it, or later, the "+
				"card list as CSV. You see what it is before it comes in.", "Choose it", session.ExportEndings, true,
				func([]string) {})
			w.Field("File").SetText("e")
		}})
}
