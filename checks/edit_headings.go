package checks

import (
	"slices"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model"
)

// printedWords are headings as they are compared, without those that say
// nothing.
func (r *repair) printedWords(v *pairing.Side, list []model.Text) []string {
	var out []string
	for _, h := range list {
		if w := v.Words(h); w != "" {
			out = append(out, w)
		}
	}
	return out
}

// setHeading makes own print, above a contest, the headings that the other side
// prints, on every face where they differ in these words.
func setHeading(f *finding.Finding, d *difference.HeadingDifference) mending {
	primary, second := d.Primary, d.Second
	do := func(r *repair) {
		from, want := primary, second
		if r.second {
			from, want = second, primary
		}
		joints := map[*difference.Face][]int{}
		for _, i := range d.Faces {
			fc := &r.ds.Ballots.Faces[i]
			r.ds.EachHeadingDifference(fc, func(p, s string, joint, _ int) {
				if p == primary && s == second {
					joints[fc] = append(joints[fc], joint)
				}
			})
			joints[fc] = append(joints[fc], d.Fell[i]...)
		}
		r.rewrite(d.Faces, func(fc *difference.Face, st *model.Style) {
			if from == want {
				r.moveHeading(fc, st, want)
				return
			}
			for _, j := range joints[fc] {
				own, there := r.headingsAt(st, j), r.otherHeadings(fc, j)
				if own != nil && from != "" && want != "" && count(r.printedWords(r.own, own.Value), from) == 0 {
					if above := r.headingCarried(fc, st, j, from); above != nil {
						own, there = above, nil
					}
				}
				if own != nil {
					*own = r.reheaded(*own, there, from, want)
				}
			}
		})
	}
	name := "heading"
	if f.Contest != "" {
		name += " above " + finding.Quote(f.Contest)
	}
	switch {
	case primary == second:
		return moving(name+": "+finding.Quote(second), do)
	case primary == "":
		return having(finding.SidePrimary, "heading "+finding.Quote(second), do)
	case second == "":
		return having(finding.SideSecond, "heading "+finding.Quote(primary), do)
	}
	return setting(f, name, do)
}

// moveHeading takes a heading from where own alone prints it to where the other
// side alone prints it.
func (r *repair) moveHeading(fc *difference.Face, st *model.Style, words string) {
	surplus := func(joint int) int { // above zero: own alone; below: the other side alone
		own := r.headingsAt(st, joint)
		if own == nil {
			return 0
		}
		return count(r.printedWords(r.own, own.Value), words) - count(r.printedWords(r.other, r.otherHeadings(fc, joint)), words)
	}
	from, to := []int(nil), []int(nil)
	for i := range len(st.Content) + 1 {
		j := -1
		if i < len(st.Content) {
			j = r.joint(st.Content[i].Contest)
		}
		switch n := surplus(j); {
		case n > 0:
			from = append(from, j)
		case n < 0:
			to = append(to, j)
		}
	}
	for k := range min(len(from), len(to)) {
		at := r.headingsAt(st, from[k])
		i := slices.IndexFunc(at.Value, func(h model.Text) bool { return r.own.Words(h) == words })
		moved := at.Value[i]
		at.Value = slices.Delete(slices.Clone(at.Value), i, i+1)
		own := r.headingsAt(st, to[k])
		*own = r.reheaded(*own, r.otherHeadings(fc, to[k]), "", words)
		own.Value[slices.IndexFunc(own.Value, func(h model.Text) bool { return r.own.Words(h) == words })] = moved
	}
}

// headingsAt is the list of headings above a contest on one of own's ballots, or
// after the last where joint is negative; nil where the contest is not on it.
func (r *repair) headingsAt(st *model.Style, joint int) *model.Stated[[]model.Text] {
	if joint < 0 {
		return &st.Closing
	}
	for i := range st.Content {
		if r.joint(st.Content[i].Contest) == joint {
			return &st.Content[i].Headings
		}
	}
	return nil
}

