package desk

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"counterproof/checks/wording"
	"counterproof/model/casefile"
)

// Hit is a place where a search found something.
type Hit struct {
	Page  Page
	Stop  Stop
	Words string
}

// mostHits limits the number of hits; the user can type more letters.
const mostHits = 200

// Find searches what the keyer keyed: titles, names, headings, texts, faces, units and sites. It also
// finds faces and units by their precincts. The open page comes first, from the cursor on; then the
// pages behind it, and those before it.
func (k *Keying) Find(query string) []Hit {
	hits := k.hits(query)
	order := map[Page]int{}
	pages := k.Pages()
	for i, p := range pages {
		order[p.Page] = i
	}
	here, cursor := order[k.page], k.at(k.focus)
	rank := func(h Hit) (int, int) {
		if h.Page == k.page {
			at := k.at(h.Stop)
			if at <= cursor {
				at += len(k.Stops())
			}
			return 0, at
		}
		return (order[h.Page] - here + len(pages)) % len(pages), 0
	}
	slices.SortStableFunc(hits, func(a, b Hit) int {
		page, at := rank(a)
		other, beside := rank(b)
		return cmp.Or(cmp.Compare(page, other), cmp.Compare(at, beside))
	})
	return hits
}

// FindNext goes to the next place with what was searched for last; false if there is none.
func (k *Keying) FindNext() bool {
	k.message = ""
	if k.query == "" {
		k.message = "nothing was searched for yet; Ctrl+F searches"
		return false
	}
	hits := k.Find(k.query)
	// Places of this page above the cursor come last here: a search goes through all pages.
	cursor := k.at(k.focus)
	passed := func(h Hit) bool { return h.Page == k.page && k.at(h.Stop) <= cursor }
	for _, turn := range []bool{false, true} {
		for _, h := range hits {
			if passed(h) == turn {
				k.Show(h.Page, h.Stop)
				return true
			}
		}
	}
	k.message = fmt.Sprintf("nothing that was keyed has %q", k.query)
	return false
}

// Sought sets what FindNext searches for.
func (k *Keying) Sought(query string) { k.query = trim(query) }

// placeHere returns the placement of a contest on the open face, or else its first; 0 for none.
func (k *Keying) placeHere(placed []int) int {
	for _, place := range placed {
		if k.page == (Page{PageFace, k.e.Ref(casefile.Placements, place, "face")}) {
			return place
		}
	}
	if len(placed) > 0 {
		return placed[0]
	}
	return 0
}

// headingHits finds headings; of each wording one place, on the open face if it has one.
func (k *Keying) headingHits(query string, try func(words string, p Page, s Stop, context string)) {
	first := map[string][]int{}
	for _, h := range k.ownHeadings() {
		if strings.Contains(wording.Fold(h), query) {
			first[h] = nil
		}
	}
	if len(first) == 0 {
		return
	}
	k.e.Each(casefile.Placements, func(row int, _ []string) {
		h := k.e.Value(casefile.Placements, row, "heading")
		if list, is := first[h]; is && (list == nil || k.page.Row == k.e.Ref(casefile.Placements, row, "face")) {
			first[h] = append(list, row)
		}
	})
	for _, h := range k.ownHeadings() {
		if place := k.placeHere(first[h]); place > 0 {
			try(h, Page{PageFace, k.e.Ref(casefile.Placements, place, "face")}, Stop{Kind: Heading, Row: place, Place: place},
				"heading")
		}
	}
}

func (k *Keying) hits(query string) []Hit {
	query = wording.Fold(query)
	if query == "" {
		return nil
	}
	var out []Hit
	try := func(words string, p Page, s Stop, context string) {
		if (len(out) < mostHits || p == k.page) && words != "" && strings.Contains(wording.Fold(words), query) {
			if context != "" {
				words += " · " + context
			}
			out = append(out, Hit{p, s, words})
		}
	}
	k.e.Each(casefile.Parties, func(row int, _ []string) {
		try(k.e.Value(casefile.Parties, row, "party"), Page{Kind: PageElection}, Stop{Kind: PartyCode, Row: row}, "party")
		try(k.e.Value(casefile.Parties, row, "name"), Page{Kind: PageElection}, Stop{Kind: PartyName, Row: row}, "party")
	})
	k.e.Each(casefile.Contests, func(c int, _ []string) {
		p, place := Page{Kind: PageLoose}, 0
		if on := k.placeHere(k.e.placed[c]); on > 0 {
			place = on
			p = Page{PageFace, k.e.Ref(casefile.Placements, place, "face")}
		}
		try(k.ContestWords(c), p, Stop{Kind: Title, Row: c, Place: place}, "")
		for _, ch := range k.e.choices[c] {
			if k.e.Value(casefile.Choices, ch, "write_in") == "" {
				try(k.e.Value(casefile.Choices, ch, "name"), p, Stop{Kind: ChoiceName, Row: ch, Place: place},
					k.e.Value(casefile.Contests, c, "title"))
			}
		}
		try(k.e.Value(casefile.Contests, c, "text"), p, Stop{Kind: MeasureText, Row: c, Place: place},
			k.e.Value(casefile.Contests, c, "title"))
	})
	k.headingHits(query, try)
	for _, f := range k.e.faces() {
		p := Page{PageFace, f}
		try(k.e.Value(casefile.Faces, f, "style"), p, Stop{Kind: FaceLabel, Row: f}, "face")
	}
	for _, name := range k.e.precincts() {
		if len(out) >= mostHits {
			break
		}
		if !strings.Contains(wording.Fold(name), query) {
			continue
		}
		for _, g := range k.e.given[name] {
			f := k.e.Ref(casefile.Assignments, g, "face")
			try(name, Page{PageFace, f}, Stop{Kind: FacePrecincts, Row: f}, k.faceName(f))
		}
	}
	k.e.Each(casefile.Units, func(row int, _ []string) {
		p := Page{Kind: PageUnits}
		try(k.e.Value(casefile.Units, row, "unit"), p, Stop{Kind: UnitName, Row: row}, "unit")
		try(k.e.Value(casefile.Units, row, "site"), p, Stop{Kind: UnitSite, Row: row}, "site of unit "+
			k.e.Value(casefile.Units, row, "unit"))
		for _, name := range k.e.header(row) {
			try(name, p, Stop{Kind: UnitPrecincts, Row: row}, "unit "+k.e.Value(casefile.Units, row, "unit"))
		}
	})
	return out
}

// Show opens a page at a stop, as given by a hit, a flag or a Spot. A rarely keyed stop appears.
func (k *Keying) Show(p Page, s Stop) {
	k.language = s.Language
	k.Open(p)
	if !k.goTo(s) {
		k.reveal(s)
	}
}
