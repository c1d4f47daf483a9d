package checks

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"counterproof/checks/finding"
)

// joinShifted joins findings whose wordings differ by one number, by the same distance in all of
// them: districts that were numbered from another start. Findings with the same two numbers are
// the same change of spelling, and two that are each other's opposite are an exchange.
func joinShifted(findings []finding.Finding, join joiner) {
	type office struct {
		check    finding.Code
		around   string // the wording without its number
		distance int    // the export's number less the keyed one
	}
	groups := map[office][]int{}
	numbers := map[office]map[int]bool{}
	var order []office
	wordings := map[[2]string]bool{}
	for i := range findings {
		wordings[[2]string{findings[i].Primary, findings[i].Second}] = true
	}
	for i := range findings {
		f := &findings[i]
		around, primary, second, ok := oneNumber(f.Primary, f.Second)
		if !ok || wordings[[2]string{f.Second, f.Primary}] {
			continue
		}
		k := office{f.Check, around, primary - second}
		if groups[k] == nil {
			order, numbers[k] = append(order, k), map[int]bool{}
		}
		groups[k] = append(groups[k], i)
		numbers[k][second] = true
	}
	for _, k := range order {
		if len(numbers[k]) < 2 {
			continue
		}
		by, way := k.distance, "higher"
		if by < 0 {
			by, way = -by, "lower"
		}
		message := fmt.Sprintf("The number is %d %s in the export than keyed, in %%d findings: %s.", by, way,
			finding.Quote(k.around))
		for _, i := range groups[k] {
			join(fmt.Sprint("shifted\x00", k), message, i)
		}
	}
}

// number is a number of few digits with the ending of an ordinal, if it has one.
var number = regexp.MustCompile(`[0-9]{1,6}(st|nd|rd|th)?`)

// oneNumber takes two wordings apart that differ by one number and in nothing else: what stands
// around it, with a mark in its place, and the two numbers.
func oneNumber(primary, second string) (around string, a, b int, ok bool) {
	const longest = 400 // a title, not a text
	if primary == "" || second == "" || len(primary) > longest || len(second) > longest {
		return "", 0, 0, false
	}
	x, y := number.FindAllStringIndex(primary, -1), number.FindAllStringIndex(second, -1)
	if len(x) != len(y) {
		return "", 0, 0, false
	}
	for k := range x {
		if primary[x[k][0]:x[k][1]] == second[y[k][0]:y[k][1]] {
			continue
		}
		around = primary[:x[k][0]] + "…" + primary[x[k][1]:]
		if around == "…" {
			return "", 0, 0, false // a bare number, as a vote-for: nothing says that it is of one roster
		}
		if around != second[:y[k][0]]+"…"+second[y[k][1]:] {
			return "", 0, 0, false
		}
		a, _ = strconv.Atoi(strings.TrimRight(primary[x[k][0]:x[k][1]], "stndrdth"))
		b, _ = strconv.Atoi(strings.TrimRight(second[y[k][0]:y[k][1]], "stndrdth"))
		return around, a, b, a != b
	}
	return "", 0, 0, false
}
