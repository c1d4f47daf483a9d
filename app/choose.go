package app

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"github.com/dustin/go-humanize"
	"github.com/dustin/go-humanize/english"

	"counterproof/app/desk/session"
	"counterproof/app/ui"
	"counterproof/model/casefile"
)

// chooser asks for a file. Its path is typed or pasted. The list below the field shows the
// files of the folder; typing narrows the list, and the arrow keys and Enter, or the pointer,
// choose from it.
type chooser struct {
	w       *Window
	base    string // what a relative path is relative to
	endings []string
	several bool
	then    func(paths []string)
	// known reports whether a file came in already; nil where that is not asked.
	known func(session.Offer) bool

	s      *ui.Sheet
	path   *ui.Field
	taken  []string // files that are chosen already, of several
	folder string   // whose offers those are
	offers []session.Offer
	list   *ui.KeyedList
	shown  []session.Offer
	note   *ui.Words
	chosen *ui.Words
}

// chooseFile asks for a file with one of the endings.
func (w *Window) chooseFile(head, hint string, endings []string, then func(path string)) {
	w.chooseFiles(head, hint, "Open", endings, false, func(paths []string) { then(paths[0]) })
}

// ChooseCSV asks for a CSV file.
func (w *Window) ChooseCSV(head, hint string, then func(path string)) {
	w.chooseFile(head, hint, []string{".csv"}, then)
}

// chooseFiles asks for a file, or for several, with one of the endings.
func (w *Window) chooseFiles(head, hint, label string, endings []string, several bool, then func(paths []string)) {
	base := documents()
	if c := w.Session.Case(); c != nil {
		if abs, err := filepath.Abs(c.Path()); err == nil {
			base = filepath.Dir(abs)
		}
	}
	c := &chooser{w: w, base: base, endings: endings, several: several, then: then, path: ui.NewField("File", "")}
	if slices.Equal(endings, session.ExportEndings) {
		c.known = w.Session.CameInAlready
	}
	if dir := w.lastFolder; dir != "" && !slices.Equal(endings, noFile) && session.IsFolder(dir) {
		c.base = dir
	}
	if c.folders() {
		c.path.Name = "Folder"
	}
	c.note, c.chosen = ui.Caption(""), ui.Bold("")
	c.chosen.Hide()
	c.list = ui.NewKeyedList(func() int { return len(c.shown) }, c.line, c.pick, nil)
	c.list.At = -1
	c.path.OnChanged = func(string) { c.narrow() }
	c.path.OnSubmitted = func(string) { c.take() }
	c.path.OnKey = c.key
	content := ui.Column(2, ui.Body(hint), c.chosen,
		ui.Column(0.6, ui.Bold(c.path.Name), c.path, c.note),
		c.list.Tall(7))
	c.s = w.Lay(head, content, func(s *ui.Sheet) {
		s.Action(ui.Next, label, c.take)
		if several {
			s.Action(ui.Plain, "And another file", c.another)
		}
		s.Action(ui.Plain, "The folder above", c.above)
		s.Action(ui.Quiet, "Not now", func() { s.Escape() })
		c.path.OnEscape = func() { s.Escape() }
		s.Focus(c.path)
	})
	c.set(strings.TrimSuffix(c.base, string(filepath.Separator)) + string(filepath.Separator))
}

// folders reports whether a folder is asked for.
func (c *chooser) folders() bool { return slices.Equal(c.endings, noFile) }

// set writes a path into the field and puts the cursor at its end.
func (c *chooser) set(path string) {
	c.path.SetText(path)
	c.path.CursorRow, c.path.CursorColumn = 0, len([]rune(path))
	c.path.Refresh()
	c.w.win.Canvas().Focus(c.path)
}

// typed returns the path in the field, its folder, and its last part.
func (c *chooser) typed() (path, folder, name string) {
	path = session.TypedPath(c.base, c.path.Text)
	folder, name = filepath.Split(path)
	return path, filepath.Clean(folder), name
}

// narrow lists those files of the folder that match the typed letters.
func (c *chooser) narrow() {
	_, folder, name := c.typed()
	if folder != c.folder {
		c.folder, c.offers = folder, nil
		c.read(folder)
	}
	c.shown = session.Narrow(c.offers, name)
	c.list.At = -1
	if name != "" && len(c.shown) > 0 {
		c.list.At = 0
	}
	c.list.Refresh()
	c.list.ScrollToTop()
}

