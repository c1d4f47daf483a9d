package witness

import (
	"fmt"
	"slices"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/assignment"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/checks/wording"
	"counterproof/model"
)

// facts are what tells a contest from others, folded: its titles, its parties, and its candidates as each
// entry has them.
type facts struct {
	titles, parties []string
	names           [2][]string
}

// titleThreshold is how alike the titles of two contests are at least that share no candidate; our own
// figure, no source.
const titleThreshold = 0.85

// mostAlike is how many contests of one title, or with one name, are looked at: more are not told apart
// by it.
const mostAlike = 256

// most bounds the pairs of titles whose similarity is measured.
const most = 250_000

// factsOfKey are the facts of a contest of the entries, as both of them say them.
func (x *examiner) factsOfKey(key int) (f facts) {
	add := func(list *[]string, words string) {
		if words = wording.Fold(words); words != "" && !slices.Contains(*list, words) {
			*list = append(*list, words)
		}
	}
	side := func(v *pairing.Side, names *[]string, i int) {
		if i < 0 {
			return
		}
		add(&f.titles, v.Title(i))
		add(&f.titles, v.Words(v.Contests[i].Title.Value))
		add(&f.titles, v.Words(v.Contests[i].Name.Value))
		for _, p := range v.Compared[i].PrimaryParties.Value {
			add(&f.parties, v.PartyName[p])
			add(&f.parties, v.Words(v.Parties[p].Name.Value))
		}
		for j, c := range v.Compared[i].Choices {
			if !c.WriteIn {
				add(names, v.Choice(i, j))
			}
		}
	}
	for _, n := range x.ofKey[key] {
		side(x.pg.Primary, &f.names[0], x.units[n].pi)
		side(x.pg.Second, &f.names[1], x.units[n].si)
	}
	return f
}

func factsOfListed(c *model.ListedContest) (f facts) {
	f.titles = []string{wording.Fold(c.Name)}
	if c.Title.Known {
		f.titles = append(f.titles, wording.Fold(c.Title.Value.Read))
	}
	if c.PrimaryParty != "" {
		f.parties = []string{wording.Fold(c.PrimaryParty)}
	}
	for _, choice := range c.Choices {
		f.names[0] = append(f.names[0], wording.Fold(plain(choice.Name.Rules, choice.Name.Read)))
	}
	return f
}

// matchAll finds the contests of all documents: those of lists with candidates first, because other
// documents may call a contest as such a list does.
func (x *examiner) matchAll(documents []Document) [][]int {
	out, known := make([][]int, len(documents)), map[string]int{}
	for _, withNames := range []bool{true, false} {
		for i := range documents {
			l := documents[i].Says
			if names := slices.ContainsFunc(l.Contests, func(c model.ListedContest) bool {
				return len(c.Choices) > 0
			}); names != withNames {
				continue
			}
			out[i] = x.matchContests(l)
			for c := range l.Contests {
				if k, ok := known[l.Contests[c].Name]; ok && !withNames {
					out[i][c] = k
				} else if withNames && out[i][c] >= 0 {
					known[l.Contests[c].Name] = out[i][c]
				}
			}
		}
	}
	return out
}

// matchContests finds for each contest of a document its key in the entries, -1 for none: by title, party
// and candidates, the best one to one.
func (x *examiner) matchContests(l *model.Listed) []int {
	out := pairing.Filled(len(l.Contests))
	if len(out) == 0 {
		return out
	}
	keys := make([]facts, len(x.ofKey))
	byTitle, byName := map[string][]int{}, map[string][]int{}
	for k := range keys {
		keys[k] = x.factsOfKey(k)
		for _, t := range keys[k].titles {
			byTitle[t] = append(byTitle[t], k)
		}
		for _, names := range keys[k].names {
			for _, n := range names {
				if at := byName[n]; len(at) == 0 || at[len(at)-1] != k {
					byName[n] = append(at, k)
				}
			}
		}
	}
	listed := make([]facts, len(l.Contests))
	var edges []assignment.Edge
	for i := range listed {
		listed[i] = factsOfListed(&l.Contests[i])
		near := map[int]bool{}
		for _, t := range listed[i].titles {
			if at := byTitle[t]; len(at) <= mostAlike {
				for _, k := range at {
					near[k] = true
				}
			}
		}
		for _, n := range listed[i].names[0] {
			if at := byName[n]; len(at) <= mostAlike {
				for _, k := range at {
					near[k] = true
				}
			}
		}
		for k := range near {
			if w := alike(&listed[i], &keys[k], equal); w > 0 {
				edges = append(edges, assignment.Edge{Row: i, Col: k, Weight: w})
			}
		}
	}
	copy(out, assignment.BestOf(len(listed), len(keys), edges))
	// What is left is written otherwise.
	taken := map[int]bool{}
	lone := 0
	for _, k := range out {
		taken[k] = true
		if k < 0 {
			lone++
		}
	}
	if lone == 0 || lone*len(keys) > most {
		return out
	}
	edges = nil
	for i := range listed {
		for k := range keys {
			if out[i] >= 0 || taken[k] {
				continue
			}
			if w := alike(&listed[i], &keys[k], similar); w > 0 {
				edges = append(edges, assignment.Edge{Row: i, Col: k, Weight: w})
			}
		}
	}
	for i, k := range assignment.BestOf(len(listed), len(keys), edges) {
		if k >= 0 {
			out[i] = k
		}
	}
	return out
}

