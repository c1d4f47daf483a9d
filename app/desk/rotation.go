package desk

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"counterproof/checks/wording"
	"counterproof/model/casefile"
)

// A face may print the choices of a contest in an order of its own (rotation). It is keyed as the
// first letters of the names, in the order in which the face prints them, or as the numbers of their
// positions; it is stored as positions.

// positionsOf returns the positions of a contest's choices as the record writes them: as keyed if they
// are different whole numbers, else 1, 2, 3.
func (k *Keying) positionsOf(contest int) []string {
	rows := k.e.choices[contest]
	out := make([]string, len(rows))
	seen := map[string]bool{}
	whole := true
	for i, row := range rows {
		out[i] = trim(k.e.Value(casefile.Choices, row, "position"))
		n, err := strconv.Atoi(out[i])
		whole = whole && err == nil && n > 0 && !seen[out[i]]
		seen[out[i]] = true
	}
	if !whole {
		for i := range out {
			out[i] = itoa(i + 1)
		}
	}
	return out
}

// order reads the order of choices on a face, as typed; fault says what is wrong with it.
func (k *Keying) order(place int, typed string) (value, fault string) {
	contest := k.e.Ref(casefile.Placements, place, "contest")
	rows, positions := k.e.choices[contest], k.positionsOf(contest)
	if len(rows) == 0 {
		return "", "this contest has no choices yet; key them first, as any one face prints them"
	}
	words := strings.FieldsFunc(typed, func(r rune) bool { return strings.ContainsRune("|,; ", r) })
	var at []int // indexes of the choices, in the order of the face
	if !strings.ContainsFunc(typed, unicode.IsLetter) {
		for _, word := range words {
			i := slices.Index(positions, strings.TrimLeft(word, "0"))
			if i < 0 || slices.Contains(at, i) {
				return "", fmt.Sprintf("%s is no position of this contest, or stands twice; type each of %s once, in the order "+
					"of this face", word, strings.Join(positions, ", "))
			}
			at = append(at, i)
		}
	} else if at, fault = k.lettered(rows, words); fault != "" {
		return "", fault
	}
	for i, row := range rows {
		if slices.Contains(at, i) {
			continue
		}
		if k.e.Value(casefile.Choices, row, "write_in") == "" {
			return "", fmt.Sprintf("%s is missing; name every choice, in the order of this face",
				k.e.Value(casefile.Choices, row, "name"))
		}
		at = append(at, i) // lines for write-ins that were not named come last
	}
	var out []string
	for _, i := range at {
		out = append(out, positions[i])
	}
	return strings.Join(out, "|"), ""
}

// lettered finds choices by the beginnings of their names: one letter for each ("bac"), or several
// with blanks between ("bo ad c").
func (k *Keying) lettered(rows []int, words []string) (at []int, fault string) {
	if len(words) == 1 && len([]rune(words[0])) > 1 {
		var letters []string
		for _, r := range words[0] {
			letters = append(letters, string(r))
		}
		if at, fault = k.lettered(rows, letters); fault == "" || len(rows) > 1 {
			return at, fault
		}
	}
	for _, word := range words {
		letters := foldedQuery(word)
		var found []int
		for i, row := range rows {
			name := strings.Fields(wording.Fold(k.e.Value(casefile.Choices, row, "name")))
			if !slices.Contains(at, i) && len(name) > 0 && letters != "" && abbreviates(letters, name[:1]) {
				found = append(found, i)
			}
		}
		if len(found) == 0 { // a letter of a later word, such as the family name
			for i, row := range rows {
				name := strings.Fields(wording.Fold(k.e.Value(casefile.Choices, row, "name")))
				if !slices.Contains(at, i) && letters != "" && slices.ContainsFunc(name, func(w string) bool {
					return strings.HasPrefix(w, letters)
				}) {
					found = append(found, i)
				}
			}
		}
		switch {
		case len(found) == 0:
			return nil, fmt.Sprintf("no choice that is left begins with %q", word)
		case len(found) > 1 && !k.alike(rows, found):
			return nil, fmt.Sprintf("%q may be %s or %s; type more letters, with blanks between the names, or the numbers of "+
				"the positions", word, k.choiceWords(rows[found[0]]), k.choiceWords(rows[found[1]]))
		}
		at = append(at, found[0])
	}
	return at, ""
}

// alike reports whether choices are lines for write-ins, of which one is like the other.
func (k *Keying) alike(rows, found []int) bool {
	return !slices.ContainsFunc(found, func(i int) bool { return k.e.Value(casefile.Choices, rows[i], "write_in") == "" })
}

// choiceWords are a choice's name and lines.
func (k *Keying) choiceWords(row int) string {
	name := k.e.Value(casefile.Choices, row, "name")
	if lines := codes(k.e.Value(casefile.Choices, row, "party_lines")); len(lines) > 0 {
		name += " (" + strings.Join(lines, ", ") + ")"
	}
	return name
}

// swapInOrders returns the changes after which the faces with an order of their own print the same
// names as before, though two choices of the contest change places.
func (k *Keying) swapInOrders(contest, at, to int) (changes []casefile.Change) {
	positions := k.positionsOf(contest)
	for _, place := range k.e.placed[contest] {
		order := k.e.Value(casefile.Placements, place, "choice_order")
		if order == "" {
			continue
		}
		list := strings.Split(order, "|")
		for i, p := range list {
			switch p {
			case positions[at]:
				list[i] = positions[to]
			case positions[to]:
				list[i] = positions[at]
			}
		}
		changes = append(changes, casefile.Set(casefile.Placements, place, "choice_order", strings.Join(list, "|")))
	}
	return changes
}

// OrderWords says the order of choices at a stop in their names; false if the order does not fit the
// choices, which were changed since it was keyed.
func (k *Keying) OrderWords(place int, value string) (string, bool) {
	contest := k.e.Ref(casefile.Placements, place, "contest")
	rows, positions := k.e.choices[contest], k.positionsOf(contest)
	list := strings.Split(value, "|")
	var out []string
	for _, p := range list {
		i := slices.Index(positions, p)
		if i < 0 {
			return "", false
		}
		out = append(out, k.choiceWords(rows[i]))
	}
	slices.Sort(list)
	return strings.Join(out, ", "), len(slices.Compact(list)) == len(rows)
}
