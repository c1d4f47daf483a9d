package planted

import "counterproof/checks/finding"

// Kinds returns every kind of mistake. Two codes are in none of them, since they
// need a case: unasked-change and keyers-differ.
func Kinds() []*Kind {
	var all []*Kind
	for _, list := range [][]*Kind{ballotKinds, styleKinds, rosterKinds, contestKinds, exchangeKinds, choiceKinds,
		lineKinds, nameKinds, unitKinds, electionKinds, faultKinds, languageKinds, causeKinds} {
		all = append(all, list...)
	}
	return all
}

// onEither makes a kind for each side.
func onEither(name, doc string, code finding.Code, grade finding.Grade, plant func(*planter) []Expect) []*Kind {
	return []*Kind{
		{Name: name + " in the export", Doc: doc, Code: code, Grade: grade, Side: "primary", plant: plant},
		{Name: name + " by the keyer", Doc: doc, Code: code, Grade: grade, Side: "second", plant: plant},
	}
}

func join(lists ...[]*Kind) []*Kind {
	var all []*Kind
	for _, l := range lists {
		all = append(all, l...)
	}
	return all
}
