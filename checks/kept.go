package checks

import (
	"reflect"
	"slices"

	"counterproof/model"
)

// sameFrame is true where two elections of one side say the same in everything
// but the content of single contests and the voting units: what pairs precincts,
// and what stands on which ballot. Parts that share memory are not read again.
func sameFrame(a, b *model.Election) bool {
	return a == b || len(a.Contests) == len(b.Contests) &&
		same(a.Parties, b.Parties) && same(a.Districts, b.Districts) && same(a.Precincts, b.Precincts) &&
		same(a.Sites, b.Sites) && sameStyles(a.Styles, b.Styles) &&
		same(a.Origins.Parties, b.Origins.Parties) && same(a.Origins.Precincts, b.Origins.Precincts) &&
		same(a.Origins.Styles, b.Origins.Styles) && same(a.Origins.Sites, b.Origins.Sites) && same(a.Origins.Districts, b.Origins.Districts)
}

// shared is true for slices that are one and the same memory.
func shared[T any](a, b []T) bool {
	return len(a) == len(b) && (len(a) == 0 || &a[0] == &b[0])
}

func same[T any](a, b []T) bool { return shared(a, b) || reflect.DeepEqual(a, b) }

func sameContest(a, b *model.Contest) bool { return a == b || reflect.DeepEqual(a, b) }

// sameStyles compares ballots, the bulk of an election, with little work for
// parts that share memory.
func sameStyles(a, b []model.Style) bool {
	if shared(a, b) {
		return true
	}
	return slices.EqualFunc(a, b, func(x, y model.Style) bool {
		content := shared(x.Content, y.Content)
		if content {
			x.Content, y.Content = nil, nil
		}
		return reflect.DeepEqual(x, y)
	})
}
