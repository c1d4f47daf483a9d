package checks

import (
	"cmp"

	"counterproof/checks/finding"
)

// tellApart makes sure that no two findings of a result read alike: those that would say what tells
// them apart, the party of the primary, the choice, the precincts, or the place in the export.
func tellApart(list []finding.Finding) {
	for _, more := range []func(*finding.Finding) string{
		func(f *finding.Finding) string { return called("This is in the primary of ", f.Party) },
		func(f *finding.Finding) string { return called("The choice is ", f.Choice) },
		func(f *finding.Finding) string {
			if len(f.Precincts) == 0 {
				return ""
			}
			return " On the ballot of " + finding.ShortList(f.Precincts) + "."
		},
		func(f *finding.Finding) string {
			return called("See ", cmp.Or(f.Places.Primary, f.Places.Second))
		},
	} {
		said := map[string]int{}
		for i := range list {
			said[list[i].Message]++
		}
		for i := range list {
			if said[list[i].Message] > 1 {
				list[i].Message += more(&list[i])
			}
		}
	}
}

func called(what, name string) string {
	if name == "" {
		return ""
	}
	return " " + what + name + "."
}
