package loading_test

import (
	"bytes"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/planted"
	"counterproof/checks/loading"
	"counterproof/model"
	"counterproof/model/cards"
	"counterproof/model/cdf"
)

// kind is a kind of mistake: plant makes it and returns what has to be found, each as "code unit"; nil
// where the county has no place for it. says are words that a sentence of it must have.
type kind struct {
	name  string
	plant func(t *testing.T, w *warehouse) []string
	says  string
}

func found(code string, units ...loading.Unit) (out []string) {
	for _, u := range units {
		out = append(out, code+" "+u.Name)
	}
	return out
}

// otherHeader finds two units with other headers.
func (w *warehouse) otherHeader() (a, b loading.Unit, ok bool) {
	list := w.some(len(w.Plan.Units))
	for _, x := range list {
		for _, y := range list {
			if !slices.Equal(x.Header, y.Header) && len(x.Header) > 0 && len(y.Header) > 0 {
				return x, y, true
			}
		}
	}
	return a, b, false
}

// altered changes what was read of a field at one unit.
func altered(code string, field cards.Field, change func(*cards.Reading)) func(*testing.T, *warehouse) []string {
	return func(_ *testing.T, w *warehouse) []string {
		u := w.some(1)[0]
		w.alter(u.Name, field, change)
		return found(code, u)
	}
}

// shifted sets the clock of one unit ahead, or back.
func shifted(code string, by time.Duration) func(*testing.T, *warehouse) []string {
	return func(t *testing.T, w *warehouse) []string {
		u := w.some(1)[0]
		w.shift(t, u.Name, by)
		return found(code, u)
	}
}

// sealed puts another seal on a place of one unit; before says what was found there.
func sealed(before func(w *warehouse, unit string)) func(*testing.T, *warehouse) []string {
	return func(_ *testing.T, w *warehouse) []string {
		u := w.some(1)[0]
		before(w, u.Name)
		w.read(u.Name, cards.SealApplied, "lid", "888888")
		w.sign(u.Name, 1)
		return found("seal-fault", u)
	}
}

