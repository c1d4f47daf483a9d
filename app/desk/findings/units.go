package findings

import (
	"slices"
	"strings"

	"counterproof/checks/review"
	"counterproof/checks/wording"
	"counterproof/model"
)

// UnitSide is a voting unit on one side.
type UnitSide struct {
	Known           bool
	Name, Site, Use string
	// Precincts are the precincts that the card header names.
	Precincts []string
}

// Unit is a voting unit on both sides, with its findings.
type Unit struct {
	Name            string
	Second, Primary UnitSide
	Items           []*review.Item
}

// Words says in a word or two what is wrong with the unit; empty if both sides agree. Settled and
// cleared findings do not count as wrong.
func (u *Unit) Words() string {
	var words []string
	for _, i := range u.Items {
		if i.Status == review.StatusSettled {
			continue
		}
		w, _ := Lead(i)
		if !slices.Contains(words, w) {
			words = append(words, w)
		}
	}
	return strings.Join(words, ", ")
}

// Settled reports whether the sides differ in something that the pair accepted as certified:
// the unit does not match, and nothing is left to do about it.
func (u *Unit) Settled() bool {
	return slices.ContainsFunc(u.Items, func(i *review.Item) bool { return i.Status == review.StatusSettled })
}

// BothState reports whether both sides know the unit and state its site and its use. What one side leaves
// out was not compared.
func (u *Unit) BothState() bool {
	for _, s := range []UnitSide{u.Second, u.Primary} {
		if !s.Known || s.Site == "" || s.Use == "" {
			return false
		}
	}
	return true
}

// Units returns the units of both sides: those with findings first, then in the order of the second
// entry, then of the export.
func Units(s *review.Snapshot) []*Unit {
	var out []*Unit
	byName := map[string]*Unit{}
	for i := range s.Second.Units {
		side := unitSide(s.Second, i)
		u := &Unit{Name: side.Name, Second: side}
		byName[wording.Normal(side.Name)] = u
		out = append(out, u)
	}
	for _, m := range s.Options.Mapped {
		if u := byName[wording.Normal(m.Second)]; m.Kind == "unit" && m.Primary != "" && u != nil {
			byName[wording.Normal(m.Primary)] = u
		}
	}
	for i := range s.Primary.Units {
		side := unitSide(s.Primary, i)
		u := byName[wording.Normal(side.Name)]
		if u == nil || u.Primary.Known {
			u = &Unit{Name: side.Name}
			byName[wording.Normal(side.Name)] = u
			out = append(out, u)
		}
		u.Primary = side
	}
	for i := range s.Items {
		if u := byName[wording.Normal(s.Items[i].Unit)]; u != nil && s.Items[i].Unit != "" {
			u.Items = append(u.Items, &s.Items[i])
		}
	}
	slices.SortStableFunc(out, func(a, b *Unit) int { return rank(a) - rank(b) })
	return out
}

func rank(u *Unit) int {
	if u.Words() != "" {
		return 0
	}
	return 1
}

func unitSide(e *model.Election, n int) UnitSide {
	u := e.Units[n]
	side := UnitSide{Known: true, Name: u.Name}
	if u.Site.Known && u.Site.Value >= 0 && u.Site.Value < len(e.Sites) {
		side.Site = e.Sites[u.Site.Value].Name.In("")
	}
	if u.Use.Known {
		if side.Use = string(u.Use.Value); side.Use == "" {
			side.Use = string(model.UseElectionDay)
		}
	}
	for _, p := range u.Precincts.Value {
		if p >= 0 && p < len(e.Precincts) {
			side.Precincts = append(side.Precincts, PrecinctName(&e.Precincts[p]))
		}
	}
	side.Precincts = append(side.Precincts, u.Unknown...)
	return side
}

// PrecinctName returns a precinct's number, or else its name.
func PrecinctName(p *model.Precinct) string {
	if p.Number != "" {
		return p.Number
	}
	return p.Name.In("")
}

// Serving returns the units whose card header names one of the precincts on either side; all units if
// there are none.
func Serving(units []*Unit, precincts ...string) (out []*Unit) {
	fold := func(s string) bool {
		return slices.ContainsFunc(precincts, func(p string) bool { return strings.EqualFold(s, p) })
	}
	for _, u := range units {
		if len(precincts) == 0 || slices.ContainsFunc(u.Second.Precincts, fold) ||
			slices.ContainsFunc(u.Primary.Precincts, fold) {
			out = append(out, u)
		}
	}
	return out
}
