package rekey

import (
	"cmp"
	"fmt"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"

	"counterproof/app/desk"
	"counterproof/app/ui"
	"counterproof/model/casefile"
)

// mostItems is the number of visible lines in the list under the field; typing more letters
// shortens the list.
const mostItems = 7

// blocks returns the parts of the open page, from top to bottom.
func (r *Screen) blocks() []block {
	d := r.d
	stops := d.Stops()
	page := d.Page()
	var out []block
	add := func(key string, guess float32, list []desk.StopInfo, make func() fyne.CanvasObject) {
		b := block{key: fmt.Sprintf("%d/%d/%s", page.Kind, page.Row, key), guess: guess, make: make}
		var sig strings.Builder
		for _, s := range list {
			fmt.Fprintf(&sig, "%v|%s|%v|%v|", s.Stop, s.Value, d.OnDisk(s.Stop), d.Flags(s.Stop))
			b.focus = b.focus || r.holds(s)
		}
		if b.focus {
			// These change with the list under the field, the width of a long text, and the focused
			// field.
			fmt.Fprintf(&sig, "focus %v %d %q %v %v %q %v", d.Focus(), d.Pick(), d.PinnedHeading(), d.Items(), len(d.Text())/40,
				d.Next(), d.Copies())
			sig.WriteString(d.Placed() + d.Document())
		}
		fmt.Fprintf(&sig, "%v%v%v%v", d.Quiet(), d.Trouble() != nil, d.Sealed(casefile.ScopeBallots),
			d.Sealed(casefile.ScopeUnits))
		b.sig = sig.String()
		out = append(out, b)
	}
	head := func(kicker, title string) {
		out = append(out, block{key: fmt.Sprintf("%d/%d/head", page.Kind, page.Row), sig: kicker + title, guess: 3,
			make: func() fyne.CanvasObject {
				return ui.Column(0.6, ui.Kicker(kicker), ui.Title(title))
			}})
	}
	switch page.Kind {
	case desk.PageElection:
		head("As the proof names it", "The election and its parties")
	case desk.PageLoose:
		head("Not on any face yet", "Contests on no face")
	case desk.PageUnits:
		head("From the cards' printed headers", "Voting units")
	case desk.PageRoster:
		head("As it was given", "The official roster of precincts")
	}
	if d.Language() != "" {
		r.languageBlocks(add, stops)
		return out
	}
	for i := 0; i < len(stops); {
		s := stops[i]
		if s.Contest > 0 || s.Kind == desk.Heading {
			j := i + 1
			for j < len(stops) && stops[j].Place == s.Place && (stops[j].Contest == s.Contest || s.Kind == desk.Heading) {
				if s.Place == 0 && stops[j].Contest != s.Contest {
					break
				}
				j++
			}
			list := stops[i:j]
			add(fmt.Sprintf("contest %d %d", list[len(list)-1].Contest, s.Place), float32(j-i)*0.9, list,
				func() fyne.CanvasObject { return r.contestBlock(list) })
			i = j
			continue
		}
		j := i + 1
		key := fmt.Sprintf("%d %d", s.Kind, s.Row)
		guess := float32(2)
		var make func(list []desk.StopInfo) fyne.CanvasObject
		switch s.Kind {
		case desk.FactName:
			j = i + 3
			guess, make = 6, r.factsBlock
		case desk.PartyCode:
			for j < len(stops) && (stops[j].Kind == desk.PartyName || stops[j].Kind == desk.PartyOrder) {
				j++
			}
			make = r.partyBlock
		case desk.FaceLabel:
			if j < len(stops) && stops[j].Kind == desk.FaceParty {
				j++
			}
			guess, make = 4, r.faceBlock
		case desk.Document:
			if j < len(stops) && stops[j].Kind == desk.NextContest {
				j++
			}
			make = r.nextBlock
		case desk.NextContest:
			make = r.nextBlock
		case desk.FacePrecincts:
			guess, make = 4, r.precinctsBlock
		case desk.UnitName:
			for j < len(stops) && stops[j].Kind != desk.UnitName {
				j++
			}
			guess, make = 2, r.unitBlock
		case desk.RosterPrecinct:
			if j < len(stops) && stops[j].Kind == desk.RosterSite {
				j++
			}
			make = r.rosterBlock
		default:
			make = func(list []desk.StopInfo) fyne.CanvasObject {
				return r.row(list, r.cell(list[0], ui.Serif, ui.SizeBody))
			}
		}
		list := stops[i:j]
		if s.Kind == desk.NextContest {
			key += d.CopySource() + d.CopiedFrom() + d.Differs()
		}
		if s.Kind == desk.Document {
			key = fmt.Sprintf("%d %d", desk.NextContest, s.Row)
		}
		if s.Kind == desk.FacePrecincts {
			extra := strings.Join(d.FacePrecinctNames(s.Row), ",")
			add(key, guess, list, func() fyne.CanvasObject { return make(list) })
			out[len(out)-1].sig += extra
		} else if s.Kind == desk.UnitName {
			add(key, guess, list, func() fyne.CanvasObject { return make(list) })
			out[len(out)-1].sig += strings.Join(d.UnitPrecinctNames(s.Row), ",")
		} else {
			add(key, guess, list, func() fyne.CanvasObject { return make(list) })
		}
		i = j
	}
	return out
}

