package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/loading"
	"counterproof/checks/review"
	"counterproof/model/cards"
	"counterproof/model/casefile"
)

// cardsAtCommand is "cproof cards at".
type cardsAtCommand struct {
	onCaseToWrite
	by
	Unit     string   `arg:"" placeholder:"UNIT" help:"The voting unit."`
	Again    bool     `help:"This is another visit to the unit."`
	Removed  []string `sep:"none" placeholder:"PLACE=NUMBER" help:"A seal that was found and removed; nothing after = where there was none."`
	Header   string   `placeholder:"P1,P2" help:"The precincts that the screen names, all of them; - where it names none."`
	Precinct []string `sep:"none" placeholder:"NAME" help:"A precinct that the screen names, where a name holds a comma. Give it for each."`
	Election string   `placeholder:"NAME" help:"The election's name on the screen."`
	Date     string   `placeholder:"YYYY-MM-DD" help:"The election's date on the screen."`
	Card     string   `placeholder:"LABEL" help:"The label of the card in the unit."`
	Clock    string   `placeholder:"TIME" help:"Date and time on the screen: YYYY-MM-DD HH:MM, or with seconds."`
	ReadAt   string   `placeholder:"TIME" help:"When the clock was read, as in RFC 3339 (2027-10-12T13:05:00Z); now, unless given."`
	Turns    []string `sep:"none" placeholder:"KEY" help:"A key that turns."`
	Fails    []string `sep:"none" placeholder:"KEY" help:"A key that does not turn."`
	Zero     string   `enum:"all-zero,not-zero," default:"" placeholder:"all-zero|not-zero" help:"What the zero report shows."`
	Initials []string `placeholder:"A,B" help:"The initials of both on the zero report."`
	Counter  []string `sep:"none" placeholder:"NAME=NUMBER" help:"A counter."`
	Load     string   `placeholder:"SECONDS" help:"How long loading took."`
	Applied  []string `sep:"none" placeholder:"PLACE=NUMBER" help:"A seal that was applied."`
	Corrects int64    `placeholder:"ENTRY" help:"The one field given takes the place of what was keyed in that entry."`
	Void     bool     `help:"What was keyed in --corrects never was, and nothing takes its place; give the field with any value."`
	Reason   string   `placeholder:"TEXT" help:"Why it is corrected."`
}

// Help is shown by "cproof cards at --help".
func (cardsAtCommand) Help() string {
	return `Records what a unit shows, as one person read it aloud and another keyed it. What is expected is not said
before all of it is recorded. Each field is an entry of its own and is read once in a visit; what was keyed wrongly is
corrected by another entry.

    cproof cards at tarnwick.counterproof 1042 --by IT --card C-12 --header 1-01,1-02 --clock "2027-10-12 09:05"
    cproof cards at tarnwick.counterproof 1042 --by IT --card C-21 --corrects 57 --reason misheard`
}

// Run records readings.
func (c *cardsAtCommand) Run(s *session) error {
	list, err := c.readings(time.Now())
	if err != nil {
		return err
	}
	return writing(s, c.onCaseToWrite, c.By, func(of *casefile.Case) error {
		who, err := personIn(of.State(), c.By)
		if err != nil {
			return err
		}
		r := review.New(of)
		if err := r.ReadUnit(who, list...); err != nil {
			return fmt.Errorf("%s: %w", c.Case, err)
		}
		m, err := r.Machines()
		if err != nil {
			return err
		}
		unit := m.Warehouse.Plan.Unit(c.Unit).Name
		return s.say(func(out *sheet) { out.visit(m, unit, list) })
	})
}

// readings are what the command line gives, in the order in which a unit is done.
func (c *cardsAtCommand) readings(now time.Time) (list []cards.Reading, err error) {
	add := func(r cards.Reading) {
		r.Unit = c.Unit
		list = append(list, r)
	}
	named := func(field cards.Field, given []string) {
		for _, one := range given {
			name, value, there := strings.Cut(one, "=")
			if !there && err == nil {
				err = fmt.Errorf("cards at: %q has no =; write NAME=NUMBER", one)
			}
			add(cards.Reading{Field: field, Name: strings.TrimSpace(name), Value: strings.TrimSpace(value)})
		}
	}
	if c.Again {
		add(cards.Reading{Field: cards.Visit})
	}
	named(cards.SealRemoved, c.Removed)
	if names := slices.Clone(c.Precinct); c.Header != "" || len(names) > 0 {
		if c.Header != "" && c.Header != "-" {
			for _, name := range strings.Split(c.Header, ",") {
				names = append(names, strings.TrimSpace(name))
			}
		}
		add(cards.Reading{Field: cards.Header, List: names})
	}
	clock := cards.Reading{Field: cards.Clock, Value: c.Clock, Read: now.UTC().Format(time.RFC3339)}
	if c.ReadAt != "" {
		clock.Read = c.ReadAt
	}
	for _, r := range []cards.Reading{{Field: cards.Election, Value: c.Election}, {Field: cards.Date, Value: c.Date},
		{Field: cards.Label, Value: c.Card}, clock} {
		if r.Value != "" {
			add(r)
		}
	}
	for _, key := range c.Turns {
		add(cards.Reading{Field: cards.Key, Name: key, Value: cards.Turns})
	}
	for _, key := range c.Fails {
		add(cards.Reading{Field: cards.Key, Name: key, Value: cards.Fails})
	}
	if c.Zero != "" {
		add(cards.Reading{Field: cards.Zero, Value: c.Zero})
	}
	if len(c.Initials) > 0 {
		add(cards.Reading{Field: cards.Initials, List: c.Initials})
	}
	named(cards.Counter, c.Counter)
	if c.Load != "" {
		add(cards.Reading{Field: cards.LoadTime, Value: c.Load})
	}
	named(cards.SealApplied, c.Applied)
	switch {
	case err != nil:
		return nil, err
	case len(list) == 0:
		return nil, errors.New("cards at: nothing that the unit shows is given; give --card, --header, --clock …")
	case c.Corrects == 0 && (c.Void || c.Reason != ""):
		return nil, errors.New("cards at: --void and --reason correct what was keyed; say which with --corrects ENTRY")
	case c.Corrects != 0 && len(list) != 1:
		return nil, errors.New("cards at: a correction is of one field; give that one alone")
	case c.Corrects != 0:
		r := &list[0]
		r.Corrects, r.Reason, r.Void = c.Corrects, c.Reason, c.Void
		if r.Void {
			r.Value, r.List, r.Read = "", nil, ""
		}
	}
	return list, nil
}

