package decks

import (
	"counterproof/checks/deck"
	"counterproof/checks/review"
	"counterproof/model"
)

// Choice is a rule of counting that an office chooses by the law of its state.
type Choice struct {
	// Label names it; Take takes it.
	Label string
	Take  func(*deck.Rules)
}

// Question asks for one rule of counting.
type Question struct {
	Head, Words string
	Choices     []Choice
}

// Questions are the rules that no ballot states and that the ballots of this case need.
func Questions(r *review.Review) (out []Question, err error) {
	e, err := r.DeckEntry()
	if err != nil {
		return nil, err
	}
	if hasStraightParty(e) {
		straight := func(label string, rule deck.StraightParty) Choice {
			return Choice{label, func(r *deck.Rules) { r.StraightParty = rule }}
		}
		out = append(out, Question{"What does a straight-party mark count?", "The ballots have a straight-party contest. " +
			"Your state's law says what a mark there fills with the party's candidates; no ballot does.", []Choice{
			straight("Contests not marked at all", deck.FillUnmarked),
			straight("Also votes left in a contest for several", deck.FillRemaining),
			straight("Only contests for one vote", deck.FillSingle),
			straight("We do not know: leave out what it changes", "")}})
	}
	if hasSeveralParties(e) {
		open := func(label string, rule deck.OpenPrimary) Choice {
			return Choice{label, func(r *deck.Rules) { r.OpenPrimary = rule }}
		}
		out = append(out, Question{"Marks in contests of several parties", "One ballot holds the contests of several " +
			"parties. What do marks in contests of more than one party count?", []Choice{
			open("Nothing: they are overvotes", deck.VoidAsOvervotes), open("Nothing: they are undervotes",
				deck.VoidAsUndervotes),
			open("Each contest is counted by itself", deck.EachContest)}})
	}
	return out, nil
}

func hasStraightParty(e *model.Election) bool {
	for i := range e.Contests {
		if e.Contests[i].Kind.Value == model.KindParty {
			return true
		}
	}
	return false
}

// hasSeveralParties reports whether a ballot holds the primaries of several parties.
func hasSeveralParties(e *model.Election) bool {
	for i := range e.Styles {
		parties := map[int]bool{}
		for _, place := range e.Styles[i].Content {
			for _, p := range e.Contests[place.Contest].PrimaryParties.Value {
				parties[p] = true
			}
		}
		if len(parties) > 1 {
			return true
		}
	}
	return false
}