var kinds = []kind{
	{"two cards exchanged", func(_ *testing.T, w *warehouse) []string {
		a, b, ok := w.otherHeader()
		if !ok {
			return nil
		}
		for _, x := range [][2]loading.Unit{{a, b}, {b, a}} {
			w.alter(x[0].Name, cards.Label, value("C-"+x[1].Name))
			w.alter(x[0].Name, cards.Header, func(r *cards.Reading) { r.List = x[1].Header })
		}
		return found("wrong-card", a, b)
	}, "its own is C-"},
	{"a card that the ledger does not have",
		altered("wrong-card", cards.Label, value("SPARE")),
		"which the ledger does not have"},
	{"a card that another took the place of", func(_ *testing.T, w *warehouse) []string {
		u := w.some(1)[0]
		w.Ledger = append(w.Ledger, cards.Card{Label: "C-" + u.Name + "-b", Unit: u.Name, Export: "approved"})
		return found("wrong-card", u)
	}, "took its place"},
	{"a precinct missing on the card", func(_ *testing.T, w *warehouse) []string {
		for _, u := range w.some(len(w.Plan.Units)) {
			if len(u.Header) > 1 {
				w.alter(u.Name, cards.Header, func(r *cards.Reading) { r.List = u.Header[1:] })
				return found("card-header", u)
			}
		}
		return nil
	}, "shows no precinct"},
	{"a precinct too many on the card", func(_ *testing.T, w *warehouse) []string {
		a, b, ok := w.otherHeader()
		if !ok {
			return nil
		}
		for _, name := range b.Header {
			if !slices.Contains(a.Header, name) {
				w.alter(a.Name, cards.Header, func(r *cards.Reading) { r.List = append(slices.Clone(a.Header), name) })
				return found("card-header", a)
			}
		}
		return nil
	}, "not in its header"},
	{"a precinct that nobody knows", altered("card-header", cards.Header, func(r *cards.Reading) {
		r.List = append(slices.Clone(r.List), "99-99x")
	}), "99-99x"},
	{"another unit's content under the right label", func(_ *testing.T, w *warehouse) []string {
		a, b, ok := w.otherHeader()
		if !ok {
			return nil
		}
		w.alter(a.Name, cards.Header, func(r *cards.Reading) { r.List = b.Header })
		return found("card-header", a)
	}, ""},
	{"a screen without a precinct", func(_ *testing.T, w *warehouse) []string {
		for _, u := range w.some(len(w.Plan.Units)) {
			if len(u.Header) > 0 {
				w.alter(u.Name, cards.Header, func(r *cards.Reading) { r.List = nil })
				return found("card-header", u)
			}
		}
		return nil
	}, "shows no precinct"},
	{"another election",
		altered("wrong-date", cards.Election, value("Special Election of Last Year")),
		"shows the election as"},
	{"another date of the election", altered("wrong-date", cards.Date, value("2027-11-03")), "must show 2027-11-02"},
	{"a clock of yesterday", shifted("wrong-date", -24*time.Hour), "shows the day as"},
	{"a clock an hour behind",
		shifted("clock-off", -time.Hour),
		"the step of daylight saving time, or the time of America/Chicago"},
	{"a clock eleven minutes ahead", shifted("clock-off", 11*time.Minute), "minutes ahead"},
	{"a key that does not turn", altered("key-fails", cards.Key, value(cards.Fails)), "does not turn"},
	{"a seal number written twice", func(_ *testing.T, w *warehouse) []string {
		list := w.some(2)
		number := ""
		w.alter(list[0].Name, cards.SealApplied, func(r *cards.Reading) { number = r.Value })
		w.alter(list[1].Name, cards.SealApplied, value(number))
		// The second of the two in time is the one that repeats.
		for _, r := range w.Records {
			if r.Value == number && r.Unit == list[1].Name {
				return found("seal-fault", list[0])
			} else if r.Value == number && r.Unit == list[0].Name {
				return found("seal-fault", list[1])
			}
		}
		return nil
	}, "that number was used before: unit "},
	{"another seal than the recorded one at an opening",
		sealed(func(w *warehouse, unit string) { w.read(unit, cards.SealRemoved, "lid", "777777") }),
		"seal 777777 was found"},
	{"a seal missing at an opening",
		sealed(func(w *warehouse, unit string) { w.read(unit, cards.SealRemoved, "lid", "") }),
		"no seal was found"},
	{"a seal over another", sealed(func(*warehouse, string) {}), "no record says that seal"},
	{"a unit left out", func(_ *testing.T, w *warehouse) []string {
		u := w.some(1)[0]
		w.Records = slices.DeleteFunc(w.Records, func(r loading.Record) bool { return r.Unit == u.Name })
		return found("unit-not-done", u)
	}, "nobody was there"},
	{"a zero report that is not all zero", altered("unit-not-done", cards.Zero, value(cards.NotZero)), "not all zero"},
	{"initials of one party",
		altered("unit-not-done", cards.Initials, func(r *cards.Reading) { r.List = []string{"OF", "OF"} }),
		"two of different parties"},
	{"a field not read", func(_ *testing.T, w *warehouse) []string {
		u := w.some(1)[0]
		fields := []cards.Field{cards.Header, cards.Election, cards.Date, cards.Label, cards.Clock, cards.Key, cards.Zero,
			cards.Initials, cards.Counter}
		w.drop(u.Name, fields[w.IntN(len(fields))])
		return found("unit-not-done", u)
	}, ""},
	{"a place not sealed", func(_ *testing.T, w *warehouse) []string {
		u := w.some(1)[0]
		w.drop(u.Name, cards.SealApplied)
		return found("unit-not-done", u)
	}, "is not sealed"},
	{"a header not read to its end",
		altered("unit-not-done", cards.Header, func(r *cards.Reading) { r.Open = true }),
		"to its end"},
	{"a reading after the signatures", func(_ *testing.T, w *warehouse) []string {
		u := w.some(1)[0]
		w.read(u.Name, cards.LoadTime, "", "120")
		return found("unit-not-done", u)
	}, "not signed"},
	{"a unit without a card", func(_ *testing.T, w *warehouse) []string {
		u := w.some(1)[0]
		w.Ledger = slices.DeleteFunc(w.Ledger, func(c cards.Card) bool { return c.Unit == u.Name })
		return append(found("unit-not-done", u), found("wrong-card", u)...)
	}, "the ledger has no card"},
	{"two teams at one unit", func(_ *testing.T, w *warehouse) []string {
		u := w.some(1)[0]
		n := len(w.Records)
		signed := len(w.Signed)
		number := w.seal
		w.visit(u)
		w.seal = number
		for i := range w.Records[n:] {
			w.Records[n+i].Team = "North"
		}
		w.Records = slices.DeleteFunc(w.Records, func(r loading.Record) bool {
			return r.Team == "North" && r.Field == cards.SealApplied
		})
		w.Signed[signed].Team = "North"
		return found("teams-differ", u)
	}, "both worked at it; they read the same"},
	{"another visit without the clock that was wrong", func(t *testing.T, w *warehouse) []string {
		u := w.some(1)[0]
		w.shift(t, u.Name, -time.Hour)
		w.read(u.Name, cards.Visit, "", "")
		w.read(u.Name, cards.LoadTime, "", "90")
		w.sign(u.Name, 2)
		return found("clock-off", u)
	}, "1 hour behind"},
	{"another card, and the screen not read again", func(_ *testing.T, w *warehouse) []string {
		u := w.some(1)[0]
		w.read(u.Name, cards.Visit, "", "")
		w.read(u.Name, cards.Label, "", "C-"+u.Name)
		w.sign(u.Name, 2)
		return found("unit-not-done", u)
	}, "the header was not read; the election was not read; the date of the election was not read"},
	{"a card of an export that the case does not hold", func(_ *testing.T, w *warehouse) []string {
		u := w.some(1)[0]
		for i := range w.Ledger {
			if w.Ledger[i].Unit == u.Name {
				w.Ledger[i].Export = strings.Repeat("ab", 32)
			}
		}
		return found("stale-card", u)
	}, "does not hold"},
	{"a vote-for changed in a later export", func(t *testing.T, w *warehouse) []string {
		return w.later(t, func(e *model.Election, contest int) {
			e.Contests[contest].VoteFor = model.Say(e.Contests[contest].VoteFor.Value + 1)
		})
	}, "vote for "},
	{"a name changed in a later export", func(t *testing.T, w *warehouse) []string {
		return w.later(t, func(e *model.Election, contest int) {
			e.Contests[contest].Choices[0].Name = model.Say(model.Plain("Perpetua Withy"))
		})
	}, "Perpetua Withy instead of"},
	{"an order of choices changed in a later export", func(t *testing.T, w *warehouse) []string {
		return w.later(t, func(e *model.Election, contest int) {
			list := slices.Clone(e.Contests[contest].Choices)
			list[0], list[1] = list[1], list[0]
			e.Contests[contest].Choices = list
		})
	}, ""},
	{"a header changed in a later export", func(t *testing.T, w *warehouse) []string {
		for _, i := range w.Perm(len(w.county.Primary.Units)) {
			if of := &w.county.Primary.Units[i]; len(of.Precincts.Value) > 1 {
				e := *w.county.Primary.Election
				e.Units = slices.Clone(e.Units)
				e.Units[i].Precincts = model.Say(of.Precincts.Value[1:])
				w.approve(t, &e)
				u := w.Plan.Unit(of.Name)
				return append(found("stale-card", *u), found("card-header", *u)...)
			}
		}
		return nil
	}, ""},
	{"identifiers and the order of the file changed in a later export", func(t *testing.T, w *warehouse) []string {
		if w.county.Shape.PrecinctBy == planted.ByCode {
			return nil // identifiers are its labels, and the writer makes them anew
		}
		e := *w.county.Primary.Election
		var file bytes.Buffer
		require.NoError(t, cdf.WriteXML(&file, backwards(&e), cdf.WriteOptions{}))
		again, _, err := cdf.Read([]cdf.Part{{Name: "county-2.xml", Data: file.Bytes()}}, cdf.Options{})
		require.NoError(t, err)
		file.Reset()
		require.NoError(t, cdf.WriteXML(&file, &e, cdf.WriteOptions{}))
		w.county.Primary.Election, _, err = cdf.Read([]cdf.Part{{Name: "county.xml", Data: file.Bytes()}}, cdf.Options{})
		require.NoError(t, err)
		w.approve(t, again)
		return []string{}
	}, ""},
}

