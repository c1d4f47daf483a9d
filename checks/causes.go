package checks

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"counterproof/checks/finding"
	"counterproof/checks/wording"
)

// joiner joins finding i of a list with all others of a key; message says what their
// cause may be, with %d for their number.
type joiner func(key, message string, i int)

// pattern is what a finding may share with others of one cause, and how to say so; the
// zero pattern is none.
type pattern struct{ key, message string }

// exchange is one half of what may be two values exchanged.
type exchange struct {
	possible bool
	within   string // equal for the findings that may belong together
	// name is what the finding is about, for people; alone where there is but one finding
	// on either side.
	name, alone string
	// single is set where more than one finding on either side is chance.
	single bool
}

// exchanged is the half of an exchange that goes by the thing it is about.
func exchanged(f *finding.Finding) exchange {
	name := cmp.Or(f.Choice, f.Style, f.Unit, f.Contest, f.Second)
	return exchange{possible: true, name: name, alone: name}
}

// exchangedValue is the half of an exchange that goes by what was keyed.
func exchangedValue(f *finding.Finding) exchange {
	return exchange{possible: true, name: f.Second, alone: f.Second}
}

// findCauses looks for findings that seem to have one cause: the same change of
// spelling in several places, the same precincts, an exchange. It names the cause
// in each of them and returns the causes, in the order of their first finding.
func findCauses(findings []finding.Finding) []Cause {
	groups := map[string][]int{}
	explain := map[string]string{}
	var keys []string
	join := func(key, message string, i int) {
		if groups[key] == nil {
			keys = append(keys, key)
			explain[key] = message
		}
		groups[key] = append(groups[key], i)
	}
	of := map[finding.Code]*Check{}
	for _, c := range All() {
		of[c.Code] = c
		if c.join != nil {
			c.join(findings, join)
		}
	}
	joinShifted(findings, of, join)
	for i := range findings {
		if c := of[findings[i].Check]; c != nil && c.pattern != nil {
			if p := c.pattern(&findings[i]); p.key != "" {
				join(p.key, p.message, i)
			}
		}
	}
	joinExchanges(findings, of, join)
	// A finding belongs to the first cause that it fits.
	type group struct {
		message string
		list    []int
	}
	var found []group
	taken := make([]bool, len(findings))
	for _, key := range keys {
		slices.Sort(groups[key])
		list := slices.DeleteFunc(slices.Compact(groups[key]), func(i int) bool { return taken[i] })
		if len(list) < 2 {
			continue
		}
		for _, i := range list {
			taken[i] = true
		}
		found = append(found, group{strings.Replace(explain[key], "%d", fmt.Sprint(len(list)), 1), list})
	}
	slices.SortFunc(found, func(a, b group) int { return a.list[0] - b.list[0] })
	causes := []Cause{}
	for n, g := range found {
		c := Cause{ID: fmt.Sprintf("cause-%d", n+1), Message: g.message}
		for _, i := range g.list {
			findings[i].Cause = c.ID
			c.Findings = append(c.Findings, findings[i].ID)
		}
		causes = append(causes, c)
	}
	return causes
}

// spelling is the pattern of two wordings: the same change, or the same habit.
func spelling(f *finding.Finding) pattern {
	if _, two := f.Facts.(exchangedContests); two || f.Primary == "" || f.Second == "" {
		return pattern{}
	}
	d := wording.Compare(f.Primary, f.Second)
	change := changes(f.Primary, f.Second)
	switch {
	case change == "" || !d.Minor && len(change) >= 40:
		return pattern{}
	case d.Minor && len(change) > 4:
		return pattern{"habit\x00" + string(f.Check) + d.Word(),
			"The same habit in %d findings: a difference of " + d.Word() + "."}
	}
	return pattern{"spelling\x00" + string(f.Check) + change,
		"The same change of spelling in %d findings: " + describeChanges(f.Primary, f.Second) + "."}
}

// samePrecincts is the pattern of contests that are on or off the same ballots.
func samePrecincts(f *finding.Finding) pattern {
	return pattern{"precincts\x00" + strings.Join(f.Precincts, "\x00"),
		"The same precincts in %d findings: one change of these ballots or of a district's boundary may be behind them."}
}

// sameValues is the pattern of contests in which the two sides say the same two things.
func sameValues(f *finding.Finding) pattern {
	return pattern{string(f.Check) + "\x00" + f.Primary + "\x00" + f.Second, "The same difference in %d contests."}
}

// changes is what was dropped and added between two wordings, without what
// stands around it.
func changes(primary, second string) string {
	var b strings.Builder
	for _, s := range wording.Script(primary, second) {
		if s.Op != wording.Keep {
			fmt.Fprintf(&b, "%d%s\x01", s.Op, s.Text)
		}
	}
	return b.String()
}

func describeChanges(primary, second string) string {
	var parts []string
	var dropped string
	for _, s := range wording.Script(primary, second) {
		switch s.Op {
		case wording.Drop:
			dropped = s.Text
		case wording.Add:
			if dropped != "" {
				parts = append(parts, finding.Quote(wording.Visible(dropped))+" for "+finding.Quote(wording.Visible(s.Text)))
			} else {
				parts = append(parts, finding.Quote(wording.Visible(s.Text))+" left out")
			}
			dropped = ""
		default:
			if dropped != "" {
				parts = append(parts, finding.Quote(wording.Visible(dropped))+" put in")
			}
			dropped = ""
		}
	}
	if dropped != "" {
		parts = append(parts, finding.Quote(wording.Visible(dropped))+" put in")
	}
	return "the export has " + strings.Join(parts, ", ")
}

// joinExchanges joins findings of which some have on one side what the others have
// on the other.
func joinExchanges(findings []finding.Finding, of map[finding.Code]*Check, join joiner) {
	type halves struct{ one, other []int }
	groups := map[string]*halves{}
	var keys []string
	half := make([]exchange, len(findings))
	for i := range findings {
		f := &findings[i]
		c := of[f.Check]
		if c == nil || c.exchange == nil || f.Primary == "" || f.Second == "" {
			continue
		}
		if half[i] = c.exchange(f); !half[i].possible {
			continue
		}
		key := strings.Join([]string{"exchange", string(f.Check), half[i].within, unordered(f.Primary, f.Second)}, "\x00")
		g := groups[key]
		if g == nil {
			g = &halves{}
			groups[key] = g
			keys = append(keys, key)
		}
		if len(g.one) == 0 || findings[g.one[0]].Primary == f.Primary {
			g.one = append(g.one, i)
		} else {
			g.other = append(g.other, i)
		}
	}
	for _, key := range keys {
		g := groups[key]
		single := len(g.one) == 1 && len(g.other) == 1
		if len(g.other) == 0 || half[g.one[0]].single && !single {
			continue
		}
		called := func(list []int) string {
			var names []string
			said := map[string]bool{}
			for _, i := range list {
				name := half[i].name
				if single {
					name = half[i].alone
				}
				if name = finding.Quote(name); !said[name] {
					names, said[name] = append(names, name), true
				}
			}
			return finding.ShortList(names)
		}
		message := fmt.Sprintf("Exchanged: %s and %s.", called(g.one), called(g.other))
		for _, i := range append(slices.Clone(g.one), g.other...) {
			join(key, message, i)
		}
	}
}

// unordered is the same for two wordings and for the two the other way round.
func unordered(a, b string) string {
	if a > b {
		a, b = b, a
	}
	return a + "\x00" + b
}
