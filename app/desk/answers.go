package desk

import "counterproof/model/casefile"

// answersAbove copies, for a measure or a retention question without choices, the choices of the
// one keyed before it, with their wording and order ("Yes", "No"). It returns false if there is
// none.
func (k *Keying) answersAbove(f Stop) bool {
	kind := k.e.Value(casefile.Contests, f.Row, "kind")
	if kind != "measure" && kind != "retention" || len(k.e.choices[f.Row]) > 0 {
		return false
	}
	above := 0
	k.e.Each(casefile.Contests, func(row int, _ []string) {
		other := k.e.Value(casefile.Contests, row, "kind")
		if row < f.Row && (other == "measure" || other == "retention") && len(k.e.choices[row]) > 0 {
			above = row
		}
	})
	if above == 0 {
		return false
	}
	var changes []casefile.Change
	next, used := k.e.Next(casefile.Choices), map[int]bool{}
	for _, choice := range k.e.choices[above] {
		n := k.choiceRow(f.Row, k.e.Value(casefile.Choices, choice, "name"))
		if n >= next || used[n] {
			n, next = next, next+1
		}
		used[n] = true
		changes = append(changes, casefile.Set(casefile.Choices, n, "contest", itoa(f.Row)))
		for _, column := range []string{"position", "name", "party_lines", "write_in"} {
			if v := k.e.Value(casefile.Choices, choice, column); v != "" {
				changes = append(changes, casefile.Set(casefile.Choices, n, column, v))
			}
		}
	}
	return k.set(changes...)
}
