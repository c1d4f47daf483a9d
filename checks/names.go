package checks

import (
	"cmp"
	"slices"
	"strings"
)

// compareNames orders names as people count: "2-3" before "2-10". Names that
// count the same are ordered by their bytes, so the order is always the same.
func compareNames(a, b string) int {
	x, y := a, b
	for x != "" && y != "" {
		if digit(x[0]) && digit(y[0]) {
			nx, ny := number(x), number(y)
			tx, ty := strings.TrimLeft(nx, "0"), strings.TrimLeft(ny, "0")
			if c := cmp.Or(cmp.Compare(len(tx), len(ty)), cmp.Compare(tx, ty)); c != 0 {
				return c
			}
			x, y = x[len(nx):], y[len(ny):]
			continue
		}
		if x[0] != y[0] {
			return cmp.Compare(x[0], y[0])
		}
		x, y = x[1:], y[1:]
	}
	return cmp.Or(cmp.Compare(len(x), len(y)), cmp.Compare(a, b))
}

func digit(c byte) bool { return '0' <= c && c <= '9' }

func number(s string) string {
	n := 0
	for n < len(s) && digit(s[n]) {
		n++
	}
	return s[:n]
}

// sortNames returns names in order, each once.
func sortNames(names []string) []string {
	names = slices.Clone(names)
	if names == nil {
		return []string{}
	}
	slices.SortFunc(names, compareNames)
	return slices.Compact(names)
}
