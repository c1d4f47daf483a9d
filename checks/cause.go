package checks

import (
	"fmt"
	"slices"
	"strings"

	"counterproof/checks/wording"
)

// findCauses looks for findings that seem to have one cause: the same change of
// spelling in several places, the same precincts, an exchange. It names the cause
// in each of them and returns the causes, in the order of their first finding.
func findCauses(findings []Finding) []Cause {
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
	for i := range findings {
		if key, message := patternOf(&findings[i]); key != "" {
			join(key, message, i)
		}
	}
	for i := range findings {
		a := &findings[i]
		for j := i + 1; j < len(findings); j++ {
			b := &findings[j]
			if b.Check != a.Check || b.Grade != a.Grade {
				break
			}
			if exchanged(a, b) {
				key := fmt.Sprintf("exchange %d", i)
				message := fmt.Sprintf("Exchanged: %s and %s.", quote(firstOf(a.Choice, a.Style, a.Unit, a.Contest)), quote(firstOf(b.Choice, b.Style, b.Unit, b.Contest)))
				join(key, message, i)
				join(key, message, j)
			}
		}
	}
	causes := []Cause{}
	for _, key := range keys {
		list := slices.DeleteFunc(groups[key], func(i int) bool { return findings[i].Cause != "" })
		if len(list) < 2 {
			continue
		}
		c := Cause{ID: fmt.Sprintf("cause-%d", len(causes)+1), Message: strings.ReplaceAll(explain[key], "%d", fmt.Sprint(len(list)))}
		for _, i := range list {
			findings[i].Cause = c.ID
			c.Findings = append(c.Findings, findings[i].ID)
		}
		causes = append(causes, c)
	}
	return causes
}

// patternOf returns what a finding may share with others, and how to say so.
func patternOf(f *Finding) (key, message string) {
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
				return "habit\x00" + f.Check + d.Word(), "The same habit in %d findings: a difference of " + d.Word() + "."
			}
			return "spelling\x00" + f.Check + change, "The same change of spelling in %d findings: " + describeChanges(f.Primary, f.Second) + "."
		}
	case "contest-missing", "contest-extra":
		return "precincts\x00" + strings.Join(f.Precincts, "\x00"), "The same precincts in %d findings: one change of these ballots or of a district's boundary may be behind them."
	case "precinct-absent", "precinct-unkeyed":
		return "precinct names", "Precincts that only one side knows, in %d findings: one may be the other under another name."
	case "unit-absent", "unit-unkeyed":
		return "unit names", "Units that only one side knows, in %d findings: one may be the other under another name."
	case "primary-party", "contest-kind":
		return f.Check + "\x00" + f.Primary + "\x00" + f.Second, "The same difference in %d contests."
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
				parts = append(parts, quote(wording.Visible(dropped))+" for "+quote(wording.Visible(s.Text)))
			} else {
				parts = append(parts, quote(wording.Visible(s.Text))+" left out")
			}
			dropped = ""
		default:
			if dropped != "" {
				parts = append(parts, quote(wording.Visible(dropped))+" put in")
			}
			dropped = ""
		}
	}
	if dropped != "" {
		parts = append(parts, quote(wording.Visible(dropped))+" put in")
	}
	return "the primary has " + strings.Join(parts, ", ")
}

// exchanged is true where each of two findings has on one side what the other has
// on the other.
func exchanged(a, b *Finding) bool {
	if a.Primary == "" || a.Second == "" || a.Primary != b.Second || a.Second != b.Primary {
		return false
	}
	switch a.Check {
	case "party-line", "choice-name", "contest-title", "vote-for":
		return a.Contest == b.Contest || a.Check == "contest-title" || a.Check == "vote-for"
	case "wrong-style", "unit-header", "unit-site", "party-name", "style-label":
		return true
	}
	return false
}
