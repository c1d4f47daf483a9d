package desk

import (
	"slices"
	"strings"

	"counterproof/model/casefile"
)

// StopKind is the kind of value keyed at a stop.
type StopKind uint8

// The stops, in page order.
const (
	NoStop StopKind = iota
	FactName
	FactDate
	FactJurisdiction
	PartyCode
	PartyName
	PartyOrder
	FaceLabel
	FaceParty
	Heading
	Title
	Subtitle
	ContestKind
	VoteFor
	PrimaryParty
	Variation
	MeasureText
	ChoiceName
	ChoiceLines
	ChoicePerson
	NextChoice
	Source
	ChoiceOrder
	NextContest
	Document
	FacePrecincts
	UnitName
	UnitSite
	UnitUse
	UnitPrecincts
	RosterPrecinct
	RosterSite
)

// Stop is a place for the cursor. Row is the row of the keyed thing: the contest for Title and
// NextChoice, the face for NextContest, the placement for Heading. Place is the placement through
// which a contest is shown, 0 if it is on no face.
type Stop struct {
	Kind  StopKind
	Row   int
	Place int
	// Language is the tag of the further language in which a wording is keyed, empty for the first.
	Language string
}

// StopInfo is a stop with its value.
type StopInfo struct {
	Stop
	Value string
	// Needed stops are visited again as long as they are empty; other stops are visited once, in
	// their turn.
	Needed bool
	// Contest is the contest that the stop belongs to, 0 for none.
	Contest int
}

var fields = map[StopKind]struct {
	table  casefile.Table
	column string
}{
	FactName: {casefile.Facts, "name"}, FactDate: {casefile.Facts, "date"},
	FactJurisdiction: {casefile.Facts, "jurisdiction"},
	PartyCode:        {casefile.Parties, "party"}, PartyName: {casefile.Parties, "name"},
	PartyOrder: {casefile.Parties, "order"},
	FaceLabel:  {casefile.Faces, "style"}, FaceParty: {casefile.Faces, "party"},
	Heading: {casefile.Placements, "heading"}, ChoiceOrder: {casefile.Placements, "choice_order"},
	Title: {casefile.Contests, "title"}, Subtitle: {casefile.Contests, "subtitle"},
	ContestKind: {casefile.Contests, "kind"},
	VoteFor:     {casefile.Contests, "vote_for"}, PrimaryParty: {casefile.Contests, "primary_party"},
	Variation:   {casefile.Contests, "variation"},
	MeasureText: {casefile.Contests, "text"},
	Source:      {casefile.Contests, "source"},
	ChoiceName:  {casefile.Choices, "name"}, ChoiceLines: {casefile.Choices, "party_lines"},
	ChoicePerson:   {casefile.Choices, "person"},
	RosterPrecinct: {casefile.Precincts, "precinct"}, RosterSite: {casefile.Precincts, "site"},
	UnitName: {casefile.Units, "unit"}, UnitSite: {casefile.Units, "site"}, UnitUse: {casefile.Units, "use"},
}

// field returns the field that the stop keys; stops such as NextChoice key a new row.
func (s Stop) field() (casefile.Field, bool) {
	f, ok := fields[s.Kind]
	if s.Language != "" {
		f.column += "[" + s.Language + "]"
	}
	return casefile.Field{Table: f.table, Row: s.Row, Column: f.column}, ok
}

// Value returns the value at a stop.
func (k *Keying) Value(s Stop) string {
	if f, ok := s.field(); ok {
		return k.e.Value(f.Table, f.Row, f.Column)
	}
	if s.Kind == Document {
		return k.document
	}
	return ""
}

// WriteIn reports whether the choice at a stop is a line for a write-in.
func (k *Keying) WriteIn(s Stop) bool {
	return s.Kind == ChoiceName && k.e.Value(casefile.Choices, s.Row, "write_in") != ""
}

// Stops returns the stops of the open page, from the top of the paper to the bottom.
func (k *Keying) Stops() []StopInfo {
	if k.stopsKnown {
		return k.allStops
	}
	k.allStops, k.stopsKnown = k.allStops[:0], true
	if k.language != "" {
		k.languageStops()
		return k.allStops
	}
	switch k.page.Kind {
	case PageElection:
		k.electionStops()
	case PageFace:
		k.faceStops(k.page.Row)
	case PageLoose:
		for _, c := range k.loose() {
			k.contestStops(c, 0)
		}
	case PageUnits:
		k.unitStops()
	case PageRoster:
		k.rosterStops()
	}
	return k.allStops
}

func (k *Keying) stop(s Stop, needed bool, contest int) {
	switch s.Kind {
	case NextContest, NextChoice, Document:
		if k.quiet() {
			return // nothing new comes onto a page that is sealed
		}
	}
	k.allStops = append(k.allStops, StopInfo{s, k.Value(s), needed, contest})
}

