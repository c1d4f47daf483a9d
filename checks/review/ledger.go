package review

import (
	"fmt"
	"slices"
	"strings"

	"counterproof/model/cards"
	"counterproof/model/casefile"
)

// NameExports gives cards the digest of the export that each was made from, where they name one of the
// case as it came in. A digest stays, in lower-case letters.
func NameExports(state *casefile.State, list []cards.Card) ([]cards.Card, error) {
	list = slices.Clone(list)
	for i := range list {
		found := map[string]bool{}
		for _, x := range state.Exports {
			if x.Name == list[i].Export {
				found[x.Digest.String()] = true
			}
		}
		switch len(found) {
		case 0:
			list[i].Export = strings.ToLower(list[i].Export)
		case 1:
			for digest := range found {
				list[i].Export = digest
			}
		default:
			return nil, fmt.Errorf("card %s: several exports of this case are called %q; give the digest", list[i].Label,
				list[i].Export)
		}
	}
	return list, nil
}
