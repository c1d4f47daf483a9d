package main

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/dustin/go-humanize"
)

// longList is the number of precincts from which a list is condensed into
// ranges; shorter lists are easier to check off name by name.
const longList = 4

// mostRanges bounds what is printed for one finding; the JSON and the CSV have
// every precinct.
const mostRanges = 30

// precinctList writes precincts for reading: in the order of their numbers and,
// where there are many, three or more that follow each other as a range
// ("1-01 to 1-09, 2-03 (10)"). A range holds only names that are in
// the list: it never bridges a gap. Where they are all that everywhere holds, it
// says "all 24".
func precinctList(names []string, everywhere map[string]bool) string {
	if len(names) == 0 {
		return ""
	}
	if len(names) >= longList && isAll(names, everywhere) {
		return "all " + humanize.Comma(int64(len(names)))
	}
	sorted := slices.Clone(names)
	slices.SortStableFunc(sorted, compareNatural)
	if len(sorted) < longList {
		return strings.Join(sorted, ", ")
	}
	var parts []string
	for i := 0; i < len(sorted); {
		j := i
		for j+1 < len(sorted) && follows(sorted[j], sorted[j+1]) {
			j++
		}
		if j-i >= 2 {
			parts = append(parts, sorted[i]+" to "+sorted[j])
		} else {
			parts = append(parts, sorted[i:j+1]...)
		}
		i = j + 1
	}
	left := len(parts) - mostRanges
	if left > 0 {
		parts = append(parts[:mostRanges], fmt.Sprintf("and more (%d further names or ranges: --format csv lists all)", left))
	}
	return fmt.Sprintf("%s (%s)", strings.Join(parts, ", "), humanize.Comma(int64(len(names))))
}

// isAll reports whether names are exactly those of the set.
func isAll(names []string, set map[string]bool) bool {
	seen := make(map[string]bool, len(names))
	for _, name := range names {
		if !set[name] {
			return false
		}
		seen[name] = true
	}
	return len(seen) == len(set) && len(seen) == len(names)
}

// splitNumber cuts a name before its last run of digits and after it:
// "Ward 3 ED 07 North" is "Ward 3 ED ", "07", " North".
func splitNumber(name string) (before, digits, after string) {
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

// follows reports whether b is the name that comes directly after a: the same
// but for its last number, which is one higher and written alike.
func follows(a, b string) bool {
	beforeA, digitsA, afterA := splitNumber(a)
	beforeB, digitsB, afterB := splitNumber(b)
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

// compareNatural orders names as people count: runs of digits by their value,
// the rest by bytes.
func compareNatural(a, b string) int {
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
