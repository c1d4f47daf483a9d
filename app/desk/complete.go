package desk

import (
	"slices"
	"strings"

	"counterproof/checks/wording"
	"counterproof/model/casefile"
)

// Item is a line of the list under the field. It comes from the keyer's own entry or the official
// roster, never from anywhere else. What begins with the typed letters comes first, then what has a
// word that does, then what they abbreviate; within these the order is that of keying.
type Item struct {
	Words string
	// Contest is the contest that the line adds to the face, 0 for wording.
	Contest int
	// Code is the party that the line names, empty for other lines.
	Code string
	// IsHeading is set for lines that set a heading above the next contest.
	IsHeading bool
}

// wordsCache holds a contest's wording, case-folded for searching, and its original.
type wordsCache struct {
	title, subtitle string
	words           []string
}

// Items returns the list under the field. The first line is picked unless MovePick changed that.
func (k *Keying) Items() []Item {
	if k.itemsKnown {
		return k.items
	}
	k.items, k.itemsKnown = nil, true
	typed := trim(k.text)
	if forParty(k.focus.Kind) && k.focus.Language == "" && (!k.fresh || typed == "") {
		k.items = k.partyItems(typed)
		return k.items
	}
	onDesk := k.focus.Kind == Document && typed == ""
	if !onDesk && k.focus.Kind != NextContest && (k.fresh || typed == "") || dittos(typed) > 0 {
		return nil
	}
	if typed == "" && len(k.Copies()) > 0 {
		return nil // an empty Enter confirms the copied contest, which is shown in the list's place
	}
	query := foldedQuery(typed)
	plain := func(list []string) {
		for _, w := range list {
			if w == typed {
				k.items = nil
				return
			}
			if abbreviates(query, strings.Fields(wording.Fold(w))) {
				k.items = append(k.items, Item{Words: w})
			}
		}
	}
	switch k.focus.Kind {
	case NextContest:
		here := map[int]bool{}
		for _, p := range k.e.places[k.focus.Row] {
			here[k.e.Ref(casefile.Placements, p, "contest")] = true
		}
		k.e.Each(casefile.Contests, func(row int, _ []string) {
			if !here[row] && (typed == "" || abbreviates(query, k.foldedTitle(row))) {
				k.items = append(k.items, Item{Words: k.ContestWords(row), Contest: row})
			}
		})
		if typed != "" {
			for _, h := range k.ownHeadings() {
				if abbreviates(query, strings.Fields(wording.Fold(h))) {
					k.items = append(k.items, Item{Words: h, IsHeading: true})
				}
			}
		}
	case Source, Document:
		for _, d := range k.documents() {
			switch {
			case d == typed:
				k.items = nil
				return nil
			case onDesk || abbreviates(query, strings.Fields(wording.Fold(d))) || sameDocument(d, typed):
				k.items = append(k.items, Item{Words: d})
			}
		}
	case Heading:
		plain(k.ownHeadings())
	case Subtitle:
		plain(k.own(casefile.Contests, "subtitle"))
	case UnitSite:
		sites := k.own(casefile.Precincts, "site")
		for _, s := range k.own(casefile.Units, "site") {
			if !slices.Contains(sites, s) {
				sites = append(sites, s)
			}
		}
		plain(sites)
	}
	if typed != "" {
		rank(k.items, typed)
	}
	return k.items
}

// rank puts what begins with the typed letters before what has a word that does, and that before what
// they only abbreviate.
func rank(items []Item, typed string) {
	typed = wording.Fold(typed)
	of := func(i Item) int {
		switch words := wording.Fold(i.Words); {
		case strings.HasPrefix(words, typed):
			return 0
		case strings.Contains(" "+words, " "+typed):
			return 1
		}
		return 2
	}
	slices.SortStableFunc(items, func(a, b Item) int { return of(a) - of(b) })
}

// cutsNumber reports whether what was typed ends in the middle of a number of the words that it begins.
func cutsNumber(typed, words string) bool {
	typed, words = wording.Fold(typed), wording.Fold(words)
	rest, ok := strings.CutPrefix(words, typed)
	return ok && typed != "" && rest != "" && isDigit(typed[len(typed)-1]) && isDigit(rest[0])
}

