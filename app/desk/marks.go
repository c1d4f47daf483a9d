package desk

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/model/casefile"
)

// dittos counts the marks for "the same again" of a text that holds nothing else.
func dittos(text string) int {
	n := 0
	for _, r := range text {
		if !strings.ContainsRune(`"″“”`, r) {
			return 0
		}
		n++
	}
	return n
}

// writeInWords are words that a proof prints on a line for a write-in.
var writeInWords = regexp.MustCompile(`(?i)^write[ -]?in(?:\s*(?:candidate|line))?[ _.:\d()-]*$`)

// mark takes a text that stands for more than its letters. It is false for any other text, and for
// marks that mean nothing at the stop.
func (k *Keying) mark(s Stop, text string) (to Stop, ok, is bool) {
	n := dittos(text)
	switch {
	case (s.Kind == NextChoice || s.Kind == NextContest) && text == NothingMark:
		// A habit: a party is not asked for where none can be printed.
		k.text, k.fresh, k.itemsKnown = "", true, false
		k.message = "nothing was keyed: a dash is no name. No party is asked for here"
		return s, false, true
	case s.Kind == UnitSite && n > 0:
		site := k.siteAbove(s.Row)
		if site == "" {
			k.message = "there is no site above"
			return s, false, true
		}
		k.text, k.fresh = site, true
		return s, k.set(casefile.Set(casefile.Units, s.Row, "site", site)), true
	case s.Kind == PrimaryParty && n > 0:
		party := k.e.Value(casefile.Faces, k.e.Ref(casefile.Placements, s.Place, "face"), "party")
		if party == "" {
			k.message = "this face is for the voters of every party"
			return s, false, true
		}
		k.text, k.fresh = party, true
		return s, k.set(casefile.Set(casefile.Contests, s.Row, "primary_party", party)), true
	case (s.Kind == NextChoice || s.Kind == ChoiceName) && n > 0:
		names := k.namesAbove(s)
		switch {
		case len(names) == 0 && s.Kind == NextChoice && k.answersAbove(s):
			return s, true, true
		case len(names) < n:
			k.message = "there is no such name above"
			return s, false, true
		case s.Kind == ChoiceName:
			k.text, k.fresh = names[n-1], true
			return s, k.set(casefile.Set(casefile.Choices, s.Row, "name", names[n-1])), true
		}
		to, ok = k.newChoice(s, names[n-1])
		return to, ok, true
	case s.Kind == NextChoice && blanks(text) > 0:
		return s, k.newWriteIns(s, k.lastWriteIn(), blanks(text)), true
	case s.Kind == NextChoice && writeInWords.MatchString(text):
		if !k.ask(fmt.Sprintf("is %q a line on which the voter writes? Enter: yes; Ctrl+Enter: no, a choice of that name",
			text)) {
			return s, false, true
		}
		return s, k.newWriteIns(s, text, 1), true
	}
	return s, false, false
}

// newChoice adds a choice to a contest.
func (k *Keying) newChoice(s Stop, name string) (Stop, bool) {
	changes := k.choiceChanges(s.Row, name)
	if !k.set(changes...) {
		return s, false
	}
	return Stop{Kind: ChoiceName, Row: changes[0].Row, Place: s.Place}, true
}

// choiceChanges adds a choice to a contest. Where the first two choices have no party printed, this
// one has none either, until somebody keys one.
func (k *Keying) choiceChanges(contest int, name string) []casefile.Change {
	n := k.choiceRow(contest, name)
	changes := []casefile.Change{casefile.Set(casefile.Choices, n, "contest", itoa(contest)),
		casefile.Set(casefile.Choices, n, "position", k.choicePosition(contest)),
		casefile.Set(casefile.Choices, n, "name", name)}
	if k.withoutParties(contest) {
		changes = append(changes, casefile.Set(casefile.Choices, n, "party_lines", NothingMark))
	}
	return changes
}

// writeInChanges add a line for a write-in to a contest.
func (k *Keying) writeInChanges(contest int, words string) []casefile.Change {
	n := k.choiceRow(contest, words)
	return []casefile.Change{casefile.Set(casefile.Choices, n, "contest", itoa(contest)),
		casefile.Set(casefile.Choices, n, "position", k.choicePosition(contest)),
		casefile.Set(casefile.Choices, n, "name", words), casefile.Set(casefile.Choices, n, "write_in", "yes")}
}

// choiceRow returns the row for a new choice of a contest: in one that an amendment emptied, the row
// that a choice of that name had.
func (k *Keying) choiceRow(contest int, name string) int {
	if k.reopened[contest] {
		for _, row := range k.record.Again(contest, name) {
			if !k.e.Has(casefile.Choices, row) {
				return row
			}
		}
	}
	return k.e.Next(casefile.Choices)
}

// filled reports whether a choice has its party lines.
func (k *Keying) filled(s Stop) bool { return k.e.Value(casefile.Choices, s.Row, "party_lines") != "" }

// withoutParties reports whether the first two choices of a contest were keyed with no party printed.
func (k *Keying) withoutParties(contest int) bool {
	var lines []string
	for _, ch := range k.e.choices[contest] {
		if k.e.Value(casefile.Choices, ch, "write_in") == "" {
			lines = append(lines, k.e.Value(casefile.Choices, ch, "party_lines"))
		}
	}
	return len(lines) >= 2 && lines[0] == NothingMark && lines[1] == NothingMark
}

