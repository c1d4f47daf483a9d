package report

import (
	"cmp"
	"fmt"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/loading"
	"counterproof/model/cards"
)

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
	open := u.open()
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
