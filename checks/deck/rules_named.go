package deck

import (
	"fmt"
	"maps"
	"slices"
)

// Names of the rules where they are written down.
const (
	straightPartyRule = "straight-party"
	openPrimaryRule   = "open-primary"
)

// Named are the rules that were chosen, by name; nil for none.
func (r Rules) Named() map[string]string {
	out := map[string]string{}
	if r.StraightParty != "" {
		out[straightPartyRule] = string(r.StraightParty)
	}
	if r.OpenPrimary != "" {
		out[openPrimaryRule] = string(r.OpenPrimary)
	}
	if len(out) == 0 {
		return nil
	}
	return out
}

// RulesNamed are the rules that were written down. It is an error if one is not known.
func RulesNamed(named map[string]string) (Rules, error) {
	for _, name := range slices.Sorted(maps.Keys(named)) {
		if name != straightPartyRule && name != openPrimaryRule {
			return Rules{}, fmt.Errorf("%.80q is no rule of counting that this program knows", name)
		}
	}
	r := Rules{StraightParty: StraightParty(named[straightPartyRule]), OpenPrimary: OpenPrimary(named[openPrimaryRule])}
	return r, r.check()
}

// Words say by which rules a key was counted, each a sentence: those of the contests that it is of.
func (k *Key) Words() (out []string) {
	if k.straight {
		out = append(out, "Straight party: "+map[StraightParty]string{
			"":            "no rule was chosen; contests that the rules count differently are not counted.",
			FillUnmarked:  "a mark fills contests in which nothing is marked with the party's candidates.",
			FillRemaining: "a mark fills votes that are left with the party's candidates.",
			FillSingle:    "a mark fills contests for one vote, if nothing is marked there, with the party's candidate.",
		}[k.Rules.StraightParty])
	}
	if k.open {
		const one = "a ballot counts in the contests of the party that it is marked for; marked for more than one, its " +
			"marks count for nobody, as "
		out = append(out, "Open primary: "+map[OpenPrimary]string{
			VoidAsOvervotes:  one + "overvotes.",
			VoidAsUndervotes: one + "undervotes.",
			EachContest:      "each contest is counted by itself, whatever party it is of.",
		}[k.Rules.OpenPrimary])
	}
	return out
}
