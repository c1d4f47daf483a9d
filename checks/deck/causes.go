package deck

import (
	"cmp"
	"slices"
)

// Explanation is a likely cause of a difference.
type Explanation struct {
	Kind ExplanationKind
	// Text says it in a sentence.
	Text string
	// Contest and the choices A and B are what it is about; -1 where it is about none.
	Contest, A, B int
	// Ballots are numbers of ballots.
	Ballots []int
}

// ExplanationKind is a kind of cause.
type ExplanationKind string

// The kinds of causes that are tried.
const (
	Exchanged      ExplanationKind = "exchanged"       // two choices
	Shifted        ExplanationKind = "shifted"         // all choices, by one
	Rotated        ExplanationKind = "rotation"        // in the order of another ballot
	LineElsewhere  ExplanationKind = "line-elsewhere"  // a person's line, to another line of the same person
	VotesElsewhere ExplanationKind = "votes-elsewhere" // a choice's votes, to another choice
	MarkNotRead    ExplanationKind = "mark-not-read"   // of one position, on no ballot
	OverCounted    ExplanationKind = "overvote-counted"
	WrongVoteFor   ExplanationKind = "vote-for" // another number of votes is allowed
	NotRead        ExplanationKind = "ballot-not-read"
	ReadTwice      ExplanationKind = "ballot-read-twice"
	OtherPrecinct  ExplanationKind = "other-precinct" // another precinct's counts
	OtherContest   ExplanationKind = "other-contest"  // another contest's counts
	// NotAddingUp does not give the counts: it says that they contradict each other.
	NotAddingUp ExplanationKind = "not-adding-up"
)

// maxCauses is how many causes of one difference are named.
const maxCauses = 6

// maxMarks is how many marks are counted at most in search of causes, so that the search ends in
// seconds whatever the results say.
const maxMarks = 60_000_000

// guess is a cause that may be. Its variants are the counts that it gives for a gap, by the ways in
// which a machine may have come to it.
type guess struct {
	Explanation
	variants func(g *gap) []figures
	// to is what a mark for a choice is taken for, where it is that kind of cause; -1 for nothing.
	to func(style, choice int) int
}

// fits reports whether a guess gives exactly the counts of a gap.
func (h *guess) fits(g *gap) bool {
	for _, v := range h.variants(g) {
		if g.is(v) {
			return true
		}
	}
	return false
}

// is reports whether counts are those of the machine, wherever both the machine and the key state one.
func (g *gap) is(v figures) bool {
	for at := range g.n {
		switch {
		case !g.compared(at):
		case at >= len(v.n) || !v.known[at]:
			if g.n[at] != g.want.n[at] {
				return false
			}
		case v.n[at] != g.n[at]:
			return false
		}
	}
	return true
}

// explain looks for the causes of all gaps. Causes that change many contests come first: a ballot, a
// precinct, two contests; then those within a contest.
func (w *comparison) explain() {
	if w.budget = maxMarks; w.opts.NoCauses {
		w.budget = -1
	}
	w.recounter()
	w.totals()
	for _, k := range w.components() {
		w.ballotCauses(k)
		w.precinctCauses(k)
	}
	w.contestCauses()
	w.partyCauses()
	w.settle()
	byContest := map[int][]*gap{}
	for _, g := range w.gaps {
		if !g.explained {
			byContest[g.contest] = append(byContest[g.contest], g)
		}
	}
	for c := range w.e.Contests {
		w.choiceCauses(c, byContest[c])
	}
	w.out.CutShort = w.budget < 0
	slices.SortStableFunc(w.out.Differences, func(a, b Difference) int {
		return cmp.Or(cmp.Compare(first(a), first(b)), cmp.Compare(len(b.Cells), len(a.Cells)))
	})
}

func first(d Difference) int {
	c := len(d.Cells)
	for i := range d.Cells {
		if i == 0 || d.Cells[i].Contest < c {
			c = d.Cells[i].Contest
		}
	}
	return c
}

// totals takes the totals that are not the sum of their parts: no ballot explains them.
func (w *comparison) totals() {
	for _, g := range w.gaps {
		if g.rest && g.precincts != nil && len(g.precincts) == 0 {
			w.differ([]*gap{g}, nil)
		}
	}
}

