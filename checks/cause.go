package checks

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"counterproof/checks/finding"
	"counterproof/checks/wording"
)

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
	joinSameTitles(findings, join)
	joinLines(findings, join)
	for i := range findings {
		if key, message := patternOf(&findings[i]); key != "" {
			join(key, message, i)
		}
	}
	joinMoved(findings, join)
	joinExchanges(findings, join)
	// A finding belongs to the first cause that it fits.
	type group struct {
		message string
		list    []int
	}
	var kept []group
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
		kept = append(kept, group{strings.Replace(explain[key], "%d", fmt.Sprint(len(list)), 1), list})
	}
	slices.SortFunc(kept, func(a, b group) int { return a.list[0] - b.list[0] })
	causes := []Cause{}
	for n, g := range kept {
		c := Cause{ID: fmt.Sprintf("cause-%d", n+1), Message: g.message}
		for _, i := range g.list {
			findings[i].Cause = c.ID
			c.Findings = append(c.Findings, findings[i].ID)
		}
		causes = append(causes, c)
	}
	return causes
}

// patternOf returns what a finding may share with others, and how to say so.
func patternOf(f *finding.Finding) (key, message string) {
	switch f.Check {
	case "contest-title", "choice-name", "measure-text", "heading", "party-name", "unit-site":
		if f.Primary == "" || f.Second == "" {
			return "", ""
		}
		d := wording.Compare(f.Primary, f.Second)
		if f.Check == "unit-site" && !d.Minor {
			return "", ""
		}
		if change := changes(f.Primary, f.Second); change != "" && (d.Minor || len(change) < 40) {
			if d.Minor && len(change) > 4 {
				return "habit\x00" + string(f.Check) + d.Word(), "The same habit in %d findings: a difference of " + d.Word() + "."
			}
			return "spelling\x00" + string(f.Check) + change, "The same change of spelling in %d findings: " + describeChanges(f.Primary, f.Second) + "."
		}
	case "contest-missing", "contest-extra":
		return "precincts\x00" + strings.Join(f.Precincts, "\x00"), "The same precincts in %d findings: one change of these ballots or of a district's boundary may be behind them."
	case "district-coverage":
		if f.Grade == finding.MustFix {
			return "district\x00" + f.Primary + "\x00" + strings.Join(f.Precincts, "\x00"),
				"The same precincts in %d findings about the district " + finding.Quote(f.Primary) + ": the export may draw that one district wrongly."
		}
	case "contest-order":
		if strings.Contains(f.Message, alsoMoved) {
			return "contest order", "Several contests stand in another order in %d findings: two groups of contests may have been exchanged on all ballots."
		}
	case "precinct-absent", "precinct-unkeyed":
		return "precinct names", "Precincts that only one side knows, in %d findings: one may be the other under another name."
	case "unit-absent", "unit-unkeyed":
		return "unit names", "Units that only one side knows, in %d findings: one may be the other under another name."
	case "primary-party", "contest-kind":
		return string(f.Check) + "\x00" + f.Primary + "\x00" + f.Second, "The same difference in %d contests."
	}
	return "", ""
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
	return "the primary has " + strings.Join(parts, ", ")
}

// joinSameTitles joins a contest that is missing and one of the same title that is
// too many.
func joinSameTitles(findings []finding.Finding, join func(key, message string, i int)) {
	type titled struct{ title, party string }
	missing, extra := map[titled][]int{}, map[titled][]int{}
	for i := range findings {
		f := &findings[i]
		switch { // not one contest that is left off here and put on there
		case f.Check == "contest-missing" && f.Primary == notInPrimary:
			missing[titled{f.Contest, f.Party}] = append(missing[titled{f.Contest, f.Party}], i)
		case f.Check == "contest-extra" && f.Second == neverKeyed:
			extra[titled{f.Contest, f.Party}] = append(extra[titled{f.Contest, f.Party}], i)
		}
	}
	for i := range findings {
		f := &findings[i]
		k := titled{f.Contest, f.Party}
		if f.Check == "contest-missing" && f.Primary == notInPrimary && len(missing[k]) == 1 && len(extra[k]) == 1 {
			message := fmt.Sprintf("Both sides have a contest %s: one of them may have the wrong choices, or the wrong title.", finding.Quote(f.Contest))
			join("title "+f.Contest+"\x00"+f.Party, message, i)
			join("title "+f.Contest+"\x00"+f.Party, message, extra[k][0])
		}
	}
}

