package mappingsheet

import (
	"fmt"
	"slices"
	"strings"

	"counterproof/app/desk/mapping"
	"counterproof/app/ui"
	"counterproof/model/tables"
)

// pick asks for one of several lines; leave is the label of what takes none.
func (m *maker) pick(head, words, leave string, length int, line func(int) []ui.Run, at int, take func(int)) {
	var s *ui.Sheet
	list := ui.NewKeyedList(func() int { return length }, line, func(i int) { s.Close(); take(i) }, nil)
	list.At = at
	list.Letter = func(r rune) { jump(list, length, line, r) }
	s = m.w.Lay(head, ui.Column(1.5, ui.Caption(words), list.Tall(min(length, 12))), func(s *ui.Sheet) {
		s.Wide = true
		s.Action(ui.Quiet, leave, s.Close)
		s.Focus(list)
	})
	list.ScrollTo(max(0, at))
}

// jump goes to the next line with a word that begins with a letter.
func jump(list *ui.KeyedList, length int, line func(int) []ui.Run, letter rune) {
	for n := 1; n <= length; n++ {
		i := (max(list.At, 0) + n) % length
		text := ""
		for _, run := range line(i) {
			text += run.Text
		}
		if strings.Contains(" "+strings.ToLower(text), " "+strings.ToLower(string(letter))) {
			list.At = i
			list.Refresh()
			list.ScrollTo(i)
			return
		}
	}
}

// choose asks what a column holds.
func (m *maker) choose(i int) {
	columns := m.table().Columns
	if i >= len(columns) {
		return
	}
	c := columns[i]
	roles := []tables.RoleWords{{Words: "nothing of this: it is " + mapping.NotCompared}}
	if c.Role != "" || len(c.As) == 0 { // else it is one of many alike
		roles = append(roles, tables.Roles()...)
	}
	roles = append(roles, tables.RoleWords{Words: "what is guessed of it"})
	at := slices.IndexFunc(roles, func(r tables.RoleWords) bool { return r.Role == c.Role })
	words := "Its first values: " + strings.Join(c.Samples, " · ")
	if len(c.Samples) == 0 {
		words = "It holds: " + strings.Join(c.As, ", ")
	}
	m.pick("What does the column "+ui.Shortened(c.Name, 40)+" hold?", ui.Shortened(words, 200)+
		". A letter leads to the next word that begins with it.", "Not now", len(roles),
		func(i int) []ui.Run { return []ui.Run{{Text: roles[i].Words}} }, at, func(chosen int) {
			if chosen == len(roles)-1 {
				m.draft.Forget(m.at, c.Name)
			} else {
				m.draft.SetRole(m.at, c.Name, roles[chosen].Role)
			}
			m.refresh()
		})
}

// rows shows the first rows of the table; one of them may be said to name the columns.
func (m *maker) rows() {
	t := m.table()
	at := slices.IndexFunc(t.Rows, func(r tables.TopRow) bool { return r.Row == t.Header }) + 1
	m.pick("The first rows of "+t.Name, mapping.HeaderWords(t)+" Enter on another row says that it does.",
		"Not now", len(t.Rows)+1,
		func(i int) []ui.Run {
			if i == 0 {
				return []ui.Run{{Text: "No row names the columns", Face: ui.SansItalic}}
			}
			r := t.Rows[i-1]
			face := ui.Serif
			if r.Row == t.Header {
				face = ui.SerifBold
			}
			return []ui.Run{{Text: fmt.Sprintf("%d  ", r.Row), Color: ui.ColorFaded}, {Text: mapping.RowWords(r), Face: face}}
		}, at, func(i int) {
			row := tables.NoHeader
			if i > 0 {
				row = t.Rows[i-1].Row
			}
			if row != t.Header {
				m.draft.SetHeader(m.at, row)
				m.refresh()
			}
		})
}

// meanings asks what values mean, one after the other.
func (m *maker) meanings() {
	unknown := m.draft.Unknown(m.at)
	if len(unknown) == 0 {
		return
	}
	v := unknown[0]
	list := mapping.Meanings(v.Role)
	m.pick(fmt.Sprintf("What does %q mean?", ui.Shortened(v.Text, 40)), "It stands in the column for "+
		mapping.RoleWords(v.Role)+".", "Not now", len(list), func(i int) []ui.Run {
		words := list[i]
		if words == "" {
			words = "no"
		}
		return []ui.Run{{Text: words}}
	}, 0, func(i int) {
		m.draft.SetCode(m.at, v.Role, v.Text, list[i])
		m.refresh()
		m.meanings()
	})
}

// ballots shows the ballots that come of the mapping.
func (m *maker) ballots() {
	lines := mapping.Lines(m.outcome.Ballots)
	if len(lines) == 0 {
		m.w.Say("There is no ballot yet", m.outcome.Words)
		return
	}
	m.pick("The ballots", m.outcome.Words, "Go on", len(lines), func(i int) []ui.Run {
		switch l := lines[i]; l.Level {
		case 0:
			return []ui.Run{{Text: l.Text, Face: ui.SansBold}}
		case 1:
			return []ui.Run{{Text: "   " + l.Text, Face: ui.SerifBold}}
		default:
			return []ui.Run{{Text: "         " + l.Text, Face: ui.Serif}}
		}
	}, 0, func(int) {})
}
