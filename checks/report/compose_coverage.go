package report

import (
	"cmp"
	"fmt"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/finding"
)

// coverage composes what was independently keyed, and the county at a glance.
func (c *composer) coverage() {
	c.add(section{"Coverage"})
	v := c.Coverage
	text := v.Words()
	if c.Primary.Language != "" {
		text += fmt.Sprintf(" The first language compared is %s.", finding.LanguageName(c.Primary.Language))
	}
	if c.Primary.UnitLimit > 0 && c.Counts.Units > 0 {
		text += fmt.Sprintf(" An election-day unit with more than %s is reported.",
			english.Plural(c.Primary.UnitLimit, "precinct", "precincts"))
	}
	c.add(paragraph{say(text), body})
	for _, s := range c.Second.Seals {
		if len(s.Without) > 0 {
			c.add(paragraph{say(fmt.Sprintf("Stated when the %s were sealed, and not keyed: %s.", s.Scope, ranges(s.Without))),
				body})
		}
	}
	c.add(heading{NotIndependently, true})
	var late []string
	for _, l := range c.Second.Late {
		late = append(late, finding.Capital(l.What)+": keyed with an export in the case file")
	}
	if len(late) > 0 {
		c.add(bullets{each(late), false})
	}
	if len(v.NotKeyed) == 0 {
		c.add(paragraph{say("Nothing: each field that the export states was keyed."), body})
	} else {
		c.add(bullets{each(v.NotKeyed), false})
	}
	c.atAGlance()
	if len(c.Second.Documents) > 0 {
		var docs []words
		for _, x := range c.Second.Documents {
			docs = append(docs, quote(x))
		}
		c.add(heading{"Documents it was keyed from", false}, bullets{docs, false})
	}
	c.certified()
	c.enteredParts()
	c.add(heading{"What was keyed", true}, c.contestsKeyed())
	for _, set := range []struct {
		name  string
		alike []CoveredAlike
	}{{"Precincts", v.Precincts}, {"Voting units", v.Units}} {
		if len(set.alike) == 0 {
			continue
		}
		t := table{set.name, []string{set.name, "Fields keyed", "Not keyed"}, nil}
		for _, x := range set.alike {
			t.rows = append(t.rows, []words{say(counted(x.Names)), say(cmp.Or(strings.Join(x.Keyed, ", "), "–")),
				say(cmp.Or(strings.Join(x.NotKeyed, ", "), "–"))})
		}
		c.add(t)
	}
	c.held()
}

// NotIndependently is the heading of what was not keyed, or not in time.
const NotIndependently = "Not independently keyed"

// Words says how much was keyed independently of the export. The report and the screen that signs it
// have the same words.
func (v *Coverage) Words() string {
	keyed, not, late := v.KeyedFields, v.NotKeyedFields, v.Late
	text := fmt.Sprintf("%s %s keyed independently; %s not.", english.Plural(keyed, "field", "fields"),
		english.PluralWord(keyed, "was", "were"), english.Plural(not, "was", "were"))
	if late > 0 {
		text = fmt.Sprintf("%s %s keyed; %s not. Of what was keyed, %s put in or changed by a correction after an export "+
			"had come in, and %s not independent of it; the rest was keyed independently.",
			english.Plural(keyed, "field", "fields"), english.PluralWord(keyed, "was", "were"),
			english.Plural(not, "was", "were"), english.Plural(late, "value was", "values were"),
			english.PluralWord(late, "is", "are"))
	}
	return text + " What was not keyed is listed and never counted as agreeing."
}

// atAGlance composes the picture of the county.
func (c *composer) atAGlance() {
	v := &c.Overview
	names := v.Contests
	if c.Annex == "" {
		names = nil
		for i := range c.Contests {
			names = append(names, contestName(&c.Contests[i]))
		}
	}
	c.add(heading{"The county at a glance", true})
	if len(v.Rows) > 0 {
		c.add(paragraph{say("A row is one ballot style, or several that differ in the same contests; a column is a " +
			"contest, in ballot order. The first column is the ballot as a whole: the order of its contests, its label, " +
			"its headings, and whether it was keyed."), small})
		for _, g := range glances(names, v.Rows) {
			c.add(g)
		}
	}
	if c.Annex == "" {
		return
	}
	these := func(styles, contests int) string {
		return english.Plural(styles, "ballot style", "") + " and " + english.Plural(contests, "contest", "")
	}
	text := "All agree: " + these(v.SameStyles, v.SameContests) + "."
	if len(v.Rows)+v.PartStyles+v.PartContests > 0 {
		text = "Not shown, because they agree: " + these(v.SameStyles, v.SameContests) + "."
	}
	if v.PartStyles+v.PartContests > 0 {
		text += " Not shown, because nothing differed in what was keyed, and something was not keyed: " +
			these(v.PartStyles, v.PartContests) + "."
	}
	if v.MoreStyles+v.MoreContests > 0 {
		text += " Not shown, although something differed, because the picture would be too large: " +
			these(v.MoreStyles, v.MoreContests) + ". The findings name them."
	}
	c.add(paragraph{say(text), body})
}

// contestsKeyed composes the contests by the document that they were keyed from, and by what was
// not keyed. The annex has the same contest by contest.
func (c *composer) contestsKeyed() table {
	t := table{"Contests", []string{"Document", "Contests", "Fields keyed", "Not keyed"}, nil}
	type group struct {
		names           []string
		source, missing string
		keyed           int
	}
	var groups []*group
	at := map[[2]string]*group{}
	for _, x := range c.Coverage.Contests {
		key := [2]string{x.Source, strings.Join(x.NotKeyed, "; ")}
		if at[key] == nil {
			at[key] = &group{source: x.Source, missing: key[1]}
			groups = append(groups, at[key])
		}
		at[key].names = append(at[key].names, x.Name)
		at[key].keyed += x.Keyed
	}
	for _, g := range groups {
		t.rows = append(t.rows, []words{quote(cmp.Or(g.source, "–")), quote(titles(g.names, c.Counts.Contests)),
			say(count(g.keyed)), say(cmp.Or(g.missing, "–"))})
	}
	return t
}

// mostTitles is how many contests are listed by title. Where there are more, the largest group is
// counted alone.
const mostTitles = 60

// titles lists contests, of which there are so many in all.
func titles(names []string, all int) string {
	switch {
	case len(names) <= mostTitles:
		return fmt.Sprintf("%s (%s)", strings.Join(names, "; "), count(len(names)))
	case len(names) == all:
		return "all " + count(all)
	}
	return fmt.Sprintf("%s of %s; the annex names them", count(len(names)), count(all))
}

// counted lists names as ranges, with a count if it is not obvious.
func counted(names []string) string {
	if len(names) <= 3 {
		return ranges(names)
	}
	return fmt.Sprintf("%s (%s)", ranges(names), count(len(names)))
}
