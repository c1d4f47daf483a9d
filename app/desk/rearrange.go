package desk

import (
	"slices"

	"counterproof/model/casefile"
)

// PinHeading makes the typed text the heading above the next contest, if the cursor is where that
// contest goes. In a contest it opens the contest's heading.
func (k *Keying) PinHeading() {
	if k.wordingsOnly() {
		return
	}
	k.message = ""
	if k.focus.Kind == NextContest {
		k.heading, k.text, k.fresh = trim(k.text), "", true
		k.itemsKnown = false
		return
	}
	if p := k.focus.Place; p > 0 && k.leave() {
		k.reveal(Stop{Kind: Heading, Row: p, Place: p})
	}
}

// KeyDocument opens the source document of the contest at the cursor or, where the next contest
// goes, the current one.
func (k *Keying) KeyDocument() {
	if k.wordingsOnly() {
		return
	}
	k.message = ""
	if k.focus.Kind == NextContest {
		k.focus = Stop{Kind: Document, Row: k.focus.Row}
		k.stale()
		k.goTo(k.focus)
		return
	}
	if c := k.contestHere(); c > 0 {
		k.GoTo(Stop{Kind: Source, Row: c, Place: k.focus.Place})
	}
}

// contestHere returns the contest at the cursor, 0 for none.
func (k *Keying) contestHere() int {
	if at := k.at(k.focus); at >= 0 {
		if k.focus.Kind == Heading {
			return k.e.Ref(casefile.Placements, k.focus.Row, "contest")
		}
		return k.allStops[at].Contest
	}
	return 0
}

func (k *Keying) reveal(s Stop) {
	k.more[s] = true
	k.stale()
	k.goTo(s)
}

// More opens the rarely keyed fields of the thing at the cursor, one after the other: a face's
// party; a contest's primary party, way of voting, text and order of choices; a choice's person; a unit's use.
func (k *Keying) More() {
	if k.wordingsOnly() {
		return
	}
	k.message = ""
	f := k.focus
	var list []Stop
	switch f.Kind {
	case FaceLabel, FaceParty, NextContest, FacePrecincts:
		list = []Stop{{Kind: FaceParty, Row: k.page.Row}}
	case PartyCode, PartyName, PartyOrder:
		if k.e.Has(casefile.Parties, f.Row) {
			list = []Stop{{Kind: PartyOrder, Row: f.Row}}
		}
	case UnitName, UnitSite, UnitUse, UnitPrecincts:
		list = []Stop{{Kind: UnitUse, Row: f.Row}}
	case ChoiceName, ChoiceLines, ChoicePerson:
		list = []Stop{{Kind: ChoicePerson, Row: f.Row, Place: f.Place}}
	default:
		if c := k.contestHere(); c > 0 {
			list = []Stop{{Kind: PrimaryParty, Row: c, Place: f.Place}, {Kind: Variation, Row: c, Place: f.Place},
				{Kind: MeasureText, Row: c, Place: f.Place}}
			if f.Place > 0 {
				list = append(list, Stop{Kind: ChoiceOrder, Row: f.Place, Place: f.Place})
			}
		}
	}
	if len(list) == 0 || !k.leave() {
		return
	}
	k.reveal(list[(slices.Index(list, f)+1)%len(list)])
}

// Insert makes room above the cursor, for a choice or a contest.
func (k *Keying) Insert() {
	if k.wordingsOnly() {
		return
	}
	k.message = ""
	if !k.leave() {
		return
	}
	f := k.focus
	switch f.Kind {
	case ChoiceName, ChoiceLines, ChoicePerson:
		k.beforeChoice, k.before = f.Row, 0
		k.stale()
		k.goTo(Stop{Kind: NextChoice, Row: k.e.Ref(casefile.Choices, f.Row, "contest"), Place: f.Place})
	default:
		if f.Place > 0 {
			k.before, k.beforeChoice = f.Place, 0
			k.stale()
			k.goTo(Stop{Kind: NextContest, Row: k.page.Row})
		}
	}
}

