package desk

import (
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

// Find searches what the keyer keyed: titles, names, headings, texts, faces and units. It also
// finds faces and units by their precincts.
func (k *Keying) Find(query string) []Hit {
	query = wording.Fold(query)
	if query == "" {
		return nil
	}
	var out []Hit
	try := func(words string, p Page, s Stop, context string) {
		if len(out) < mostHits && words != "" && strings.Contains(wording.Fold(words), query) {
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
		if on := k.e.placed[c]; len(on) > 0 {
			place = on[0]
			p = Page{PageFace, k.e.Ref(casefile.Placements, place, "face")}
		}
		try(k.ContestWords(c), p, Stop{Kind: Title, Row: c, Place: place}, "")
		for _, ch := range k.e.choices[c] {
			if k.e.Value(casefile.Choices, ch, "write_in") == "" {
				try(k.e.Value(casefile.Choices, ch, "name"), p, Stop{Kind: ChoiceName, Row: ch, Place: place},
					k.e.Value(casefile.Contests, c, "title"))
			}
		}
		try(k.e.Value(casefile.Contests, c, "text"), p, Stop{Kind: MeasureText, Row: c, Place: place}, k.e.Value(casefile.Contests, c, "title"))
	})
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
