package report

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/checks/loading"
	"counterproof/checks/review"
	"counterproof/model/cards"
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
	var last *loading.Visit
	visits := at.Of(u.Name)
	for i := range visits {
		v := &visits[i]
		out.Visits = append(out.Visits, m.loadedVisit(w, v))
		if last == nil || !v.First.At.Before(last.First.At) {
			last = v
		}
	}
	out.Left = nonNil(w.Left(u, last, loading.SealsOf(at.Visits, u.Name)))
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
	for _, a := range w.Agreements(v) {
		r := LoadedReading{What: loading.FieldWords(a.Key), Read: a.Read}
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
		out.Corrected = append(out.Corrected, fmt.Sprintf("%s, read as %s in entry %d, was corrected in entry %d: %s",
			loading.FieldWords(loading.Key{Field: c[0].Field, Name: c[0].Name}), loading.ReadingWords(c[0].Reading),
			c[0].Entry, c[1].Entry, c[1].Reason))
	}
	for _, s := range m.state.UnitsSigned {
		t := s.Terms
		if t.Team == v.Team && t.Visit == v.Number && t.Unit == v.Unit && s.Seq > v.Last.Entry {
			out.SignedAt, out.By = s.At, m.all(s.Signers())
		}
	}
	return out
}

// good reports whether nothing is left to do at a unit and nothing differs that two of different parties
// did not accept.
func (u *LoadedUnit) good() bool {
	return len(u.Left) == 0 && !slices.ContainsFunc(u.Findings, func(f LoadedItem) bool { return !f.Settled })
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
		"were made from an export that says the same of the unit as the approved one; machine – at %d of %s everything "+
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
	for _, u := range units {
		if len(u.Left) > 0 {
			left++
		}
		for _, f := range u.Findings {
			if !f.Settled {
				open++
			}
		}
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

// loadingFront composes the front page's row of the machines.
func (c *composer) loadingFront() []fact {
	if c.Loading == nil {
		return nil
	}
	return []fact{{label: "Cards at the machine", lines: each(c.Loading.Said)}}
}

// loadingCaution stands with everything that is said of the machines.
const loadingCaution = "This is what two people read and keyed. Nothing here read a card or a machine; whether the " +
	"screen said so, the people who signed know. It takes the place of no test, seal log or form that law or the " +
	"board's procedure requires."

// loading composes what was expected, read, decided, sealed and signed at each unit.
func (c *composer) loading() {
	x := c.Loading
	if x == nil {
		return
	}
	itself := "do not change to and from daylight saving time by themselves"
	if x.ChangesItself {
		itself = "change to and from daylight saving time by themselves"
	}
	c.add(section{"Loading"}, paragraph{say(strings.Join(x.Said, " ")), body}, paragraph{say(loadingCaution), small})
	if x.Zone != "" {
		c.add(paragraph{say(fmt.Sprintf("The county's time zone is %s. The machines %s.", x.Zone, itself)), small})
	}
	if rows := madeFrom(x.Units); len(rows) > 0 {
		c.add(entry{title: "The exports that the cards were made from", rows: rows})
	}
	for i := range x.Units {
		c.loadedUnit(&x.Units[i])
	}
}

// madeFrom lists each export that a card was made from once, with its digest.
func madeFrom(units []LoadedUnit) (rows []fact) {
	seen := map[string]bool{}
	for i := range units {
		u := &units[i]
		if u.SHA256 == "" || seen[u.SHA256] {
			continue
		}
		seen[u.SHA256] = true
		name := cmp.Or(u.Export, "not in the case")
		rows = append(rows, fact{label: "Export", lines: []words{say(name), code(groups(u.SHA256))}})
	}
	return rows
}

// status says in a few words how far a unit is.
func (u *LoadedUnit) status() string {
	open := 0
	for _, f := range u.Findings {
		if !f.Settled {
			open++
		}
	}
	var parts []string
	switch {
	case len(u.Visits) == 0:
		parts = append(parts, "not begun")
	case len(u.Left) > 0:
		parts = append(parts, english.Plural(len(u.Left), "thing", "")+" left")
	}
	if open > 0 {
		parts = append(parts, english.Plural(open, "finding", "")+" open")
	}
	if len(parts) == 0 {
		return "done"
	}
	return strings.Join(parts, ", ")
}

func (c *composer) loadedUnit(u *LoadedUnit) {
	card := say("none in the ledger")
	if u.Card != "" {
		from := u.Export
		if from == "" {
			from = fmt.Sprintf("an export that the case does not hold (%.12s…)", u.SHA256)
		}
		card = say(fmt.Sprintf("%s, made %s from %s", u.Card, u.Made, from))
	}
	rows := []fact{{label: "Card", lines: []words{card}}}
	if len(u.Left) > 0 {
		rows = append(rows, fact{label: "Left", lines: each(u.Left), listed: true})
	}
	c.add(entry{title: "Unit " + u.Unit + " · " + siteName(u.Site), word: u.status(), rows: rows})
	for i := range u.Visits {
		c.loadedVisit(u, &u.Visits[i])
	}
	for _, f := range u.Findings {
		var rows []fact
		for _, a := range f.Decisions {
			rows = append(rows, fact{label: "Decided", lines: []words{stress(cards.Outcome(a.Outcome).Words())}})
			rows = append(rows, c.act(a.Document, a.Reason, a.By, a.At)...)
		}
		c.add(entry{title: "Unit " + u.Unit + ": finding", word: f.Status, message: say(f.Message), rows: rows})
	}
}

func (c *composer) loadedVisit(u *LoadedUnit, v *LoadedVisit) {
	title := fmt.Sprintf("Unit %s, visit %d, keyed by %s, %s", u.Unit, v.Number, names(v.KeyedBy), c.Clock.moment(v.From))
	if v.Team != "" {
		title += ", " + loading.TeamWords(v.Team)
	}
	t := table{caption: title, heads: []string{"", "Read", "Had to be", ""}}
	for _, r := range v.Readings {
		agrees := "differs"
		switch {
		case r.Must == "":
			agrees = "–"
		case r.Agrees:
			agrees = "agrees"
		}
		must := r.Must
		if must == "" {
			must = "–"
		}
		t.rows = append(t.rows, []words{say(r.What), quote(r.Read), quote(must), say(agrees)})
	}
	c.add(t)
	signed := say("Nobody signed for this visit.")
	if len(v.By) > 0 {
		signed = say(fmt.Sprintf("Signed by %s, %s.", names(v.By), c.Clock.moment(v.SignedAt)))
	}
	c.add(paragraph{signed, small})
	if len(v.Corrected) > 0 {
		c.add(bullets{each(v.Corrected), false})
	}
}
