package checks

import (
	"fmt"
	"strings"

	"counterproof/checks/finding"
)

const codeUnreadChange finding.Code = "unread-change"

var unreadChange = &Check{Check: finding.Check{
	Code:    codeUnreadChange,
	Purpose: "between two exports of one case, something changed that no check compares",
	Doc: `An export says more than what a ballot prints: how many are elected, an incumbent's
mark, an office, a person's address. No check compares that with what was keyed. Between two
exports of a case a change in it is reported all the same, so that nothing changes unseen: what,
on which thing, before and after. Equal changes of one member are one finding. Needs a case.
Graded confirm.`,
	Example: `NumberElected of "County Judge": "2", before "1"`,
	Mark:    finding.MarkNumber,
	Advice: `This is about two exports, and about something that no check compares. Nothing that was keyed can mend ` +
		`it. Ask whoever programs the election why it changed; then decide “as certified” where it is right, or have the ` +
		`configuration fixed.`,
},
}

func isUnread(code finding.Code) bool { return code == codeUnreadChange }

// UnreadID is the identity of a change in what no check compares.
func UnreadID(change string) string { return string(codeUnreadChange) + "-" + change }

// Unread makes a change in what no check compares a finding, as Unasked does.
func Unread(about finding.Finding, change, before, after, from, to string) finding.Finding {
	f := Unasked(about, change, before, after, from, to)
	f.ID, f.Check, f.Grade = UnreadID(about.ID), codeUnreadChange, finding.Confirm
	f.Message = sayUnread(&f)
	return f
}

func sayUnread(f *finding.Finding) string {
	x := f.Facts.(unaskedBetween)
	return fmt.Sprintf("%s. No check compares this. It changed between the exports %s and %s.",
		strings.ToUpper(x.Change[:1])+x.Change[1:], x.From, x.To)
}
