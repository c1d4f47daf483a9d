package checks

import (
	"cmp"
	"maps"
	"slices"

	"counterproof/checks/natural"
)

// wrongStyle is a set of areas to which one side gives another style's ballot.
type wrongStyle struct {
	own, meant int // the styles of the primary and of the second entry in the first area
	// carried is the second entry's style whose ballot the primary gives; -1 where
	// the ballot is known by keyedAs: the primary's style whose ballot was keyed.
	carried, keyedAs int
	areas            []int
	exact            bool // the content is exactly that style's
	single           bool // one contest left off or added would explain it as well
}

const maxNearest = 20_000_000 // comparisons of ballots in the search for the nearest

// ballotClasses are the ballots that one side has, each content once.
type ballotClasses struct {
	byParty   map[string][]*ballotClass
	byContent map[string]*ballotClass // party, NUL, content
}

type ballotClass struct {
	content set
	styles  []int
}

func (c *ballotClass) of() []int {
	if c == nil {
		return nil
	}
	return c.styles
}

func (ps *pass) ballotClasses(v *view, both set) ballotClasses {
	out := ballotClasses{map[string][]*ballotClass{}, map[string]*ballotClass{}}
	for i := range v.Styles {
		if len(v.Styles[i].Precincts) == 0 {
			continue
		}
		party := ps.stylePartyKey(v, i)
		content := masked(ps.contentSet(v, []int{i}), both)
		k := party + "\x00" + content.key()
		c := out.byContent[k]
		if c == nil {
			c = &ballotClass{content: content}
			out.byContent[k] = c
			out.byParty[party] = append(out.byParty[party], c)
		}
		c.styles = append(c.styles, i)
	}
	return out
}

// with finds the ballot of a content: for voters of a party or, where more than
// one contest differs, for another party's voters.
func (b ballotClasses) with(party string, content set, differ int) *ballotClass {
	k := "\x00" + content.key()
	c := b.byContent[party+k]
	if c == nil && differ >= 2 {
		for _, other := range slices.Sorted(maps.Keys(b.byParty)) {
			if c == nil {
				c = b.byContent[other+k]
			}
		}
	}
	return c
}

// explanation is a ballot of the other side that one side's may be.
type explanation struct {
	class    *ballotClass
	distance int
	shared   bool // the style is used elsewhere, and there it is that ballot
}

