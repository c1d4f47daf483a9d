package checks

import (
	"reflect"
	"slices"
	"strings"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/checks/wording"
	"counterproof/model"
)

// stylesOn are own's styles on a face, otherStylesOn the other side's: those whose
// ballot it is compared with.
func (r *repair) stylesOn(fc *difference.Face) []int {
	if r.second {
		return fc.Second
	}
	return fc.Primary
}

func (r *repair) otherStylesOn(fc *difference.Face) []int {
	if r.second {
		return fc.Primary
	}
	return fc.Second
}

// precinctsOn are own's precincts on a face.
func (r *repair) precinctsOn(fc *difference.Face) []int {
	var out []int
	for _, a := range fc.Areas {
		out = append(out, r.precinctIn(a))
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// precinctIn is own's precinct of an area.
func (r *repair) precinctIn(area int) int {
	a := r.ds.Precincts.Areas[area]
	if r.second {
		return a.Second
	}
	return a.Primary
}

func (r *repair) otherPrecinctIn(area int) int {
	a := r.ds.Precincts.Areas[area]
	if r.second {
		return a.Primary
	}
	return a.Second
}

func (r *repair) facesMeeting(pair int) []int {
	var faces []int
	for _, mt := range r.ds.Shared[pair] {
		faces = append(faces, mt.Face)
	}
	return faces
}

// rewrite changes own's ballots on some faces. A style that is also the ballot of
// precincts that are not concerned is split: they keep it as it is.
func (r *repair) rewrite(faces []int, change func(fc *difference.Face, st *model.Style)) {
	type piece struct {
		style     model.Style
		precincts []int
	}
	pieces := map[int][]*piece{}
	var order []int
	for _, f := range faces {
		fc := &r.ds.Ballots.Faces[f]
		for _, s := range r.stylesOn(fc) {
			before := r.to.Styles[s].Clone()
			before.Precincts = nil
			st := before.Clone()
			change(fc, &st)
			if reflect.DeepEqual(st, before) {
				continue
			}
			if pieces[s] == nil {
				order = append(order, s)
			}
			at := slices.IndexFunc(pieces[s], func(p *piece) bool { return reflect.DeepEqual(p.style, st) })
			if at < 0 {
				at = len(pieces[s])
				pieces[s] = append(pieces[s], &piece{style: st})
			}
			pieces[s][at].precincts = append(pieces[s][at].precincts, r.precinctsOn(fc)...)
		}
	}
	for _, s := range order {
		left := slices.Clone(r.to.Styles[s].Precincts)
		place := s
		for _, p := range pieces[s] {
			var taken []int
			for _, q := range p.precincts {
				if i := slices.Index(left, q); i >= 0 {
					left = slices.Delete(left, i, i+1)
					taken = append(taken, q)
				}
			}
			slices.Sort(taken)
			p.style.Precincts = taken
		}
		if len(left) > 0 {
			r.to.Styles[s].Precincts = left
			place = -1
		}
		for _, p := range pieces[s] {
			switch {
			case len(p.style.Precincts) == 0:
			case place >= 0:
				r.to.Styles[place] = p.style
				place = -1
			default:
				r.addStyle(p.style, r.own.Origins.Style(s))
			}
		}
	}
}

func (r *repair) addStyle(st model.Style, o model.Origin) {
	r.to.Styles = append(r.to.Styles, st)
	setOrigin(&r.to.Origins.Styles, len(r.to.Styles)-1, o)
}

// leave takes precincts off one of own's styles.
func (r *repair) leave(style int, precincts []int) {
	st := &r.to.Styles[style]
	st.Precincts = slices.DeleteFunc(slices.Clone(st.Precincts), func(p int) bool { return slices.Contains(precincts, p) })
}

// join gives a style of own to more precincts.
func (r *repair) join(style int, precincts []int) {
	st := &r.to.Styles[style]
	list := append(slices.Clone(st.Precincts), precincts...)
	slices.Sort(list)
	st.Precincts = slices.Compact(list)
}

// sharesStyles is true where own gives some style to several precincts.
func (r *repair) sharesStyles() bool {
	return slices.ContainsFunc(r.own.Styles, func(st model.Style) bool { return len(st.Precincts) > 1 })
}

// give gives own's precincts the ballot that one of the other side's styles is:
// own's style that is that ballot elsewhere, else a copy.
func (r *repair) give(other int, precincts []int) {
	if len(precincts) == 0 {
		return
	}
	style := r.styleLike(other)
	if style >= 0 && r.sharesStyles() {
		r.join(style, precincts)
		return
	}
	var st model.Style
	o := model.Origin{}
	if style >= 0 {
		st, o = r.to.Styles[style].Clone(), model.Origin{Codes: slices.Clone(r.own.Origins.Style(style).Codes)}
	} else {
		st = r.copyStyle(other)
	}
	groups := [][]int{precincts}
	if !r.sharesStyles() { // every precinct has a style of its own
		groups = nil
		for _, p := range precincts {
			groups = append(groups, []int{p})
		}
	}
	for _, g := range groups {
		one := st.Clone()
		one.Precincts = slices.Clone(g)
		slices.Sort(one.Precincts)
		r.addStyle(one, o)
	}
}

// styleLike finds own's style that is the ballot of one of the other side's: the
// one that meets it on most precincts, else one of the same content and label. -1
// where there is none.
func (r *repair) styleLike(other int) int {
	met := map[int]int{}
	for f := range r.ds.Ballots.Faces {
		fc := &r.ds.Ballots.Faces[f]
		if o := r.otherStylesOn(fc); fc.WrongStyle || len(o) != 1 || o[0] != other || len(r.stylesOn(fc)) != 1 {
			continue
		}
		met[r.stylesOn(fc)[0]] += len(fc.Areas)
	}
	best := -1
	for s := range r.own.Styles {
		if met[s] > 0 && (best < 0 || met[s] > met[best]) {
			best = s
		}
	}
	if best >= 0 {
		return best
	}
	content := func(v *pairing.Side, joint []int, style int) []int {
		var out []int
		for _, pl := range v.Styles[style].Content {
			out = append(out, joint[pl.Contest])
		}
		return out
	}
	want := content(r.other, r.ds.ContestKeys(r.other), other)
	label := r.other.Styles[other].Label
	for s, st := range r.own.Styles {
		if len(st.Precincts) > 0 && r.ds.VotersKey(r.own, s) == r.ds.VotersKey(r.other, other) &&
			(!label.Known || !st.Label.Known || wording.Normal(label.Value) == wording.Normal(st.Label.Value)) &&
			slices.Equal(content(r.own, r.ds.ContestKeys(r.own), s), want) {
			return s
		}
	}
	return -1
}

// copyStyle says in own's terms what a style of the other side is. Contests that
// own does not have at all stay off it: another finding speaks of them.
func (r *repair) copyStyle(other int) model.Style {
	from := r.other.Styles[other]
	st := model.Style{Parties: r.partyList(from.Parties)}
	if slices.ContainsFunc(r.own.Styles, func(s model.Style) bool { return s.Label.Known }) || len(r.own.Styles) == 0 {
		st.Label = from.Label
	}
	headings := len(r.own.Styles) == 0
	for s := range r.own.Styles {
		headings = headings || difference.StatesHeadings(r.own, []int{s})
	}
	has := pairing.NewSet(r.ds.Contests.Keys)
	for _, j := range r.ds.ContestKeys(r.own) {
		has.Add(j)
	}
	var kept []model.Text // headings of contests that stay off
	for i := range from.Content {
		pl := &from.Content[i]
		if len(r.own.Contests) > 0 && !has.Has(r.otherJoint(pl.Contest)) {
			kept = append(kept, pl.Headings.Value...)
			continue
		}
		mine := r.placement(pl, headings)
		if mine.Headings.Known && len(kept) > 0 {
			mine.Headings.Value = slices.Concat(kept, mine.Headings.Value)
		}
		kept = nil
		st.Content = append(st.Content, mine)
	}
	if headings {
		st.Closing = from.Closing
	}
	return st.Clone()
}

// placement says in own's terms how the other side prints a contest.
func (r *repair) placement(from *model.Placement, headings bool) model.Placement {
	c := r.contest(from.Contest)
	pl := model.Placement{Contest: c}
	if headings {
		pl.Headings = from.Headings
		if !pl.Headings.Known {
			pl.Headings = model.Say[[]model.Text](nil)
		}
	}
	pair := r.pairOf(c, from.Contest)
	if pair < 0 { // a copy of the other side's contest: its order is as there
		if _, copied := r.contests[from.Contest]; copied {
			pl.Order = from.Order
		}
		return pl.Clone()
	}
	e := r.choicesOf(pair)
	n := len(e.contest().Choices)
	natural := printed(nil, n)
	states, listsWriteIns := false, false // as own prints the contest elsewhere
	r.eachPlacement(c, func(_ int, p *model.Placement) {
		states = states || p.Order.Known
		listsWriteIns = listsWriteIns || slices.ContainsFunc(p.Order.Value, func(i int) bool { return e.contest().Choices[i].WriteIn })
	})
	mine := model.Placement{}
	e.reorder(&mine, from)
	order := mine.Order.Value
	if from.Order.Known { // what the other side leaves off this ballot stays off
		order = slices.DeleteFunc(order, func(i int) bool {
			o := e.other(i)
			return o >= 0 && !slices.Contains(from.Order.Value, o) && !e.contest().Choices[i].WriteIn
		})
	}
	if states && !listsWriteIns {
		order = slices.DeleteFunc(order, func(i int) bool { return e.contest().Choices[i].WriteIn })
	}
	if states || !slices.Equal(order, natural) {
		pl.Order = model.Say(order)
	}
	return pl.Clone()
}

// setLabels gives own's styles the other side's labels, on the faces where they
// differ as given, or on all where want is nil.
func setLabels(f *finding.Finding, want func(primary, second string) bool) mending {
	return setting(f, "style label in "+finding.CountPrecincts(f.Precincts), func(r *repair) {
		ds := r.ds
		var faces []int
		for i := range ds.Ballots.Faces {
			fc := &ds.Ballots.Faces[i]
			if fc.WrongStyle || len(fc.Primary) != 1 || len(fc.Second) != 1 {
				continue
			}
			a, b := ds.Primary.Styles[fc.Primary[0]].Label, ds.Second.Styles[fc.Second[0]].Label
			x, y := wording.Normal(a.Value), wording.Normal(b.Value)
			if a.Known && b.Known && x != y && !ds.LabelsAgree(fc.Primary[0], fc.Second[0]) && (want == nil || want(x, y)) {
				faces = append(faces, i)
			}
		}
		r.rewrite(faces, func(fc *difference.Face, st *model.Style) { st.Label = r.other.Styles[r.otherStylesOn(fc)[0]].Label })
	})
}

// setBallotParties makes ballots belong to the voters that the other side means,
// where the parties differ as given.
func setBallotParties(f *finding.Finding, primary, second string) mending {
	return setting(f, "party of the ballot in "+finding.CountPrecincts(f.Precincts), func(r *repair) {
		ds := r.ds
		var faces []int
		for _, i := range ds.Ballots.PartyDiffers {
			fc := &ds.Ballots.Faces[i]
			if ds.Primary.PartyList(ds.Primary.Styles[fc.Primary[0]].Parties) == primary && ds.Second.PartyList(ds.Second.Styles[fc.Second[0]].Parties) == second {
				faces = append(faces, i)
			}
		}
		r.rewrite(faces, func(fc *difference.Face, st *model.Style) {
			st.Parties = r.partyList(r.other.Styles[r.otherStylesOn(fc)[0]].Parties)
		})
	})
}

// settleConflicts leaves precincts one of several ballots for the same voters: the one
// that agrees best with the other side's.
func settleConflicts(ds *difference.Differences, f *finding.Finding, list []difference.StyleConflict) (mending, bool) {
	best := make([]int, len(list))
	for k, c := range list {
		if best[k] = bestOf(ds, c); best[k] < 0 {
			return mending{}, false
		}
	}
	side := finding.SidePrimary
	if list[0].Second {
		side = finding.SideSecond
	}
	return mending{primary: actionRemove, second: actionRemove, pair: -1,
		what: "all ballots of precinct " + strings.Join(briefly(f.Precincts), ", ") + " but one",
		do: func(r *repair) {
			for k, c := range list {
				for _, s := range c.Styles {
					if s != best[k] {
						r.leave(s, []int{c.Precinct})
					}
				}
			}
		}}.only(side), true
}

// bestOf is the ballot of a precinct, of several for the same voters, that is compared
// with the other side's; -1 where none is.
func bestOf(ds *difference.Differences, c difference.StyleConflict) int {
	for i := range ds.Ballots.Faces {
		fc := &ds.Ballots.Faces[i]
		own := fc.Primary
		if c.Second {
			own = fc.Second
		}
		if len(own) != 1 || !slices.Contains(c.Styles, own[0]) {
			continue
		}
		for _, a := range fc.Areas {
			p := ds.Precincts.Areas[a].Primary
			if c.Second {
				p = ds.Precincts.Areas[a].Second
			}
			if p == c.Precinct {
				return own[0]
			}
		}
	}
	return -1
}

// havePartyBallot adds or removes the ballots that one side has for a party's
// voters and the other has not.
func havePartyBallot(f *finding.Finding, ofSecond bool, party string) mending {
	lacking := finding.SidePrimary
	if !ofSecond {
		lacking = finding.SideSecond
	}
	return having(lacking, ballotFor(party)+" in "+finding.CountPrecincts(f.Precincts), func(r *repair) {
		v := r.ds.Primary
		if ofSecond {
			v = r.ds.Second
		}
		for _, u := range r.ds.Ballots.Unmatched {
			if u.Second != ofSecond || v.PartyList(v.Styles[u.Style].Parties) != party {
				continue
			}
			if r.second == ofSecond {
				r.leave(u.Style, []int{r.precinctIn(u.Area)})
			} else {
				r.give(u.Style, []int{r.precinctIn(u.Area)})
			}
		}
	})
}

// setPerParty gives precincts a ballot for each party, or one for all, as the
// other side does.
func setPerParty(f *finding.Finding) mending {
	return setting(f, "ballots of "+finding.CountPrecincts(f.Precincts), func(r *repair) {
		for i := range r.ds.Ballots.Faces {
			fc := &r.ds.Ballots.Faces[i]
			if len(fc.Primary) < 2 && len(fc.Second) < 2 {
				continue
			}
			precincts := r.precinctsOn(fc)
			for _, s := range r.stylesOn(fc) {
				r.leave(s, precincts)
			}
			for _, o := range r.otherStylesOn(fc) {
				r.give(o, precincts)
			}
		}
	})
}

// fillBallots gives ballots that hold no contest those of the other side.
func fillBallots(f *finding.Finding, b *difference.BareBallots) mending {
	m := mending{pair: -1, primary: actionAdd, second: actionAdd, what: "contests of the ballot of " + strings.Join(briefly(f.Precincts), ", "),
		do: func(r *repair) {
			r.rewrite(b.Faces, func(fc *difference.Face, st *model.Style) {
				full := r.copyStyle(r.otherStylesOn(fc)[0])
				st.Content, st.Closing = full.Content, full.Closing
			})
		}}
	if b.Second {
		return m.only(finding.SideSecond)
	}
	return m.only(finding.SidePrimary)
}