// holds reports whether the field is at a stop. A page that is sealed whole shows no field.
func (r *Screen) holds(s desk.StopInfo) bool { return s.Stop == r.d.Focus() && !r.d.Quiet() }

// cell returns what is drawn at a stop: the field if the cursor is there, otherwise printed text,
// which gets the field when it is clicked.
func (r *Screen) cell(s desk.StopInfo, face ui.Face, size fyne.ThemeSizeName) fyne.CanvasObject {
	if r.holds(s) {
		return r.slot(10)
	}
	return r.printed(s, r.shown(s), face, size)
}

func (r *Screen) printed(s desk.StopInfo, text string, face ui.Face, size fyne.ThemeSizeName) fyne.CanvasObject {
	run := ui.Run{Text: text, Face: face}
	if text == "" {
		run = ui.Run{Text: prompts[s.Kind], Face: ui.SansItalic, Color: ui.ColorFaded}
	}
	return newSpot(ui.NewWords(size, run).Wrapped(), func() {
		r.d.GoTo(s.Stop)
		r.Refresh()
		r.Focus()
	})
}

// shown returns a value as it reads on paper.
func (r *Screen) shown(s desk.StopInfo) string {
	switch {
	case s.Value == "-":
		switch s.Kind {
		case desk.FaceParty:
			return "every voter's ballot"
		case desk.ChoiceLines, desk.PrimaryParty:
			return "—"
		}
		return "— nothing printed"
	case s.Kind == desk.ChoiceLines, s.Kind == desk.PrimaryParty, s.Kind == desk.FaceParty:
		return strings.ReplaceAll(s.Value, "|", " · ")
	case s.Kind == desk.VoteFor && s.Value != "":
		if r.d.Ranked(s.Contest) {
			return "Rank up to " + s.Value
		}
		return "Vote for " + s.Value
	case s.Kind == desk.Variation && s.Value != "":
		return desk.VariationWords(s.Value)
	case s.Kind == desk.ContestKind:
		return map[string]string{"candidate": "candidates", "measure": "measure", "retention": "retention",
			"party": "straight party"}[s.Value]
	case s.Kind == desk.Source && s.Value != "":
		return "Keyed from: " + s.Value
	case s.Kind == desk.ChoiceOrder && s.Value != "":
		if words, ok := r.d.OrderWords(s.Place, s.Value); ok {
			return "Order on this face: " + words
		}
		return "Order on this face: " + strings.ReplaceAll(s.Value, "|", ", ")
	case s.Kind == desk.PartyOrder && s.Value != "":
		return "Place in the order of parties: " + s.Value
	case s.Kind == desk.ChoicePerson && s.Value != "":
		return "person: " + s.Value
	}
	return s.Value
}

