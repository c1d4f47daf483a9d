package checks

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/natural"
	"counterproof/checks/pairing"
	"counterproof/checks/wording"
)

// reporter takes what the checks of one comparison find, in the order of the table.
type reporter struct {
	pg      *pairing.Pairing
	options Options
	found   []*found
	claims  claims
	spoken  []int // contest pairs about whose content there is a finding, as they were reported
}

func newReporter(pg *pairing.Pairing, opts Options) *reporter {
	return &reporter{pg: pg, options: opts}
}

// found is a finding under construction.
type found struct {
	finding.Finding
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

// wordingFinding fills in code and grade for two wordings that differ: look-alike
// letters under a code of their own, small differences to be confirmed.
func wordingFinding(code, primary, second string) (f finding.Finding, differs bool) {
	d := wording.Compare(primary, second)
	if d.Same {
		return f, false
	}
	f = finding.Finding{Check: code, Grade: finding.MustFix, Primary: primary, Second: second}
	switch {
	case d.Lookalike:
		f.Check = "lookalike"
	case d.Minor:
		f.Grade = finding.Confirm
	}
	return f, true
}

// report adds a finding. The subject, in the second entry's wording, makes its
// identity together with the check's code.
func (r *reporter) report(f finding.Finding, subject ...string) *found {
	if f.Precincts == nil {
		f.Precincts = []string{}
	}
	f.Precincts = natural.Sorted(f.Precincts)
	one := &found{Finding: f, subject: append([]string{f.Contest, f.Party, f.Choice, f.Unit}, subject...)}
	r.found = append(r.found, one)
	return one
}

// findings gives the findings their identities and their order.
func (r *reporter) findings(ds *difference.Differences) []finding.Finding {
	rank := map[string]int{}
	for i, c := range All() {
		rank[c.Code] = i
	}
	for _, f := range r.found {
		f.rank = rank[f.Check]
	}
	grades := map[finding.Grade]int{finding.MustFix: 0, finding.Confirm: 1, finding.Note: 2}
	slices.SortStableFunc(r.found, func(a, b *found) int {
		return cmp.Or(
			cmp.Compare(grades[a.Grade], grades[b.Grade]), cmp.Compare(a.rank, b.rank),
			natural.Compare(a.Contest, b.Contest), natural.Compare(a.Party, b.Party), natural.Compare(a.Choice, b.Choice),
			natural.Compare(a.Unit, b.Unit), natural.Compare(a.Site, b.Site), natural.Compare(a.Style, b.Style),
			slices.CompareFunc(a.Precincts, b.Precincts, natural.Compare),
			cmp.Compare(a.Primary, b.Primary), cmp.Compare(a.Second, b.Second), cmp.Compare(a.Message, b.Message),
			slices.Compare(a.subject, b.subject))
	})
	out := make([]finding.Finding, 0, len(r.found))
	seen := map[string]int{}
	for _, f := range r.found {
		sum := sha256.Sum256([]byte(f.Check + "\x00" + strings.Join(f.subject, "\x00")))
		f.ID = f.Check + "-" + hex.EncodeToString(sum[:6])
		if seen[f.ID]++; seen[f.ID] > 1 {
			f.ID = fmt.Sprintf("%s-%d", f.ID, seen[f.ID])
		}
		f.Edits = edits(ds, r.found, f)
		out = append(out, f.Finding)
	}
	return out
}
