package difference

import (
	"cmp"
	"maps"
	"slices"

	"counterproof/checks/natural"
	"counterproof/checks/pairing"
	"counterproof/model"
)

// WrongStyle is a set of areas to which one side gives the ballot of another style.
type WrongStyle struct {
	Own, Meant int // the styles of the export and of the second entry in the first area
	// Carried is the second entry's style whose ballot the export gives; -1 if only KeyedAs is
	// known: the export's style whose ballot was keyed.
	Carried, KeyedAs int
	Areas            []int
	Exact            bool // the contents are exactly those of that style
	Single           bool // one contest left off or added would explain it as well
}

const maxNearest = 20_000_000 // limit of ballot comparisons in the search for the nearest

// ballotClasses are the ballots of one side, grouped by contents.
type ballotClasses struct {
	byParty   map[string][]*ballotClass
	byContent map[string]*ballotClass // by party, NUL, contents
}

type ballotClass struct {
	content pairing.Set
	styles  []int
}

func (c *ballotClass) of() []int {
	if c == nil {
		return nil
	}
	return c.styles
}

func ballotsOf(pg *pairing.Pairing, v *pairing.Side, both pairing.Set) ballotClasses {
	out := ballotClasses{map[string][]*ballotClass{}, make(map[string]*ballotClass, len(v.Styles))}
	keys := pg.ContestKeys(v)
	content := pairing.NewSet(pg.Contests.Keys)
	var k []byte
	for i := range v.Styles {
		if len(v.Styles[i].Precincts) == 0 {
			continue
		}
		clear(content)
		for n := range v.Styles[i].Content {
			content.Add(keys[v.Styles[i].Content[n].Contest])
		}
		content.Keep(both)
		party := pg.VotersKey(v, i)
		k = content.AppendKey(append(append(k[:0], party...), 0))
		c := out.byContent[string(k)]
		if c == nil {
			c = &ballotClass{content: slices.Clone(content)}
			out.byContent[string(k)] = c
			out.byParty[party] = append(out.byParty[party], c)
		}
		c.styles = append(c.styles, i)
	}
	return out
}

