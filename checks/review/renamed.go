package review

import (
	"slices"

	"counterproof/checks/pairing"
	"counterproof/model"
	"counterproof/model/casefile"
)

// renamed lists the contests that an amendment retitled, from the former title to the current one.
// An export made before the amendment knows only the former title.
func (r *Review) renamed(state *casefile.State, s *Snapshot) ([]pairing.Mapped, error) {
	var out []pairing.Mapped
	now := map[string]string{} // by the row
	titles := func(e *model.Election, take func(row, title string)) {
		side := pairing.Of(e, &model.Election{}, s.Options.Language, nil).Primary
		for i := range e.Contests {
			take(e.Origins.Contest(i).ID, side.Title(i))
		}
	}
	if len(state.Amendments) > 0 {
		titles(s.Second, func(row, title string) { now[row] = title })
	}
	for _, a := range state.Amendments {
		for source := 0; source <= len(state.Joined); source++ {
			was, err := r.secondAt(a.Seq, source)
			if err != nil {
				return nil, err
			}
			if was == nil {
				continue
			}
			titles(was, func(row, title string) {
				m := pairing.Mapped{Kind: "contest", Primary: title, Second: now[row]}
				if m.Second != "" && m.Second != title && !slices.Contains(out, m) {
					out = append(out, m)
				}
			})
		}
	}
	return out, nil
}

// named returns a pairing of an election with the second entry in which a contest without a
// counterpart may also be found by its former title.
func (q *sequence) named(pg *pairing.Pairing, s *Snapshot) *pairing.Pairing {
	alone := func(v *pairing.Side, to []int, title string) bool {
		for i, j := range to {
			if j < 0 && v.Title(i) == title {
				return true
			}
		}
		return false
	}
	mapped := slices.Clone(s.Options.Mapped)
	for _, m := range q.renamed {
		if alone(pg.Primary, pg.Contests.ToSecond, m.Primary) && alone(pg.Second, pg.Contests.ToPrimary, m.Second) {
			mapped = append(mapped, m)
		}
	}
	if len(mapped) == len(s.Options.Mapped) {
		return pg
	}
	return pairing.Of(pg.Primary.Election, s.Second, s.Options.Language, mapped)
}
