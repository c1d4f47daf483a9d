package checks

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"

	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model"
)

const codeKeyersDiffer finding.Code = "keyers-differ"

var keyersDiffer = &Check{Check: finding.Check{
	Code:    codeKeyersDiffer,
	Purpose: "two keyers of one case keyed the same thing differently",
	Doc: `Where several people share the keying, what two of them keyed is compared; neither is
chosen silently. Needs a case. Graded must-fix.`,
	Example: `"Town Clerk": Ruth Adeyemi by one keyer, Ruth Adeyami by the other`,
	Mark:    finding.MarkSpelling,
	Keying:  true,
},
}

// Keyer is what one of several people keyed of the second entry.
type Keyer struct {
	// Name is the person, for findings.
	Name  string
	Entry *model.Election
}

// UniteKeyers puts what several people keyed together into one second entry, and
// reports what two of them keyed differently (keyers-differ). What two keyed is
// taken from the first of them: it is never a silent choice, because the difference
// is a finding. What only one keyed is no difference. The entries are not changed.
func UniteKeyers(keyers []Keyer, opts Options) (*model.Election, []finding.Finding) {
	opts.Mapped = nil
	if len(keyers) == 0 {
		return &model.Election{}, nil
	}
	whole := keyers[0].Entry
	var findings []finding.Finding
	for n := 1; n < len(keyers); n++ {
		for before := range n {
			findings = append(findings, keyersDifferIn(keyers[before], keyers[n], opts)...)
		}
		whole = unite(whole, keyers[n].Entry, opts)
	}
	seen := map[string]bool{}
	findings = slices.DeleteFunc(findings, func(f finding.Finding) bool {
		was := seen[f.ID]
		seen[f.ID] = true
		return was
	})
	return whole, findings
}

// keyersDifferIn compares two keyers' entries. The first takes the primary's place.
func keyersDifferIn(a, b Keyer, opts Options) []finding.Finding {
	var out []finding.Finding
	for _, f := range ComparePaired(pairing.OfKeyers(a.Entry, b.Entry, opts.Language), opts).Findings {
		check := Find(f.Check)
		// Several keyers share the work, so each has things that the others have not.
		if check == nil || check.Lone || check.Inspects || f.Grade == finding.Note {
			continue
		}
		sum := sha256.Sum256([]byte(f.ID))
		has := func(words string) string {
			if words == "" {
				return "nothing"
			}
			return finding.Quote(words)
		}
		about := cmp.Or(onChoice(&f), quoteIf(f.Contest), unitIf(f.Unit), f.Style, f.Site, finding.ShortList(f.Precincts),
			partyIf(check, &f), "the election")
		message := fmt.Sprintf("Two keyers differ on %s (%s): %s keyed %s, %s keyed %s", about, check.Purpose, a.Name,
			has(f.Primary), b.Name, has(f.Second))
		if f.Primary == "" && f.Second == "" {
			message = fmt.Sprintf("Two keyers differ on %s: by %s and by %s it is not the same (%s)", about, a.Name, b.Name,
				check.Purpose)
		}
		second := fmt.Sprintf("%s: %s; %s: %s", a.Name, has(f.Primary), b.Name, has(f.Second))
		f.ID, f.Check, f.Grade = string(codeKeyersDiffer)+"-"+hex.EncodeToString(sum[:6]), codeKeyersDiffer, finding.MustFix
		f.Primary, f.Second, f.Message, f.Cause = "", second, message+".", ""
		f.Values = [2]finding.Value{{}, {Words: second}}
		f.Places = finding.Places{Second: strings.Join(slices.DeleteFunc([]string{f.Places.Primary, f.Places.Second},
			func(s string) bool { return s == "" }), "; ")}
		out = append(out, f)
	}
	return out
}

// partyIf names the party that a finding is about; empty where it is about none.
func partyIf(check *Check, f *finding.Finding) string {
	if !slices.Contains(check.Keyed, finding.Party) || f.Second == "" {
		return ""
	}
	return "the party " + finding.Quote(f.Second)
}

func onChoice(f *finding.Finding) string {
	if f.Choice == "" || f.Contest == "" {
		return ""
	}
	return finding.Quote(f.Choice) + " in " + finding.Quote(f.Contest)
}

func quoteIf(s string) string {
	if s == "" {
		return ""
	}
	return finding.Quote(s)
}

func unitIf(s string) string {
	if s == "" {
		return ""
	}
	return "unit " + s
}