// asksParty reports whether a party can be printed beside the choices of a contest.
func (k *Keying) asksParty(contest int) bool {
	kind := k.e.Value(casefile.Contests, contest, "kind")
	return kind != "measure" && kind != "retention"
}

// newWriteIns adds lines for write-ins to a contest, one after the other.
func (k *Keying) newWriteIns(s Stop, words string, lines int) bool {
	for range lines {
		if !k.set(k.writeInChanges(s.Row, words)...) {
			return false
		}
	}
	return true
}

// blanks counts the lines for write-ins that a text of marks alone stands for; more than twelve are a
// slip.
func blanks(text string) int {
	if strings.Trim(text, WriteInMark) != "" || len(text) > 12 {
		return 0
	}
	return len(text)
}

// lastWriteIn are the words that the keyer used last for a write-in.
func (k *Keying) lastWriteIn() string {
	words := "Write-in"
	k.e.Each(casefile.Choices, func(row int, _ []string) {
		if k.e.Value(casefile.Choices, row, "write_in") != "" && k.e.Value(casefile.Choices, row, "name") != "" {
			words = k.e.Value(casefile.Choices, row, "name")
		}
	})
	return words
}

// namesAbove are the names above the cursor in its contest, nearest first, without repetition.
func (k *Keying) namesAbove(s Stop) (names []string) {
	contest, above := s.Row, k.beforeChoice
	if s.Kind != NextChoice {
		contest, above = k.e.Ref(casefile.Choices, s.Row, "contest"), s.Row
	}
	rows := k.e.choices[contest]
	if i := slices.Index(rows, above); i >= 0 {
		rows = rows[:i]
	}
	for _, row := range slices.Backward(rows) {
		name := k.e.Value(casefile.Choices, row, "name")
		if k.e.Value(casefile.Choices, row, "write_in") == "" && name != "" && !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return names
}

func (k *Keying) siteAbove(unit int) (site string) {
	k.e.Each(casefile.Units, func(row int, _ []string) {
		if row < unit {
			site = k.e.Value(casefile.Units, row, "site")
		}
	})
	return site
}

// Next says, in a few words, what Enter does with the text in the field; empty where it only keeps the
// text and goes on.
func (k *Keying) Next() string {
	s, text := k.focus, trim(k.text)
	if k.asked != "" || k.ReadOnly(s) {
		return ""
	}
	if item, ok := k.picked(); ok && text != "" && s.Language == "" {
		switch {
		case item.Contest > 0:
			return "puts this contest on the face: " + item.Words
		case item.IsHeading:
			return "the heading above the next contest: " + item.Words
		}
	}
	switch {
	case text == NothingMark && (s.Kind == ChoiceLines || s.Kind == PrimaryParty):
		return "no party is printed"
	case text == NothingMark && s.Kind != ChoiceName && s.Kind != NextChoice && s.Kind != NextContest:
		return "nothing is printed here"
	case s.Language != "":
		return ""
	}
	switch s.Kind {
	case NextContest:
		switch {
		case text != "":
			return "a new contest of this title"
		case len(k.Copies()) > 0:
			c := k.e.Ref(casefile.Placements, k.Copies()[0].place, "contest")
			return fmt.Sprintf("the proof prints %s here, as on %s", k.ContestWords(c), k.CopiedFrom())
		case k.heading == "":
			return "the face is complete; its precincts are next"
		}
	case NextChoice, ChoiceName:
		names := k.namesAbove(s)
		switch n := dittos(text); {
		case n > 0 && n <= len(names):
			return names[n-1] + ", again"
		case n > 0 && s.Kind == NextChoice:
			return "the choices of the question before"
		case blanks(text) > 0 && s.Kind == NextChoice:
			return english.Plural(blanks(text), "line for a write-in", "lines for write-ins")
		case text == "" && s.Kind == NextChoice && len(k.e.choices[s.Row]) > 0:
			if k.e.Value(casefile.Contests, s.Row, "source") == "" {
				return "the contest is complete; the document it was keyed from is next"
			}
			return "the contest is complete"
		}
	case Source:
		if text == "" {
			return "no document is named"
		}
	case Document:
		if text == "" && k.document != "" && len(k.Items()) == 0 {
			return "as before: " + k.document
		}
	case ChoiceLines:
		if text == "" {
			return "nothing is keyed here, and nothing compared; - where no party is printed"
		}
	case ContestKind:
		for _, c := range kinds {
			if strings.EqualFold(text, c.key) {
				return map[string]string{"candidate": "a contest of candidates", "measure": "a measure",
					"retention": "a retention question", "party": "a straight-party contest"}[c.kind]
			}
		}
	case FactDate:
		if day, ok := Day(text, k.dayFirst); ok {
			return DayWords(day)
		}
	case Variation:
		if v, ok := variationOf(text); ok {
			return VariationWords(v)
		}
	case ChoiceOrder:
		if value, fault := k.order(s.Place, text); fault == "" && text != "" {
			words, _ := k.OrderWords(s.Place, value)
			return words
		}
	case VoteFor:
		if n, ok := numberOf(text); ok && itoa(n) != text {
			return "vote for " + itoa(n)
		}
	case UnitSite:
		if dittos(text) > 0 {
			return "the site above: " + k.siteAbove(s.Row)
		}
	case FacePrecincts:
		if text == "" && len(k.e.places[s.Row]) > 0 {
			return "the next face"
		}
		return k.understood(s, text)
	case UnitPrecincts:
		return k.understood(s, text)
	}
	return ""
}
