package checks

import (
	"fmt"
	"slices"
	"strings"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model"
)

// repair is a change under way: one side is made to say what the other says. It
// reads both sides as they were compared, and writes to a copy of one.
//
// In everything that follows, own is the side that is changed and other the side
// that is taken as right. An own index is one of the changed election's lists.
type repair struct {
	ds         *difference.Differences
	second     bool // the second entry is what is changed
	to         *model.Election
	all        []*found // the findings of the comparison
	own, other *pairing.Side

	// What the other side has and own lacked, and where it was put.
	parties, sites, contests, precincts map[int]int
	jointOf                             map[int]int // contests of own that were put in → joint number
	apart                               map[int]int // pair → own's contest, where one was made for it
	choices                             map[int]*choiceEdit
	dropped                             map[int]bool // own contests that another took the place of
}

func newRepair(ds *difference.Differences, second bool, to *model.Election) *repair {
	r := &repair{ds: ds, second: second, to: to, own: ds.Primary, other: ds.Second,
		parties: map[int]int{}, sites: map[int]int{}, contests: map[int]int{}, precincts: map[int]int{},
		jointOf: map[int]int{}, apart: map[int]int{}, choices: map[int]*choiceEdit{}, dropped: map[int]bool{}}
	if second {
		r.own, r.other = ds.Second, ds.Primary
	}
	return r
}

// toOwn picks, from a pairing, the list that leads from the other side to own.
func (r *repair) toOwn(toSecond, toPrimary []int) []int {
	if r.second {
		return toSecond
	}
	return toPrimary
}

func (r *repair) toOther(toSecond, toPrimary []int) []int {
	if r.second {
		return toPrimary
	}
	return toSecond
}

// mine is own's contest of a pair, theirs the other side's.
func (r *repair) mine(pair int) int {
	if c, ok := r.apart[pair]; ok {
		return c
	}
	if r.second {
		return r.ds.Contests.Pairs[pair].Second
	}
	return r.ds.Contests.Pairs[pair].Primary
}

func (r *repair) theirs(pair int) int {
	if r.second {
		return r.ds.Contests.Pairs[pair].Primary
	}
	return r.ds.Contests.Pairs[pair].Second
}

// party is own's party for one of the other side's; own is given one that it
// lacks.
func (r *repair) party(o int) int {
	if i := r.toOwn(r.ds.Parties.ToSecond, r.ds.Parties.ToPrimary)[o]; i >= 0 {
		return i
	}
	if i, ok := r.parties[o]; ok {
		return i
	}
	p := r.other.Parties[o]
	p.Name.Value, p.Abbreviation.Value = slices.Clone(p.Name.Value), slices.Clone(p.Abbreviation.Value)
	r.to.Parties = append(r.to.Parties, p)
	i := len(r.to.Parties) - 1
	setOrigin(&r.to.Origins.Parties, i, identity(r.other.Origins.Party(o)))
	r.parties[o] = i
	return i
}

func (r *repair) partyList(list []int) []int {
	if list == nil {
		return nil
	}
	out := make([]int, 0, len(list))
	for _, o := range list {
		if i := r.party(o); !slices.Contains(out, i) {
			out = append(out, i)
		}
	}
	return out
}

func (r *repair) statedParties(list model.Stated[[]int]) model.Stated[[]int] {
	list.Value = r.partyList(list.Value)
	return list
}

// site is own's polling site for one of the other side's; own is given one that
// it lacks.
func (r *repair) site(o int) int {
	if i := r.toOwn(r.ds.Sites.ToSecond, r.ds.Sites.ToPrimary)[o]; i >= 0 {
		return i
	}
	if i, ok := r.sites[o]; ok {
		return i
	}
	r.to.Sites = append(r.to.Sites, model.Site{Name: slices.Clone(r.other.Sites[o].Name)})
	i := len(r.to.Sites) - 1
	setOrigin(&r.to.Origins.Sites, i, identity(r.other.Origins.Site(o)))
	r.sites[o] = i
	return i
}

// joint is the joint number of one of own's contests, those included that were
// put in.
func (r *repair) joint(c int) int {
	if j, ok := r.jointOf[c]; ok {
		return j
	}
	return r.ds.ContestKeys(r.own)[c]
}

func (r *repair) otherJoint(c int) int { return r.ds.ContestKeys(r.other)[c] }

// contest is own's contest for one of the other side's, in its main version; own
// is given one that it lacks.
func (r *repair) contest(o int) int {
	if i := r.toOwn(r.ds.Contests.ToSecond, r.ds.Contests.ToPrimary)[o]; i >= 0 {
		return i
	}
	if i := slices.Index(r.ds.ContestKeys(r.own), r.otherJoint(o)); i >= 0 {
		return i
	}
	return r.copyContest(o)
}

// copyContest gives own a contest that says what the other side's says.
func (r *repair) copyContest(o int) int {
	if i, ok := r.contests[o]; ok {
		return i
	}
	c := r.other.Contests[o].Clone()
	c.PrimaryParties = r.statedParties(c.PrimaryParties)
	c.District = model.Stated[int]{} // the other side's districts are not own's
	for k := range c.Choices {
		c.Choices[k].Lines = r.statedParties(c.Choices[k].Lines)
	}
	r.to.Contests = append(r.to.Contests, c)
	i := len(r.to.Contests) - 1
	r.contests[o], r.jointOf[i] = i, r.otherJoint(o)
	return i
}

// pairOf is the pair of own's contest and the other's, -1 where there is none.
func (r *repair) pairOf(own, other int) int {
	for k := range r.ds.Contests.Pairs {
		if r.mine(k) == own && r.theirs(k) == other {
			return k
		}
	}
	return -1
}

