package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/dustin/go-humanize"

	"counterproof/checks/natural"
)

// longList is the number of precincts from which a list is written as ranges; shorter lists are
// easier to check off name by name.
const longList = 4

// mostRanges limits what is printed for one finding; the JSON and the CSV have every precinct.
const mostRanges = 30

// precinctList writes precincts for readers, in numeric order. In a long list, three or more
// consecutive ones become a range ("1-01 to 1-09, 2-03 (10)"). A range contains only names of the
// list and never bridges a gap. If the list is all of everywhere, the result is "all 24".
func precinctList(names []string, everywhere map[string]bool) string {
	if len(names) == 0 {
		return ""
	}
	if len(names) >= longList && isAll(names, everywhere) {
		return "all " + humanize.Comma(int64(len(names)))
	}
	if len(names) < longList {
		sorted := slices.Clone(names)
		slices.SortStableFunc(sorted, natural.Compare)
		return strings.Join(sorted, ", ")
	}
	parts := natural.Ranges(names)
	left := len(parts) - mostRanges
	if left > 0 {
		parts = append(parts[:mostRanges], fmt.Sprintf("and more (%d further names or ranges: --format csv lists all)", left))
	}
	return fmt.Sprintf("%s (%s)", strings.Join(parts, ", "), humanize.Comma(int64(len(names))))
}

// isAll reports whether the names are exactly those of the set.
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
