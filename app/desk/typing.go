package desk

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"counterproof/model/casefile"
)

// The marks: what stands for more than its letters when Enter takes it. Nothing acts before Enter, or
// before the cursor moves on; Next says what it will mean.
const (
	DittoMark   = `"` // the name above again, twice: the name above that; at a site, the site above
	WriteInMark = "_" // a line for a name that the voter writes
	NothingMark = "-" // nothing is printed here
	AllMark     = "*" // in a card header: all precincts of the unit's site
)

var kinds = []struct{ key, kind string }{{"c", "candidate"}, {"m", "measure"}, {"r", "retention"}, {"p", "party"}}

var uses = []struct{ key, use string }{{"d", "election-day"}, {"e", "early"}, {"c", "central"}, {"a", "accessible"}}

// Type sets the text of the focused field after a key.
func (k *Keying) Type(text string) {
	if text == k.text {
		return
	}
	k.text, k.pick, k.message, k.asked, k.itemsKnown, k.fresh = text, 0, "", "", false, false
	k.placedLast = 0
	if unpicked(k.focus.Kind) || (forParty(k.focus.Kind) || k.focus.Kind == Document) && trim(text) == "" {
		k.pick = -1
	}
	if items := k.Items(); len(items) > 0 && items[0].Contest > 0 && cutsNumber(trim(text), items[0].Words) {
		k.pick = -1 // "Proposition No. 1" is no beginning of "Proposition No. 10"
	}
}

// ask asks before something that may be a slip: it returns true if the same was asked just before,
// and nothing was typed since.
func (k *Keying) ask(question string) bool {
	if k.asked == question {
		k.asked = ""
		return true
	}
	k.asked, k.message = question, question
	return false
}

// Enter keys the typed text, or the item picked from the list under the field, and moves on.
func (k *Keying) Enter() { k.enter(false) }

// EnterAsTyped keys the typed text and ignores the list, for a new contest whose title begins like
// that of another.
func (k *Keying) EnterAsTyped() { k.enter(true) }

func (k *Keying) enter(asTyped bool) {
	k.message, k.placedLast = "", 0
	if k.quiet() {
		k.message = k.sealedWords()
		return
	}
	from := k.focus
	typed := trim(k.text)
	switch from.Kind {
	case NextContest:
		if left := k.Copies(); typed == "" && len(left) > 0 {
			if k.confirm(left[0]) {
				k.goTo(from)
			}
			return
		}
		if typed == "" && k.heading == "" {
			if k.before > 0 {
				k.before = 0
				k.stale()
				k.toFirstEmpty()
				return
			}
			k.goTo(Stop{Kind: FacePrecincts, Row: from.Row})
			return
		}
		if typed == "" {
			k.message = "the heading stands above a contest: key that, or take the heading back with Backspace"
			return
		}
	case NextChoice:
		if typed == "" {
			if len(k.e.choices[from.Row]) == 0 &&
				!k.ask("this contest has no choice yet; Enter again leaves it without any") {
				return
			}
			if k.beforeChoice > 0 {
				k.beforeChoice = 0
				k.stale()
			}
			if k.at(from) < 0 {
				k.toFirstEmpty()
				return
			}
			k.on(from)
			return
		}
	case FacePrecincts:
		if typed == "" {
			if len(k.e.gives[from.Row]) == 0 && k.e.Value(casefile.Faces, from.Row, "precinct") == "" &&
				len(k.e.places[from.Row]) > 0 && !k.ask("no precinct has this face yet; Enter again goes on without") {
				return
			}
			if len(k.e.places[from.Row]) > 0 || len(k.e.gives[from.Row]) > 0 {
				k.Open(Page{PageFace, k.nextFace()})
			} else {
				k.toFirstEmpty()
			}
			return
		}
	case PartyCode:
		if typed == "" && from.Row == k.e.Next(casefile.Parties) {
			faces := k.e.faces()
			if len(faces) == 0 {
				k.Open(Page{PageFace, k.nextFace()})
			} else {
				k.Open(Page{PageFace, faces[0]})
			}
			return
		}
	case FaceLabel:
		if typed == "" && !k.ReadOnly(from) && k.Value(from) == "" && k.e.Value(casefile.Faces, from.Row, "party") == "" {
			// A face without a label is identified by its precincts. Its row must exist anyway, so
			// that the next face gets the next number.
			if !k.set(casefile.Set(casefile.Faces, from.Row, "party", "-")) {
				return
			}
			k.on(from)
			return
		}
	}
	to, ok := k.key(from, asTyped)
	if !ok {
		return
	}
	switch {
	case to.Kind == NextContest:
		if k.at(to) >= 0 {
			k.goTo(to)
		} else {
			k.toFirstEmpty()
		}
	case from.Kind == FacePrecincts && k.Correcting():
		k.goTo(from)
	case from.Kind == FacePrecincts:
		k.Open(Page{PageFace, k.nextFace()})
	case from.Kind == NextChoice && to.Kind == ChoiceName:
		if next := (Stop{Kind: NextChoice, Row: from.Row, Place: from.Place}); k.filled(to) && k.goTo(next) {
			return // its party is keyed too
		}
		if k.goTo(to) {
			k.on(to)
		}
	case from.Kind == NextChoice: // a write-in line, or the choices of the question before
		if !k.goTo(to) {
			k.toFirstEmpty()
		}
	default:
		k.on(to)
	}
}

