package desk

import (
	"fmt"
	"slices"
	"strings"

	"counterproof/checks/wording"
	"counterproof/model/casefile"
)

// A closed primary has a face for the voters of each party. Its party, and that of a contest, is one
// that was keyed.

// forParty reports whether a stop names the party of a primary.
func forParty(s StopKind) bool { return s == FaceParty || s == PrimaryParty }

// primaryParties lists the keyed parties, or, where none was keyed, the codes that stand beside choices.
func (k *Keying) primaryParties() (out []Item) {
	k.e.Each(casefile.Parties, func(row int, _ []string) {
		if code := k.e.Value(casefile.Parties, row, "party"); code != "" {
			words := code
			if name := k.e.Value(casefile.Parties, row, "name"); name != "" {
				words += " · " + name
			}
			out = append(out, Item{Words: words, Code: code})
		}
	})
	if len(out) == 0 {
		for _, code := range slices.Sorted(slices.Values(k.ownCodes())) {
			out = append(out, Item{Words: code, Code: code})
		}
	}
	return out
}

// partyItems are the parties that what was typed may mean. One that is typed in full needs no list.
func (k *Keying) partyItems(typed string) (out []Item) {
	if typed == NothingMark || strings.ContainsAny(typed, "|,") {
		return nil
	}
	query := foldedQuery(typed)
	for _, item := range k.primaryParties() {
		if strings.EqualFold(item.Code, typed) {
			return nil
		}
		if typed == "" || strings.HasPrefix(strings.ToLower(item.Code), strings.ToLower(typed)) ||
			abbreviates(query, strings.Fields(wording.Fold(item.Words))) {
			out = append(out, item)
		}
	}
	return out
}

// primary reads the parties of a primary as typed, by code or name.
func (k *Keying) primary(typed string) (value, fault string) {
	known := k.primaryParties()
	if len(known) == 0 {
		return "", "no party was keyed yet; key the parties on the page of the election first"
	}
	var out, list []string
	for _, item := range known {
		list = append(list, item.Code)
	}
	for _, word := range strings.FieldsFunc(typed, func(r rune) bool { return r == '|' || r == ',' }) {
		word = trim(word)
		at := slices.IndexFunc(known, func(item Item) bool { return item.Code == word })
		if at < 0 {
			at = slices.IndexFunc(known, func(item Item) bool { return strings.EqualFold(item.Code, word) })
		}
		if at < 0 {
			at = slices.Index(list, k.codeOf(word))
		}
		if at < 0 {
			return "", fmt.Sprintf("%q is none of the parties that were keyed: %s", word, someOf(list))
		}
		if !slices.Contains(out, list[at]) {
			out = append(out, list[at])
		}
	}
	if len(out) == 0 {
		return "", "type the code of a party that was keyed, or - for the voters of every party"
	}
	return strings.Join(out, "|"), ""
}
