package checks

import (
	"fmt"
	"strconv"
	"strings"

	"counterproof/checks/finding"
)

// joinShifted joins findings whose wordings differ by one number, by the same distance in all of
// them: districts that were numbered from another start. Findings with the same two numbers are
// the same change of spelling, and two that are each other's opposite are an exchange.
func joinShifted(findings []finding.Finding, of map[finding.Code]*Check, join joiner) {
	type office struct {
		check    finding.Code
		around   string // the wording without its number
		distance int    // the export's number less the keyed one
	}
	groups := map[office][]int{}
	numbers := map[office]map[int]int{} // the export's, by the keyed one
	var order []office
	for i := range findings {
		f := &findings[i]
		if c := of[f.Check]; c == nil || !c.Wordings {
			continue
		}
		around, primary, second, ok := oneNumber(f.Primary, f.Second)
		if !ok {
			continue
		}
		k := office{f.Check, around, primary - second}
		if groups[k] == nil {
			order, numbers[k] = append(order, k), map[int]int{}
		}
		groups[k] = append(groups[k], i)
		numbers[k][second] = primary
	}
	for _, k := range order {
		back, exchanged := numbers[office{k.check, k.around, -k.distance}], false
		for second, primary := range numbers[k] {
			was, ok := back[primary]
			exchanged = exchanged || ok && was == second
		}
		if len(numbers[k]) < 2 || exchanged {
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

// oneNumber takes two wordings apart that differ by one number and in nothing else: what stands
// around it, with a mark in its place, and the two numbers. An ordinal is a number with its ending.
func oneNumber(primary, second string) (around string, a, b int, ok bool) {
	at := 0
	for at < len(primary) && at < len(second) && primary[at] == second[at] {
		at++
	}
	for at > 0 && isDigit(primary[at-1]) {
		at--
	}
	a, x, okA := number(primary[at:])
	b, y, okB := number(second[at:])
	if !okA || !okB || a == b || x != y || at+len(x) == 0 {
		return "", 0, 0, false
	}
	return primary[:at] + "…" + x, a, b, true
}

func isDigit(b byte) bool { return b >= '0' && b <= '9' }

// number reads the number that words begin with, and returns what follows it.
func number(words string) (n int, rest string, ok bool) {
	const longest = 6
	digits := 0
	for digits < len(words) && isDigit(words[digits]) {
		digits++
	}
	if digits == 0 || digits > longest {
		return 0, "", false
	}
	n, err := strconv.Atoi(words[:digits])
	rest = words[digits:]
	for _, ending := range []string{"st", "nd", "rd", "th"} {
		if after, cut := strings.CutPrefix(rest, ending); cut {
			return n, after, err == nil
		}
	}
	return n, rest, err == nil
}
