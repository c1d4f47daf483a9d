package checks

import (
	"crypto/sha256"
	"encoding/hex"
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
	Example:  `"County Clerk": vote for 2, where the export before said 1 and no decision asked for it`,
	Headline: "changed unasked",
	Mark:     finding.MarkNumber,
	Advice:   `This is about two exports: one changed what nobody asked for. Nothing that was keyed can mend it. Fix the configuration, refer it, or decide “as certified” where the change is right; where an order stands behind it, enter an amendment.`,
},
}

// Unasked words a difference between two exports, the later of which is the primary, as
// a change that nobody asked for. from and to name the exports and the days on which
// they came in.
func Unasked(change finding.Finding, from, to string) finding.Finding {
	sum := sha256.Sum256([]byte(string(change.Check) + "\x00" + change.ID))
	f := change
	f.ID = string(codeUnaskedChange) + "-" + hex.EncodeToString(sum[:6])
	f.Check, f.Grade, f.Edits, f.Cause = codeUnaskedChange, finding.MustFix, nil, ""
	f.Places.Second = ""
	f.Facts = unaskedBetween{Of(change.Check).Changed(&change), from, to}
	f.Message = sayUnasked(&f)
	// The second side of a finding is the second entry's; the export before goes into
	// the primary's.
	switch {
	case change.Primary != "" && change.Second != "":
		f.Primary, f.Second = fmt.Sprintf("%s (before: %s)", change.Primary, change.Second), ""
	case change.Second != "":
		f.Primary, f.Second = fmt.Sprintf("(before: %s)", change.Second), ""
	}
	return f
}

// unaskedBetween is what changed, in words, and between which exports.
type unaskedBetween struct{ change, from, to string }

func sayUnasked(f *finding.Finding) string {
	x := f.Facts.(unaskedBetween)
	return fmt.Sprintf("%s. It changed between the exports %s and %s, and no decision or amendment asked for it.", x.change, x.from, x.to)
}