func isDigit(b byte) bool { return '0' <= b && b <= '9' }

// own returns the values of a column, each once, in the order of keying.
func (k *Keying) own(t casefile.Table, column string) (out []string) {
	seen := map[string]bool{}
	k.e.Each(t, func(row int, _ []string) {
		if v := k.e.Value(t, row, column); v != "" && v != "-" && !seen[v] {
			seen[v] = true
			out = append(out, v)
		}
	})
	return out
}

func (k *Keying) ownHeadings() []string {
	if !k.e.headingsKnown {
		k.e.headingList, k.e.headingsKnown = k.own(casefile.Placements, "heading"), true
	}
	return k.e.headingList
}

func (k *Keying) ownCodes() []string {
	out := k.own(casefile.Parties, "party")
	for code, n := range k.e.lines {
		if n > 0 && !slices.Contains(out, code) {
			out = append(out, code)
		}
	}
	return out
}

// ContestWords returns a contest's title and subtitle in one line.
func (k *Keying) ContestWords(row int) string {
	title, sub := k.e.Value(casefile.Contests, row, "title"), k.e.Value(casefile.Contests, row, "subtitle")
	if sub != "" && sub != "-" {
		return title + " · " + sub
	}
	return title
}

func (k *Keying) foldedTitle(row int) []string {
	title, sub := k.e.Value(casefile.Contests, row, "title"), k.e.Value(casefile.Contests, row, "subtitle")
	c := k.words[row]
	if c.words == nil || c.title != title || c.subtitle != sub {
		c = wordsCache{title, sub, strings.Fields(wording.Fold(title + " " + sub))}
		k.words[row] = c
	}
	return c.words
}

func foldedQuery(typed string) string { return strings.ReplaceAll(wording.Fold(typed), " ", "") }

// abbreviates reports whether the letters are beginnings of the words, in order: "tsb" and "towsup"
// are "Town Supervisor Town of Brightwater".
func abbreviates(letters string, words []string) bool {
	// reach[i] means that the words so far can use up the first i letters.
	reach := make([]bool, len(letters)+1)
	reach[0] = true
	for _, w := range words {
		for i := len(letters) - 1; i >= 0; i-- {
			if !reach[i] {
				continue
			}
			for n := 0; n < len(w) && i+n < len(letters) && w[n] == letters[i+n]; n++ {
				reach[i+n+1] = true
			}
		}
		if reach[len(letters)] {
			return true
		}
	}
	return reach[len(letters)]
}

// unpicked reports whether nothing is picked from the stop's list until the user presses an arrow
// key. At such a stop a new text is often the beginning of an earlier one ("District 1", "District
// 12"), so Enter must key the text as typed.
func unpicked(s StopKind) bool { return s == Subtitle }

// Pick returns the line of the list that Enter takes, -1 for none.
func (k *Keying) Pick() int {
	if n := len(k.Items()); k.pick >= n {
		return n - 1
	}
	return k.pick
}

// MovePick moves the pick down or, with -1, up. Above the first line nothing is picked, and Enter
// takes the typed text.
func (k *Keying) MovePick(by int) {
	k.pick = min(max(k.Pick()+by, -1), len(k.Items())-1)
	if k.placedLast = 0; k.pick >= 0 && trim(k.text) == "" && k.focus.Kind == NextContest {
		// If nothing was typed, moving through the list selects the line itself.
		k.text, k.fresh = "", false
	}
}

func (k *Keying) picked() (Item, bool) {
	items := k.Items()
	if p := k.Pick(); p >= 0 && p < len(items) {
		return items[p], true
	}
	return Item{}, false
}

// Complete copies the wording of the picked line into the field, for further editing. For a contest
// it copies the title without the subtitle.
func (k *Keying) Complete() bool {
	item, ok := k.picked()
	if items := k.Items(); !ok && unpicked(k.focus.Kind) && len(items) > 0 {
		item, ok = items[0], true
	}
	if !ok || trim(k.text) == "" {
		return false
	}
	k.text = item.Words
	if item.Code != "" {
		k.text = item.Code
	}
	if item.Contest > 0 {
		k.text = k.e.Value(casefile.Contests, item.Contest, "title")
	}
	k.fresh, k.itemsKnown, k.pick = false, false, -1
	return true
}
