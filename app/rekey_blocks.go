package app

import (
	"fmt"
	"image/color"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"counterproof/app/desk"
	"counterproof/app/look"
	"counterproof/model/casefile"
)

// mostItems is how many lines of the list under the field are shown; more letters
// shorten it.
const mostItems = 7

// blocks are the parts of the open page, from top to foot.
func (r *Rekey) blocks() []block {
	d := r.d
	stops := d.Stops()
	focus := d.Focus()
	page := d.Page()
	var out []block
	add := func(key string, guess float32, list []desk.StopInfo, make func() fyne.CanvasObject) {
		b := block{key: fmt.Sprintf("%d/%d/%s", page.Kind, page.Row, key), guess: guess, make: make}
		var sig strings.Builder
		for _, s := range list {
			fmt.Fprintf(&sig, "%v|%s|%v|%v|", s.Stop, s.Value, d.OnDisk(s.Stop), d.Flags(s.Stop))
			b.focus = b.focus || s.Stop == focus
		}
		if b.focus {
			// The list under the field, the width of a long text, and which field.
			fmt.Fprintf(&sig, "focus %v %d %q %v %v", focus, d.Pick(), d.PinnedHeading(), d.Items(), len(d.Text())/40)
		}
		fmt.Fprintf(&sig, "%v%v%v", d.Trouble() != nil, d.Sealed(casefile.ScopeBallots), d.Sealed(casefile.ScopeUnits))
		b.sig = sig.String()
		out = append(out, b)
	}
	head := func(kicker, title string) {
		out = append(out, block{key: fmt.Sprintf("%d/%d/head", page.Kind, page.Row), sig: kicker + title, guess: 3, make: func() fyne.CanvasObject {
			return look.Column(0.6, look.Kicker(kicker), look.Title(title))
		}})
	}
	switch page.Kind {
	case desk.PageElection:
		head("As the proof names it", "The election and its parties")
	case desk.PageLoose:
		head("Not on any face yet", "Contests on no face")
	case desk.PageUnits:
		head("From the cards' printed headers", "Voting units")
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
			add(fmt.Sprintf("contest %d %d", list[len(list)-1].Contest, s.Place), float32(j-i)*0.9, list, func() fyne.CanvasObject { return r.contestBlock(list) })
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
			if j < len(stops) && stops[j].Kind == desk.PartyName {
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
		default:
			make = func(list []desk.StopInfo) fyne.CanvasObject {
				return r.row(list, r.cell(list[0], look.Serif, look.SizeBody))
			}
		}
		list := stops[i:j]
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

// cell is what stands at a stop: the field where the cursor is, print elsewhere. What
// is printed goes to the field when it is clicked.
func (r *Rekey) cell(s desk.StopInfo, face look.Face, size fyne.ThemeSizeName) fyne.CanvasObject {
	if s.Stop == r.d.Focus() {
		return r.slot(10)
	}
	return r.printed(s, r.shown(s), face, size)
}

func (r *Rekey) printed(s desk.StopInfo, text string, face look.Face, size fyne.ThemeSizeName) fyne.CanvasObject {
	run := look.Run{Text: text, Face: face}
	if text == "" {
		run = look.Run{Text: prompts[s.Kind], Face: look.SansItalic, Color: look.ColorFaded}
	}
	return newSpot(look.NewWords(size, run).Wrapped(), func() {
		r.d.GoTo(s.Stop)
		r.Refresh()
		r.Focus()
	})
}

// shown is how a value reads on paper.
func (r *Rekey) shown(s desk.StopInfo) string {
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
		return "Vote for " + s.Value
	case s.Kind == desk.ContestKind:
		return map[string]string{"candidate": "candidates", "measure": "measure", "retention": "retention", "party": "straight party"}[s.Value]
	case s.Kind == desk.Source && s.Value != "":
		return "Keyed from: " + s.Value
	case s.Kind == desk.ChoiceOrder && s.Value != "":
		return "Order on this face: " + strings.ReplaceAll(s.Value, "|", ", ")
	case s.Kind == desk.ChoicePerson && s.Value != "":
		return "person: " + s.Value
	}
	return s.Value
}

// row sets a line of the proof between its two margins: at the left a square for
// each field, filled when it is on disk; at the right what is odd. Under it comes the
// list of the field, if the field is in it.
func (r *Rekey) row(list []desk.StopInfo, body fyne.CanvasObject) fyne.CanvasObject {
	var marks, odd []fyne.CanvasObject
	focused := false
	for _, s := range list {
		focused = focused || s.Stop == r.d.Focus()
		if s.Value != "" {
			marks = append(marks, diskMark(r.d.OnDisk(s.Stop), r.d.Trouble() != nil))
		}
		for _, f := range r.d.Flags(s.Stop) {
			odd = append(odd, look.MiddleCells(0.8, []float32{0, 1}, look.NewDrawing(look.StateWarning, theme.ColorNameWarning),
				look.NewWords(look.SizeCaption, look.Run{Text: f, Face: look.SansBold, Color: theme.ColorNameWarning}).Wrapped()))
		}
	}
	line := container.New(proofRow{}, look.Cells(1, nil, marks...), body, look.Column(0.3, odd...))
	if !focused {
		return line
	}
	items := r.d.Items()
	if len(items) == 0 {
		return line
	}
	return look.Column(0.4, line, container.New(proofRow{}, look.Column(0), r.itemList(items), look.Column(0)))
}

// itemList is the list under the field. Its lines stay where they are while the
// pick moves.
func (r *Rekey) itemList(items []desk.Item) fyne.CanvasObject {
	var lines []fyne.CanvasObject
	pick := r.d.Pick()
	from := 0
	if pick >= mostItems {
		from = pick - mostItems + 1
	}
	typed := strings.TrimSpace(r.d.Text()) != ""
	for i := from; i < len(items) && i < from+mostItems; i++ {
		text, face := items[i].Words, look.Serif
		if items[i].IsHeading {
			text += "  (heading)"
		}
		var mark fyne.CanvasObject = look.NewDrawing(look.StateNext, look.ColorAccent)
		if i != pick || !typed {
			mark = blank(look.NewDrawing(look.StateNext, look.ColorAccent).MinSize())
		} else {
			face = look.SerifBold
		}
		lines = append(lines, look.MiddleCells(1, []float32{0, 1}, mark, look.NewWords(look.SizeBody, look.Run{Text: text, Face: face}).Short()))
	}
	more := "Enter takes it"
	if !typed {
		more = "keyed before; a letter picks the first"
	} else if pick < 0 {
		more = "Enter keys what was typed"
	}
	if n := len(items) - from - mostItems; n > 0 {
		more = fmt.Sprintf("%d more · %s", n, more)
	}
	lines = append(lines, look.Caption(more))
	return look.Slip(look.Column(0.3, lines...))
}

// find the stops of a kind.
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

// contestBlock is a contest as a ballot proof prints it.
func (r *Rekey) contestBlock(list []desk.StopInfo) fyne.CanvasObject {
	focus := r.d.Focus()
	active := false
	for _, s := range list {
		active = active || s.Stop == focus
	}
	var rows []fyne.CanvasObject
	one := func(s desk.StopInfo, face look.Face, size fyne.ThemeSizeName) {
		rows = append(rows, r.row([]desk.StopInfo{s}, r.cell(s, face, size)))
	}
	for _, s := range pick(list, desk.Heading) {
		if s.Value != "" && s.Stop != focus {
			rows = append(rows, container.New(proofRow{}, look.Cells(1, nil, diskMark(r.d.OnDisk(s.Stop), r.d.Trouble() != nil)),
				look.Column(0.5, r.printed(s, strings.ToUpper(r.shown(s)), look.SansBold, look.SizeBody), look.HeavyRule()), look.Column(0)))
		} else {
			one(s, look.SansBold, look.SizeBody)
		}
	}
	titles := pick(list, desk.Title)
	votes := pick(list, desk.VoteFor)
	subs := pick(list, desk.Subtitle)
	kinds := pick(list, desk.ContestKind)
	if len(titles)+len(votes)+len(subs)+len(kinds) == 4 {
		rows = append(rows, r.row([]desk.StopInfo{titles[0], votes[0]}, look.Cells(2, []float32{3, 1},
			r.cell(titles[0], look.SerifBold, look.SizeHeading), r.cell(votes[0], look.SansBold, look.SizeBody))))
		var sub fyne.CanvasObject = look.NewWords(look.SizeCaption, look.Run{})
		if subs[0].Value != "" || active {
			sub = r.cell(subs[0], look.Serif, look.SizeBody)
		}
		rows = append(rows, r.row([]desk.StopInfo{subs[0], kinds[0]}, look.Cells(2, []float32{3, 1}, sub, r.cell(kinds[0], look.Sans, look.SizeCaption))))
		if c := titles[0].Contest; r.d.Reopened(c) {
			rows = append(rows, container.New(proofRow{}, look.Column(0), look.NewBadge(look.StateFree, "opened again by an amendment", look.ColorAccent), look.Column(0)))
		}
	}
	for _, s := range pick(list, desk.PrimaryParty) {
		one(s, look.Sans, look.SizeBody)
	}
	for _, s := range pick(list, desk.MeasureText) {
		if s.Value != "" || active {
			one(s, look.Serif, look.SizeBody)
		}
	}
	rows = append(rows, container.New(proofRow{}, look.Column(0), look.Rule(), look.Column(0)))
	for i := 0; i < len(list); i++ {
		s := list[i]
		switch s.Kind {
		case desk.ChoiceName:
			whole := []desk.StopInfo{s}
			var lines, person fyne.CanvasObject
			for i+1 < len(list) && (list[i+1].Kind == desk.ChoiceLines || list[i+1].Kind == desk.ChoicePerson) {
				i++
				whole = append(whole, list[i])
				if list[i].Kind == desk.ChoiceLines {
					lines = r.cell(list[i], look.SansBold, look.SizeBody)
				} else {
					person = r.cell(list[i], look.Sans, look.SizeCaption)
				}
			}
			var name fyne.CanvasObject
			if lines == nil {
				name = r.writeInLine(s)
				lines = look.NewWords(look.SizeBody, look.Run{Text: "write-in", Face: look.SansItalic, Color: look.ColorFaded})
			} else {
				name = r.cell(s, look.Serif, look.SizeBody)
			}
			if person != nil {
				name = look.Column(0.2, name, person)
			}
			rows = append(rows, r.row(whole, look.MiddleCells(2, []float32{0, 3, 1}, oval(), name, lines)))
		case desk.NextChoice:
			if s.Stop == focus {
				rows = append(rows, r.row([]desk.StopInfo{s}, look.MiddleCells(2, []float32{0, 3, 1}, oval(), r.slot(10), look.NewWords(look.SizeBody, look.Run{}))))
			} else if s.Needed {
				one(s, look.Serif, look.SizeBody)
			}
		}
	}
	for _, s := range pick(list, desk.ChoiceOrder, desk.Source) {
		if s.Value != "" || active {
			one(s, look.SansItalic, look.SizeCaption)
		}
	}
	return look.Inset(0, 1, look.Column(0.7, rows...))
}

// writeInLine is a blank line over which the wording stands small.
func (r *Rekey) writeInLine(s desk.StopInfo) fyne.CanvasObject {
	if s.Stop == r.d.Focus() {
		return r.slot(10)
	}
	return look.Column(0.1, r.printed(s, r.shown(s), look.SerifItalic, look.SizeBody), look.Rule())
}

func (r *Rekey) labelled(label string, s desk.StopInfo, face look.Face, size fyne.ThemeSizeName) fyne.CanvasObject {
	return r.row([]desk.StopInfo{s}, look.Column(0.3, look.Caption(label), r.cell(s, face, size)))
}

func (r *Rekey) factsBlock(list []desk.StopInfo) fyne.CanvasObject {
	rows := []fyne.CanvasObject{
		r.labelled("Election", list[0], look.SerifBold, look.SizeHeading),
		r.labelled("Day", list[1], look.Serif, look.SizeBody),
		r.labelled("Jurisdiction", list[2], look.Serif, look.SizeBody),
		look.Inset(0, 2, container.New(proofRow{}, look.Column(0), look.Column(1, look.Kicker("Parties, by the code beside a choice"), look.HeavyRule()), look.Column(0))),
	}
	return look.Column(1.5, rows...)
}

func (r *Rekey) partyBlock(list []desk.StopInfo) fyne.CanvasObject {
	var name fyne.CanvasObject = look.NewWords(look.SizeBody, look.Run{})
	if len(list) > 1 {
		name = r.cell(list[1], look.Serif, look.SizeBody)
	}
	return r.row(list, look.MiddleCells(2, []float32{1, 3}, r.cell(list[0], look.SansBold, look.SizeBody), name))
}

func (r *Rekey) faceBlock(list []desk.StopInfo) fyne.CanvasObject {
	rows := []fyne.CanvasObject{
		container.New(proofRow{}, look.Column(0), look.Kicker("Ballot face"), look.Column(0)),
		r.row(list[:1], r.cell(list[0], look.SerifBold, look.SizeTitle)),
	}
	if len(list) > 1 && (list[1].Value != "-" || list[1].Stop == r.d.Focus()) {
		rows = append(rows, r.labelled("For voters of", list[1], look.Sans, look.SizeBody))
	}
	rows = append(rows, container.New(proofRow{}, look.Column(0), look.HeavyRule(), look.Column(0)))
	return look.Column(0.8, rows...)
}

func (r *Rekey) nextBlock(list []desk.StopInfo) fyne.CanvasObject {
	var rows []fyne.CanvasObject
	for _, s := range list {
		if s.Kind == desk.Document {
			rows = append(rows, r.labelled("Document on the desk, for the contests to come", s, look.Sans, look.SizeBody))
			continue
		}
		if h := r.d.PinnedHeading(); h != "" {
			rows = append(rows, container.New(proofRow{}, look.Column(0), look.Column(0.5, look.NewWords(look.SizeBody, look.Run{Text: strings.ToUpper(h), Face: look.SansBold}).Wrapped(), look.HeavyRule()), look.Column(0)))
		}
		if s.Stop == r.d.Focus() || len(list) == 1 {
			rows = append(rows, r.row([]desk.StopInfo{s}, r.cell(s, look.Serif, look.SizeBody)))
		}
		if doc := r.d.Document(); doc != "" && s.Stop == r.d.Focus() {
			rows = append(rows, container.New(proofRow{}, look.Column(0), look.Inset(1.5, 0, look.Caption("On the desk: "+doc+" (Ctrl+D: another)")), look.Column(0)))
		}
	}
	return look.Inset(0, 1, look.Column(0.8, rows...))
}

func (r *Rekey) precinctsBlock(list []desk.StopInfo) fyne.CanvasObject {
	s := list[0]
	given := r.d.FacePrecinctNames(s.Row)
	parts := []fyne.CanvasObject{look.HeavyRule(), look.Kicker("Precincts of this face")}
	if len(given) > 0 {
		parts = append(parts, look.NewWords(look.SizeBody, look.Run{Text: condense(given, r.d.Roster()), Face: look.SansBold},
			look.Run{Text: fmt.Sprintf("   %s", count(len(given), "precinct")), Color: look.ColorFaded}).Wrapped())
	}
	if s.Stop == r.d.Focus() {
		parts = append(parts, r.slot(10))
	} else {
		prompt := "type ranges: 1-01..1-09, 2-03"
		if len(given) > 0 {
			prompt = "add more, or !1-03 to take one back"
		}
		parts = append(parts, newSpot(look.NewWords(look.SizeBody, look.Run{Text: prompt, Face: look.SansItalic, Color: look.ColorFaded}).Wrapped(), func() {
			r.d.GoTo(s.Stop)
			r.Refresh()
			r.Focus()
		}))
	}
	return look.Inset(0, 1, r.row(list, look.Column(0.8, parts...)))
}

func (r *Rekey) unitBlock(list []desk.StopInfo) fyne.CanvasObject {
	cells := make([]fyne.CanvasObject, 3)
	for i := range cells {
		cells[i] = look.NewWords(look.SizeBody, look.Run{})
	}
	var use fyne.CanvasObject
	for _, s := range list {
		switch s.Kind {
		case desk.UnitName:
			cells[0] = r.cell(s, look.SerifBold, look.SizeBody)
		case desk.UnitSite:
			cells[1] = r.cell(s, look.Serif, look.SizeBody)
		case desk.UnitUse:
			use = r.cell(s, look.Sans, look.SizeBody)
		case desk.UnitPrecincts:
			given := r.d.UnitPrecinctNames(s.Row)
			switch {
			case s.Stop == r.d.Focus() && len(given) > 0:
				cells[2] = look.Column(0.5, look.NewWords(look.SizeBody, look.Run{Text: condense(given, r.d.Roster())}).Wrapped(), r.slot(6))
			case s.Stop == r.d.Focus():
				cells[2] = r.slot(6)
			default:
				cells[2] = r.printed(s, condense(given, r.d.Roster()), look.SansBold, look.SizeBody)
			}
		}
	}
	if use != nil {
		cells[1] = look.Column(0.3, cells[1], use)
	}
	return look.Column(0.6, r.row(list, look.Cells(2, []float32{1, 1.7, 1.5}, cells...)), container.New(proofRow{}, look.Column(0), look.Rule(), look.Column(0)))
}

// proofRow sets a line between its margins; where the paper is narrow, what is odd
// stands below the line.
type proofRow struct{}

func (proofRow) sizes(width float32) (left, margin float32, below bool) {
	em := theme.TextSize()
	left = em * 1.9
	if width < em*30 {
		return left, width - left, true
	}
	return left, em * 9.5, false
}

func (p proofRow) Layout(o []fyne.CanvasObject, s fyne.Size) {
	left, margin, below := p.sizes(s.Width)
	body := s.Width - left - theme.Padding()*2
	if !below {
		body -= margin
	}
	o[0].Move(fyne.NewPos(0, theme.TextSize()*0.55))
	o[0].Resize(o[0].MinSize())
	o[1].Resize(fyne.NewSize(body, 1))
	high := o[1].MinSize().Height
	o[1].Move(fyne.NewPos(left, 0))
	o[1].Resize(fyne.NewSize(body, high))
	x, y := left+body+theme.Padding()*2, float32(0)
	if below {
		x, y = left, high
	}
	o[2].Resize(fyne.NewSize(margin, 1))
	o[2].Move(fyne.NewPos(x, y))
	o[2].Resize(fyne.NewSize(margin, o[2].MinSize().Height))
}

func (p proofRow) MinSize(o []fyne.CanvasObject) fyne.Size {
	high := o[1].MinSize().Height
	width := o[1].Size().Width + theme.TextSize()*10
	if width < theme.TextSize()*30 {
		high += o[2].MinSize().Height
	} else {
		high = max(high, o[2].MinSize().Height)
	}
	return fyne.NewSize(theme.TextSize()*8, max(high, o[0].MinSize().Height+theme.TextSize()*0.55))
}

// diskMark is a small square: filled when the field is on disk.
func diskMark(onDisk, trouble bool) fyne.CanvasObject {
	m := &diskSquare{onDisk: onDisk, trouble: trouble && !onDisk}
	m.ExtendBaseWidget(m)
	return m
}

type diskSquare struct {
	widget.BaseWidget
	onDisk, trouble bool
}

func (m *diskSquare) CreateRenderer() fyne.WidgetRenderer {
	th := m.Theme()
	o := canvas.NewRectangle(th.Color(theme.ColorNameSuccess, 0))
	o.StrokeColor, o.StrokeWidth = o.FillColor, 1
	if !m.onDisk {
		o.FillColor = th.Color(look.ColorPaper, 0)
		o.StrokeColor = th.Color(look.ColorFaded, 0)
	}
	if m.trouble {
		o.StrokeColor, o.StrokeWidth = th.Color(look.ColorAccent, 0), 2
	}
	return &fixed{object: o, size: func() fyne.Size { n := theme.TextSize() * 0.4; return fyne.NewSize(n, n) }}
}

// oval is the target beside a choice, as ballots print it.
func oval() fyne.CanvasObject {
	o := &ovalTarget{}
	o.ExtendBaseWidget(o)
	return o
}

type ovalTarget struct{ widget.BaseWidget }

func (o *ovalTarget) CreateRenderer() fyne.WidgetRenderer {
	c := canvas.NewRectangle(o.Theme().Color(look.ColorPaper, 0))
	c.StrokeColor, c.StrokeWidth, c.CornerRadius = o.Theme().Color(look.ColorInk, 0), 1.3, theme.TextSize()*0.35
	return &fixed{object: c, size: func() fyne.Size { return fyne.NewSize(theme.TextSize()*1.25, theme.TextSize()*0.75) }}
}

// blank keeps room.
func blank(s fyne.Size) fyne.CanvasObject {
	o := canvas.NewRectangle(color.Transparent)
	o.SetMinSize(s)
	return o
}

type fixed struct {
	object fyne.CanvasObject
	size   func() fyne.Size
}

func (r *fixed) Destroy()                     {}
func (r *fixed) Objects() []fyne.CanvasObject { return []fyne.CanvasObject{r.object} }
func (r *fixed) MinSize() fyne.Size           { return r.size() }
func (r *fixed) Refresh()                     { r.object.Refresh() }
func (r *fixed) Layout(s fyne.Size) {
	m := r.size()
	r.object.Resize(m)
	r.object.Move(fyne.NewPos(0, (s.Height-m.Height)/2))
}

// spot is print that brings the field when it is clicked.
type spot struct {
	widget.BaseWidget
	content fyne.CanvasObject
	tapped  func()
}

func newSpot(content fyne.CanvasObject, tapped func()) *spot {
	s := &spot{content: content, tapped: tapped}
	s.ExtendBaseWidget(s)
	return s
}

// Tapped goes there.
func (s *spot) Tapped(*fyne.PointEvent) { s.tapped() }

func (s *spot) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(s.content) }

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
