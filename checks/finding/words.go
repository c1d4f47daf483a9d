package finding

import (
	"fmt"
	"strings"

	"counterproof/checks/natural"
	"counterproof/checks/wording"
)

func Quote(s string) string { return `"` + s + `"` }

// countPrecincts names one precinct and counts more.
func CountPrecincts(names []string) string {
	names = natural.Sorted(names)
	switch len(names) {
	case 0:
		return "no precinct"
	case 1:
		return "precinct " + names[0]
	}
	return fmt.Sprintf("%d precincts", len(names))
}

// shortList names a few and counts the rest.
func ShortList(names []string) string {
	names = natural.Sorted(names)
	if len(names) > 4 {
		return strings.Join(names[:4], ", ") + fmt.Sprintf(" and %d more", len(names)-4)
	}
	return strings.Join(names, ", ")
}

// differsIn says in a few words in what two wordings differ, to follow "differs".
func DiffersIn(primary, second string) string {
	d := wording.Compare(primary, second)
	word := d.Word()
	if d.Lookalike && len(d.Notes) > 0 {
		return "in letters that look the same and are not: " + strings.Join(d.Notes, "; ")
	}
	if d.Minor {
		return "only in " + word
	}
	return "in its wording"
}