// Every kind of mistake is planted alone in the warehouse of each of several counties: it is found in
// its place under its code, and nothing else is.
func TestEveryMistakeAtTheMachineIsFound(t *testing.T) {
	counties := uint64(3)
	if os.Getenv("CI") == "true" {
		counties = 20 // three show each kind; more take long
	} else if testing.Short() {
		counties = 1
	}
	trials, expected := 0, 0
	var seeds []uint64
	for seed := uint64(0); uint64(len(seeds)) < counties; seed++ {
		if w := newWarehouse(t, seed); w != nil {
			seeds = append(seeds, seed)
			require.Empty(t, w.Findings(), "seed %d: everything is right", seed)
		}
	}
	for _, k := range kinds {
		planted := 0
		for _, seed := range seeds {
			w := newWarehouse(t, seed)
			want := k.plant(t, w)
			if want == nil {
				continue
			}
			planted++
			var got []string
			said := k.says == "" || len(want) == 0
			all := w.Findings()
			require.Empty(t, all.Past)
			for _, f := range all.Findings {
				got = append(got, string(f.Check)+" "+f.Unit)
				said = said || strings.Contains(f.Message, k.says)
			}
			slices.Sort(want)
			slices.Sort(got)
			require.Equal(t, want, append([]string{}, got...), "%s, seed %d", k.name, seed)
			require.True(t, said, "%s, seed %d: %q is in no sentence of %v", k.name, seed, k.says, all.Findings)
			trials, expected = trials+1, expected+len(want)
		}
		if counties > 1 {
			require.Positive(t, planted, "no county has a place for: %s", k.name)
		}
	}
	t.Logf("%d kinds, planted %d times in %d counties: %d findings expected, all found, none beyond them", len(kinds),
		trials, len(seeds), expected)
}