// joinLines joins what may be one mistake in how a party is entered: the same other
// line, or the same two lines exchanged, in at least three contests.
func joinLines(findings []finding.Finding, join func(key, message string, i int)) {
	groups := map[string][]int{}
	contests := map[string]map[string]bool{}
	var keys []string
	for i := range findings {
		f := &findings[i]
		if f.Check != "party-line" || f.Primary == "" || f.Second == "" || f.Choice == "" {
			continue
		}
		key := unordered(f.Primary, f.Second)
		if groups[key] == nil {
			keys, contests[key] = append(keys, key), map[string]bool{}
		}
		groups[key] = append(groups[key], i)
		contests[key][f.Contest+"\x00"+f.Party] = true
	}
	for _, key := range keys {
		list := groups[key]
		if len(contests[key]) < 3 {
			continue
		}
		first := &findings[list[0]]
		message := fmt.Sprintf("The same lines in %%d findings: %s in the primary, %s as keyed.", first.Primary, first.Second)
		if slices.ContainsFunc(list, func(i int) bool { return findings[i].Primary != first.Primary }) {
			message = fmt.Sprintf("In %%d findings the lines %s and %s are exchanged.", first.Primary, first.Second)
		}
		for _, i := range list {
			join("lines "+key, message, i)
		}
	}
}

// joinMoved joins a choice that is missing in one contest with the same choice that
// is too many in another.
func joinMoved(findings []finding.Finding, join func(key, message string, i int)) {
	extra := map[string][]int{}
	for i := range findings {
		if f := &findings[i]; f.Check == "choice-extra" && f.Choice != "" {
			extra[f.Choice] = append(extra[f.Choice], i)
		}
	}
	for i := range findings {
		f := &findings[i]
		if f.Check != "choice-missing" || len(extra[f.Choice]) != 1 {
			continue // standing in several contests, it was not moved
		}
		k := extra[f.Choice][0]
		if o := &findings[k]; o.Contest != f.Contest || o.Party != f.Party {
			message := fmt.Sprintf("%s stands under %s in the primary, and was keyed under %s.", finding.Quote(f.Choice), finding.Quote(o.Contest), finding.Quote(f.Contest))
			join("moved "+f.Choice, message, k)
			join("moved "+f.Choice, message, i)
		}
	}
}

// joinExchanges joins findings of which some have on one side what the others have
// on the other.
func joinExchanges(findings []finding.Finding, join func(key, message string, i int)) {
	type exchange struct{ one, other []int }
	groups := map[string]*exchange{}
	var keys []string
	for i := range findings {
		f := &findings[i]
		within, ok := exchanges(f)
		if !ok || f.Primary == "" || f.Second == "" {
			continue
		}
		key := strings.Join([]string{"exchange", string(f.Check), within, unordered(f.Primary, f.Second)}, "\x00")
		g := groups[key]
		if g == nil {
			g = &exchange{}
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
		// Two numbers are exchanged by chance where more than two contests have them.
		if len(g.other) == 0 || findings[g.one[0]].Check == "vote-for" && !single {
			continue
		}
		called := func(list []int) string {
			var names []string
			for _, i := range list {
				if name := finding.Quote(exchangedName(&findings[i], single)); !slices.Contains(names, name) {
					names = append(names, name)
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

// exchanges tells which findings may be the two halves of an exchange: those of one
// check, and of one contest where that is what it returns.
func exchanges(f *finding.Finding) (within string, ok bool) {
	switch f.Check {
	case "party-line":
		return f.Contest + "\x01" + f.Party, true
	case "choice-name", "contest-title", "measure-text", "vote-for", "heading", "wrong-style", "unit-header", "unit-site", "party-name", "style-label":
		return "", true
	}
	return "", false
}

// exchangedName is what a finding of an exchange is about; single where there is
// but one on either side.
func exchangedName(f *finding.Finding, single bool) string {
	switch f.Check {
	case "party-name", "heading":
		return f.Second
	case "unit-site":
		if !single || f.Unit == "" {
			return f.Second
		}
	}
	return cmp.Or(f.Choice, f.Style, f.Unit, f.Contest, f.Second)
}

// unordered is the same for two wordings and for the two the other way round.
func unordered(a, b string) string {
	if a > b {
		a, b = b, a
	}
	return a + "\x00" + b
}
