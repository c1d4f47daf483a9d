package report

import (
	"fmt"
	"slices"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/checks/loading"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// Loading is what two of different parties did with the cards at the machines.
type Loading struct {
	// Said are sentences; the first says of each link of the chain what was held, and what was not.
	Said []string `json:"said"`
	// Zone is the county's time zone; ChangesItself says that the machines change to and from daylight
	// saving time by themselves.
	Zone          string       `json:"zone"`
	ChangesItself bool         `json:"changes_itself"`
	Units         []LoadedUnit `json:"units"`
}

// LoadedUnit is a voting unit of the plan, in the order of work.
type LoadedUnit struct {
	Unit string `json:"unit"`
	Site string `json:"site"`
	// Card is the label of its card by the ledger, empty for none. Export names the export that the card
	// was made from, empty for one that the case does not hold; SHA256 is its digest.
	Card   string `json:"card"`
	Export string `json:"export"`
	SHA256 string `json:"sha256"`
	Made   string `json:"made"`
	// Left is what was not done; Visits are what was read.
	Left     []string      `json:"left"`
	Visits   []LoadedVisit `json:"visits"`
	Findings []LoadedItem  `json:"findings"`
}

// LoadedVisit is a visit to a unit. By is empty where nobody signed for it.
type LoadedVisit struct {
	Number    int             `json:"number"`
	Team      string          `json:"team"`
	From      string          `json:"from"`
	To        string          `json:"to"`
	KeyedBy   []Who           `json:"keyed_by"`
	Readings  []LoadedReading `json:"readings"`
	Corrected []string        `json:"corrected"`
	SignedAt  string          `json:"signed_at"`
	By        []Who           `json:"by"`
}

// LoadedReading is what was read of one thing, and what had to be there; empty where there was nothing to
// hold it against.
type LoadedReading struct {
	What   string `json:"what"`
	Read   string `json:"read"`
	Must   string `json:"must"`
	Agrees bool   `json:"agrees"`
}

// LoadedItem is a finding at a unit with what was decided.
type LoadedItem struct {
	ID        string         `json:"id"`
	Message   string         `json:"message"`
	Status    string         `json:"status"`
	Settled   bool           `json:"settled"`
	Decisions []DeckDecision `json:"decisions"`
}

// loading lists what was done at the machines; nil where nothing was loaded.
func (m *maker) loading(decks *TestDecks) (*Loading, error) {
	if len(m.state.Cards)+len(m.state.Read) == 0 {
		return nil, nil
	}
	at, err := m.review.Machines()
	if err != nil {
		return nil, err
	}
	w := at.Warehouse
	out := &Loading{Zone: w.Rules.Zone, ChangesItself: w.Rules.ChangesItself, Units: []LoadedUnit{}}
	for i := range w.Plan.Units {
		out.Units = append(out.Units, m.loadedUnit(at, &w.Plan.Units[i]))
	}
	out.Said = append([]string{m.links(at, out.Units, decks)}, loadedWords(out.Units)...)
	return out, nil
}

func (m *maker) loadedUnit(at *review.Machines, u *loading.Unit) LoadedUnit {
	w := at.Warehouse
	out := LoadedUnit{Unit: u.Name, Site: u.Site, Visits: []LoadedVisit{}, Findings: []LoadedItem{}}
	if c, known := w.Card(u.Name); known {
		x, _ := w.From(c)
		out.Card, out.Export, out.SHA256, out.Made = c.Label, x.Name, c.Export, c.Made
	}
	var visits []*loading.Visit
	for _, v := range at.Of(u.Name) {
		visits = append(visits, &v)
		out.Visits = append(out.Visits, m.loadedVisit(w, &v))
	}
	out.Left = nonNil(w.Left(u, loading.LastVisit(visits), loading.SealsOf(at.Visits, u.Name)))
	for i := range at.Items {
		item := &at.Items[i]
		// What is left to do is in Left; here it is where two of different parties decided it.
		if item.Unit != u.Name || item.Check == unitNotDone && len(item.Decisions) == 0 {
			continue
		}
		one := LoadedItem{ID: item.ID, Message: item.Message, Status: item.StatusWords(), Decisions: []DeckDecision{},
			Settled: item.Status == review.StatusSettled || item.Status == review.StatusCleared}
		for _, a := range item.Decisions {
			one.Decisions = append(one.Decisions, DeckDecision{a.Seq, a.At, string(a.Terms.Outcome), a.Terms.Reason, "",
				m.all(a.Signers())})
		}
		out.Findings = append(out.Findings, one)
	}
	return out
}

// unitNotDone is the check of what is left to do at a unit.
var unitNotDone = checks.UnitNotDone(finding.Finding{}, nil).Check

func (m *maker) loadedVisit(w *loading.Warehouse, v *loading.Visit) LoadedVisit {
	out := LoadedVisit{Number: v.Number, Team: v.Team, From: moment(v.First), To: moment(v.Last),
		Readings: []LoadedReading{}, Corrected: []string{}, By: []Who{},
		KeyedBy: m.all([]casefile.PersonID{casefile.PersonID(v.First.By)})}
	signed := m.signedVisit(v)
	if signed != nil {
		out.SignedAt, out.By = signed.At, m.all(signed.Signers())
	}
	for _, a := range w.Agreements(v) {
		r := LoadedReading{What: loading.FieldWords(a.Key), Read: a.Read}
		if _, own := v.Read[a.Key]; !own {
			r.What += ", read on an earlier visit"
		}
		if a.Compared {
			r.Must, r.Agrees = a.Must, a.Agrees
		}
		out.Readings = append(out.Readings, r)
	}
	for _, s := range v.Seals {
		out.Readings = append(out.Readings, LoadedReading{
			What: loading.FieldWords(loading.Key{Field: s.Field, Name: s.Name}), Read: loading.ReadingWords(s.Reading)})
	}
	for _, c := range v.Corrected {
		words := fmt.Sprintf("%s, read as %s in entry %d, was corrected in entry %d: %s",
			loading.FieldWords(loading.Key{Field: c[0].Field, Name: c[0].Name}), loading.ReadingWords(c[0].Reading),
			c[0].Entry, c[1].Entry, c[1].Reason)
		if signed != nil && c[1].Entry > signed.Seq {
			words += " (after the signatures, which are for what it was corrected from)"
		}
		out.Corrected = append(out.Corrected, words)
	}
	var later []string
	for key, r := range v.Before {
		if _, again := v.Read[key]; !again && signed != nil && r.Entry > signed.Seq {
			later = append(later, fmt.Sprintf("%s, read on an earlier visit, was corrected in entry %d, after "+
				"the signatures", loading.FieldWords(key), r.Entry))
		}
	}
	slices.Sort(later)
	out.Corrected = append(out.Corrected, later...)
	return out
}

// signedVisit is the last signature for a visit, nil for none.
func (m *maker) signedVisit(v *loading.Visit) (last *casefile.Act[casefile.UnitSignature]) {
	for i := range m.state.UnitsSigned {
		s := &m.state.UnitsSigned[i]
		t := s.Terms
		if t.Team == v.Team && t.Visit == v.Number && t.Unit == v.Unit && s.Seq > v.Last.Entry {
			last = s
		}
	}
	return last
}

// good reports whether nothing is left to do at a unit and nothing differs that two of different parties
// did not accept.
func (u *LoadedUnit) good() bool { return len(u.Left) == 0 && u.open() == 0 }

// open counts the findings that two of different parties did not settle.
func (u *LoadedUnit) open() (n int) {
	for _, f := range u.Findings {
		if !f.Settled {
			n++
		}
	}
	return n
}

// links says of each link of the chain what was held. It counts what is on record, and names what is not.
func (m *maker) links(at *review.Machines, units []LoadedUnit, decks *TestDecks) string {
	list := "no certified list was held against the entries"
	if c := m.certified(); c != nil && c.Contests > 0 {
		list = fmt.Sprintf("a certified list was held against the entries for %s",
			english.Plural(c.Contests, "contest", ""))
	}
	open := 0
	for _, i := range m.standing.Items {
		if i.Status != review.StatusSettled && i.Status != review.StatusCleared && i.Status != review.StatusNoted {
			open++
		}
	}
	proof := "what the second party keyed was held against the export, and no difference is open"
	if open > 0 {
		proof = fmt.Sprintf("what the second party keyed was held against the export, and %s open",
			english.Plural(open, "difference is", "differences are"))
	}
	made, read := 0, 0
	for i := range units {
		u := &units[i]
		if c, known := at.Warehouse.Card(u.Unit); known {
			if x, held := at.Warehouse.From(c); held && len(x.Changed[u.Unit]) == 0 {
				made++
			}
		}
		if u.good() {
			read++
		}
	}
	total := english.Plural(len(units), "unit", "")
	deck := "no machine's count of a test deck is on record"
	if n, all := decks.agreeing(); all > 0 {
		deck = fmt.Sprintf("the counts of %d of %s of a test deck agree with its key, as far as they were held, or were "+
			"accepted", n, english.Plural(all, "machine", ""))
	}
	return fmt.Sprintf("Link by link: list – %s; proof and export – %s; card – by the ledger the cards of %d of %s "+
		"were made from an export that says the same of the unit as the last one; machine – at %d of %s everything "+
		"was done and signed by two of different parties, and what was held of it agrees or was accepted; "+
		"test deck – %s.", list, proof, made, total, read, total, deck)
}

// agreeing counts the units whose results of a current deck were held without a difference that is not
// settled, of all units with results.
func (t *TestDecks) agreeing() (n, all int) {
	if t == nil {
		return 0, 0
	}
	for _, d := range t.Decks {
		for _, u := range d.Units {
			for _, r := range u.Results {
				all++
				differs := func(x DeckDiffers) bool { return !x.Settled }
				if r.Unread == "" && len(d.Stale) == 0 && r.Held > 0 && !slices.ContainsFunc(r.Differences, differs) {
					n++
				}
			}
		}
	}
	return n, all
}

// loadedWords counts what is left.
func loadedWords(units []LoadedUnit) (said []string) {
	left, open := 0, 0
	for i := range units {
		if len(units[i].Left) > 0 {
			left++
		}
		open += units[i].open()
	}
	if left > 0 {
		said = append(said, fmt.Sprintf("%s not done.", english.Plural(left, "unit is", "units are")))
	}
	if open > 0 {
		said = append(said, fmt.Sprintf("%s open at the machines.", english.Plural(open, "finding is", "findings are")))
	}
	return said
}

func moment(r loading.Record) string { return r.At.UTC().Format("2006-01-02T15:04:05Z") }
