// Package mappingsheet draws the sheet on which the programmer makes a mapping of tables: their columns,
// what each is taken for, and what comes of it. What it says and allows is decided in app/desk/mapping.
package mappingsheet

import (
	"context"
	"fmt"
	"io"
	"path/filepath"
	"slices"

	"fyne.io/fyne/v2"

	"counterproof/app/desk/mapping"
	"counterproof/app/ui"
	"counterproof/model/files"
	"counterproof/model/tables"
)

// Window is what the sheet asks of the window.
type Window interface {
	ui.Window
	// Away does something beside the window, and then goes on.
	Away(what string, do func() error, then func(error))
	// Save asks where a file is written.
	Save(head string, above fyne.CanvasObject, file *ui.Field, label string,
		more func(*ui.Sheet) []fyne.CanvasObject, to files.Place, write func(files.Place))
	Fail(error)
}

// maker is the sheet while a mapping is made.
type maker struct {
	w     Window
	draft *mapping.Draft
	saved func(path string)

	sheet   *ui.Sheet
	at      int // the table in view
	name    *ui.Words
	header  *ui.Words
	list    *ui.KeyedList
	comes   *ui.Words
	said    *fyne.Container // what is missing and odd
	values  *ui.Action
	outcome mapping.Outcome
	stop    func() // ends the reading through an earlier mapping
}

// Show lays the sheet over the window. Saved is called with the path of the mapping when it is saved.
func Show(w Window, d *mapping.Draft, saved func(path string)) {
	m := &maker{w: w, draft: d, saved: saved, name: ui.Bold(""), header: ui.Caption(""), comes: ui.Bold(""),
		said: ui.Column(0.4), stop: func() {}}
	m.list = ui.NewKeyedList(func() int { return len(m.table().Columns) }, m.line, m.choose, nil)
	content := ui.Column(1.5, ui.Caption("This shows the export: it is the programmer's work. Enter on a column says "+
		"what it holds."), ui.Column(0.2, m.name, m.header), m.list.Tall(m.lines()), ui.Rule(), m.comes, m.said)
	m.sheet = w.Lay("A mapping of tables", content, func(s *ui.Sheet) {
		s.Wide = true
		s.Action(ui.Next, "Save the mapping", m.save)
		s.Action(ui.Plain, "See the ballots", m.ballots)
		if len(d.Tables()) > 1 {
			s.Action(ui.Plain, "Next table", m.next)
		}
		s.Action(ui.Plain, "See the rows", m.rows)
		m.values = s.Action(ui.Plain, "What values mean", m.meanings)
		s.Action(ui.Quiet, "Not now", m.leave)
		s.OnEscape = m.leave
		s.Focus(m.list)
	})
	m.refresh()
}

func (m *maker) table() tables.ProposedTable { return m.draft.Tables()[m.at] }

// lines is how many columns are in sight: as many as the largest table has, and not too many.
func (m *maker) lines() (n int) {
	for _, t := range m.draft.Tables() {
		n = max(n, len(t.Columns))
	}
	return max(3, min(n, 8))
}

// refresh shows the draft as it is, and begins to read the tables through it.
func (m *maker) refresh() {
	t := m.table()
	m.name.SetText(fmt.Sprintf("%s (table %d of %d)", t.Name, m.at+1, len(m.draft.Tables())))
	m.header.SetText(mapping.HeaderWords(t))
	m.list.At = max(0, min(m.list.At, len(t.Columns)-1))
	m.list.Refresh()
	if len(m.draft.Unknown(m.at)) > 0 {
		m.values.Enable()
	} else {
		m.values.Disable()
	}
	m.stop()
	ctx, cancel := context.WithCancel(context.Background())
	m.stop = cancel
	read := m.draft.Outcome()
	m.comes.SetText("Reading the tables …")
	var outcome mapping.Outcome
	m.w.Away("Reading the tables", func() error {
		outcome = read(ctx)
		return nil
	}, func(err error) {
		if ctx.Err() == nil {
			m.outcome = outcome
			m.say()
		}
		m.w.Fail(err)
	})
}

