package report

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/loading"
	"counterproof/checks/review"
	"counterproof/model/cards"
	"counterproof/model/casefile"
)

// LoadingPages are the printed pages for the cards at the machine.
type LoadingPages struct {
	// Election is what the case calls the election.
	Election casefile.Election
	// Made is the time of the pages, as RFC 3339. Foot stands at the foot of each page.
	Made, Foot string
	Warehouse  *loading.Warehouse
	// Units are those that have pages, in the order of work.
	Units []*loading.Unit
}

// PagesOf are the pages of a case's machines; made is now.
func PagesOf(m *review.Machines, made time.Time) *LoadingPages {
	return &LoadingPages{Election: m.State.Election, Made: made.UTC().Format(time.RFC3339),
		Foot: "By the export that came in last: " + m.Warehouse.Approved, Warehouse: m.Warehouse, Units: m.Units()}
}

// LoadSheets writes a sheet for each site and one for each voting unit, in the order of work, as PDF. The
// front of a unit's sheet is blind; its back says what had to be read.
func (p *LoadingPages) LoadSheets(w io.Writer) error {
	return writePDF(context.Background(), w, p.Made, func() (*document, error) {
		out := p.document("Load sheets")
		add := func(b ...block) { out.blocks = append(out.blocks, b...) }
		add(paragraph{say("Two people of different parties go to each voting unit. Print these pages on both sides: " +
			"what has to be read is on the back of each unit's sheet."), body},
			bullets{[]words{
				say("One reads the machine's screen aloud, the other writes what is read. Nobody turns the sheet before the " +
					"front is filled."),
				say("Then turn it. Tick what agrees, and write both initials beside each row."),
				say("What does not agree is not put right on the sheet: leave the tick out, key it, and decide it in the " +
					"program."),
				say("Write a seal's number as it is read, even where it looks wrong."),
			}, true})
		if clock := p.clockRule(); clock != "" {
			add(heading{"Clocks", false}, paragraph{say(clock), body})
		}
		units := p.Units
		add(heading{"Order of work", false}, p.order(units))
		for from := 0; from < len(units); {
			to := from
			for to < len(units) && units[to].Site == units[from].Site {
				to++
			}
			add(p.site(units[from:to])...)
			for i := range units[from:to] {
				add(p.unit(from + i)...)
			}
			from = to
		}
		return out, nil
	})
}

// CardLabels writes a label for each voting unit's card as PDF, ten on a page, in the order of work.
func (p *LoadingPages) CardLabels(w io.Writer) error {
	return writePDF(context.Background(), w, p.Made, func() (*document, error) {
		out := p.document("Labels for cards")
		out.blocks = append(out.blocks, paragraph{say("Labels are 4 by 2 inches, two side by side. Print them at full " +
			"size, not fitted to the page. The number of the seal is written when the card is in its unit."), body})
		var list labels
		for _, u := range p.Units {
			c, _ := p.Warehouse.Card(u.Name)
			list.of = append(list.of, cardLabel{card: cmp.Or(c.Label, u.Name), unit: "Unit " + u.Name, site: u.Site,
				election: p.Election.Name + " · " + day(p.Election.Date), export: p.from(c)})
		}
		out.blocks = append(out.blocks, list)
		return out, nil
	})
}

func (p *LoadingPages) document(kind string) *document {
	d := &document{title: strings.Join([]string{kind, p.Election.Jurisdiction, p.Election.Name}, " · "), foot: p.Foot}
	d.blocks = append(d.blocks, cover{kind, p.Election.Jurisdiction, p.Election.Name, day(p.Election.Date)})
	return d
}

// from says from which export a card was made; empty where the ledger has no card.
func (p *LoadingPages) from(c cards.Card) string {
	if c.Export == "" {
		return ""
	}
	x, _ := p.Warehouse.From(c)
	name := cmp.Or(x.Name, "an export that is not in the case")
	return fmt.Sprintf("made %s from %s, %s…", c.Made, name, c.Export[:min(len(c.Export), 12)])
}

// clockRule says what clocks have to show, empty where the office has not said its time zone.
func (p *LoadingPages) clockRule() string {
	must, ok := p.mustShow()
	if !ok {
		return ""
	}
	zone := p.Warehouse.Rules.Zone
	if must.Change == 0 {
		return fmt.Sprintf("Each clock shows the county's time (%s). Clocks are not moved before election morning.", zone)
	}
	way, off := "ahead", "ahead of"
	if must.Change < 0 {
		way, off = "back", "behind"
	}
	moved := fmt.Sprintf("Before election morning the county's clocks (%s) are moved %s %s.", zone, hours(must.Change),
		way)
	if must.ChangesItself {
		return moved + " The machines do that by themselves: each clock shows the county's time, before and after."
	}
	return moved + fmt.Sprintf(" The machines do not do that by themselves: until then each clock is %s %s the county's "+
		"time, so that it is right on election morning.", hours(must.Change), off)
}

func hours(d time.Duration) string {
	if d = d.Abs(); d%time.Hour == 0 {
		return english.Plural(int(d/time.Hour), "hour", "")
	}
	return english.Plural(int(d/time.Minute), "minute", "")
}

// mustShow is what a clock must show when the pages are made, false where no time zone is said.
func (p *LoadingPages) mustShow() (must loading.Must, ok bool) {
	at, err := time.Parse(time.RFC3339, p.Made)
	if err != nil || p.Warehouse.Clock == nil {
		return must, false
	}
	return p.Warehouse.Clock.Must(at), true
}

