package checks

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"

	"counterproof/checks/natural"
	"counterproof/checks/wording"
	"counterproof/model"
)

// pass is one comparison under way: both sides, how their things are paired, and
// what has been found. The checks read it and report to it; the order of the
// table in All is the order in which they run.
type pass struct {
	opts Options
	p, s *view

	parties   partyPairs
	precincts precinctPairs
	contests  contestPairs
	sites     sitePairs
	units     unitPairs
	ballots   ballots
	content   contentDifferences
	positions []positionDifferences // by contest pair
	meetings  [][]meeting           // by contest pair
	omitted   [][]omitted           // by contest pair
	orders    []orderDifference     // by contest pair
	headings  []*headingDifference
	standing  [2][]set // the areas on whose ballots a contest of either side stands

	found   []*found
	spoken  []int // contest pairs about whose content there is a finding, as they were reported
	pairOf  []int // by contest of the primary: what mainPair answers
	claims  claims
	unkeyed map[string]int // what unkeyedSubject counts: contests that the primary alone has, by title and party
	// doubled are names that stand twice in one contest, by contest of the primary.
	doubled [][]doubledChoice
	// strays are precincts where a contest stands inside or outside its district
	// against what the export draws, by contest of the primary.
	strays []straying
	cards  *unitPlaces
}

// found is a finding under construction.
type found struct {
	Finding
	subject []string
	rank    int // of the check in the table
	mending *mending
}

// claims are the parts of the compared things that findings account for. What
// differs and is not claimed is reported by the sweep.
type claims struct {
	log []claimKey // in the order in which they were made
	// made holds the paths by thing and index, of what noted says how far of the log.
	made  map[string][][]string
	noted map[string]int
}

type claimKey struct {
	thing string // "contest", "face", "unit", "precinct", "party", "facts"
	index int    // of the pair
	path  string // "VoteFor", "Choices[2].Name"
}

func (c *claims) add(thing string, index int, paths ...string) {
	for _, p := range paths {
		c.log = append(c.log, claimKey{thing, index, p})
	}
}

func (c *claims) has(thing string, index int, path string) bool {
	list := c.made[thing]
	if from := c.noted[thing]; from < len(c.log) {
		for _, k := range c.log[from:] {
			if k.thing != thing {
				continue
			}
			for k.index >= len(list) {
				list = append(list, nil)
			}
			list[k.index] = append(list[k.index], k.path)
		}
		if c.made == nil {
			c.made, c.noted = map[string][][]string{}, map[string]int{}
		}
		c.made[thing], c.noted[thing] = list, len(c.log)
	}
	return index < len(list) && slices.Contains(list[index], path)
}

// report adds a finding. The subject, in the second entry's wording, makes its
// identity together with the check's code.
func (ps *pass) report(f Finding, subject ...string) *found {
	if f.Precincts == nil {
		f.Precincts = []string{}
	}
	f.Precincts = natural.Sorted(f.Precincts)
	r := &found{Finding: f, subject: append([]string{f.Contest, f.Party, f.Choice, f.Unit}, subject...)}
	ps.found = append(ps.found, r)
	return r
}

// wordingFinding fills in code and grade for two wordings that differ: look-alike
// letters under a code of their own, small differences to be confirmed.
func wordingFinding(code, primary, second string) (f Finding, differs bool) {
	d := wording.Compare(primary, second)
	if d.Same {
		return f, false
	}
	f = Finding{Check: code, Grade: MustFix, Primary: primary, Second: second}
	switch {
	case d.Lookalike:
		f.Check = "lookalike"
	case d.Minor:
		f.Grade = Confirm
	}
	return f, true
}

// differsIn says in a few words in what two wordings differ, to follow "differs".
func differsIn(primary, second string) string {
	d := wording.Compare(primary, second)
	word := d.Word()
	if d.Lookalike && len(d.Notes) > 0 {
		return "in letters that look the same and are not: " + strings.Join(d.Notes, "; ")
	}
	if d.Minor {
		return "only in " + word
	}
	return "in its wording"
}

// about sets the contest of a finding, in the second entry's words where it has
// the contest; pi or si is -1 where a side has it not.
func (ps *pass) about(f Finding, pi, si int) Finding {
	switch {
	case si >= 0:
		f.Contest = ps.s.title(si)
		if f.Contest == "" && pi >= 0 {
			f.Contest = ps.p.title(pi)
		}
		f.Party = ps.s.partyList(ps.s.contests[si].PrimaryParties.Value)
	case pi >= 0:
		f.Contest = ps.p.title(pi)
		f.Party = ps.p.partyList(ps.p.contests[pi].PrimaryParties.Value)
	}
	if si >= 0 && f.Party == "" && pi >= 0 {
		f.Party = ps.p.partyList(ps.p.contests[pi].PrimaryParties.Value)
	}
	if pi >= 0 {
		f.Look.Primary = place("Contest", ps.p.Origins.Contest(pi).Origin)
	}
	if si >= 0 {
		f.Look.Second = place("contest", ps.s.Origins.Contest(si).Origin)
	}
	return f
}

