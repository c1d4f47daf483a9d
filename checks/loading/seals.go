package loading

import (
	"fmt"
	"slices"
	"strconv"

	"counterproof/checks"
	"counterproof/model/cards"
)

// SealState is what the record says of a place on a unit that is sealed.
type SealState struct {
	Place string
	// Number is the seal that is there, empty for none.
	Number string
}

// SealFault is a fault of a seal, with the visit and the record that show it.
type SealFault struct {
	checks.SealFault
	Unit, Team string
	Visit      int
	Record     Record
}

// sealEvent is a seal removed or applied, with its visit.
type sealEvent struct {
	Record
	unit  string
	visit int
}

// SealFaults follows the seals of all units in the order of the record: what was found at an opening and is
// not the seal last recorded there, a number that was applied before, a seal put over another. A
// place that no seal is recorded for shows nothing when it is first opened, unless the seal that is found
// there was applied elsewhere.
func SealFaults(visits []Visit) (faults []SealFault) {
	var events []sealEvent
	for i := range visits {
		for _, r := range visits[i].Seals {
			events = append(events, sealEvent{r, visits[i].Unit, visits[i].Number})
		}
	}
	slices.SortFunc(events, func(a, b sealEvent) int { return a.order - b.order })
	there := map[[2]string]string{}      // by unit and place: the seal that is there
	applied := map[string][]*sealEvent{} // by number: where it was applied
	for i := range events {
		e := &events[i]
		place := [2]string{e.unit, label(e.Name)}
		recorded, number := there[place], label(e.Value)
		fault := checks.SealFault{Place: e.Name, Number: e.Value, Recorded: recorded, Applied: e.Field == cards.SealApplied}
		add := func() {
			faults = append(faults, SealFault{fault, e.unit, e.Team, e.visit, e.Record})
		}
		if !fault.Applied {
			fault.Before = elsewhere(applied[number], place)
			if recorded != "" && label(recorded) != number || recorded == "" && fault.Before != "" {
				add()
			}
			delete(there, place)
			continue
		}
		// The seal that is there, read once more, is no other one.
		if recorded == "" || label(recorded) != number {
			if was := applied[number]; len(was) > 0 {
				fault.Before = where(was[0])
				add()
			} else if recorded != "" {
				add()
			}
			applied[number] = append(applied[number], e)
		}
		there[place] = e.Value
	}
	return faults
}

func where(e *sealEvent) string { return fmt.Sprintf("unit %s, %s", e.unit, e.Name) }

// elsewhere says where a seal was applied but at one place; empty for nowhere.
func elsewhere(list []*sealEvent, but [2]string) string {
	for _, e := range list {
		if e.unit != but[0] || label(e.Name) != but[1] {
			return where(e)
		}
	}
	return ""
}

// SealsOf are the places on a unit with the seal that is there, in the order in which they were
// first recorded.
func SealsOf(visits []Visit, unit string) (out []SealState) {
	var list []Record
	for i := range visits {
		if visits[i].Unit == unit {
			list = append(list, visits[i].Seals...)
		}
	}
	slices.SortFunc(list, func(a, b Record) int { return a.order - b.order })
	for _, r := range list {
		i := slices.IndexFunc(out, func(s SealState) bool { return label(s.Place) == label(r.Name) })
		if i < 0 {
			i = len(out)
			out = append(out, SealState{Place: r.Name})
		}
		out[i].Number = ""
		if r.Field == cards.SealApplied {
			out[i].Number = r.Value
		}
	}
	return out
}

func visitName(team string, number int) string { return team + "#" + strconv.Itoa(number) }