// close takes the sheet away, and ends what is read for it.
func (m *maker) close() {
	m.stop()
	m.sheet.Close()
}

// mostSaid is how many sentences of a kind are shown.
const mostSaid = 12

// say shows what comes of the mapping, and what is missing and odd.
func (m *maker) say() {
	m.comes.SetText(m.outcome.Words)
	m.comes.SetColor(ui.ColorInk)
	if m.outcome.Fault {
		m.comes.SetColor(ui.ColorAccent)
	}
	odd := m.draft.Odd()
	notes := slices.DeleteFunc(slices.Clone(m.outcome.Notes), func(n string) bool { return slices.Contains(odd, n) })
	m.said.Objects = nil
	for _, part := range []struct {
		head string
		list []string
	}{{"Missing", m.draft.Lacks()}, {"To be looked at", odd}, {"How it was read", notes}} {
		if len(part.list) == 0 {
			continue
		}
		m.said.Add(ui.Kicker(part.head))
		for _, words := range part.list[:min(len(part.list), mostSaid)] {
			m.said.Add(ui.Body("– " + words))
		}
		if more := len(part.list) - mostSaid; more > 0 {
			m.said.Add(ui.Caption(fmt.Sprintf("and %d more", more)))
		}
	}
	m.said.Refresh()
	m.sheet.Refit()
}

// line draws a column.
func (m *maker) line(i int) []ui.Run {
	c := m.table().Columns[i]
	words, compared := mapping.ColumnWords(c)
	color := ui.ColorInk
	if !compared {
		color = ui.ColorFaded
	}
	runs := []ui.Run{{Text: c.Name, Face: ui.SansBold}, {Text: "  →  " + words, Color: color}}
	for n, s := range c.Samples {
		lead := " · "
		if n == 0 {
			lead = "      "
		}
		runs = append(runs, ui.Run{Text: lead + ui.Shortened(s, 30), Face: ui.Serif, Color: ui.ColorFaded})
	}
	return runs
}

// next shows the next table.
func (m *maker) next() {
	m.at = (m.at + 1) % len(m.draft.Tables())
	m.list.At = 0
	m.refresh()
	m.w.Fyne().Canvas().Focus(m.list)
}

// leave closes the sheet; what was said and not saved is asked for.
func (m *maker) leave() {
	if !m.draft.Changed() {
		m.close()
		return
	}
	m.w.Lay("Drop what you said of the columns?", ui.Body("The mapping is saved nowhere yet."), func(q *ui.Sheet) {
		q.Action(ui.Next, "Go on with it", q.Close)
		q.Action(ui.Plain, "Drop it", func() { q.Close(); m.close() })
	})
}

// save writes the mapping to a file.
func (m *maker) save() {
	data, err := m.draft.JSON()
	if err != nil {
		m.w.Fail(err)
		return
	}
	file := ui.NewField("Mapping", "")
	file.SetText(filepath.Join(filepath.Dir(m.draft.Paths[0]), "mapping.json"))
	above := ui.Column(1, ui.Body("It says what the columns mean, and names the export's columns: until the second entry "+
		"is sealed, keep it where the tables are, on the programmer's side."))
	if m.outcome.Fault {
		above.Add(ui.Bold("The tables cannot be read through it yet: " + m.outcome.Words))
	}
	m.w.Save("Save the mapping", above, file, "Save", nil, files.Place{Inputs: m.draft.Paths}, func(to files.Place) {
		m.w.Away("Saving the mapping", func() error {
			return to.Write(func(f io.Writer) error { _, err := f.Write(data); return err })
		}, func(err error) {
			if err != nil {
				m.w.Fail(err)
				return
			}
			m.draft.Saved()
			m.close()
			m.saved(to.Path)
		})
	})
}
