package loading

import (
	"cmp"
	"strings"
	"sync"
	"unicode"

	"counterproof/checks/natural"
	"counterproof/checks/wording"
	"counterproof/model/cards"
)

// Warehouse is where cards and machines wait: it holds what has to be and what was recorded of them. It does
// not change once something was asked of it.
type Warehouse struct {
	Plan  *Plan
	Rules cards.Rules
	// Clock is that of Rules.
	Clock *Clock
	// Ledger are the rows of the ledger in the order in which they were entered. A later row of one
	// label takes the place of an earlier one; a later card of one unit that of its earlier card.
	Ledger []cards.Card
	// Approved names the export that cards have to be made from; From finds the one that a card was made
	// from, false where the case does not hold it.
	Approved string
	From     func(cards.Card) (Export, bool)
	// Records are all records, each team's in its own order.
	Records []Record
	// Teams are the teams by name.
	Teams map[string]Span
	// Signed are the visits that two of different parties signed.
	Signed []Signed
	// Party gives the party of a person by the initials; empty for nobody's.
	Party func(initials string) string

	once  sync.Once
	index *ledgerIndex
}

// Export is an export of the case.
type Export struct {
	Name string
	// Changed says for each unit, by its name, why its card is no longer good. See Changes.
	Changed map[string][]string
}

// Signed says that two of different parties signed a visit as it was then.
type Signed struct {
	Unit, Team string
	Visit      int
	// Entry is its number, in the journal of the team.
	Entry int64
}

// name gives the one name of a unit; what is no unit of the plan keeps its own.
func (w *Warehouse) name(unit string) string {
	if u := w.Plan.Unit(unit); u != nil {
		return u.Name
	}
	return unit
}

// Visits are the visits of all units, by unit, team and number.
func (w *Warehouse) Visits() []Visit {
	list := visitsOf(w.Records, w.name)
	w.follow(list)
	return list
}

// Elsewhere are units that have a card or a record and that the plan does not have, as where a later
// export leaves one out: nothing is judged there.
func (w *Warehouse) Elsewhere() []string {
	var out []string
	note := func(unit string) {
		if w.Plan.Unit(unit) == nil {
			out = append(out, unit)
		}
	}
	for _, c := range w.Ledger {
		note(c.Unit)
	}
	for i := range w.Records {
		note(w.Records[i].Unit)
	}
	return natural.Sorted(out)
}

// ledgerIndex finds the cards of the ledger by unit and by label.
type ledgerIndex struct {
	byUnit  map[string][]cards.Card
	byLabel map[string]cards.Card
}

func (w *Warehouse) ledger() *ledgerIndex {
	w.once.Do(func() {
		w.index = &ledgerIndex{map[string][]cards.Card{}, map[string]cards.Card{}}
		last := map[string]int{}
		for i, c := range w.Ledger {
			last[label(c.Label)] = i
			w.index.byLabel[label(c.Label)] = c
		}
		for i, c := range w.Ledger {
			if last[label(c.Label)] == i {
				unit := w.name(c.Unit)
				w.index.byUnit[unit] = append(w.index.byUnit[unit], c)
			}
		}
	})
	return w.index
}

// Cards are the cards that the ledger has for a unit, the one that counts last.
func (w *Warehouse) Cards(unit string) []cards.Card { return w.ledger().byUnit[unit] }

// Card is the card of a unit by the ledger, false for none.
func (w *Warehouse) Card(unit string) (cards.Card, bool) {
	if list := w.Cards(unit); len(list) > 0 {
		return list[len(list)-1], true
	}
	return cards.Card{}, false
}

// CardCalled returns the row of the ledger for a label, false for none.
func (w *Warehouse) CardCalled(name string) (cards.Card, bool) {
	c, known := w.ledger().byLabel[label(name)]
	return c, known
}

// Expected is what a unit has to show. It is not shown before the unit's own reading is confirmed.
type Expected struct {
	Header         []string
	Election, Date string
	// Card is the label by the ledger, empty for none.
	Card string
}

// Expected returns what a unit of the plan has to show.
func (w *Warehouse) Expected(u *Unit) Expected {
	c, _ := w.Card(u.Name)
	return Expected{u.Header, w.Plan.Election, w.Plan.Date, c.Label}
}

// Agreement says of one reading whether it agrees with what has to be.
type Agreement struct {
	Key
	// Read is what was read, Must what had to be, both for people.
	Read, Must string
	// Compared is false where there is nothing to hold the reading against.
	Compared, Agrees bool
}

