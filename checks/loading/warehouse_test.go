package loading_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/planted"
	"counterproof/checks/loading"
	"counterproof/checks/pairing"
	"counterproof/model"
	"counterproof/model/cards"
)

// warehouse is a county's warehouse in which everything is right.
type warehouse struct {
	*rand.Rand
	county *planted.County
	*loading.Warehouse
	at    time.Time
	entry int64
	seal  int
	party map[string]string
}

var rules = cards.Rules{Zone: "America/New_York", Keys: []string{"power", "door"}, Seals: []string{"memory door",
	"lid"},
	Counters: []string{"public"}}

// made is a county with its plan, which every kind of mistake starts from.
type made struct {
	county *planted.County
	plan   *loading.Plan
}

var countiesMade = map[uint64]made{}

// newWarehouse is nil for a county whose export has fewer than three voting units.
func newWarehouse(t *testing.T, seed uint64) *warehouse {
	t.Helper()
	known, there := countiesMade[seed]
	if !there {
		c := planted.New(seed, planted.ShapeOf(seed))
		known = made{c, nil}
		if len(c.Primary.Units) >= 3 {
			known.plan = loading.PlanOf(pairing.Of(c.Primary.Election, c.Second.Election, "", nil))
			require.Len(t, known.plan.Units, len(c.Primary.Units))
		}
		countiesMade[seed] = known
	}
	if known.plan == nil {
		return nil
	}
	c, primary := *known.county, *known.county.Primary
	c.Primary = &primary
	w := &warehouse{Rand: rand.New(rand.NewPCG(seed, 7)), county: &c,
		Warehouse: &loading.Warehouse{Rules: rules, Plan: known.plan,
			Approved: "county.xml"}, at: time.Date(2027, 10, 12, 13, 0, 0, 0, time.UTC),
		party: map[string]string{"OF": "Meridian", "WA": "Clearwater"}}
	var err error
	w.Clock, err = loading.ClockOf(rules, "2027-11-02")
	require.NoError(t, err)
	w.Party = func(initials string) string { return w.party[initials] }
	for _, u := range w.Plan.Units {
		w.Ledger = append(w.Ledger, cards.Card{Label: "C-" + u.Name, Unit: u.Name, Export: "approved", Made: "2027-10-11",
			By: "Odile Farrow"})
	}
	w.From = func(c cards.Card) (loading.Export, bool) {
		return loading.Export{Name: "county.xml"}, c.Export == "approved"
	}
	for _, u := range w.Plan.Units {
		w.visit(u)
	}
	return w
}

func (w *warehouse) plan(t *testing.T, export *model.Election) {
	w.Plan = loading.PlanOf(pairing.Of(export, w.county.Second.Election, "", nil))
	require.Len(t, w.Plan.Units, len(export.Units))
}

func (w *warehouse) read(unit string, field cards.Field, name, value string, list ...string) {
	w.entry++
	w.at = w.at.Add(5 * time.Second)
	r := cards.Reading{Unit: unit, Field: field, Name: name, Value: value, List: list}
	if field == cards.Clock {
		r.Read = w.at.Format(time.RFC3339)
	}
	w.Records = append(w.Records, loading.Record{Entry: w.entry, At: w.at, By: "p2", Reading: r})
}

// screen is what a clock shows that is right: it does not change by itself, and daylight saving time
// ends after the election of 2 November 2027.
func (w *warehouse) screen() string {
	zone, _ := time.LoadLocation(rules.Zone)
	return w.at.Add(5 * time.Second).In(zone).Format(cards.ClockLayout)
}

// visit reads everything at a unit, all right, and has it signed.
func (w *warehouse) visit(u loading.Unit) {
	w.read(u.Name, cards.Header, "", "", u.Header...)
	w.read(u.Name, cards.Election, "", strings.ToUpper(w.Plan.Election))
	w.read(u.Name, cards.Date, "", w.Plan.Date)
	w.read(u.Name, cards.Label, "", "C-"+u.Name)
	w.read(u.Name, cards.Clock, "", w.screen())
	for _, key := range rules.Keys {
		w.read(u.Name, cards.Key, key, cards.Turns)
	}
	w.read(u.Name, cards.Zero, "", cards.AllZero)
	w.read(u.Name, cards.Initials, "", "", "OF", "WA")
	w.read(u.Name, cards.Counter, "public", "0")
	for _, place := range rules.Seals {
		w.seal++
		w.read(u.Name, cards.SealApplied, place, fmt.Sprintf("%06d", w.seal))
	}
	w.sign(u.Name, 1)
}

