package main

import (
	"fmt"
	"strings"

	"github.com/dustin/go-humanize/english"
	"github.com/go-json-experiment/json"

	"counterproof/checks/loading"
	"counterproof/model/cards"
	"counterproof/model/casefile"
)

// cardsWords describes an entry about cards and machines, empty for another entry.
func (j journalTeller) cardsWords(e *casefile.Entry) string {
	switch e.Kind {
	case casefile.KindMachineRules:
		return signedAct(j, e, machineRulesWords)
	case casefile.KindUnitSigned:
		return signedAct(j, e, func(terms casefile.UnitSignature) string {
			return fmt.Sprintf("unit %s, visit %d, is done", terms.Unit, terms.Visit)
		})
	case casefile.KindUnitDecided:
		return signedAct(j, e, func(terms casefile.UnitDecision) string {
			return fmt.Sprintf("at the machines decided %s: %s; %s", terms.Outcome, findingsIn(terms.Findings), terms.Reason)
		})
	case casefile.KindUnitRead:
		var r cards.Reading
		if json.Unmarshal([]byte(e.Body), &r) == nil {
			return readingWords(r) + ", keyed by " + j.name(e.Who)
		}
	case casefile.KindCardsMade:
		var body struct {
			Cards []cards.Card `json:"cards"`
		}
		if json.Unmarshal([]byte(e.Body), &body) == nil {
			return fmt.Sprintf("%s entered in the ledger by %s", english.Plural(len(body.Cards), "card", ""), j.name(e.Who))
		}
	}
	return j.teamWords(e)
}

func machineRulesWords(terms cards.Rules) string {
	itself := "do not change to and from daylight saving time by themselves"
	if terms.ChangesItself {
		itself = "change to and from daylight saving time by themselves"
	}
	return fmt.Sprintf("the machines are in the time zone %s and %s; keys: %s; seals: %s; counters: %s", terms.Zone,
		itself, orNone(strings.Join(terms.Keys, ", ")), orNone(strings.Join(terms.Seals, ", ")),
		orNone(strings.Join(terms.Counters, ", ")))
}

// readingWords describes what was read at a unit.
func readingWords(r cards.Reading) string {
	what := loading.FieldWords(loading.Key{Field: r.Field, Name: r.Name})
	words := fmt.Sprintf("unit %s: %s: %s", r.Unit, what, loading.ReadingWords(r))
	switch {
	case r.Field == cards.Visit:
		words = fmt.Sprintf("unit %s: another visit", r.Unit)
	case r.Open:
		words += " …"
	case r.Void:
		words = fmt.Sprintf("unit %s: %s was not read", r.Unit, what)
	}
	if r.Corrects != 0 {
		words += fmt.Sprintf(", in place of entry %d (%s)", r.Corrects, r.Reason)
	}
	return words
}

func (j journalTeller) teamWords(e *casefile.Entry) string {
	switch e.Kind {
	case casefile.KindTeamFormed:
		var team cards.Team
		if json.Unmarshal([]byte(e.Body), &team) == nil {
			return fmt.Sprintf("team %s was formed by %s for %s", team.Name, j.name(e.Who), unitsInWords(team.Units))
		}
	case casefile.KindTeamWork:
		return "from here on this is the case of team " + j.state.Team()
	case casefile.KindTeamJoined:
		var body struct {
			Team    int64  `json:"team"`
			Entries int64  `json:"entries"`
			Name    string `json:"name"`
		}
		if json.Unmarshal([]byte(e.Body), &body) == nil {
			for _, t := range j.state.Teams {
				if t.Seq == body.Team {
					return fmt.Sprintf("what team %s recorded up to its entry %d was joined by %s from %q", t.Name, body.Entries,
						j.name(e.Who), body.Name)
				}
			}
		}
	}
	return ""
}
