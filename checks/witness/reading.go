package witness

import (
	"slices"
	"strings"

	"golang.org/x/text/cases"

	"counterproof/checks/wording"
	"counterproof/model"
)

// agrees reports whether a wording of a document, by its reading rules, is the wording of a ballot.
// Nothing else is folded.
func agrees(n model.ListedName, printed string) bool {
	if n.Rules == nil {
		return wording.Normal(n.Read) == wording.Normal(printed)
	}
	return plain(n.Rules, n.Read) == plain(n.Rules, printed)
}

// plain is a wording without what says nothing by the rules.
func plain(rules *model.Reading, words string) string {
	words = wording.Normal(words)
	if rules == nil {
		return words
	}
	if len(rules.LeaveOut) > 0 {
		parts := strings.Split(words, " / ")
		for i := range parts {
			parts[i] = leaveOut(parts[i], rules)
		}
		words = strings.Join(parts, " / ")
	}
	if rules.IgnoreCapitals {
		words = wording.Normal(cases.Fold().String(words))
	}
	return words
}

// leaveOut takes words off the ends of a name, as long as something is left.
func leaveOut(name string, rules *model.Reading) string {
	says := func(word string) bool {
		return !slices.ContainsFunc(rules.LeaveOut, func(w string) bool {
			if rules.IgnoreCapitals {
				return strings.EqualFold(w, word)
			}
			return wording.Normal(w) == word
		})
	}
	for {
		first, rest, ok := strings.Cut(name, " ")
		if !ok || says(first) {
			break
		}
		name = rest
	}
	for {
		last := strings.LastIndexByte(name, ' ')
		if last < 0 || says(name[last+1:]) {
			return name
		}
		name = strings.TrimSuffix(name[:last], ",")
	}
}

// graded grades how the wording of a document differs from that of the entries.
func graded(n model.ListedName, printed string) wording.Difference {
	return wording.Compare(plain(n.Rules, printed), plain(n.Rules, n.Read))
}