// differ reports a difference. The causes are named as far as they fit.
func (w *comparison) differ(gaps []*gap, causes []Explanation) {
	d := Difference{More: len(causes) > maxCauses,
		Causes: append(w.notAddingUp(gaps, causes), causes[:min(len(causes), maxCauses)]...)}
	for _, g := range gaps {
		g.explained = true
		d.Cells = append(d.Cells, g.cells(w.e)...)
	}
	w.out.Differences = append(w.out.Differences, d)
}

// candidate is a cause with the gaps that it explains.
type candidate struct {
	Explanation
	gaps []*gap
	// everywhere says that it also fits where nothing differs.
	everywhere bool
}

func (c *candidate) contests() int {
	seen := map[int]bool{}
	for _, g := range c.gaps {
		seen[g.contest] = true
	}
	return len(seen)
}

// settle reports the candidates that explain gaps of several contests, the largest first. Those that
// explain the same are alternatives.
func (w *comparison) settle() {
	slices.SortStableFunc(w.candidates, func(a, b candidate) int { return cmp.Compare(len(b.gaps), len(a.gaps)) })
	for i := range w.candidates {
		c := &w.candidates[i]
		if c.contests() < 2 || slices.ContainsFunc(c.gaps, func(g *gap) bool { return g.explained }) {
			continue
		}
		var causes []Explanation
		for j := range w.candidates {
			if sameGaps(c.gaps, w.candidates[j].gaps) {
				causes = append(causes, w.candidates[j].Explanation)
			}
		}
		w.differ(c.gaps, causes)
	}
}

func sameGaps(a, b []*gap) bool {
	return len(a) == len(b) && !slices.ContainsFunc(a, func(g *gap) bool { return !slices.Contains(b, g) })
}

// choiceCauses explains the gaps of one contest: by the causes that fit most of them.
func (w *comparison) choiceCauses(contest int, gaps []*gap) {
	for len(gaps) > 0 {
		var fits []candidate
		for _, h := range w.guesses(gaps[0]) {
			if !h.fits(gaps[0]) {
				continue
			}
			c := candidate{Explanation: h.Explanation, gaps: []*gap{gaps[0]}}
			for _, g := range gaps[1:] {
				if h.fits(g) {
					c.gaps = append(c.gaps, g)
				}
			}
			c.everywhere = !slices.ContainsFunc(w.heldIn(contest), func(g *gap) bool { return !h.fits(g) })
			fits = append(fits, c)
		}
		for _, c := range w.candidates {
			if slices.Contains(c.gaps, gaps[0]) && c.contests() == 1 &&
				!slices.ContainsFunc(c.gaps, func(g *gap) bool { return g.explained }) {
				fits = append(fits, c)
			}
		}
		w.differ(choose(gaps[0], fits))
		gaps = slices.DeleteFunc(gaps, func(g *gap) bool { return g.explained })
	}
}

// choose takes the causes that explain most gaps, those first that fit where nothing differs too.
func choose(g *gap, fits []candidate) ([]*gap, []Explanation) {
	if len(fits) == 0 {
		return []*gap{g}, nil
	}
	most := slices.MaxFunc(fits, func(a, b candidate) int { return cmp.Compare(len(a.gaps), len(b.gaps)) })
	slices.SortStableFunc(fits, func(a, b candidate) int { return boolOrder(!a.everywhere, !b.everywhere) })
	var causes []Explanation
	for _, c := range fits {
		same := func(have Explanation) bool {
			return have.Kind == c.Kind && slices.Equal(have.Ballots, c.Ballots) && (len(c.Ballots) > 0 || have.Text == c.Text)
		}
		if sameGaps(c.gaps, most.gaps) && !slices.ContainsFunc(causes, same) {
			causes = append(causes, c.Explanation)
		}
	}
	return most.gaps, causes
}

// maxHeld is how many regions without a difference a cause is tried on.
const maxHeld = 100

// heldIn are regions in which a contest has no difference.
func (w *comparison) heldIn(contest int) (out []*gap) {
	for _, g := range w.held {
		if g.contest == contest && len(out) < maxHeld {
			out = append(out, g)
		}
	}
	return out
}