// with finds the ballot with given contents, for voters of the party. If more than one contest
// differs, it also accepts a ballot for voters of another party.
func (b ballotClasses) with(party string, content pairing.Set, differ int) *ballotClass {
	k := "\x00" + content.Key()
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

// explanation is a ballot of the other side that a ballot of this side may be.
type explanation struct {
	class    *ballotClass
	distance int
	shared   bool // the style is also used elsewhere, and there it has that ballot
}

// findWrongStyles explains faces with different contents as the ballot of another style, if that
// assumes fewer mistakes than contests left off and added: one side gives these precincts what the
// other side gives other precincts. It tries both directions. If only one contest differs, a wrong
// style is distinguished from a single contest left off or added only if both directions agree.
func findWrongStyles(pg *pairing.Pairing, faces []Face, pSets, sSets []pairing.Set, both pairing.Set,
	r *rotations) []WrongStyle {
	var differing []int
	for f := range faces {
		if len(faces[f].Primary) == 1 && len(faces[f].Second) == 1 && pSets[f].Count() > 0 && sSets[f].Count() > 0 &&
			!lostContest(pg, faces[f].Primary[0]) && pairing.Apart(masked(pSets[f], both), masked(sSets[f], both)) > 0 {
			differing = append(differing, f)
		}
	}
	if len(differing) == 0 {
		return nil
	}
	primary, second := ballotsOf(pg, pg.Primary, both), ballotsOf(pg, pg.Second, both)
	// Where each style with a difference is used, and with which contents on the other side.
	type use struct {
		style   int
		content string
	}
	usedPrimary, usedSecond := map[use]int{}, map[use]int{}
	differsPrimary, differsSecond := pairing.NewSet(len(pg.Primary.Styles)), pairing.NewSet(len(pg.Second.Styles))
	for _, f := range differing {
		differsPrimary.Add(faces[f].Primary[0])
		differsSecond.Add(faces[f].Second[0])
	}
	content := func(v *pairing.Side, style int) string {
		return pg.VotersKey(v, style) + "\x00" + masked(pg.ContentSet(v, []int{style}), both).Key()
	}
	for f := range faces {
		if len(faces[f].Primary) == 1 && len(faces[f].Second) == 1 {
			a, b := faces[f].Primary[0], faces[f].Second[0]
			if differsPrimary.Has(a) {
				usedPrimary[use{a, content(pg.Second, b)}] += len(faces[f].Areas)
			}
			if differsSecond.Has(b) {
				usedSecond[use{b, content(pg.Primary, a)}] += len(faces[f].Areas)
			}
		}
	}
	type move struct{ meant, carried string } // by party, contents and label
	grouped := map[move]*WrongStyle{}
	budget := maxNearest
	for _, f := range differing {
		a, b := faces[f].Primary[0], faces[f].Second[0]
		pParty, sParty := pg.VotersKey(pg.Primary, a), pg.VotersKey(pg.Second, b)
		have, should := masked(pSets[f], both), masked(sSets[f], both)
		d := pairing.Apart(have, should)
		sameLabel := pg.LabelsAgree(a, b)
		// Two forms of the same style on one side are not another style: the contests show what
		// differs.
		inSecond := func(c *ballotClass) bool { return c != nil && !labelledAlike(pg.Second, b, c.styles) }
		inPrimary := func(c *ballotClass) bool { return c != nil && !labelledAlike(pg.Primary, a, c.styles) }
		carried, keyedAs := second.with(sParty, have, d), primary.with(pParty, should, d)
		exact := carried != nil || keyedAs != nil
		if !inSecond(carried) {
			carried = nil
		}
		if !inPrimary(keyedAs) {
			keyedAs = nil
		}
		shared := usedPrimary[use{a, sParty + "\x00" + have.Key()}] > 0 || usedSecond[use{b,
			pParty + "\x00" + should.Key()}] > 0
		switch {
		case carried != nil && keyedAs != nil:
			if d == 1 && sameLabel && !shared {
				continue // one contest too few or too many on a style of its own
			}
		case d == 1 && labelTells(pg, a, b, carried.of(), keyedAs.of()): // its label agrees
		case d == 1, exact && (sameLabel && d == 2 || carried == nil && keyedAs == nil):
			continue // its own label, with one contest swapped: the contest is wrong
		case !exact:
			near := func(classes []*ballotClass, content pairing.Set, fits func(*ballotClass) bool,
				used func(string) int) (best explanation) {
				for _, c := range classes {
					if budget--; budget < 0 {
						return best
					}
					if !fits(c) {
						continue
					}
					e := explanation{c, pairing.Apart(content, c.content), used(c.content.Key()) > len(faces[f].Areas)}
					if e.distance >= d || !e.shared && (e.distance+1 >= d || e.distance > d/3 || sameLabel) {
						continue
					}
					if best.class == nil || e.shared && !best.shared || e.shared == best.shared && e.distance < best.distance {
						best = e
					}
				}
				return best
			}
			x := near(second.byParty[sParty], have, inSecond, func(k string) int {
				return usedPrimary[use{a,
					sParty + "\x00" + k}]
			})
			y := near(primary.byParty[pParty], should, inPrimary, func(k string) int {
				return usedSecond[use{b,
					pParty + "\x00" + k}]
			})
			if y.class != nil && (x.class == nil || y.shared && !x.shared || y.shared == x.shared && y.distance < x.distance) {
				keyedAs = y.class
			} else {
				carried = x.class
			}
			if carried == nil && keyedAs == nil {
				continue
			}
		}
		w := WrongStyle{Own: a, Meant: b, Carried: -1, KeyedAs: -1, Exact: exact, Single: d == 1}
		k := move{meant: sParty + "\x00" + should.Key() + pg.Second.Styles[b].Label.Value}
		// Of ballots with equal contests, the one with the same orders of choices is meant.
		carries, other := r.closest(carried.of(), func(t int) int { return r.differ(a, t) })
		keyed, another := r.closest(keyedAs.of(), func(t int) int { return r.differ(t, b) })
		if carried != nil && (keyedAs == nil || other <= another) {
			w.Carried = nameable(pg.Second, carries, func(t int) bool { return pg.LabelsAgree(a, t) })
			k.carried = "primary" + carried.content.Key() + pg.Second.Styles[w.Carried].Label.Value
		} else {
			w.KeyedAs = nameable(pg.Primary, keyed, func(t int) bool { return pg.LabelsAgree(t, b) })
			k.carried = "second" + have.Key() + "\x00" + keyedAs.content.Key() + pg.Primary.Styles[w.KeyedAs].Label.Value
		}
		faces[f].WrongStyle, faces[f].Carried, faces[f].KeyedAs = true, w.Carried, w.KeyedAs
		g := grouped[k]
		if g == nil {
			g = &w
			grouped[k] = g
		}
		if natural.Compare(pairing.StyleName(pg.Second, b), pairing.StyleName(pg.Second, g.Meant)) < 0 {
			g.Own, g.Meant = a, b
		}
		g.Areas = append(g.Areas, faces[f].Areas...)
	}
	var wrong []WrongStyle
	for _, g := range grouped {
		wrong = append(wrong, *g)
	}
	slices.SortFunc(wrong, func(x, y WrongStyle) int {
		return cmp.Or(cmp.Compare(x.Meant, y.Meant), cmp.Compare(x.Carried, y.Carried), cmp.Compare(x.KeyedAs, y.KeyedAs),
			cmp.Compare(x.Own, y.Own))
	})
	return wrong
}

// lostContest reports whether a ballot of the export points at a contest that is not there: what
// it holds does not tell then whose ballot it is.
func lostContest(pg *pairing.Pairing, style int) bool {
	o := pg.Primary.Origins.Style(style)
	return len(o.Lost) > 0 && len(o.Lacks(model.LostContest)) > 0
}

// nameable picks, among styles with equal contents, the one with the label that the other side's
// style has, else the first by name.
func nameable(v *pairing.Side, styles []int, agrees func(int) bool) int {
	best := styles[0]
	for _, t := range styles {
		if agrees(t) {
			return t
		}
		if natural.Compare(pairing.StyleName(v, t), pairing.StyleName(v, best)) < 0 {
			best = t
		}
	}
	return best
}

// labelledAlike reports whether one of a side's styles has the label of another. Calling one the
// ballot of the other would then be meaningless.
func labelledAlike(v *pairing.Side, style int, others []int) bool {
	label := v.Styles[style].Label
	return label.Known && label.Value != "" && slices.ContainsFunc(others,
		func(t int) bool { return pairing.HasLabel(v, t, label.Value) })
}

// labelTells reports whether one side's ballot has the label of those styles of the other side
// whose ballot it is, while the other side has a different label there.
func labelTells(pg *pairing.Pairing, primary, second int, carried, keyedAs []int) bool {
	if a, b := pg.Primary.Styles[primary].Label, pg.Second.Styles[second].Label; a.Value == "" || b.Value == "" ||
		pg.LabelsAgree(primary, second) {
		return false
	}
	return slices.ContainsFunc(carried, func(t int) bool { return pg.LabelsAgree(primary, t) }) ||
		slices.ContainsFunc(keyedAs, func(t int) bool { return pg.LabelsAgree(t, second) })
}