// read lists a folder on another goroutine, because the disk may be slow.
func (c *chooser) read(folder string) {
	c.note.SetText("…")
	done := func(offers []session.Offer, more bool, err error) {
		if folder != c.folder {
			return
		}
		c.offers = offers
		kinds := strings.Join(c.endings, ", ")
		files := 0
		for _, o := range offers {
			if !o.Folder {
				files++
			}
		}
		switch {
		case err != nil:
			c.note.SetText("There is no such folder that can be read.")
		case more:
			c.note.SetText("The folder holds very many files; not all of them are shown. Type the name.")
		case c.folders():
			c.note.SetText("↓ and Enter open a folder; letters narrow the list; Enter alone takes the folder in the field.")
		case files == 0:
			c.note.SetText("No file with " + kinds + " is in this folder.")
		default:
			c.note.SetText(fmt.Sprintf("%s with %s in this folder, the newest first. ↓ and Enter take one; letters narrow "+
				"the list.", english.Plural(files, "file", ""), kinds))
		}
		c.narrow()
		c.s.Refit()
	}
	var offers []session.Offer
	more := false
	c.w.Away("Looking into the folder", func() (err error) {
		offers, more, err = session.Browse(folder, c.endings, c.known)
		return err
	}, func(err error) {
		done(offers, more, err)
		c.w.Fault(err)
	})
}

// line draws a file or folder in the list.
func (c *chooser) line(i int) []ui.Run {
	o := c.shown[i]
	if o.Folder {
		return []ui.Run{{Text: o.Name + string(filepath.Separator), Face: ui.SansItalic}}
	}
	already := ""
	if o.Known {
		already = " · came in already"
	}
	return []ui.Run{{Text: o.Name, Face: ui.SansBold},
		{Text: "   " + o.At.Local().Format("2 January 2006, 15:04") + " · " +
			humanize.Bytes(uint64(max(o.Size, 0))) + already,
			Color: ui.ColorFaded}}
}

// key moves in the list while the field has the focus.
func (c *chooser) key(e *fyne.KeyEvent) bool {
	switch e.Name {
	case fyne.KeyUp, fyne.KeyDown, fyne.KeyPageUp, fyne.KeyPageDown:
		c.list.TypedKey(e)
		return true
	}
	return false
}

// pick chooses a file from the list, or opens a folder of it.
func (c *chooser) pick(i int) {
	if i < 0 || i >= len(c.shown) {
		return
	}
	path := filepath.Join(c.folder, c.shown[i].Name)
	if c.shown[i].Folder {
		c.set(path + string(filepath.Separator))
		return
	}
	c.finish(path)
}

// take chooses the typed file if it exists, otherwise the one picked in the list.
func (c *chooser) take() {
	path, _, name := c.typed()
	switch {
	case c.folders() && c.list.At < 0 && session.IsFolder(path):
		c.finish(filepath.Clean(path))
	case c.folders() && c.list.At < 0:
		c.say("There is no folder " + path + "; write or choose one that is there.")
	case name != "" && session.IsFile(path):
		c.finish(path)
	case c.list.At >= 0:
		c.pick(c.list.At)
	case name != "" && session.IsFolder(path):
		c.set(path + string(filepath.Separator))
	case name == "" && len(c.taken) > 0:
		c.finish("")
	case name == "":
		c.say("Type the file's name, or pick it with ↓.")
	default:
		c.say(session.NotThere(path))
	}
}

// another adds a file to those chosen and asks for the next.
func (c *chooser) another() {
	path, _, name := c.typed()
	if c.list.At >= 0 && !session.IsFile(path) && !c.shown[c.list.At].Folder {
		path, name = filepath.Join(c.folder, c.shown[c.list.At].Name), "x"
	}
	if name == "" || !session.IsFile(path) {
		c.say("Type the file's name first, or pick it with ↓.")
		return
	}
	if !slices.Contains(c.taken, path) {
		c.taken = append(c.taken, path)
	}
	var names []string
	for _, p := range c.taken {
		names = append(names, filepath.Base(p))
	}
	c.chosen.SetText("Together with " + strings.Join(names, ", "))
	c.chosen.Show()
	c.set(c.folder + string(filepath.Separator))
	c.s.Refit()
}

func (c *chooser) say(words string) {
	c.note.SetText(words)
	c.s.Refit()
	c.w.win.Canvas().Focus(c.path)
}

func (c *chooser) finish(path string) {
	paths := slices.Clone(c.taken)
	if path != "" && !slices.Contains(paths, path) {
		paths = append(paths, path)
	}
	c.s.Close()
	if len(paths) > 0 && !c.folders() {
		c.w.lastFolder = filepath.Dir(paths[0])
	}
	c.then(paths)
}

// above goes to the folder above.
func (c *chooser) above() {
	if up := filepath.Dir(c.folder); up != c.folder {
		c.set(strings.TrimSuffix(up, string(filepath.Separator)) + string(filepath.Separator))
	}
}

// noFile is an ending that no file has: what is offered are folders alone.
var noFile = []string{"/"}

// ChooseFolder asks for a folder.
func (w *Window) ChooseFolder(then func(path string)) {
	w.chooseFiles("Choose a folder", "The folder in the field is taken; the list shows the folders in it.",
		"Take this folder", noFile, false, func(paths []string) { then(paths[0]) })
}

// AskOpen asks for a case file.
func (w *Window) AskOpen() {
	w.chooseFile("Open a case", "A case is one file, with everything that one election's cross-check recorded. Its name "+
		"ends with "+casefile.Extension+".", []string{casefile.Extension}, w.OpenCase)
}