func (k *Keying) electionStops() {
	k.stop(Stop{Kind: FactName, Row: 1}, true, 0)
	k.stop(Stop{Kind: FactDate, Row: 1}, true, 0)
	k.stop(Stop{Kind: FactJurisdiction, Row: 1}, true, 0)
	k.e.Each(casefile.Parties, func(row int, _ []string) {
		k.stop(Stop{Kind: PartyCode, Row: row}, true, 0)
		k.stop(Stop{Kind: PartyName, Row: row}, true, 0)
		if s := (Stop{Kind: PartyOrder, Row: row}); k.shown(s) {
			k.stop(s, false, 0)
		}
	})
	if !k.quiet() {
		k.stop(Stop{Kind: PartyCode, Row: k.e.Next(casefile.Parties)}, true, 0)
	}
}

func (k *Keying) faceStops(face int) {
	k.stop(Stop{Kind: FaceLabel, Row: face}, !k.e.Has(casefile.Faces, face) && len(k.e.places[face]) == 0, 0)
	if s := (Stop{Kind: FaceParty, Row: face}); k.shown(s) {
		k.stop(s, false, 0)
	}
	next := func() {
		if k.focus.Kind == Document {
			k.stop(Stop{Kind: Document, Row: face}, false, 0)
		}
		k.stop(Stop{Kind: NextContest, Row: face}, true, 0)
	}
	for _, p := range k.e.places[face] {
		if p == k.before {
			next()
		}
		if s := (Stop{Kind: Heading, Row: p, Place: p}); k.shown(s) {
			k.stop(s, false, 0)
		}
		if c := k.e.Ref(casefile.Placements, p, "contest"); c > 0 {
			k.contestStops(c, p)
		}
	}
	if !slices.Contains(k.e.places[face], k.before) {
		k.before = 0
		next()
	}
	k.stop(Stop{Kind: FacePrecincts, Row: face}, len(k.e.gives[face]) == 0 &&
		k.e.Value(casefile.Faces, face, "precinct") == "", 0)
}

func (k *Keying) contestStops(c, place int) {
	add := func(kind StopKind, row int, needed bool) { k.stop(Stop{Kind: kind, Row: row, Place: place}, needed, c) }
	maybe := func(kind StopKind, row int) {
		if s := (Stop{Kind: kind, Row: row, Place: place}); k.shown(s) {
			k.stop(s, false, c)
		}
	}
	add(Title, c, true)
	add(Subtitle, c, false)
	add(ContestKind, c, true)
	add(VoteFor, c, true)
	maybe(PrimaryParty, c)
	maybe(Variation, c)
	switch kind := k.e.Value(casefile.Contests, c, "kind"); {
	case kind == "measure":
		add(MeasureText, c, true)
	case kind == "retention":
		add(MeasureText, c, false)
	default:
		maybe(MeasureText, c)
	}
	choices := k.e.choices[c]
	for _, ch := range choices {
		if ch == k.beforeChoice {
			add(NextChoice, c, true)
		}
		add(ChoiceName, ch, true)
		if k.e.Value(casefile.Choices, ch, "write_in") == "" {
			if k.asksParty(c) {
				// Asked for once: who passed it by is not brought back to it.
				add(ChoiceLines, ch, false)
			} else {
				maybe(ChoiceLines, ch)
			}
			maybe(ChoicePerson, ch)
		}
	}
	if !slices.Contains(choices, k.beforeChoice) {
		add(NextChoice, c, len(choices) == 0)
	}
	add(Source, c, false)
	if place > 0 {
		maybe(ChoiceOrder, place)
	}
}

func (k *Keying) unitStops() {
	k.e.Each(casefile.Units, func(row int, _ []string) {
		k.stop(Stop{Kind: UnitName, Row: row}, true, 0)
		k.stop(Stop{Kind: UnitSite, Row: row}, true, 0)
		if s := (Stop{Kind: UnitUse, Row: row}); k.shown(s) {
			k.stop(s, false, 0)
		}
		k.stop(Stop{Kind: UnitPrecincts, Row: row}, len(k.e.headers[row]) == 0, 0)
	})
	if !k.quiet() {
		k.stop(Stop{Kind: UnitName, Row: k.e.Next(casefile.Units)}, true, 0)
	}
}

// rosterStops are the precincts of the official roster, for a correction.
func (k *Keying) rosterStops() {
	k.e.Each(casefile.Precincts, func(row int, _ []string) {
		k.stop(Stop{Kind: RosterPrecinct, Row: row}, true, 0)
		k.stop(Stop{Kind: RosterSite, Row: row}, false, 0)
	})
	k.stop(Stop{Kind: RosterPrecinct, Row: k.e.Next(casefile.Precincts)}, true, 0)
}