// aboutChoice adds the choice to a finding about a contest.
func (ps *pass) aboutChoice(f Finding, pi, pc, si, sc int) Finding {
	f = ps.about(f, pi, si)
	if pc >= 0 {
		f.Choice = ps.p.choice(pi, pc)
		if o := ps.p.Origins.Choice(pi, pc).Origin; o.Line > 0 {
			f.Look.Primary = place("ContestSelection", o)
		}
	}
	if sc >= 0 {
		f.Choice = cmp.Or(ps.s.choice(si, sc), f.Choice)
		if o := ps.s.Origins.Choice(si, sc).Origin; o.Line > 0 {
			f.Look.Second = place("choice", o)
		}
	}
	return f
}

// place tells a person where something stands in a source.
func place(what string, o model.Origin) string {
	var parts []string
	if o.File != "" {
		parts = append(parts, o.File)
	}
	if o.Line > 0 {
		parts = append(parts, fmt.Sprintf("line %d", o.Line))
	}
	if o.ID != "" {
		parts = append(parts, fmt.Sprintf("(%s %s)", what, o.ID))
	}
	return strings.Join(parts, " ")
}

// areaNames names the precincts of areas as the second entry does.
func (ps *pass) areaNames(areas []int) []string {
	names := make([]string, 0, len(areas))
	for _, a := range areas {
		names = append(names, ps.s.precinctName[ps.precincts.areas[a].second])
	}
	return names
}

// pairNames names the precincts on whose ballots a pair of contests stands.
func (ps *pass) pairNames(m contestPair) []string {
	p, s := ps.standing[0][m.primary], ps.standing[1][m.second]
	on := make(set, len(p))
	for w := range p {
		on[w] = p[w] | s[w]
		if m.variant {
			on[w] = p[w] & s[w]
		}
	}
	return ps.areaNames(on.list())
}

func (ps *pass) primaryNames(list []int) []string {
	names := make([]string, len(list))
	for i, p := range list {
		names[i] = ps.p.precinctName[p]
		if s := ps.precincts.toSecond[p]; s >= 0 {
			names[i] = ps.s.precinctName[s]
		}
	}
	return names
}

func (ps *pass) secondNames(list []int) []string {
	names := make([]string, len(list))
	for i, s := range list {
		names[i] = ps.s.precinctName[s]
	}
	return names
}

// styleName names a style for people: its label, else the precinct it is for.
func styleName(v *view, i int) string {
	st := v.Styles[i]
	if st.Label.Known && st.Label.Value != "" {
		return st.Label.Value
	}
	if len(st.Precincts) > 0 {
		return "the ballot of " + v.precinctName[st.Precincts[0]]
	}
	return "an unnamed style"
}

// finish gives the findings their identities and their order.
func (ps *pass) finish() []Finding {
	rank := map[string]int{}
	for i, c := range All() {
		rank[c.Code] = i
	}
	for _, f := range ps.found {
		f.rank = rank[f.Check]
	}
	grades := map[Grade]int{MustFix: 0, Confirm: 1, Note: 2}
	slices.SortStableFunc(ps.found, func(a, b *found) int {
		return cmp.Or(
			cmp.Compare(grades[a.Grade], grades[b.Grade]), cmp.Compare(a.rank, b.rank),
			natural.Compare(a.Contest, b.Contest), natural.Compare(a.Party, b.Party), natural.Compare(a.Choice, b.Choice),
			natural.Compare(a.Unit, b.Unit), natural.Compare(a.Site, b.Site), natural.Compare(a.Style, b.Style),
			slices.CompareFunc(a.Precincts, b.Precincts, natural.Compare),
			cmp.Compare(a.Primary, b.Primary), cmp.Compare(a.Second, b.Second), cmp.Compare(a.Message, b.Message),
			slices.Compare(a.subject, b.subject))
	})
	out := make([]Finding, 0, len(ps.found))
	seen := map[string]int{}
	for _, f := range ps.found {
		sum := sha256.Sum256([]byte(f.Check + "\x00" + strings.Join(f.subject, "\x00")))
		f.ID = f.Check + "-" + hex.EncodeToString(sum[:6])
		if seen[f.ID]++; seen[f.ID] > 1 {
			f.ID = fmt.Sprintf("%s-%d", f.ID, seen[f.ID])
		}
		f.Edits = ps.edits(f)
		out = append(out, f.Finding)
	}
	return out
}

// mainPair is the first pair of a contest of the primary, or -1.
func (ps *pass) mainPair(i int) int { return ps.pairOf[i] }

// eachPair visits the pairs of contests with both sides' contest.
func (ps *pass) eachPair(visit func(k int, m contestPair, a, b *model.Contest)) {
	for k, m := range ps.contests.pairs {
		visit(k, m, &ps.p.contests[m.primary], &ps.s.contests[m.second])
	}
}