// headingCarried is the list that has a heading above one of the contests before
// joint that only own has: without them it would stand above joint.
func (r *repair) headingCarried(fc *difference.Face, st *model.Style, joint int, words string) *model.Stated[[]model.Text] {
	there := r.ds.ContentSet(r.other, r.otherStylesOn(fc))
	at := len(st.Content)
	if joint >= 0 {
		at = slices.IndexFunc(st.Content, func(pl model.Placement) bool { return r.joint(pl.Contest) == joint })
	}
	for i := at - 1; i >= 0 && !there.Has(r.joint(st.Content[i].Contest)); i-- {
		if h := &st.Content[i].Headings; count(r.printedWords(r.own, h.Value), words) > 0 {
			return h
		}
	}
	return nil
}

// otherHeadings are the headings that the other side prints there.
func (r *repair) otherHeadings(fc *difference.Face, joint int) []model.Text {
	styles := r.otherStylesOn(fc)
	if joint < 0 {
		var out []model.Text
		for _, s := range styles {
			out = append(out, r.other.Styles[s].Closing.Value...)
		}
		return out
	}
	for _, pl := range pairing.Placements(r.other, styles) {
		if r.otherJoint(pl.Contest) == joint {
			return pl.Headings.Value
		}
	}
	return nil
}

// reheaded changes one heading of a list into another; from or want is empty for
// one that is added or removed.
func (r *repair) reheaded(own model.Stated[[]model.Text], there []model.Text, from, want string) model.Stated[[]model.Text] {
	list := slices.Clone(own.Value)
	at := -1
	for i := range list {
		if from != "" && r.own.Words(list[i]) == from {
			at = i
		}
	}
	switch {
	case at >= 0 && want == "":
		list = slices.Delete(list, at, at+1)
	case at >= 0:
		list[at] = r.reword(list[at], want)
	case want != "":
		// After those that stand before it on the other side.
		place := 0
		for _, h := range there {
			w := r.other.Words(h)
			if w == want {
				break
			}
			for i := range list {
				if r.own.Words(list[i]) == w {
					place = max(place, i+1)
				}
			}
		}
		list = slices.Insert(list, place, model.Plain(want))
	}
	return model.Say(list)
}

// carriedHeading is a heading on one of own's ballots that belongs to a contest
// which own lacks: the words are the other side's, which own may spell otherwise.
type carriedHeading struct {
	words string
	own   model.Text
}

// headingsAfterAdding puts right the headings of a contest that was put onto one
// of own's ballots at a place: what stands above the next contest only because
// this one was not there goes back to it. Stayed are the headings that did so on
// other ballots.
func (r *repair) headingsAfterAdding(fc *difference.Face, st *model.Style, at int, there []model.Placement, o int, stayed map[difference.HeadingSource]bool) {
	if !st.Content[at].Headings.Known {
		return
	}
	// What the other side prints above this contest and above those before it that
	// own does not have.
	mine := r.printedWords(r.other, there[o].Headings.Value)
	reach := slices.Clone(mine)
	for k := o - 1; k >= 0 && r.headingsAt(st, r.otherJoint(there[k].Contest)) == nil; k-- {
		reach = append(reach, r.printedWords(r.other, there[k].Headings.Value)...)
	}
	// What follows, as far as the next contest that both sides have.
	var taken []carriedHeading
	next := at + 1
	for both := false; next < len(st.Content) && !both; next++ {
		j := r.joint(st.Content[next].Contest)
		taken = append(taken, r.takeHeadings(fc, st, &st.Content[next].Headings, &reach, there, j, o)...)
		both = r.otherHas(fc, j)
	}
	if next == len(st.Content) && (next == at+1 || !r.otherHas(fc, r.joint(st.Content[next-1].Contest))) {
		taken = append(taken, r.takeHeadings(fc, st, &st.Closing, &reach, there, -1, o)...)
	}
	// Where contests were moved as well, what is its own may stand elsewhere.
	own := slices.DeleteFunc(slices.Clone(reach), func(w string) bool { return count(mine, w) == 0 })
	for i := 0; i < len(st.Content) && len(own) > 0; i++ {
		if j := r.joint(st.Content[i].Contest); i != at && r.otherHas(fc, j) {
			taken = append(taken, r.takeHeadings(fc, st, &st.Content[i].Headings, &own, there, j, o)...)
		}
	}
	// What fell away with a contest before it, and stayed where that had others of its
	// group below it, as this one is now.
	for k := o - 1; k >= 0 && r.headingsAt(st, r.otherJoint(there[k].Contest)) == nil; k-- {
		for _, h := range slices.Backward(there[k].Headings.Value) {
			w := r.other.Words(h)
			if i := slices.Index(reach, w); i >= 0 && stayed[difference.HeadingSource{OfPrimary: r.second, Words: w, From: r.otherJoint(there[k].Contest)}] && !r.headingDiffers(fc, w) {
				reach = slices.Delete(reach, i, i+1)
				taken = slices.Insert(taken, 0, carriedHeading{w, slices.Clone(h)})
			}
		}
	}
	// In their order: those of contests before, then its own.
	list := st.Content[at].Headings.Value
	for _, c := range slices.Backward(taken) {
		if own := slices.IndexFunc(list, func(h model.Text) bool { return r.own.Words(h) == c.words }); own >= 0 {
			list[own] = c.own // with its other languages
		} else {
			list = slices.Insert(list, 0, c.own)
		}
	}
	st.Content[at].Headings = model.Say(list)
}

