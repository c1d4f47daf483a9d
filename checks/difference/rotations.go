package difference

import (
	"slices"

	"counterproof/checks/pairing"
	"counterproof/model"
)

// maxRotations limits how many ballots with equal contests are tried by the order of their choices.
const maxRotations = 64

// rotations compares the orders in which ballots print the choices of their contests: ballots with
// the same contests may be told apart by nothing else.
type rotations struct {
	pg     *pairing.Pairing
	orders map[int]*orderComparer // by pair of contests
	found  map[[2]int]int         // cached results of differ
}

func newRotations(pg *pairing.Pairing) *rotations {
	return &rotations{pg, map[int]*orderComparer{}, map[[2]int]int{}}
}

// differ counts the contests whose choices a style of the export and one of the second entry print
// in different orders.
func (r *rotations) differ(primary, second int) int {
	if n, ok := r.found[[2]int{primary, second}]; ok {
		return n
	}
	placed := map[int]*model.Placement{}
	for i := range r.pg.Second.Styles[second].Content {
		p := &r.pg.Second.Styles[second].Content[i]
		placed[r.pg.Contests.SecondKey[p.Contest]] = p
	}
	n := 0
	for i := range r.pg.Primary.Styles[primary].Content {
		p := &r.pg.Primary.Styles[primary].Content[i]
		s := placed[r.pg.Contests.PrimaryKey[p.Contest]]
		if s == nil {
			continue
		}
		k := r.pg.PlaceOfPair(pairing.ContestPair{Primary: p.Contest, Second: s.Contest})
		if k < 0 {
			continue
		}
		if r.orders[k] == nil {
			o := newOrderComparer(r.pg, r.pg.Contests.Pairs[k])
			r.orders[k] = &o
		}
		if x, _ := r.orders[k].Compare(p, s); x != nil {
			n++
		}
	}
	r.found[[2]int{primary, second}] = n
	return n
}

// closest returns those of some styles with equal contests that print the choices of the fewest
// contests in another order than another side's style, and how many contests that is.
func (r *rotations) closest(styles []int, differ func(style int) int) (list []int, least int) {
	for _, st := range styles[:min(len(styles), maxRotations)] {
		switch n := differ(st); {
		case list == nil || n < least:
			list, least = []int{st}, n
		case n == least:
			list = append(list, st)
		}
	}
	return list, least
}

// findMoved finds precincts whose ballot has the right contests with their choices in the order of
// another style: the export gives them a style that is right, in all, for other precincts, and
// either its label is that style's, or more than one contest says so, or the style meant for them
// is right elsewhere. Or the second entry gives them such a style, under its label.
func (r *rotations) findMoved(ds *Differences) []WrongStyle {
	dirty := map[int]bool{} // areas
	for k := range ds.Orders {
		for _, a := range ds.Orders[k].Areas {
			dirty[a] = true
		}
	}
	if len(dirty) == 0 {
		return nil
	}
	comparable := func(fc *Face) bool {
		return fc.same && !fc.WrongStyle && len(fc.Primary) == 1 && len(fc.Second) == 1 &&
			r.pg.VotersKey(r.pg.Primary, fc.Primary[0]) == r.pg.VotersKey(r.pg.Second, fc.Second[0])
	}
	carried := map[int][]int{}   // export's style → styles of the second entry whose ballot it is, in all
	elsewhere := map[int][]int{} // the other way round
	for f := range ds.Ballots.Faces {
		if fc := &ds.Ballots.Faces[f]; comparable(fc) && !dirty[fc.Areas[0]] {
			carried[fc.Primary[0]] = append(carried[fc.Primary[0]], fc.Second[0])
			elsewhere[fc.Second[0]] = append(elsewhere[fc.Second[0]], fc.Primary[0])
		}
	}
	var out []WrongStyle
	at := map[[3]int]int{}
	for f := range ds.Ballots.Faces {
		fc := &ds.Ballots.Faces[f]
		if !comparable(fc) || !dirty[fc.Areas[0]] {
			continue
		}
		a, b := fc.Primary[0], fc.Second[0]
		n := r.differ(a, b)
		if n == 0 || r.pg.LabelsAgree(a, b) {
			continue
		}
		w := WrongStyle{Own: a, Meant: b, Carried: -1, KeyedAs: -1, Exact: true}
		i := slices.IndexFunc(carried[a], func(t int) bool { return !labelledAlike(r.pg.Second, b, []int{t}) })
		j := slices.IndexFunc(elsewhere[b], func(t int) bool { return r.pg.LabelsAgree(t, b) })
		switch {
		case i >= 0 && (n > 1 || len(elsewhere[b]) > 0 || r.pg.LabelsAgree(a, carried[a][i])):
			w.Carried = carried[a][i]
		case j >= 0 && !labelledAlike(r.pg.Primary, a, []int{elsewhere[b][j]}):
			w.KeyedAs = elsewhere[b][j]
		default:
			continue
		}
		fc.WrongStyle, fc.Carried, fc.KeyedAs = true, w.Carried, w.KeyedAs
		k := [3]int{b, w.Carried, w.KeyedAs}
		if _, ok := at[k]; !ok {
			at[k], out = len(out), append(out, w)
		}
		out[at[k]].Areas = append(out[at[k]].Areas, fc.Areas...)
	}
	return out
}