func (w *warehouse) sign(unit string, visit int) {
	w.entry++
	w.Signed = append(w.Signed, loading.Signed{Unit: unit, Visit: visit, Entry: w.entry})
}

// some are units in random order, as many as asked for.
func (w *warehouse) some(n int) []loading.Unit {
	list := slices.Clone(w.Plan.Units)
	w.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
	return list[:n]
}

// alter changes a reading of a unit.
func (w *warehouse) alter(unit string, field cards.Field, change func(*cards.Reading)) {
	for i := range w.Records {
		if r := &w.Records[i]; r.Unit == unit && r.Field == field {
			change(&r.Reading)
			return
		}
	}
	panic("no such reading")
}

// drop takes readings of a unit out.
func (w *warehouse) drop(unit string, field cards.Field) {
	w.Records = slices.DeleteFunc(w.Records, func(r loading.Record) bool { return r.Unit == unit && r.Field == field })
}

func value(v string) func(*cards.Reading) { return func(r *cards.Reading) { r.Value = v } }

// backwards says the same with contests, their choices and styles in the opposite order of the file.
func backwards(of *model.Election) *model.Election {
	e := *of
	e.Contests, e.Styles = slices.Clone(e.Contests), slices.Clone(e.Styles)
	slices.Reverse(e.Contests)
	slices.Reverse(e.Styles)
	e.Origins.Contests, e.Origins.Styles = nil, nil
	for i := range e.Contests {
		e.Contests[i].Choices = slices.Clone(e.Contests[i].Choices)
		slices.Reverse(e.Contests[i].Choices)
	}
	for i := range e.Styles {
		content := slices.Clone(e.Styles[i].Content)
		for k, pl := range content {
			n := len(of.Contests[pl.Contest].Choices)
			order := pl.Order.Value
			if !pl.Order.Known {
				for j := range n {
					order = append(order, j)
				}
			}
			content[k].Contest, content[k].Order = len(of.Contests)-1-pl.Contest, model.Say([]int{})
			for _, j := range order {
				content[k].Order.Value = append(content[k].Order.Value, n-1-j)
			}
		}
		e.Styles[i].Content = content
	}
	return &e
}

// shift moves the clock of a unit.
func (w *warehouse) shift(t *testing.T, unit string, by time.Duration) {
	w.alter(unit, cards.Clock, func(r *cards.Reading) {
		shown, err := cards.ParseClock(r.Value)
		require.NoError(t, err)
		r.Value = shown.Add(by).Format(cards.ClockLayout)
	})
}

// approve makes a later export the approved one: all cards were made from the one before.
func (w *warehouse) approve(t *testing.T, later *model.Election) {
	earlier := w.county.Primary.Election
	w.plan(t, later)
	changed := w.Plan.Changes(earlier, later)
	w.Approved = "county-2.xml"
	w.From = func(cards.Card) (loading.Export, bool) {
		return loading.Export{Name: "county.xml", Changed: changed}, true
	}
}

// later changes a contest that is on some ballots: each unit with a precinct of those has to have its
// card made again, and no other.
func (w *warehouse) later(t *testing.T, change func(*model.Election, int)) []string {
	e := *w.county.Primary.Election
	e.Contests = slices.Clone(e.Contests)
	for _, contest := range w.Perm(len(e.Contests)) {
		if c := &e.Contests[contest]; !c.VoteFor.Known || len(c.Choices) < 2 || c.Choices[0].WriteIn || c.Choices[1].WriteIn {
			continue
		}
		on := map[int]bool{}
		for _, st := range e.Styles {
			if slices.ContainsFunc(st.Content, func(p model.Placement) bool { return p.Contest == contest }) {
				for _, at := range st.Precincts {
					on[at] = true
				}
			}
		}
		var units []loading.Unit
		for i := range e.Units {
			if slices.ContainsFunc(e.Units[i].Precincts.Value, func(at int) bool {
				return on[at] || slices.ContainsFunc(e.Precincts[at].Members, func(m int) bool { return on[m] })
			}) {
				units = append(units, *w.Plan.Unit(e.Units[i].Name))
			}
		}
		if len(units) == 0 {
			continue
		}
		e.Contests[contest].Choices = slices.Clone(e.Contests[contest].Choices)
		change(&e, contest)
		w.approve(t, &e)
		return found("stale-card", units...)
	}
	return nil
}