// headingDiffers is true where a finding speaks of what the other side prints as a
// heading on a face.
func (r *repair) headingDiffers(fc *difference.Face, words string) bool {
	return slices.ContainsFunc(r.ds.Headings, func(d *difference.HeadingDifference) bool {
		theirs := d.Second
		if r.second {
			theirs = d.Primary
		}
		return theirs == words && slices.ContainsFunc(d.Faces, func(i int) bool { return &r.ds.Ballots.Faces[i] == fc })
	})
}

// takeHeadings takes from a list, that above a contest or after the last, the
// headings among reach that need not be kept, those included that are spelt
// otherwise. What belongs to a contest between o and that one on the other side is
// kept for it.
func (r *repair) takeHeadings(fc *difference.Face, st *model.Style, from *model.Stated[[]model.Text], reach *[]string, there []model.Placement, joint, o int) []carriedHeading {
	keep := r.printedWords(r.other, r.otherHeadings(fc, joint))
	have := r.printedWords(r.own, from.Value)
	surplus := difference.WithoutShared(have, keep)
	k := len(there)
	if joint >= 0 {
		k = slices.IndexFunc(there, func(pl model.Placement) bool { return r.otherJoint(pl.Contest) == joint })
	}
	for k--; k >= 0 && k != o && r.headingsAt(st, r.otherJoint(there[k].Contest)) == nil; k-- {
		surplus = difference.WithoutShared(surplus, r.printedWords(r.other, there[k].Headings.Value))
	}
	others := difference.WithoutShared(surplus, *reach)
	others = others[min(len(others), len(difference.WithoutShared(keep, have))):] // the first are what it keeps, spelt otherwise
	var taken []carriedHeading
	var left []model.Text
	for _, h := range from.Value {
		w := r.own.Words(h)
		s := slices.Index(surplus, w)
		i := slices.Index(*reach, w)
		if o := slices.Index(others, w); i < 0 && o >= 0 {
			if i = difference.MostSimilar(w, *reach); i >= 0 {
				others = slices.Delete(others, o, o+1)
			}
		}
		if i < 0 || s < 0 {
			left = append(left, h)
			continue
		}
		taken = append(taken, carriedHeading{(*reach)[i], h})
		*reach = slices.Delete(slices.Clone(*reach), i, i+1)
		surplus = slices.Delete(surplus, s, s+1)
	}
	if len(taken) > 0 {
		from.Value = left
	}
	return taken
}

func count(list []string, w string) int {
	n := 0
	for _, x := range list {
		if x == w {
			n++
		}
	}
	return n
}

