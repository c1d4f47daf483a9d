package baseline

import (
	"maps"
	"slices"

	"counterproof/checks/finding"
)

// facesOf returns the ballot faces of precincts.
func (v *Values) facesOf(precincts []string) []face {
	if v.faces == nil {
		v.faces = map[string][]face{}
		for _, f := range sortFaces(maps.Keys(v.ballots)) {
			v.faces[f.precinct] = append(v.faces[f.precinct], f)
		}
	}
	var out []face
	for _, p := range precincts {
		out = append(out, v.faces[p]...)
	}
	return out
}

// holders are the ballots that precincts have, each listed once with one precinct that has it. more
// is true if another precinct has it too.
type holders struct {
	list []holder
	at   map[*ballot]int
}

type holder struct {
	ballot   *ballot
	precinct string
	more     bool
}

func (h *holders) add(b *ballot, precinct string) {
	if h.at == nil {
		h.at = map[*ballot]int{}
	}
	i, ok := h.at[b]
	switch {
	case !ok:
		h.at[b] = len(h.list)
		h.list = append(h.list, holder{b, precinct, false})
	case h.list[i].precinct != precinct:
		h.list[i].more = true
	}
}

// others returns the ballots that a precinct other than this one has, at most 64 of them; none of
// nil, which stands for a ballot that nobody has.
func (h *holders) others(precinct string) (out []*ballot) {
	const most = 64
	if h == nil {
		return nil
	}
	for _, x := range h.list {
		if (x.more || x.precinct != precinct) && len(out) < most {
			out = append(out, x.ballot)
		}
	}
	return out
}

// siblings holds, for each ballot of a second entry, the ballots that an export had for the
// precincts that get it.
type siblings struct {
	of *Values
	by map[sibling]*holders
}

type sibling struct {
	keyed  *ballot
	voters string
}

func (v *Values) siblingsIn(earlier *Values) *siblings {
	if v.siblings == nil || v.siblings.of != earlier {
		v.siblings = &siblings{earlier, map[sibling]*holders{}}
		for _, f := range sortFaces(maps.Keys(v.ballots)) {
			b := v.ballots[f]
			k := sibling{b, f.voters}
			if v.siblings.by[k] == nil {
				v.siblings.by[k] = &holders{}
			}
			if had := earlier.ballots[f]; had != nil {
				v.siblings.by[k].add(had, f.precinct)
			}
		}
	}
	return v.siblings
}

// LikeSiblings reports whether a change gives a precinct's ballot what earlier already had on the
// ballots of other precincts that, by the second entry, get the same ballot. A value that was not
// keyed may follow a ballot that moves to another precinct.
func (v *Values) LikeSiblings(earlier, later *Values, c *Change, precinct string) bool {
	if later.given(earlier, c, precinct) {
		return true
	}
	for _, f := range v.facesOf(later.namesOf(precinct)) {
		of := v.siblingsIn(earlier).by[sibling{v.ballots[f], f.voters}]
		for _, had := range of.others(f.precinct) {
			switch {
			case c.Field == finding.Headings:
				if p := had.at(c.Part); p != nil && slices.Equal(had.above(p, false).list, c.After) {
					return true
				}
			case c.Field == finding.Order && c.Part != "" && c.ID == "":
				if p := had.at(c.Part); p != nil && slices.Equal(p.order, c.After) {
					return true
				}
			case c.Part == "":
				if x, ok := had.fields[field{c.Field, c.Language}]; ok && slices.Equal(x.list, c.After) {
					return true
				}
			}
		}
	}
	return false
}

// given reports whether a precinct's changed ballot equals, in all, a ballot that other precincts
// had earlier under the same label.
func (v *Values) given(earlier *Values, c *Change, precinct string) bool {
	if c.Thing != finding.Ballot || c.Field == finding.Whole {
		return false
	}
	if v.from == nil || v.from.before != earlier {
		v.from = newDiffer(earlier, v)
	}
	for _, f := range v.facesOf([]string{precinct}) {
		b := v.ballots[f]
		for _, other := range earlier.printed()[b.signature()].others(precinct) {
			if !slices.ContainsFunc(v.from.pair(other, b), func(x Change) bool {
				return x.Part == c.Part && x.Field == c.Field && x.Language == c.Language
			}) {
				return true
			}
		}
	}
	return false
}

// printed returns the holders of ballots by signature.
func (v *Values) printed() map[string]*holders {
	if v.prints == nil {
		v.prints = map[string]*holders{}
		for _, f := range sortFaces(maps.Keys(v.ballots)) {
			b := v.ballots[f]
			k := b.signature()
			if v.prints[k] == nil {
				v.prints[k] = &holders{}
			}
			v.prints[k].add(b, f.precinct)
		}
	}
	return v.prints
}

// signature is equal for ballots that have the same label and the same contests.
func (b *ballot) signature() string {
	if b.signed == "" {
		label := b.fields[field{name: finding.Label}]
		b.signed = key(append([]string{string(rune('0' + label.shape)), stated(label.list)}, b.ids()...)...)
	}
	return b.signed
}
