package checks

import (
	"fmt"

	"counterproof/checks/finding"
)

const codeUnaskedChange finding.Code = "unasked-change"

var unaskedChange = &Check{Check: finding.Check{
	Code:    codeUnaskedChange,
	Purpose: "between two exports of one case, something changed that nobody asked for",
	Doc: `When a corrected export comes in, it is compared with the one before it. What changed
and was asked for by no decision and no amendment is reported: the late change that
nobody mentioned is how wrong cards are made. Needs a case. Graded must-fix.`,
	Example: `"County Clerk": vote for 2, where the export before said 1 and no decision asked for it`,
	Mark:    finding.MarkNumber,
	Advice: `This is about two exports: one changed what nobody asked for. Nothing that was keyed can mend it. Fix ` +
		`the configuration, refer it, or decide “as certified” where the change is right; where an order stands behind it, ` +
		`enter an amendment.`,
},
}

// UnaskedID is the identity of a change that nobody asked for.
func UnaskedID(change string) string { return string(codeUnaskedChange) + "-" + change }

// IsUnasked reports whether a finding is a change that nobody asked for, of what is
// compared or of what is not.
func IsUnasked(code finding.Code) bool { return code == codeUnaskedChange || isUnread(code) }

// Unasked makes a change that nobody asked for a finding: about says what it is about,
// change what it is in a few words, from and to name the exports and the days on which
// they came in.
func Unasked(about finding.Finding, change, before, after, from, to string) finding.Finding {
	f := about
	f.ID, f.Check, f.Grade = UnaskedID(about.ID), codeUnaskedChange, finding.MustFix
	f.Primary, f.Facts = UnaskedValues(before, after), unaskedBetween{change, from, to}
	f.Values = [2]finding.Value{{Words: f.Primary}, {}}
	if f.Precincts == nil {
		f.Precincts = []string{}
	}
	f.Message = sayUnasked(&f)
	return f
}

// UnaskedValues are both values. The second side of a finding is the second entry's; the
// export before goes into the export's.
func UnaskedValues(before, after string) string {
	switch {
	case after != "" && before != "":
		return fmt.Sprintf("%s (before: %s)", after, before)
	case before != "":
		return fmt.Sprintf("(before: %s)", before)
	}
	return after
}

// unaskedBetween is what changed, in words, and between which exports.
type unaskedBetween struct{ Change, From, To string }

func sayUnasked(f *finding.Finding) string {
	x := f.Facts.(unaskedBetween)
	return fmt.Sprintf("%s. It changed between the exports %s and %s, and no decision or amendment asked for it.",
		finding.Capital(x.Change), x.From, x.To)
}
