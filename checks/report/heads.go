package report

import (
	"fmt"
	"time"

	"counterproof/checks/finding"
	"counterproof/model/casefile"
)

// Pinned is a page of plain text to print and pin up after a seal: the case, each seal with its
// head and the countersigner, the journal's head, and the signers' keys. It contains nothing that
// was keyed. Before a seal the error wraps casefile.ErrNotSealed.
func Pinned(state *casefile.State) ([]byte, error) {
	seals := state.Sealings()
	if len(seals) == 0 {
		return nil, fmt.Errorf("%w: there is no seal whose head could be printed; seal the ballots first",
			casefile.ErrNotSealed)
	}
	local := clockOf(time.Local, state.Started, time.Now().UTC().Format(time.RFC3339))
	t := &plainText{}
	t.line("Cross-check of election definitions: heads of seals")
	t.line("===================================================")
	t.line("")
	t.wrap("", fmt.Sprintf("%s, %s, %s", state.Election.Name, day(state.Election.Date), state.Election.Jurisdiction))
	t.wrap("", "Case "+state.ID)
	t.line("")
	t.wrap("", "Print this page, have the people below sign it by hand, and pin it up where all can see it. A case "+
		"that is put back, keyed anew and sealed again has other heads.")
	for _, s := range seals {
		t.head(fmt.Sprintf("%s sealed, entry %d", finding.Capital(string(s.Terms.Scope)), s.Seq))
		t.wrap("", fmt.Sprintf("%s, by %s", local.moment(s.At), names(whose(state, s.Signers()))))
		switch by := s.Countersigned; {
		case by == nil:
			t.wrap("", "Not countersigned by the programmer yet.")
		case s.InTime():
			t.wrap("", fmt.Sprintf("Countersigned %s, by %s", local.moment(by.At), names(whose(state, by.Signers()))))
		default:
			t.wrap("", fmt.Sprintf("Countersigned %s, by %s, only after an export had come in", local.moment(by.At),
				names(whose(state, by.Signers()))))
		}
		t.digest(s.Sealed.Groups())
	}
	t.head(fmt.Sprintf("Head of the journal, entry %d", state.Seq))
	t.digest(state.Head.Groups())
	t.head("Keys")
	for _, p := range state.People {
		place := fmt.Sprintf("%s (%s), %s, %s", p.Name, p.Initials, p.Seat.Words(), p.Party)
		if !p.Active() {
			place += fmt.Sprintf(", replaced in entry %d", p.Until)
		}
		t.wrap("", place)
		t.digest(p.Fingerprint.Groups())
		t.line("")
		t.line("  Signed by hand: ______________________________")
		t.line("")
	}
	t.wrap("", "Later: cproof verify CASE --head HEAD --key FINGERPRINT says whether the case still holds each of them.")
	return t.b.Bytes(), nil
}

func whose(state *casefile.State, ids []casefile.PersonID) []Who {
	var list []Who
	for _, id := range ids {
		list = append(list, whoIn(state, id))
	}
	return list
}