// Remove removes the thing at the cursor: a choice, a contest from this face, a contest on no face
// altogether, a party, a unit. It is one act, which Undo reverts.
func (k *Keying) Remove() {
	if k.wordingsOnly() {
		return
	}
	k.message = ""
	if k.drop() {
		return
	}
	f := k.focus
	var changes []casefile.Change
	gone := func(t casefile.Table, row int) {
		for _, c := range t.Columns() {
			if k.e.Value(t, row, c) != "" {
				changes = append(changes, casefile.Set(t, row, c, ""))
			}
		}
	}
	at := k.at(f)
	switch f.Kind {
	case ChoiceName, ChoiceLines, ChoicePerson:
		gone(casefile.Choices, f.Row)
	case PartyCode, PartyName:
		gone(casefile.Parties, f.Row)
	case UnitName, UnitSite, UnitUse, UnitPrecincts:
		for _, h := range k.e.headers[f.Row] {
			gone(casefile.Headers, h)
		}
		gone(casefile.Units, f.Row)
	case RosterPrecinct, RosterSite:
		gone(casefile.Precincts, f.Row)
	case FaceLabel, FaceParty, FacePrecincts, NextContest:
		if len(k.e.places[f.Row]) > 0 {
			k.message = "the face still has contests: take them off it first"
			return
		}
		for _, g := range k.e.gives[f.Row] {
			gone(casefile.Assignments, g)
		}
		gone(casefile.Faces, f.Row)
	default:
		c := k.contestHere()
		if f.Place > 0 {
			gone(casefile.Placements, f.Place)
		} else if c > 0 {
			for _, ch := range k.e.choices[c] {
				gone(casefile.Choices, ch)
			}
			gone(casefile.Contests, c)
		}
	}
	if len(changes) == 0 || !k.set(changes...) {
		return
	}
	if stops := k.Stops(); len(stops) > 0 {
		k.focus = Stop{}
		k.goTo(stops[min(max(at, 0), len(stops)-1)].Stop)
		return
	}
	k.Turn(-1)
}

// Move moves the choice or contest at the cursor by one position; -1 is up.
func (k *Keying) Move(by int) {
	if k.wordingsOnly() {
		return
	}
	k.message = ""
	if !k.leave() {
		return
	}
	f := k.focus
	t, row := casefile.Placements, f.Place
	rows := k.e.places[k.page.Row]
	switch f.Kind {
	case ChoiceName, ChoiceLines, ChoicePerson:
		t, row = casefile.Choices, f.Row
		rows = k.e.choices[k.e.Ref(casefile.Choices, row, "contest")]
	default:
		if row == 0 {
			return
		}
	}
	at := slices.Index(rows, row)
	to := at + by
	if at < 0 || to < 0 || to >= len(rows) {
		return
	}
	// Swap the two positions. If both are equal, as sheets allow, number all rows again.
	var changes []casefile.Change
	if t == casefile.Choices {
		changes = k.swapInOrders(k.e.Ref(t, row, "contest"), at, to)
	}
	a, b := k.e.Value(t, row, "position"), k.e.Value(t, rows[to], "position")
	if k.e.Position(t, row) != k.e.Position(t, rows[to]) {
		k.set(append(changes, casefile.Set(t, row, "position", b), casefile.Set(t, rows[to], "position", a))...)
	} else {
		order := slices.Clone(rows)
		order[at], order[to] = order[to], order[at]
		for i, r := range order {
			changes = append(changes, casefile.Set(t, r, "position", itoa(i+1)))
		}
		k.set(changes...)
	}
	k.goTo(f)
}

// Backspace removes the pinned heading, if the field for the next contest is empty.
func (k *Keying) Backspace() {
	if k.focus.Kind == NextContest && k.text == "" {
		k.heading = ""
		k.message = ""
	}
}

// Escape discards the typed text that is not keyed yet.
func (k *Keying) Escape() {
	k.message = ""
	if k.focus.Kind == Document || k.before > 0 || k.beforeChoice > 0 {
		k.before, k.beforeChoice = 0, 0
		k.focus = Stop{}
		k.stale()
		k.toFirstEmpty()
		return
	}
	k.goTo(k.focus)
}

// Reveal opens a rarely keyed field of the thing at the cursor: the party of the face, the primary
// party, the order of choices, the variation of the contest.
func (k *Keying) Reveal(kind StopKind) {
	if k.wordingsOnly() {
		return
	}
	k.message = ""
	s := Stop{Kind: kind, Row: k.contestHere(), Place: k.focus.Place}
	switch kind {
	case FaceParty:
		s = Stop{Kind: kind, Row: k.page.Row}
		if k.page.Kind != PageFace {
			return
		}
	case ChoiceOrder:
		s.Row = s.Place
	}
	if s.Row > 0 && k.leave() {
		k.reveal(s)
	}
}