// order lists the units in the order of work.
func (p *LoadingPages) order(units []*loading.Unit) table {
	t := table{heads: []string{"Site", "Unit", "Card", "Precincts", "Districts"}}
	for _, u := range units {
		c, known := p.Warehouse.Card(u.Name)
		card := say(c.Label)
		if !known {
			card = say("none in the ledger")
		}
		t.rows = append(t.rows, []words{say(siteName(u.Site)), stress(u.Name), card, say(count(len(u.Header))),
			say(count(len(u.Districts)))})
	}
	return t
}

func siteName(site string) string { return cmp.Or(site, "no site stated") }

// site is the sheet of a site: its units in the order of work, with room for the time each was done.
func (p *LoadingPages) site(units []*loading.Unit) []block {
	f := form{heads: []string{"Done", "Initials", "Initials"}}
	for i := range units {
		f.rows = append(f.rows, formRow{label: units[i].Name, under: use(units[i])})
	}
	return []block{
		sheet{title: siteName(units[0].Site), of: english.Plural(len(units), "unit", ""), recto: true,
			under: "Site sheet: the units in the order of work"},
		paragraph{say("Write beside each unit when its last seal was applied. Tick it when its own sheet is filled and " +
			"its reading is keyed."), body}, f}
}

func use(u *loading.Unit) string {
	if u.Use == "" {
		return ""
	}
	return "for " + strings.ReplaceAll(string(u.Use), "-", " ") + " voting"
}

// unit is the sheet of a unit, front and back.
func (p *LoadingPages) unit(at int) []block {
	u := p.Units[at]
	of := fmt.Sprintf("%d of %s", at+1, english.Plural(len(p.Units), "unit", ""))
	under := strings.Join(nonEmpty(siteName(u.Site), use(u)), ", ")
	blocks := []block{
		sheet{title: "Unit " + u.Name, of: of, under: under, recto: true},
		form{heads: []string{"Agrees", "Initials", "Initials"}, rows: p.front()}}
	back := append(p.expected(u), formRow{label: "Signed by both", under: "name, party, time", lines: 2})
	return append(blocks, sheet{title: "Unit " + u.Name + ": must show", of: of, under: under},
		paragraph{stress("Do not look at this side before the other is filled."), body}, form{rows: back})
}

func nonEmpty(list ...string) (out []string) {
	for _, s := range list {
		if s != "" {
			out = append(out, s)
		}
	}
	return out
}

// front are the rows of a unit's sheet that are written. All units have the same, so that their number of
// lines says nothing of what has to be read.
func (p *LoadingPages) front() (rows []formRow) {
	row := func(label, under string, lines int) {
		rows = append(rows, formRow{label: label, under: under, lines: lines})
	}
	const onLine = 8 // precincts that can be written on a line
	most := 0
	for _, u := range p.Units {
		most = max(most, len(u.Header))
	}
	rules := p.Warehouse.Rules
	for _, place := range rules.Seals {
		row("Seal found: "+place, "none: write “none”", 1)
	}
	row("Header", "the precincts that the screen names", min(max((most+onLine-1)/onLine, 2), 8))
	row("Election", "", 1)
	row("Date of the election", "", 1)
	row("Card", "the label on it", 1)
	row("Clock", "on the screen · by your watch", 1)
	for _, key := range rules.Keys {
		row("Key: "+key, "turns, or not", 1)
	}
	row("Zero report", "all zero, or what is not", 1)
	for _, counter := range rules.Counters {
		row("Counter: "+counter, "", 1)
	}
	row("Load time", "from switching on to ready", 1)
	for _, place := range rules.Seals {
		row("Seal applied: "+place, "", 1)
	}
	return rows
}

// expected are the rows of the back, in the order of the front.
func (p *LoadingPages) expected(u *loading.Unit) (rows []formRow) {
	row := func(label, under, value, none string) {
		v := stress(value)
		if value == "" {
			v = say(none)
		}
		rows = append(rows, formRow{label: label, under: under, value: v})
	}
	rules, must := p.Warehouse.Rules, p.Warehouse.Expected(u)
	seals := loading.SealsOf(p.Warehouse.Visits(), u.Name)
	for _, place := range rules.Seals {
		found := ""
		for _, s := range seals {
			if s.Place == place {
				found = s.Number
			}
		}
		row("Seal found: "+place, "the one last recorded", found, "none is recorded")
	}
	districts := ""
	if len(u.Districts) > 0 {
		districts = "districts: " + strings.Join(u.Districts, ", ")
	}
	row("Header", english.Plural(len(must.Header), "precinct", ""), strings.Join(must.Header, ", "), "no precinct")
	if districts != "" {
		rows[len(rows)-1].under += "; " + districts
	}
	row("Election", "", must.Election, "nothing to hold it against")
	row("Date of the election", "", day(must.Date), "nothing to hold it against")
	c, _ := p.Warehouse.Card(u.Name)
	row("Card", p.from(c), must.Card, "the ledger has no card for this unit")
	row("Clock", fmt.Sprintf("within %d minutes", int(loading.Tolerance/time.Minute)), p.clockValue(), "the county's time")
	for _, key := range rules.Keys {
		row("Key: "+key, "", "turns", "")
	}
	row("Zero report", "initialed by both", "all zero", "")
	return rows
}

// clockValue says what the clock must show, before and after clocks are moved.
func (p *LoadingPages) clockValue() string {
	must, ok := p.mustShow()
	switch {
	case !ok:
		return ""
	case must.Change == 0 || must.ChangesItself:
		return "the county's time"
	case must.Change < 0:
		return hours(must.Change) + " behind the county's time, until clocks are moved back; then the county's time"
	}
	return hours(must.Change) + " ahead of the county's time, until clocks are moved ahead; then the county's time"
}
