package wording

// Distance counts the edits that turn one wording into the other: letters (code
// points, in NFC) inserted, deleted, replaced, or swapped with their neighbour. This
// is the optimal string alignment distance, the restricted form of
// Damerau-Levenshtein: swapped letters are what a person who keys does most, and no
// place is edited twice. Where more than 4,000 letters remain on a side after a common
// start and end are set aside, it is the length of the longer rest, which it never
// exceeds.
func Distance(a, b string) int {
	x, _ := decodeAll(Normal(a))
	y, _ := decodeAll(Normal(b))
	return distance(x, y)
}

func distance(a, b []rune) int {
	for len(a) > 0 && len(b) > 0 && a[0] == b[0] {
		a, b = a[1:], b[1:]
	}
	for len(a) > 0 && len(b) > 0 && a[len(a)-1] == b[len(b)-1] {
		a, b = a[:len(a)-1], b[:len(b)-1]
	}
	if len(a) == 0 || len(b) == 0 {
		return len(a) + len(b)
	}
	if len(a) > scriptLimit || len(b) > scriptLimit {
		return max(len(a), len(b))
	}
	var short [3 * 64]int32 // names need no allocation
	rows, m := short[:], len(b)+1
	if 3*m > len(rows) {
		rows = make([]int32, 3*m)
	}
	older, old, row := rows[:m], rows[m:2*m], rows[2*m:3*m]
	for j := range old {
		old[j] = int32(j)
	}
	for i := range a {
		row[0] = int32(i + 1)
		for j := range b {
			d := old[j]
			if a[i] != b[j] {
				d = min(d, row[j], old[j+1]) + 1
				if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
					d = min(d, older[j-1]+1)
				}
			}
			row[j+1] = d
		}
		older, old, row = old, row, older
	}
	return int(old[m-1])
}