// row draws a line of the proof between its two margins. The left margin has a square for each
// field, filled when the field is on disk. The right margin notes what is odd. If the field is in
// the line, its list follows below.
func (r *Screen) row(list []desk.StopInfo, body fyne.CanvasObject) fyne.CanvasObject {
	var marks, odd []fyne.CanvasObject
	focused := false
	for _, s := range list {
		focused = focused || r.holds(s)
		if was, changed := r.d.Was(s.Stop); changed {
			odd = append(odd, r.corrected(s, was))
		}
		if s.Value != "" {
			marks = append(marks, diskMark(r.d.OnDisk(s.Stop), r.d.Trouble() != nil))
		}
		for _, f := range r.d.Flags(s.Stop) {
			odd = append(odd, ui.MiddleCells(0.8, []float32{0, 1}, ui.NewDrawing(ui.StateWarning, theme.ColorNameWarning),
				ui.NewWords(ui.SizeCaption, ui.Run{Text: f, Face: ui.SansBold, Color: theme.ColorNameWarning}).Wrapped()))
		}
	}
	line := container.New(&proofRow{}, ui.Cells(1, nil, marks...), body, ui.Column(0.3, odd...))
	if !focused {
		return line
	}
	items := r.d.Items()
	if next := r.d.Next(); next != "" && (len(items) == 0 || r.d.Pick() < 0) {
		return ui.Column(0.3, line, container.New(&proofRow{}, ui.Column(0),
			ui.NewWords(ui.SizeCaption, ui.Run{Text: "Enter: ", Color: ui.ColorFaded},
				ui.Run{Text: next, Face: ui.SansBold, Color: ui.ColorAccent}).Wrapped(), ui.Column(0)))
	}
	if len(items) == 0 {
		return line
	}
	return ui.Column(0.4, line, container.New(&proofRow{}, ui.Column(0), r.itemList(items), ui.Column(0)))
}

// itemList is the list under the field. Its lines do not move while the pick moves.
func (r *Screen) itemList(items []desk.Item) fyne.CanvasObject {
	var lines []fyne.CanvasObject
	pick := r.d.Pick()
	from := 0
	if pick >= mostItems {
		from = pick - mostItems + 1
	}
	// Parties and documents are offered before anything is typed.
	parties, documents := items[0].Code != "", r.d.Focus().Kind == desk.Document
	typed := strings.TrimSpace(r.d.Text()) != "" || (parties || documents) && pick >= 0
	for i := from; i < len(items) && i < from+mostItems; i++ {
		text, face := items[i].Words, ui.Serif
		if items[i].IsHeading {
			text += "  (heading)"
		}
		var mark fyne.CanvasObject = ui.NewDrawing(ui.StateNext, ui.ColorAccent)
		if i != pick || !typed {
			mark = blank(ui.NewDrawing(ui.StateNext, ui.ColorAccent).MinSize())
		} else {
			face = ui.SerifBold
		}
		// Wrapped: where a line is cut, those of a long title would all be the same.
		lines = append(lines, ui.MiddleCells(1, []float32{0, 1}, mark,
			ui.NewWords(ui.SizeBody, ui.Run{Text: text, Face: face}).Wrapped()))
	}
	more := "Enter takes it"
	if !typed && parties {
		more = "the keyed parties; ↓ picks one, an empty Enter takes none"
	} else if !typed && documents {
		more = "keyed from before; ↓ picks one, an empty Enter leaves " + cmp.Or(r.d.Document(), "it unnamed")
	} else if !typed {
		more = "keyed before; a letter picks the first"
	} else if pick < 0 {
		more = "Enter keys what was typed"
	}
	if n := len(items) - from - mostItems; n > 0 {
		more = fmt.Sprintf("%d more · %s", n, more)
	}
	lines = append(lines, ui.Caption(more))
	r.items = ui.Slip(ui.Column(0.3, lines...))
	return r.items
}

// pick filters stops by kind.
func pick(list []desk.StopInfo, kinds ...desk.StopKind) (out []desk.StopInfo) {
	for _, s := range list {
		for _, k := range kinds {
			if s.Kind == k {
				out = append(out, s)
			}
		}
	}
	return out
}