// leave keys the typed text before the cursor moves; it reports whether the cursor may move.
// Letters in the field for the next contest are discarded: they may be only the beginning of a
// title.
func (k *Keying) leave() bool {
	if k.fresh || k.focus.Kind == NoStop || k.focus.Kind == NextContest || k.focus.Kind == Document {
		return true
	}
	if _, direct := k.focus.field(); !direct && trim(k.text) == "" {
		return true
	}
	_, ok := k.key(k.focus, false)
	return ok
}

// key keys the focused text at a stop, and returns the stop where that text now is.
func (k *Keying) key(s Stop, asTyped bool) (Stop, bool) {
	text := trim(k.text)
	if !utf8.ValidString(text) {
		k.message = "these letters cannot be kept; type them again"
		return s, false
	}
	if s.Language == "" && !asTyped {
		if to, ok, is := k.mark(s, text); is {
			return to, ok
		}
	}
	if item, ok := k.picked(); ok && !asTyped && (text != "" || item.Code != "" || s.Kind == Document) {
		if item.Contest > 0 {
			return k.place(item.Contest)
		}
		if item.IsHeading {
			k.heading, k.text, k.fresh = item.Words, "", true
			k.stale()
			return Stop{Kind: NextContest, Row: s.Row}, true
		}
		if text = item.Words; item.Code != "" {
			text = item.Code
		}
	}
	switch s.Kind {
	case NextContest:
		return k.newContest(text)
	case NextChoice:
		return k.newChoice(s, text)
	case Document:
		if text != "" {
			k.putOnDesk(text)
		}
		k.focus = Stop{}
		k.stale()
		return Stop{Kind: NextContest, Row: s.Row}, true
	case FacePrecincts:
		return s, k.assign(s, text)
	case UnitPrecincts:
		return s, k.keyHeader(s, text, asTyped)
	}
	f, ok := s.field()
	if !ok {
		return s, false
	}
	value, fault := k.normal(s, text)
	if fault != "" {
		k.message = fault
		return s, false
	}
	changes := []casefile.Change{{Field: f, Value: value}}
	if s.Language != "" && s.Kind == Heading {
		changes = append(changes, k.sameHeadings(s, value)...)
	}
	if !k.set(changes...) {
		return s, false
	}
	if s.Kind == Source && value != "" {
		k.putOnDesk(value)
	}
	k.text, k.fresh = value, true
	return s, true
}