// shown reports whether a rarely keyed stop is on the page: it has a value, or the user asked for
// it.
func (k *Keying) shown(s Stop) bool {
	if k.Value(s) != "" || k.more[s] || k.focus == s {
		return true
	}
	switch s.Kind {
	case PrimaryParty:
		return s.Place > 0 && k.faceParty(k.e.Ref(casefile.Placements, s.Place, "face")) != ""
	default:
		return false
	}
}

// empty reports whether a stop still needs a value.
func (s *StopInfo) empty() bool {
	switch s.Kind {
	case NextChoice, NextContest, FacePrecincts, UnitPrecincts:
		return true
	}
	return s.Value == ""
}

// Focus returns the stop with the cursor.
func (k *Keying) Focus() Stop { return k.focus }

// Text returns the text in the focused stop while it is being typed.
func (k *Keying) Text() string { return k.text }

// Message says why the last key did not work; empty if it did.
func (k *Keying) Message() string { return k.message }

func (k *Keying) at(s Stop) int {
	return slices.IndexFunc(k.Stops(), func(i StopInfo) bool { return i.Stop == s })
}

// goTo puts the cursor on a stop of the open page.
func (k *Keying) goTo(s Stop) bool {
	if k.at(s) < 0 {
		return false
	}
	k.focus, k.text, k.fresh, k.pick, k.asked = s, k.Value(s), true, 0, ""
	k.itemsKnown = false
	if forParty(s.Kind) && k.text == "" {
		k.pick = -1 // an empty Enter takes no party
	}
	if s.Kind == Document {
		k.text, k.pick = "", -1 // an empty Enter leaves the document
	}
	return true
}

// GoTo keys the typed text, leaves the stop and goes to another stop of the page.
func (k *Keying) GoTo(s Stop) {
	if k.leave() {
		k.goTo(s)
	}
}

// toFirstEmpty puts the cursor on the first empty needed stop of the page, or else on the first
// stop.
func (k *Keying) toFirstEmpty() {
	k.focus = Stop{}
	stops := k.Stops()
	if k.ballots {
		// Reopened contests come first: what they lack, or else their titles.
		first := -1
		for i := range stops {
			if !k.reopened[stops[i].Contest] {
				continue
			}
			if stops[i].Needed && stops[i].empty() {
				k.goTo(stops[i].Stop)
				return
			}
			if first < 0 && stops[i].Kind == Title {
				first = i
			}
		}
		if first >= 0 {
			k.goTo(stops[first].Stop)
			return
		}
	}
	for i := range stops {
		if stops[i].Needed && stops[i].empty() {
			k.goTo(stops[i].Stop)
			return
		}
	}
	if len(stops) > 0 {
		k.goTo(stops[0].Stop)
	} else {
		k.focus, k.text = Stop{}, ""
	}
}

// keepFocus keeps the cursor and the typed text where they were when the page changes.
func (k *Keying) keepFocus() {
	if k.at(k.focus) >= 0 {
		if k.fresh {
			k.text = k.Value(k.focus)
		}
		return
	}
	k.toFirstEmpty()
}

// Step leaves the stop and goes to the next or, with -1, the previous one.
func (k *Keying) Step(by int) {
	if by > 0 && (k.focus.Kind == NextContest || k.focus.Kind == NextChoice) && trim(k.text) != "" {
		k.Enter() // a new thing is keyed, and its next field is the next one
		return
	}
	if !k.leave() {
		return
	}
	stops := k.Stops()
	if at := k.at(k.focus); at >= 0 && at+by >= 0 && at+by < len(stops) {
		k.goTo(stops[at+by].Stop)
	}
}

// on moves on from a keyed stop: to the next stop if it is empty, else to the next empty needed
// one.
func (k *Keying) on(from Stop) {
	stops := k.Stops()
	at := k.at(from)
	if at < 0 {
		k.toFirstEmpty()
		return
	}
	if d := k.draft(); d != nil && d.had(from) {
		k.goTo(from) // a corrected field: what is next on the page is not meant
		return
	}
	if at+1 < len(stops) && stops[at+1].empty() {
		k.goTo(stops[at+1].Stop)
		return
	}
	for i := at + 1; i < len(stops); i++ {
		if stops[i].Needed && stops[i].empty() {
			k.goTo(stops[i].Stop)
			return
		}
	}
	switch {
	case k.page.Kind == PageFace:
		k.goTo(stops[len(stops)-1].Stop)
	default:
		k.toFirstEmpty()
	}
}

func trim(s string) string { return strings.TrimSpace(s) }
