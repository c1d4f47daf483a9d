package difference

import (
	"cmp"
	"maps"
	"slices"

	"counterproof/checks/pairing"
)

// PlaceExchange are two contests, by key, that one side exchanges on its ballots: in some areas one
// stands in the other's place, and in others the other way round.
type PlaceExchange struct {
	Keys  [2]int
	Areas []int
}

// mostExchanged limits the contests among which exchanges are searched.
const mostExchanged = 200

// findPlaceExchanges finds them among the contests that are both missing and extra, those with the
// most areas first.
func findPlaceExchanges(pg *pairing.Pairing, c *Content) (out []PlaceExchange) {
	var keys []int
	missing, extra := map[int]pairing.Set{}, map[int]pairing.Set{}
	set := func(areas []int) pairing.Set {
		s := pairing.NewSet(len(pg.Precincts.Areas))
		for _, a := range areas {
			s.Add(a)
		}
		return s
	}
	for _, j := range slices.Sorted(maps.Keys(c.Missing)) {
		if pi, si := pg.ByKey(j); pi >= 0 && si >= 0 && len(c.Extra[j]) > 0 {
			keys = append(keys, j)
			missing[j], extra[j] = set(c.Missing[j]), set(c.Extra[j])
		}
	}
	if len(keys) > mostExchanged {
		return nil
	}
	var found []PlaceExchange
	for n, i := range keys {
		for _, j := range keys[n+1:] {
			there, back := slices.Clone(missing[i]), slices.Clone(missing[j])
			there.Keep(extra[j])
			back.Keep(extra[i])
			if there.Count() > 0 && back.Count() > 0 && sameKind(pg, i, j) {
				found = append(found, PlaceExchange{[2]int{i, j}, append(there.List(), back.List()...)})
			}
		}
	}
	slices.SortStableFunc(found, func(a, b PlaceExchange) int { return cmp.Compare(len(b.Areas), len(a.Areas)) })
	taken := map[int]bool{}
	for _, x := range found {
		if !taken[x.Keys[0]] && !taken[x.Keys[1]] {
			taken[x.Keys[0]], taken[x.Keys[1]] = true, true
			out = append(out, x)
		}
	}
	return out
}

func sameKind(pg *pairing.Pairing, i, j int) bool {
	a, _ := pg.ByKey(i)
	b, _ := pg.ByKey(j)
	return pg.Primary.Contests[a].Kind == pg.Primary.Contests[b].Kind
}

// Alone returns the areas of a list of Missing or Extra in which no exchange explains that.
func (c *Content) Alone(key int, areas []int) []int {
	for _, x := range c.Exchanged {
		if slices.Contains(x.Keys[:], key) {
			return slices.DeleteFunc(slices.Clone(areas), func(a int) bool { return slices.Contains(x.Areas, a) })
		}
	}
	return areas
}
