package app

import (
	"fyne.io/fyne/v2"

	"counterproof/app/ui"
)

// What the tests of the window see of its inside.

const (
	PrefWidth = prefWidth
	Drawing   = drawing
)

var (
	ReadText = readText
	While    = while
	Opener   = opener
)

func (w *Window) Tabs() (out []fyne.Focusable) {
	for _, t := range w.rail.tabs {
		out = append(out, t)
	}
	return out
}

func (w *Window) Chips() []*ui.Action { return w.header.chips }
func (w *Window) CaseChanged()        { w.caseChanged() }
func (w *Window) Came(err error)      { w.came(err) }
func (w *Window) MayLose(err error)   { w.mayLose(err) }
func (w *Window) Theme() ui.Theme     { return w.theme() }

func (w *Window) ChooseFiles(head, hint, label string, endings []string, several bool, then func([]string)) {
	w.chooseFiles(head, hint, label, endings, several, then)
}

func (w *Window) Returned()                    { w.returned() }
func (w *Window) InView(f fyne.Focusable) bool { return w.inView(f) }

// MenuActions are what the entries of the menu do.
func (w *Window) MenuActions() (out []func()) {
	for _, m := range w.win.MainMenu().Items {
		for _, i := range m.Items {
			if i.Action != nil {
				out = append(out, i.Action)
			}
		}
	}
	return out
}

func (w *Window) MakeMapping(paths []string) {
	w.makeMapping(paths, func(path string) { w.Say("The mapping is saved", "It is in "+path+".") })
}