// findWrongStyles explains faces whose contents differ as the ballot of another
// style, where that takes fewer mistakes than contests left off and added: what
// one side gives is what the other side gives other precincts. It asks the same of
// either side. Where one contest differs, only both ways together tell a mistaken
// style from a contest left off or added.
func (ps *pass) findWrongStyles(pSets, sSets []set, both set) {
	faces := ps.ballots.faces
	var differing []int
	for f := range faces {
		if len(faces[f].primary) == 1 && len(faces[f].second) == 1 && pSets[f].count() > 0 && sSets[f].count() > 0 && apart(masked(pSets[f], both), masked(sSets[f], both)) > 0 {
			differing = append(differing, f)
		}
	}
	if len(differing) == 0 {
		return
	}
	primary, second := ps.ballotClasses(ps.p, both), ps.ballotClasses(ps.s, both)
	// Where each style of either side is used, and with which content on the other.
	type use struct {
		style   int
		content string
	}
	usedPrimary, usedSecond := map[use]int{}, map[use]int{}
	for f := range faces {
		if len(faces[f].primary) == 1 && len(faces[f].second) == 1 {
			a, b := faces[f].primary[0], faces[f].second[0]
			usedPrimary[use{a, ps.stylePartyKey(ps.s, b) + "\x00" + masked(sSets[f], both).key()}] += len(faces[f].areas)
			usedSecond[use{b, ps.stylePartyKey(ps.p, a) + "\x00" + masked(pSets[f], both).key()}] += len(faces[f].areas)
		}
	}
	type pairing struct{ meant, carried string } // by party, content and label
	grouped := map[pairing]*wrongStyle{}
	budget := maxNearest
	for _, f := range differing {
		a, b := faces[f].primary[0], faces[f].second[0]
		pParty, sParty := ps.stylePartyKey(ps.p, a), ps.stylePartyKey(ps.s, b)
		have, should := masked(pSets[f], both), masked(sSets[f], both)
		d := apart(have, should)
		sameLabel := ps.labelsAgree(a, b)
		// One style that a side has in two ways is no other style: the contests tell.
		inSecond := func(c *ballotClass) bool { return c != nil && !labelledAlike(ps.s, b, c.styles) }
		inPrimary := func(c *ballotClass) bool { return c != nil && !labelledAlike(ps.p, a, c.styles) }
		carried, keyedAs := second.with(sParty, have, d), primary.with(pParty, should, d)
		exact := carried != nil || keyedAs != nil
		if !inSecond(carried) {
			carried = nil
		}
		if !inPrimary(keyedAs) {
			keyedAs = nil
		}
		shared := usedPrimary[use{a, sParty + "\x00" + have.key()}] > 0 || usedSecond[use{b, pParty + "\x00" + should.key()}] > 0
		switch {
		case carried != nil && keyedAs != nil:
			if d == 1 && sameLabel && !shared {
				continue // one contest too few or too many on a style of its own
			}
		case d == 1 && ps.labelTells(a, b, carried.of(), keyedAs.of()): // it is that other style, by its label too
		case d == 1, exact && (sameLabel && d == 2 || carried == nil && keyedAs == nil):
			continue // under its own label, with one contest exchanged: that is what is wrong with it
		case !exact:
			near := func(classes []*ballotClass, content set, fits func(*ballotClass) bool, used func(string) int) (best explanation) {
				for _, c := range classes {
					if budget--; budget < 0 {
						return best
					}
					if !fits(c) {
						continue
					}
					e := explanation{c, apart(content, c.content), used(c.content.key()) > len(faces[f].areas)}
					if e.distance >= d || !e.shared && (e.distance+1 >= d || e.distance > d/3 || sameLabel) {
						continue
					}
					if best.class == nil || e.shared && !best.shared || e.shared == best.shared && e.distance < best.distance {
						best = e
					}
				}
				return best
			}
			x := near(second.byParty[sParty], have, inSecond, func(k string) int { return usedPrimary[use{a, sParty + "\x00" + k}] })
			y := near(primary.byParty[pParty], should, inPrimary, func(k string) int { return usedSecond[use{b, pParty + "\x00" + k}] })
			if y.class != nil && (x.class == nil || y.shared && !x.shared || y.shared == x.shared && y.distance < x.distance) {
				keyedAs = y.class
			} else {
				carried = x.class
			}
			if carried == nil && keyedAs == nil {
				continue
			}
		}
		w := wrongStyle{own: a, meant: b, carried: -1, keyedAs: -1, exact: exact, single: d == 1}
		k := pairing{meant: sParty + "\x00" + should.key() + ps.s.Styles[b].Label.Value}
		if carried != nil {
			w.carried = nameable(ps.s, carried.styles, func(t int) bool { return ps.labelsAgree(a, t) })
			k.carried = "primary" + carried.content.key() + ps.s.Styles[w.carried].Label.Value
		} else {
			w.keyedAs = nameable(ps.p, keyedAs.styles, func(t int) bool { return ps.labelsAgree(t, b) })
			k.carried = "second" + have.key() + "\x00" + keyedAs.content.key() + ps.p.Styles[w.keyedAs].Label.Value
		}
		faces[f].wrongStyle, faces[f].carried, faces[f].keyedAs = true, w.carried, w.keyedAs
		g := grouped[k]
		if g == nil {
			g = &w
			grouped[k] = g
		}
		if natural.Compare(styleName(ps.s, b), styleName(ps.s, g.meant)) < 0 {
			g.own, g.meant = a, b
		}
		g.areas = append(g.areas, faces[f].areas...)
	}
	for _, g := range grouped {
		ps.content.wrong = append(ps.content.wrong, *g)
	}
	slices.SortFunc(ps.content.wrong, func(x, y wrongStyle) int {
		return cmp.Or(cmp.Compare(x.meant, y.meant), cmp.Compare(x.carried, y.carried), cmp.Compare(x.keyedAs, y.keyedAs), cmp.Compare(x.own, y.own))
	})
}

// nameable picks, among styles of one content, the one whose label the other
// side's style has, else the first by name.
func nameable(v *view, styles []int, agrees func(int) bool) int {
	best := styles[0]
	for _, t := range styles {
		if agrees(t) {
			return t
		}
		if natural.Compare(styleName(v, t), styleName(v, best)) < 0 {
			best = t
		}
	}
	return best
}

// labelledAlike is true where one of a side's styles has the label of another: to
// call one the ballot of the other would say nothing.
func labelledAlike(v *view, style int, others []int) bool {
	label := v.Styles[style].Label
	return label.Known && label.Value != "" && slices.ContainsFunc(others, func(t int) bool { return hasLabel(v, t, label.Value) })
}

// labelTells is true where one side's ballot has the label of the other side's
// styles that it is the ballot of, and the other side has another label there.
func (ps *pass) labelTells(primary, second int, carried, keyedAs []int) bool {
	if a, b := ps.p.Styles[primary].Label, ps.s.Styles[second].Label; a.Value == "" || b.Value == "" || ps.labelsAgree(primary, second) {
		return false
	}
	return slices.ContainsFunc(carried, func(t int) bool { return ps.labelsAgree(primary, t) }) ||
		slices.ContainsFunc(keyedAs, func(t int) bool { return ps.labelsAgree(t, second) })
}

// labelsAgree is true where both sides label the styles and the labels are one.
func (ps *pass) labelsAgree(primary, second int) bool {
	st := ps.s.Styles[second]
	if !st.Label.Known || st.Label.Value == "" {
		return false
	}
	return hasLabel(ps.p, primary, st.Label.Value)
}