// normal returns the form in which a field stores the typed text, or what is wrong with it. Merely
// odd text is accepted: the proof may print it.
func (k *Keying) normal(s Stop, text string) (value, fault string) {
	if text == "" {
		return "", ""
	}
	switch s.Kind {
	case ContestKind:
		for _, c := range kinds {
			if strings.EqualFold(text, c.key) || strings.EqualFold(text, c.kind) {
				return c.kind, ""
			}
		}
		return "", "a contest is c (candidates), m (a measure), r (a retention) or p (a straight party vote)"
	case Variation:
		if v, ok := variationOf(text); ok {
			return v, ""
		}
		return "", "a contest is r (voters rank the choices), n (they mark as many as are voted for) or c (cumulative)"
	case UnitUse:
		for _, u := range uses {
			if strings.EqualFold(text, u.key) || strings.EqualFold(text, u.use) {
				return u.use, ""
			}
		}
		return "", "a unit is used on election day (d), early (e), centrally (c) or for access (a)"
	case PartyOrder:
		if n, err := strconv.Atoi(text); err != nil || n < 1 {
			return "", "type 1 for the party that the proof prints first, 2 for the next"
		}
	case VoteFor:
		n, ok := numberOf(text)
		if !ok {
			return "", fmt.Sprintf("%q is no number of votes; type the number that the ballot prints", text)
		}
		return itoa(n), ""
	case FactDate:
		day, ok := Day(text, k.dayFirst)
		if !ok {
			return "", fmt.Sprintf("%q is no date; write the day of the election as %s, November 2, 2027 or 2027-11-02", text,
				[]string{"11/02/2027", "02/11/2027"}[boolInt(k.dayFirst)])
		}
		return day.Format(time.DateOnly), ""
	case FaceParty, PrimaryParty:
		if text == NothingMark {
			return text, ""
		}
		return k.primary(text)
	case ChoiceLines:
		if text == NothingMark {
			return text, ""
		}
		if strings.ContainsAny(text, `"_*`) {
			return "", "type the codes of the party lines, or - where none is printed"
		}
		var out []string
		for _, code := range strings.FieldsFunc(text, func(r rune) bool { return r == '|' || r == ',' }) {
			if code = k.ownCode(trim(code)); code != "" && !slices.Contains(out, code) {
				out = append(out, code)
			}
		}
		if len(out) == 0 {
			return "", "type the codes of the party lines, or - where none is printed"
		}
		return strings.Join(out, "|"), ""
	case PartyCode:
		if strings.Contains(text, "|") || text == NothingMark {
			return "", "a party's code is what stands beside a choice; it holds no bar and is not a dash"
		}
	case ChoiceOrder:
		return k.order(s.Place, text)
	case UnitName:
		if text == NothingMark {
			return "", "a unit has the serial number or name that its card header shows"
		}
	}
	return text, ""
}

// ownCode returns a party code as the keyer keyed it before, ignoring capitals; that of a party whose
// full name was typed.
func (k *Keying) ownCode(typed string) string {
	list := k.ownCodes()
	if slices.Contains(list, typed) {
		return typed
	}
	for _, code := range list {
		if strings.EqualFold(code, typed) {
			return code
		}
	}
	if code := k.codeOf(typed); code != "" {
		return code
	}
	return typed
}

func (k *Keying) choicePosition(contest int) string {
	rows := k.e.choices[contest]
	at := slices.Index(rows, k.beforeChoice)
	if at < 0 {
		at = len(rows)
	}
	return k.e.between(casefile.Choices, rows, at)
}

// positioned returns the changes that put a contest on the open face, at the position for the next one.
func (k *Keying) positioned(contest int) []casefile.Change {
	face := k.page.Row
	rows := k.e.places[face]
	at := slices.Index(rows, k.before)
	if at < 0 {
		at = len(rows)
	}
	n := k.e.Next(casefile.Placements)
	return []casefile.Change{casefile.Set(casefile.Placements, n, "face", itoa(face)),
		casefile.Set(casefile.Placements, n, "position", k.e.between(casefile.Placements, rows, at)),
		casefile.Set(casefile.Placements, n, "contest", itoa(contest))}
}

// placement returns the changes that add a contest to the open face, with the pinned heading or the one
// that it had before.
func (k *Keying) placement(contest int) []casefile.Change {
	out := k.positioned(contest)
	heading := k.heading
	if heading == "" {
		// Use the heading that was above this contest when it was last keyed.
		if earlier := k.e.placed[contest]; len(earlier) > 0 {
			heading = k.e.Value(casefile.Placements, earlier[len(earlier)-1], "heading")
		}
	}
	if heading != "" {
		out = append(out, casefile.Set(casefile.Placements, k.e.Next(casefile.Placements), "heading", heading))
	}
	return out
}

func (k *Keying) place(contest int) (Stop, bool) {
	if !k.set(k.placement(contest)...) {
		return k.focus, false
	}
	k.heading, k.placedLast = "", contest
	return Stop{Kind: NextContest, Row: k.page.Row}, true
}

func (k *Keying) newContest(title string) (Stop, bool) {
	if why := k.noTitle(title); why != "" && !k.ask(why) {
		return k.focus, false
	}
	c, p := k.e.Next(casefile.Contests), k.e.Next(casefile.Placements)
	changes := []casefile.Change{casefile.Set(casefile.Contests, c, "title", title)}
	if k.document != "" {
		changes = append(changes, casefile.Set(casefile.Contests, c, "source", k.document))
	}
	if !k.set(append(changes, k.placement(c)...)...) {
		return k.focus, false
	}
	k.heading, k.before = "", 0
	k.stale()
	return Stop{Kind: Title, Row: c, Place: p}, true
}
