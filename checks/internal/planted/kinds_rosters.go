package planted

import (
	"regexp"
	"slices"
	"strings"

	"counterproof/checks/finding"
)

// rosterKinds are rosters whose labels differ by one rule throughout.
var rosterKinds = join(
	onEither("roster labelled with other zeros", "001-001 for 1-01.", "precinct-names", finding.Confirm,
		relabelled(func(label string) string {
			return numberIn.ReplaceAllStringFunc(label, func(n string) string {
				return strings.Repeat("0", max(0, 3-len(n))) + n
			})
		})),
	onEither("roster labelled with a point for a hyphen", "1.01 for 1-01.", "precinct-names", finding.Confirm,
		relabelled(strings.NewReplacer("-", ".", " ", ".").Replace)),
	onEither("roster labelled without separators", "101 for 1-01.", "precinct-names", finding.Confirm,
		relabelled(strings.NewReplacer("-", "", " ", "", "/", "").Replace)),
	onEither("roster labelled with a word before", "Precinct 1-01 for 1-01.", "precinct-names", finding.Confirm,
		relabelled(func(label string) string { return "Precinct " + label })),
)

var numberIn = regexp.MustCompile(`[0-9]+`)

// relabelled gives every precinct of a side another label by one rule. Labels that the rule leaves as
// they are need no finding.
func relabelled(rule func(string) string) func(*planter) []Expect {
	return func(g *planter) []Expect {
		if g.want != "" || !g.claim("precinct") {
			return nil
		}
		s := g.mine
		var keys []string
		for i := range s.Precincts {
			p := &s.Precincts[i]
			p.Name = slices.Clone(p.Name)
			for k := range p.Name {
				p.Name[k].Words = rule(p.Name[k].Words)
			}
			p.Number = rule(p.Number)
			if i < len(s.Origins.Precincts) {
				s.Origins.Precincts[i].Codes = slices.Clone(s.Origins.Precincts[i].Codes)
				for k, code := range s.Origins.Precincts[i].Codes {
					s.Origins.Precincts[i].Codes[k] = rule(code)
				}
			}
		}
		for _, key := range g.Second.Keys.Precincts {
			if g.Primary.precinct(key) >= 0 {
				keys = append(keys, key)
			}
		}
		return []Expect{{Precincts: keys}}
	}
}