// reword changes the compared language of a text and leaves the others.
func (r *repair) reword(t model.Text, words string) model.Text {
	if len(t) == 0 || words == "" {
		return model.Plain(words)
	}
	out := slices.Clone(t)
	at := 0
	for i := range out {
		if r.own.Language != "" && strings.EqualFold(out[i].Language, r.own.Language) {
			at = i
			break
		}
	}
	out[at].Words = words
	return out
}

func (r *repair) say(t model.Stated[model.Text], words string) model.Stated[model.Text] {
	return model.Say(r.reword(t.Value, words))
}

// holdApart makes own hold a contest as two, where the other side does and the
// finding is about the version that own does not have: what is changed then is
// changed on the ballots of that version alone.
func (r *repair) holdApart(pair int) {
	if pair < 0 || !r.ds.Contests.Pairs[pair].Variant || r.holdsVersions(pair) {
		return
	}
	main := r.mine(pair)
	r.to.Contests = append(r.to.Contests, r.to.Contests[main].Clone())
	c := len(r.to.Contests) - 1
	r.apart[pair], r.jointOf[c] = c, r.joint(main)
	r.rewrite(r.facesMeeting(pair), func(_ *difference.Face, st *model.Style) {
		for i := range st.Content {
			if st.Content[i].Contest == main {
				st.Content[i].Contest = c
			}
		}
	})
}

// holdsVersions is true where own is the side that holds the contest of a variant
// as two.
func (r *repair) holdsVersions(pair int) bool {
	m := r.ds.Contests.Pairs[pair]
	if r.second {
		return r.ds.Contests.ToPrimary[m.Second] < 0
	}
	return r.ds.Contests.ToSecond[m.Primary] < 0
}

// joinVersions ends a contest's being two on own's side, where this finding was
// the last that told its versions from what the other side has.
func (r *repair) joinVersions(pair int, f *found) {
	if pair < 0 || !r.ds.Contests.Pairs[pair].Variant || !r.holdsVersions(pair) {
		return
	}
	for _, o := range r.all {
		if o != f && o.mending != nil && o.mending.pair == pair {
			return
		}
	}
	r.joinVersion(pair)
}

// joinVersion puts the main version of a contest in the place of a variant that
// own holds.
func (r *repair) joinVersion(pair int) {
	variant, main := r.mine(pair), -1
	for k, m := range r.ds.Contests.Pairs {
		if !m.Variant && r.theirs(k) == r.theirs(pair) {
			main = k
		}
	}
	if main < 0 {
		return
	}
	from, into := r.choicesOf(pair), r.choicesOf(main)
	for s := range r.to.Styles {
		for i := range r.to.Styles[s].Content {
			pl := &r.to.Styles[s].Content[i]
			if pl.Contest != variant {
				continue
			}
			pl.Contest = r.mine(main)
			if pl.Order.Known {
				var order []int
				for _, c := range pl.Order.Value {
					if o := from.other(c); o >= 0 && into.own(o) >= 0 {
						order = append(order, into.own(o))
					}
				}
				pl.Order.Value = order
			}
		}
	}
	r.dropped[variant] = true
}

// tidy takes away what the change left behind: contests on no ballot that the
// other side does not have, and styles without precincts.
func (r *repair) tidy() {
	r.to.Styles, r.to.Origins.Styles = without(r.to.Styles, r.to.Origins.Styles, func(i int) bool {
		return i < len(r.own.Styles) && len(r.own.Styles[i].Precincts) > 0 && len(r.to.Styles[i].Precincts) == 0
	})
	placed := make([]bool, len(r.to.Contests))
	for s := range r.to.Styles {
		for _, pl := range r.to.Styles[s].Content {
			placed[pl.Contest] = true
		}
	}
	partner := r.toOther(r.ds.Contests.ToSecond, r.ds.Contests.ToPrimary)
	drop := func(c int) bool {
		return !placed[c] && c < len(r.own.Contests) && (r.dropped[c] || partner[c] < 0 && r.own.On[c].Count() > 0)
	}
	at, next := make([]int, len(r.to.Contests)), 0
	for c := range at {
		at[c] = next
		if !drop(c) {
			next++
		}
	}
	if next == len(at) {
		return
	}
	for s := range r.to.Styles {
		for i := range r.to.Styles[s].Content {
			r.to.Styles[s].Content[i].Contest = at[r.to.Styles[s].Content[i].Contest]
		}
	}
	r.to.Contests, r.to.Origins.Contests = without(r.to.Contests, r.to.Origins.Contests, drop)
}

// without leaves out elements of a list, and of the list of origins beside it,
// which may be shorter.
func without[T, O any](list []T, origins []O, drop func(i int) bool) ([]T, []O) {
	keep := func(i int) bool { return !drop(i) }
	return selected(list, keep), selected(origins, keep)
}

func selected[T any](list []T, keep func(i int) bool) []T {
	out := list[:0:0]
	for i := range list {
		if keep(i) {
			out = append(out, list[i])
		}
	}
	return out
}

// setOrigin sets the origin of thing i in a list that may be shorter.
func setOrigin(list *[]model.Origin, i int, o model.Origin) {
	for len(*list) <= i {
		*list = append(*list, model.Origin{})
	}
	(*list)[i] = o
}

// identity is an origin without the place, which is a place in the other source.
func identity(o model.Origin) model.Origin {
	return model.Origin{ID: o.ID, Codes: slices.Clone(o.Codes)}
}

func onBallotOf(f *finding.Finding) string {
	return fmt.Sprintf("contest %s on the ballot of %s", finding.Quote(f.Contest), finding.CountPrecincts(f.Precincts))
}
