// Package natural puts names in the order in which people count, and shortens lists of
// them to ranges: "1-01 to 1-09, 2-03".
package natural

import (
	"slices"
	"strconv"
	"strings"
)

// Ranges returns names for reading, in natural order: three or more that follow each
// other are one range ("1-01 to 1-09"). A range holds only names that are in the list:
// it never bridges a gap. The list itself is not changed.
func Ranges(names []string) []string {
	sorted := slices.Clone(names)
	slices.SortStableFunc(sorted, Compare)
	return Runs(sorted, Follows)
}

// Runs returns names for reading, in their order: three or more of which each follows the
// one before are one range.
func Runs(names []string, follows func(a, b string) bool) (parts []string) {
	for i := 0; i < len(names); {
		j := i
		for j+1 < len(names) && follows(names[j], names[j+1]) {
			j++
		}
		if j-i >= 2 {
			parts = append(parts, names[i]+" to "+names[j])
		} else {
			parts = append(parts, names[i:j+1]...)
		}
		i = j + 1
	}
	return parts
}

// Follows reports whether b is the name that comes directly after a: the same but for
// its last number, which is one higher and written alike.
func Follows(a, b string) bool {
	beforeA, digitsA, afterA := lastNumber(a)
	beforeB, digitsB, afterB := lastNumber(b)
	if digitsA == "" || digitsB == "" || beforeA != beforeB || afterA != afterB {
		return false
	}
	na, errA := strconv.ParseUint(digitsA, 10, 64)
	nb, errB := strconv.ParseUint(digitsB, 10, 64)
	if errA != nil || errB != nil || nb != na+1 {
		return false
	}
	// "9" to "10" is how unpadded numbers count on; "09" to "9" is two ways to
	// write numbers and no range.
	padded := digitsA[0] == '0' || digitsB[0] == '0'
	return !padded || len(digitsA) == len(digitsB)
}

// lastNumber cuts a name before its last run of digits and after it:
// "Ward 3 ED 07 North" is "Ward 3 ED ", "07", " North".
func lastNumber(name string) (before, digits, after string) {
	end := len(name)
	for end > 0 && !isDigit(name[end-1]) {
		end--
	}
	start := end
	for start > 0 && isDigit(name[start-1]) {
		start--
	}
	return name[:start], name[start:end], name[end:]
}

// Sorted returns names in natural order, each once; never nil. The list itself is not
// changed.
func Sorted(names []string) []string {
	if names == nil {
		return []string{}
	}
	names = slices.Clone(names)
	slices.SortFunc(names, Compare)
	return slices.Compact(names)
}

// Compare orders names as people count: runs of digits by their value, the rest by
// bytes. It is 0 for equal names alone.
func Compare(a, b string) int {
	whole := strings.Compare(a, b)
	for a != "" && b != "" {
		if isDigit(a[0]) && isDigit(b[0]) {
			da, db := leadingDigits(a), leadingDigits(b)
			va, vb := strings.TrimLeft(da, "0"), strings.TrimLeft(db, "0")
			if len(va) != len(vb) {
				return len(va) - len(vb)
			}
			if c := strings.Compare(va, vb); c != 0 {
				return c
			}
			a, b = a[len(da):], b[len(db):]
			continue
		}
		if a[0] != b[0] {
			return int(a[0]) - int(b[0])
		}
		a, b = a[1:], b[1:]
	}
	if len(a) != len(b) {
		return len(a) - len(b)
	}
	return whole
}

func leadingDigits(s string) string {
	end := 0
	for end < len(s) && isDigit(s[end]) {
		end++
	}
	return s[:end]
}

func isDigit(b byte) bool { return b >= '0' && b <= '9' }
