package desk

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/finding"
	"counterproof/model/casefile"
)

// Undo reverts the last act that was typed since the desk was opened, and says what it was. What came
// in otherwise, such as sheets or a roster, and what was typed before, is never reverted. It returns
// false if there is nothing to revert.
func (k *Keying) Undo() bool { return k.back(&k.done, &k.undone, actUndo, "undo") }

// Redo repeats what the last Undo reverted.
func (k *Keying) Redo() bool { return k.back(&k.undone, &k.done, actRedo, "do again") }

func (k *Keying) back(from, to *[]step, kind actKind, verb string) bool {
	if k.message = k.barred(); k.message != "" {
		return false
	}
	n := len(*from)
	if n == 0 {
		if k.message = "nothing to " + verb + ": only what was typed here since the case was opened"; k.quiet() {
			k.message = k.sealedWords()
		}
		return false
	}
	st := (*from)[n-1]
	*from, *to = (*from)[:n-1], append(*to, st)
	changes, done := st.set, "done again on "
	if kind == actUndo {
		changes, done = slices.Clone(st.was), "undone on "
		slices.Reverse(changes)
	}
	k.apply(changes)
	for _, ch := range changes {
		if ch.Table == casefile.Contests && ch.Column == "source" && kind == actUndo {
			k.putOnDesk(st.document)
		}
	}
	k.send(act{kind: kind, changes: changes})
	at, typed := k.focus, k.Unsaved()
	if st.focus.Kind != NoStop {
		k.page = st.page
	}
	k.stale()
	if !slices.ContainsFunc(k.Pages(), func(p PageInfo) bool { return p.Page == k.page }) {
		k.page = Page{PageFace, k.nextFace()} // the face that the act began
	}
	if !k.goTo(cmp.Or(st.focus, k.focus)) {
		k.toFirstEmpty()
	}
	if _, direct := at.field(); k.focus == at && !direct && typed != "" {
		k.text, k.fresh = typed, false // the beginning of what comes next is not lost
	}
	k.message = done + k.PageName(k.page) + ": " + k.actWords(st)
	return true
}

// steps are the acts of a draft, such as a proposal that is filled in: a desk that opens on it can take
// them back.
func (d *Draft) steps() (out []step) {
	now := d.now.Clone()
	for _, was := range slices.Backward(d.done) {
		var st step
		for _, ch := range slices.Backward(was) { // a draft has them in the order of taking back
			st.was = append(st.was, ch)
			st.set = append(st.set, casefile.Change{Field: ch.Field, Value: now.Value(ch.Table, ch.Row, ch.Column)})
		}
		for _, ch := range was {
			now.Change(ch)
		}
		out = append(out, st)
	}
	slices.Reverse(out)
	return out
}

// actWords says what an act keyed, for people.
func (k *Keying) actWords(st step) string {
	var names []string // precincts, which an act gives together
	for i, ch := range st.set {
		value, was := ch.Value, st.was[i].Value
		switch {
		case ch.Table == casefile.Placements && ch.Column == "contest":
			row, does := value, " on the face"
			if value == "" {
				row, does = was, " taken off the face"
			}
			n, _ := strconv.Atoi(row)
			title := k.ContestWords(n)
			for _, other := range st.set { // of a contest that is new with the act
				if other.Table == casefile.Contests && other.Row == n && other.Column == "title" {
					title = other.Value
				}
			}
			return quoted(title) + does
		case (ch.Table == casefile.Assignments || ch.Table == casefile.Headers) && ch.Column == "precinct":
			if value == "" {
				value = "without " + was
			}
			names = append(names, value)
		}
	}
	if len(names) > 0 {
		return english.PluralWord(len(names), "precinct ", "precincts ") + someOf(names)
	}
	for i, ch := range st.set {
		column, further, _ := strings.Cut(strings.ReplaceAll(ch.Column, "_", " "), "[")
		if column == "style" {
			column = "label"
		}
		if further != "" {
			column += " in " + finding.LanguageName(strings.TrimSuffix(further, "]"))
		}
		switch was := st.was[i].Value; {
		case slices.Contains([]string{"contest", "face", "unit"}, ch.Column) && ch.Table != casefile.Units,
			ch.Column == "position" && len(st.set) > 1 && ch.Table != casefile.Placements &&
				(was == "") != (ch.Value == ""):
			continue // what the row belongs to; its words follow
		case ch.Column == "position":
			return "a move"
		case ch.Value == "":
			return column + " " + quoted(was) + " taken away"
		case was == "":
			return column + " " + quoted(ch.Value)
		default:
			return column + " " + quoted(ch.Value) + " in place of " + quoted(was)
		}
	}
	return "an act without words"
}

func quoted(text string) string { return "“" + text + "”" }

// PageName is the name of a page, for people.
func (k *Keying) PageName(p Page) string {
	switch p.Kind {
	case PageFace:
		return k.faceName(p.Row)
	case PageLoose:
		return "the contests on no face"
	case PageUnits:
		return "the voting units"
	case PageRoster:
		return "the official roster"
	}
	return "the election and its parties"
}