// visit says what of the readings that were just recorded agrees, and what is left to do at the unit.
func (s *sheet) visit(m *review.Machines, unit string, list []cards.Reading) {
	u, v := m.Warehouse.Plan.Unit(unit), m.Visit(unit)
	s.paragraph(fmt.Sprintf("Unit %s, visit %d: %s recorded, up to entry %d.", unit, v.Number,
		english.Plural(len(list), "field", ""), m.State.Seq))
	for _, a := range m.Warehouse.Agreements(v) {
		if !slices.ContainsFunc(list, func(r cards.Reading) bool { return r.Field == a.Field && r.Name == a.Name }) {
			continue
		}
		switch {
		case !a.Compared:
			s.hanging("  - ", "", fmt.Sprintf("%s: %s; nothing to hold it against", loading.FieldWords(a.Key), a.Read))
		case a.Agrees:
			s.hanging("  - ", "", loading.FieldWords(a.Key)+": agrees")
		default:
			s.hanging("  - ", colourMustFix, fmt.Sprintf("%s: shows %s, must show %s", loading.FieldWords(a.Key),
				orNone(a.Read), orNone(a.Must)))
		}
	}
	for _, f := range m.Warehouse.AtUnit(u, m.Visits) {
		if item := m.Item(f.ID); item != nil && item.Status.Open() {
			s.hanging("  ! ", colourMustFix, fmt.Sprintf("%s [%s]", f.Message, f.ID))
		}
	}
	left := m.Warehouse.Undone(u, v, loading.SealsOf(m.Visits, unit))
	if len(left) > 0 {
		s.paragraph("Left to do here: " + strings.Join(left, "; ") + ".")
		return
	}
	s.paragraph(`Everything is read here. Two of different parties sign it ("cproof cards sign").`)
}

// cardsSignCommand is "cproof cards sign".
type cardsSignCommand struct {
	onCaseToWrite
	Unit []string `arg:"" placeholder:"UNIT" help:"The voting units."`
	signed
}

// Run signs units.
func (c *cardsSignCommand) Run(s *session) error {
	return writing(s, c.onCaseToWrite, strings.Join(c.SignedBy, ","), func(of *casefile.Case) error {
		r := review.New(of)
		for _, unit := range c.Unit {
			if err := r.MaySignUnit(unit); err != nil {
				return fmt.Errorf("%s: %w", c.Case, err)
			}
		}
		people, err := c.unlock(s, of)
		if err != nil {
			return err
		}
		for _, unit := range c.Unit {
			if err := r.SignUnit(unit, people...); err != nil {
				return fmt.Errorf("%s: %w", c.Case, err)
			}
		}
		return s.say(func(out *sheet) {
			out.paragraph(fmt.Sprintf("%s signed by %s.", english.Plural(len(c.Unit), "unit", ""),
				namesIn(of.State(), people)))
		})
	})
}

// cardsSealsCommand is "cproof cards seals".
type cardsSealsCommand struct {
	onCase
	Unit string `arg:"" optional:"" placeholder:"UNIT" help:"One voting unit; all, unless given."`
}

// Run says which seals are on record.
func (c *cardsSealsCommand) Run(s *session) error {
	return readingMachines(c.Case, func(m *review.Machines) error {
		units := m.Units()
		if c.Unit != "" {
			u := m.Warehouse.Plan.Unit(c.Unit)
			if u == nil {
				return fmt.Errorf(`%s: no voting unit is called %q; "cproof cards plan" lists them`, c.Case, c.Unit)
			}
			units = []*loading.Unit{u}
		}
		return s.say(func(out *sheet) {
			for _, u := range units {
				for _, seal := range loading.SealsOf(m.Visits, u.Name) {
					number := seal.Number
					if number == "" {
						number = "none"
					}
					out.hanging("", "", fmt.Sprintf("%s, %s: %s", u.Name, seal.Place, number))
				}
			}
		})
	})
}
