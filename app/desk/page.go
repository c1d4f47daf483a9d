package desk

import (
	"slices"
	"strconv"

	"counterproof/model/casefile"
)

// PageKind is the kind of a page.
type PageKind uint8

// The pages: the election's name and parties; one ballot face; the contests that are on no face;
// the voting units; in a correction, the official roster.
const (
	PageElection PageKind = iota
	PageFace
	PageLoose
	PageUnits
	PageRoster
)

// Page is one page of the desk; Row is the face of a PageFace.
type Page struct {
	Kind PageKind
	Row  int
}

// PageInfo describes a page in the list of pages.
type PageInfo struct {
	Page
	// Name is the face's label as keyed; empty if it has none.
	Name string
	// Contests and Precincts are the numbers of contests and precincts of the face. For
	// PageElection, Contests is the number of parties, for PageUnits the number of units; Precincts
	// of PageRoster is the number of precincts.
	Contests, Precincts int
	// Copied is the number of contests that are proposed as a copy and not confirmed.
	Copied int
}

// Pages lists the pages in a fixed order: the election, the faces in the order of keying, the next
// face, contests on no face (if any), the units.
func (k *Keying) Pages() []PageInfo {
	if k.pagesKnown != nil {
		return k.pagesKnown
	}
	k.pagesKnown = k.listPages()
	return k.pagesKnown
}

func (k *Keying) listPages() []PageInfo {
	parties, units := 0, 0
	k.e.Each(casefile.Parties, func(int, []string) { parties++ })
	out := []PageInfo{{Page: Page{Kind: PageElection}, Contests: parties}}
	for _, f := range k.e.faces() {
		out = append(out, PageInfo{Page: Page{PageFace, f}, Name: k.e.Value(casefile.Faces, f, "style"),
			Contests: len(k.e.places[f]), Precincts: len(k.e.gives[f]) +
				boolInt(k.e.Value(casefile.Faces, f, "precinct") != ""), Copied: len(k.proposed(f))})
	}
	if !k.ballots || k.Correcting() || k.Amended() {
		out = append(out, PageInfo{Page: Page{PageFace, k.nextFace()}, Copied: len(k.proposed(k.nextFace()))})
	}
	if loose := k.loose(); len(loose) > 0 {
		out = append(out, PageInfo{Page: Page{Kind: PageLoose}, Contests: len(loose)})
	}
	k.e.Each(casefile.Units, func(int, []string) { units++ })
	out = append(out, PageInfo{Page: Page{Kind: PageUnits}, Contests: units})
	if k.Correcting() {
		out = append(out, PageInfo{Page: Page{Kind: PageRoster}, Precincts: len(k.e.precincts())})
	}
	return out
}

func (k *Keying) nextFace() int {
	faces := k.e.faces()
	n := k.e.Last(casefile.Faces)
	if len(faces) > 0 {
		n = max(n, faces[len(faces)-1])
	}
	return n + 1
}

// loose returns the contests on no face.
func (k *Keying) loose() (out []int) {
	k.e.Each(casefile.Contests, func(row int, _ []string) {
		if len(k.e.placed[row]) == 0 {
			out = append(out, row)
		}
	})
	return out
}

// Page returns the open page.
func (k *Keying) Page() Page { return k.page }

// Open opens a page at its first empty stop.
func (k *Keying) Open(p Page) {
	k.leave()
	k.page, k.before, k.heading, k.beforeChoice = p, 0, "", 0
	k.stale()
	k.toFirstEmpty()
}

// Turn opens the next page or, with -1, the previous one.
func (k *Keying) Turn(by int) {
	pages := k.Pages()
	at := slices.IndexFunc(pages, func(p PageInfo) bool { return p.Page == k.page })
	k.Open(pages[min(max(at+by, 0), len(pages)-1)].Page)
}

// Unassigned returns the precincts of the official roster that have no face.
func (k *Keying) Unassigned() []string { return k.e.unassigned() }

// Roster returns the official roster of precincts.
func (k *Keying) Roster() []string { return k.e.precincts() }

// FacePrecinctNames returns the precincts of a face.
func (k *Keying) FacePrecinctNames(face int) []string { return k.e.on(face) }

// UnitPrecinctNames returns the precincts that a unit's card header names.
func (k *Keying) UnitPrecinctNames(unit int) []string { return k.e.header(unit) }

// Document returns the current source document: new contests are keyed from it.
func (k *Keying) Document() string { return k.document }

// PinnedHeading returns the heading for the next contest.
func (k *Keying) PinnedHeading() string { return k.heading }

func itoa(n int) string { return strconv.Itoa(n) }
