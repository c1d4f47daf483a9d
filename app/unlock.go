package app

import "counterproof/model/casefile"

// unlockAll asks for the passphrases of people, one after the other, and then goes on.
func (w *Window) unlockAll(people []casefile.PersonID, then func()) {
	if len(people) == 0 {
		then()
		return
	}
	w.AskUnlock(people[0], func() { w.unlockAll(people[1:], then) })
}

// Lacks says whose keys are locked of the two who look at the differences together.
func (p *differencesPlace) Lacks() (out []casefile.PersonID) {
	if ok, _ := p.w.mayCompare(); !ok {
		return nil
	}
	for _, seat := range []casefile.Seat{casefile.SeatProgrammer, casefile.SeatSecond} {
		unlocked := false
		var first casefile.PersonID
		for _, s := range p.w.Session.Seats() {
			if s.Seat != seat || !s.Held() {
				continue
			}
			unlocked = unlocked || s.Unlocked
			if first == "" {
				first = s.Person.ID
			}
		}
		switch {
		case first == "":
			return nil // nobody holds the seat
		case !unlocked:
			out = append(out, first)
		}
	}
	return out
}