// headingsAfterRemoving passes the headings of a contest that was taken off one of
// own's ballots on to what follows, as far as the other side prints them there.
func (r *repair) headingsAfterRemoving(fc *difference.Face, st *model.Style, at int, gone []model.Text) {
	if len(gone) == 0 {
		return
	}
	var between []string
	need := []string(nil)
	k := at
	for ; k < len(st.Content); k++ {
		between = append(between, r.printedWords(r.own, st.Content[k].Headings.Value)...)
		if j := r.joint(st.Content[k].Contest); r.otherHas(fc, j) {
			need = r.printedWords(r.other, r.otherHeadings(fc, j))
			break
		}
	}
	if k == len(st.Content) {
		between = append(between, r.printedWords(r.own, st.Closing.Value)...)
		need = r.printedWords(r.other, r.otherHeadings(fc, -1))
	}
	need = difference.WithoutShared(need, between)
	var pass []model.Text
	for _, h := range gone {
		i := slices.Index(need, r.own.Words(h))
		if i < 0 {
			i = difference.MostSimilar(r.own.Words(h), need)
		}
		if i >= 0 {
			need = slices.Delete(need, i, i+1)
			pass = append(pass, h)
		}
	}
	if len(pass) == 0 {
		return
	}
	next := &st.Closing
	if at < len(st.Content) {
		next = &st.Content[at].Headings
	}
	*next = model.Say(slices.Concat(pass, next.Value))
}

// otherHas is true where the contest is on the other side's ballot of a face.
func (r *repair) otherHas(fc *difference.Face, joint int) bool {
	return r.ds.ContentSet(r.other, r.otherStylesOn(fc)).Has(joint)
}

// headingsAfterMoving places the headings of a ballot whose contests were put in
// another order: as the other side does, where both print the same ones; else they
// stay with their contest or in their place, whichever agrees better.
func (r *repair) headingsAfterMoving(fc *difference.Face, before, st *model.Style) {
	there := pairing.Placements(r.other, r.otherStylesOn(fc))
	own := map[string][]model.Text{}
	total, same := 0, true
	note := func(list []model.Text) {
		for _, h := range list {
			if w := r.own.Words(h); w != "" {
				own[w] = append(own[w], h)
				total++
			}
		}
	}
	for _, pl := range st.Content {
		if !pl.Headings.Known {
			return
		}
		note(pl.Headings.Value)
	}
	note(st.Closing.Value)
	needed := map[string]int{}
	for _, pl := range there {
		for _, w := range r.printedWords(r.other, pl.Headings.Value) {
			needed[w]++
			total--
		}
	}
	for _, w := range r.printedWords(r.other, r.otherHeadings(fc, -1)) {
		needed[w]++
		total--
	}
	for w, n := range needed {
		same = same && len(own[w]) == n
	}
	if same && total == 0 {
		take := func(words []string) []model.Text {
			var out []model.Text
			for _, w := range words {
				out = append(out, own[w][0])
				own[w] = own[w][1:]
			}
			return out
		}
		for i := range st.Content {
			st.Content[i].Headings.Value = nil
		}
		var carried []string
		for _, pl := range there {
			carried = append(carried, r.printedWords(r.other, pl.Headings.Value)...)
			if h := r.headingsAt(st, r.otherJoint(pl.Contest)); h != nil {
				h.Value = append(h.Value, take(carried)...)
				carried = nil
			}
		}
		st.Closing.Value = take(append(carried, r.printedWords(r.other, r.otherHeadings(fc, -1))...))
		return
	}
	// With their contest, as they are now, or in their place, as they were.
	wrong := func(headings func(i int) []model.Text) int {
		n := 0
		for i, pl := range st.Content {
			if j := r.joint(pl.Contest); r.otherHas(fc, j) && !slices.Equal(r.printedWords(r.own, headings(i)), r.printedWords(r.other, r.otherHeadings(fc, j))) {
				n++
			}
		}
		return n
	}
	travelled := func(i int) []model.Text { return st.Content[i].Headings.Value }
	stayed := func(i int) []model.Text { return before.Content[i].Headings.Value }
	if wrong(stayed) < wrong(travelled) {
		for i := range st.Content {
			st.Content[i].Headings = before.Content[i].Headings
		}
	}
}
