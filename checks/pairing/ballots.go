package pairing

import (
	"slices"

	"counterproof/checks/wording"
	"counterproof/model"
)

// HasLabel reports whether a style has this label or this further code.
func HasLabel(v *Side, style int, label string) bool {
	label = wording.Normal(label)
	if st := v.Styles[style]; st.Label.Known && wording.Normal(st.Label.Value) == label {
		return true
	}
	return slices.ContainsFunc(v.Origins.Style(style).Codes, func(c string) bool { return wording.Normal(c) == label })
}

// VotersKey is equal for styles of either side that are meant for voters of the same parties; ""
// means every voter.
func (pg *Pairing) VotersKey(v *Side, style int) string {
	list := v.Styles[style].Parties
	if len(list) == 0 {
		return ""
	}
	return NumberList(list, func(i int) int { return pg.PartyKey(v, i) })
}

// PartyKey numbers parties so that paired parties have the same number on both sides.
func (pg *Pairing) PartyKey(v *Side, i int) int {
	if v == pg.Primary {
		return i
	}
	if q := pg.Parties.ToPrimary[i]; q >= 0 {
		return q
	}
	return len(pg.Primary.Parties) + i
}

// ContestKeys returns the keys of a side's contests. Versions of one contest have the same key on
// both sides.
func (pg *Pairing) ContestKeys(v *Side) []int {
	if v == pg.Primary {
		return pg.Contests.PrimaryKey
	}
	return pg.Contests.SecondKey
}

// ContentSet returns the set of contests on a ballot, by key.
func (pg *Pairing) ContentSet(v *Side, styles []int) Set {
	out := NewSet(pg.Contests.Keys)
	keys := pg.ContestKeys(v)
	for _, s := range styles {
		for k := range v.Styles[s].Content {
			out.Add(keys[v.Styles[s].Content[k].Contest])
		}
	}
	return out
}

// Placements lists the contests and headings of a face, in ballot order.
func Placements(v *Side, styles []int) []model.Placement {
	if len(styles) == 1 {
		return v.Styles[styles[0]].Content
	}
	var out []model.Placement
	for _, s := range styles {
		out = append(out, v.Styles[s].Content...)
	}
	return out
}

// PartyKeys returns the keys of party lines, sorted.
func (pg *Pairing) PartyKeys(v *Side, lines []int) []int {
	out := make([]int, len(lines))
	for i, l := range lines {
		out[i] = pg.PartyKey(v, l)
	}
	slices.Sort(out)
	return out
}

// ContainsAll reports whether every element of b is in a.
func ContainsAll(a, b []int) bool {
	for _, x := range b {
		if !slices.Contains(a, x) {
			return false
		}
	}
	return true
}

// LabelsAgree reports whether both sides label the styles and the labels are equal.
func (pg *Pairing) LabelsAgree(primary, second int) bool {
	st := pg.Second.Styles[second]
	if !st.Label.Known || st.Label.Value == "" {
		return false
	}
	return HasLabel(pg.Primary, primary, st.Label.Value)
}
