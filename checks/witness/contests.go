package witness

import (
	"slices"

	"counterproof/checks/assignment"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/checks/wording"
	"counterproof/model"
)

// facts are what tells a contest from others: its titles, its parties and its candidates, folded.
type facts struct {
	titles, parties, names []string
}

// titleThreshold is how alike the titles of two contests are at least that share no candidate; our own
// figure, no source.
const titleThreshold = 0.85

// most bounds the pairs of titles whose similarity is measured.
const most = 250_000

// factsOfKey are the facts of a contest of the entries, as both of them say them.
func (x *examiner) factsOfKey(key int) (f facts) {
	add := func(list *[]string, words string) {
		if words = wording.Fold(words); words != "" && !slices.Contains(*list, words) {
			*list = append(*list, words)
		}
	}
	side := func(v *pairing.Side, i int) {
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
				add(&f.names, v.Choice(i, j))
			}
		}
	}
	for _, n := range x.ofKey[key] {
		side(x.pg.Primary, x.units[n].pi)
		side(x.pg.Second, x.units[n].si)
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
		f.names = append(f.names, wording.Fold(plain(choice.Name.Rules, choice.Name.Read)))
	}
	return f
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
		for _, n := range keys[k].names {
			byName[n] = append(byName[n], k)
		}
	}
	listed := make([]facts, len(l.Contests))
	var edges []assignment.Edge
	reached := make([]bool, len(listed))
	for i := range listed {
		listed[i] = factsOfListed(&l.Contests[i])
		near := map[int]bool{}
		for _, t := range listed[i].titles {
			for _, k := range byTitle[t] {
				near[k] = true
			}
		}
		for _, n := range listed[i].names {
			if at := byName[n]; len(at) <= 16 {
				for _, k := range at {
					near[k] = true
				}
			}
		}
		for k := range near {
			if w := alike(&listed[i], &keys[k]); w > 0 {
				edges = append(edges, assignment.Edge{Row: i, Col: k, Weight: w})
				reached[i] = true
			}
		}
	}
	// Titles that are written otherwise, of contests that nothing else reaches.
	lone := 0
	for _, is := range reached {
		if !is {
			lone++
		}
	}
	if lone*len(keys) <= most {
		for i := range listed {
			for k := range keys {
				if w := alike(&listed[i], &keys[k]); !reached[i] && w > 0 {
					edges = append(edges, assignment.Edge{Row: i, Col: k, Weight: w})
				}
			}
		}
	}
	copy(out, assignment.BestOf(len(listed), len(keys), edges))
	return out
}

// alike says how far a contest of a document is one of the entries, 0 for not at all.
func alike(l, k *facts) float64 {
	if len(l.parties) > 0 && len(k.parties) > 0 && !slices.Contains(k.parties, l.parties[0]) {
		return 0
	}
	title := 0.0
	for _, a := range l.titles {
		for _, b := range k.titles {
			if title < 1 {
				title = max(title, pairing.NameSimilarity(a, b))
			}
		}
	}
	names := 0.0
	if n := len(l.names); n > 0 && len(k.names) > 0 {
		names = dice(l.names, k.names)
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

// dice is how many names two lists share, from 0 to 1, misspelt ones counted by their likeness.
func dice(a, b []string) float64 {
	shared := 0.0
	var left []string
	for _, n := range a {
		if slices.Contains(b, n) {
			shared++
		} else {
			left = append(left, n)
		}
	}
	if len(left)*len(b) <= 400 {
		for _, n := range left {
			best := 0.0
			for _, m := range b {
				if sim := pairing.NameSimilarity(n, m); sim >= pairing.NameThreshold && !slices.Contains(a, m) {
					best = max(best, sim)
				}
			}
			shared += best
		}
	}
	return min(1, 2*shared/float64(len(a)+len(b)))
}

// candidates holds a certified list of candidates against the entries.
func (x *examiner) candidates(keys []int) {
	for i := range x.document.Says.Contests {
		c := &x.document.Says.Contests[i]
		if len(c.Choices) == 0 && !c.VoteFor.Known && !c.Title.Known {
			continue // only its district is stated
		}
		k := keys[i]
		if k < 0 {
			x.nowhere(c)
			continue
		}
		x.listed[k] = true
		for _, n := range x.ofKey[k] {
			x.contest(c, x.units[n])
		}
	}
}

// nowhere reports a contest of the list that neither entry has.
func (x *examiner) nowhere(c *model.ListedContest) {
	f := finding.Finding{Grade: finding.MustFix, Contest: c.Name, Party: c.PrimaryParty}
	x.differs(f, "no such contest", "the contest", c.Place, where(true, true), "contest")
}