// Agreements holds the readings of a visit against what has to be, in the order of cards.Fields and
// of names. A header that is still open is left out; what is wrong with seals, SealFaults says.
func (w *Warehouse) Agreements(v *Visit) (out []Agreement) {
	u := w.Plan.Unit(v.Unit)
	if u == nil {
		return nil
	}
	must := w.Expected(u)
	for _, field := range cards.Fields {
		var names []string
		for _, key := range v.Keys() {
			if key.Field == field {
				names = append(names, key.Name)
			}
		}
		for _, name := range natural.Sorted(names) {
			r, _ := v.Get(field, name)
			if !r.Open {
				out = append(out, w.agreement(u, must, r))
			}
		}
	}
	return out
}

func (w *Warehouse) agreement(u *Unit, must Expected, r Record) Agreement {
	a := Agreement{Key: Key{r.Field, r.Name}, Read: ReadingWords(r.Reading)}
	compare := func(words string, agrees bool) Agreement {
		a.Must, a.Compared, a.Agrees = words, words != "", words != "" && agrees
		return a
	}
	switch r.Field {
	case cards.Header:
		if len(r.List) > 0 {
			a.Read = strings.Join(natural.Sorted(r.List), ", ")
		}
		lacks, names := w.Plan.headerDiffers(u, r.List)
		a = compare(strings.Join(must.Header, ", "), len(lacks)+len(names) == 0)
		a.Compared = true // an empty header is one
		a.Agrees = len(lacks)+len(names) == 0
		return a
	case cards.Election:
		return compare(must.Election, sameOnScreen(r.Value, must.Election))
	case cards.Date:
		return compare(must.Date, r.Value == must.Date)
	case cards.Label:
		return compare(must.Card, label(r.Value) == label(must.Card))
	case cards.Clock:
		off, err := w.clockOff(r)
		if err != nil {
			return a
		}
		return compare(off.Must.Format(cards.ClockLayout), off.By == 0)
	case cards.Key:
		return compare(cards.Turns, r.Value == cards.Turns)
	case cards.Zero:
		return compare(ReadingWords(cards.Reading{Field: cards.Zero}), r.Value == cards.AllZero)
	case cards.Initials:
		return compare("two of different parties", w.twoParties(r.List))
	}
	return a
}

// sameOnScreen compares names as screens show them: capitals, spacing, punctuation and accents are
// the screen's own (common practice, no source).
func sameOnScreen(read, must string) bool {
	bare := func(s string) string {
		return strings.Map(func(r rune) rune {
			if unicode.IsLetter(r) || unicode.IsDigit(r) {
				return unicode.ToLower(r)
			}
			return -1
		}, wording.Normal(s))
	}
	return bare(read) != "" && bare(read) == bare(must) || wording.Compare(read, must).Minor
}

// twoParties reports whether initials are those of people of at least two parties.
func (w *Warehouse) twoParties(initials []string) bool {
	first := ""
	for _, i := range initials {
		if p := w.Party(i); p != "" {
			if first != "" && p != first {
				return true
			}
			first = cmp.Or(first, p)
		}
	}
	return false
}

// headerDiffers says which precincts a header lacks and which it names beyond those of the unit.
func (p *Plan) headerDiffers(u *Unit, read []string) (lacks, names []string) {
	must, there := map[int]bool{}, map[int]bool{}
	for _, at := range u.header {
		for _, leaf := range p.leaves(at) {
			must[leaf] = true
		}
	}
	for _, name := range read {
		at := p.knownOf(name, u.header)
		if at < 0 {
			names = append(names, name)
			continue
		}
		for _, leaf := range p.leaves(at) {
			there[leaf] = true
			if !must[leaf] {
				names = append(names, p.precincts[leaf].name)
			}
		}
	}
	for leaf := range must {
		if !there[leaf] {
			lacks = append(lacks, p.precincts[leaf].name)
		}
	}
	return natural.Sorted(lacks), natural.Sorted(names)
}

// headerOf finds the unit whose header was read exactly, nil for none or several; and the site whose
// units all have it, empty for none. The unit itself is no answer.
func (p *Plan) headerOf(of *Unit, read []string) (unit *Unit, site string) {
	found, one := 0, true
	for i := range p.Units {
		u := &p.Units[i]
		if u.Name == of.Name || len(u.header) == 0 {
			continue
		}
		if lacks, names := p.headerDiffers(u, read); len(lacks)+len(names) > 0 {
			continue
		}
		if found++; found == 1 {
			unit, site = u, u.Site
		} else if u.Site != site {
			one = false
		}
	}
	switch {
	case found == 1:
		return unit, site
	case found > 1 && one:
		return nil, site
	}
	return nil, ""
}