// equal and similar say how far two folded wordings are one, from 0 to 1.
func equal(a, b string) float64 {
	if a == b {
		return 1
	}
	return 0
}

func similar(a, b string) float64 { return pairing.NameSimilarity(a, b) }

// alike says how far a contest of a document is one of the entries, 0 for not at all.
func alike(l, k *facts, one func(a, b string) float64) float64 {
	if len(l.parties) > 0 && len(k.parties) > 0 && !slices.Contains(k.parties, l.parties[0]) {
		return 0
	}
	title := 0.0
	for _, a := range l.titles {
		for _, b := range k.titles {
			title = max(title, one(a, b))
		}
	}
	names := 0.0
	for _, entered := range k.names {
		if len(l.names[0]) > 0 && len(entered) > 0 {
			names = max(names, dice(l.names[0], entered, one))
		}
	}
	if title < titleThreshold && names < 0.5 {
		return 0
	}
	w := title + 2*names
	if len(l.parties) > 0 && len(k.parties) > 0 {
		w += 0.5
	}
	return w
}

// dice is how many names two lists share, from 0 to 1 (Dice's coefficient), misspelt ones counted by
// their likeness.
func dice(a, b []string, one func(a, b string) float64) float64 {
	shared := 0.0
	if len(a)*len(b) > 10_000 { // longer than any ballot
		there := map[string]bool{}
		for _, m := range b {
			there[m] = true
		}
		for _, n := range a {
			if there[n] {
				shared++
			}
		}
		return min(1, 2*shared/float64(len(a)+len(b)))
	}
	for _, n := range a {
		best := 0.0
		for _, m := range b {
			if sim := one(n, m); sim >= pairing.NameThreshold {
				best = max(best, sim)
			}
		}
		shared += best
	}
	return min(1, 2*shared/float64(len(a)+len(b)))
}

// candidates holds a certified list of candidates against the entries.
func (x *examiner) candidates(keys []int) {
	var nowhere []*model.ListedContest
	for i := range x.document.Says.Contests {
		c := &x.document.Says.Contests[i]
		if len(c.Choices) == 0 && !c.VoteFor.Known && !c.Title.Known {
			continue // only its district is stated
		}
		k := keys[i]
		if k < 0 {
			nowhere = append(nowhere, c)
			continue
		}
		x.listed[k] = true
		for _, n := range x.ofKey[k] {
			x.contest(c, x.units[n])
		}
	}
	x.nowhere(nowhere)
}

// nowhere reports contests of the list that neither entry has, as one finding: they may be another
// county's, or the list another election's.
func (x *examiner) nowhere(list []*model.ListedContest) {
	if len(list) == 0 {
		return
	}
	f := finding.Finding{Grade: finding.MustFix}
	listed, place, subject := english.Plural(len(list), "contest", "")+": ", "", []string{"contests", x.document.Name}
	var names []string
	for _, c := range list[:min(len(list), mostNamed)] {
		names = append(names, finding.Quote(c.Name))
	}
	if more := len(list) - mostNamed; more > 0 {
		names = append(names, fmt.Sprintf("%d more", more))
	}
	if listed += strings.Join(names, ", "); len(list) == 1 {
		f.Contest, f.Party = list[0].Name, list[0].PrimaryParty
		listed, place, subject = "the contest", list[0].Place, []string{"contest"}
	}
	entered := "no such contest"
	if len(list) > 1 {
		entered = "No such contests"
	}
	x.differs(f, entered, listed, place, where(true, true), subject...)
}

// mostNamed is how many contests or names one finding names.
const mostNamed = 40
