package sheets

import (
	"slices"
	"strings"

	"counterproof/model"
)

// readParties reads parties.csv and adds the parties that only other sheets
// mention, in the order of their codes, so that the order of rows in those
// sheets makes no difference.
func (b *builder) readParties() error {
	e := b.election
	b.sharedNames = map[string]bool{}
	add := func(party model.Party, code string, at Place) {
		e.Parties = append(e.Parties, party)
		e.Origins.Parties = append(e.Origins.Parties, model.Origin{ID: code, File: at.File, Line: at.Line})
	}
	for _, row := range b.sheets.Parties {
		code, name := strings.TrimSpace(row.Party), strings.TrimSpace(row.Name)
		var party model.Party
		switch {
		case code == "" && name == "":
			return fault(row.Place, "party", "write the code that the proof prints", "the party has neither code nor name")
		case code == nothing || strings.Contains(code, separator):
			return fault(row.Place, "party", "in the other sheets - stands for no party and | joins several: use another code",
				"%s cannot be the code of a party", quote(code))
		case code == "" && (name == nothing || strings.Contains(name, separator)):
			return fault(row.Place, "party",
				"give the party a code: in the other sheets - stands for no party and | joins several",
				"%s cannot stand for the party", quote(name))
		}
		if code != "" {
			if first, ok := b.partyCodes.find(code); ok {
				return fault(row.Place, "party", "give each party its own code", "the code %s already stands on line %d",
					quote(code), e.Origins.Parties[first].Line)
			}
			b.partyCodes.add(code, len(e.Parties))
			party.Abbreviation = model.Say(model.Plain(code))
		}
		if name != "" {
			if first, ok := b.partyNames.find(name); !ok {
				b.partyNames.add(name, len(e.Parties))
			} else if code == "" || !e.Parties[first].Abbreviation.Known {
				return fault(row.Place, "name", "give both parties codes, or remove one of them",
					"the party %s already stands on %s", quote(name), placeOf(e.Origins.Parties[first]).other())
			} else {
				b.sharedNames[canonical(name)] = true
			}
			party.Name = model.Say(model.Plain(name))
		}
		party.Name = further(party.Name, row.FurtherName)
		if typed := strings.TrimSpace(row.Order); typed != "" {
			n, ok := readNumber(typed)
			if !ok || n == 0 {
				return fault(row.Place, "order", "write 1 for the party that the proof prints first, 2 for the next",
					"%s is not a place in the order of parties", quote(typed))
			}
			party.Order = model.Say(n)
		}
		add(party, code, row.Place)
	}
	for i, row := range b.sheets.Parties {
		// Such a name would stand for the other party wherever it is written.
		if e.Parties[i].Abbreviation.Known {
			continue
		}
		if other, ok := b.partyCodes.find(row.Name); ok {
			return fault(row.Place, "name", "give the party a code of its own", "%s is also the code of the party on %s",
				quote(row.Name), placeOf(e.Origins.Parties[other]).other())
		}
	}

	type mention struct {
		name string
		at   Place
	}
	implicit := map[string]mention{}
	last := ""
	note := func(cell string, at Place) {
		if cell == "" || cell == last {
			return
		}
		last = cell
		for _, name := range strings.Split(cell, separator) {
			key := canonical(name)
			if key == "" || key == nothing {
				continue
			}
			if _, ok := b.partyCodes.index[key]; ok {
				continue
			}
			if _, ok := b.partyNames.index[key]; ok {
				continue
			}
			if _, ok := implicit[key]; !ok {
				implicit[key] = mention{strings.TrimSpace(name), at}
			}
		}
	}
	for i := range b.sheets.Contests {
		note(b.sheets.Contests[i].PrimaryParty, b.sheets.Contests[i].Place)
	}
	for i := range b.sheets.Choices {
		note(b.sheets.Choices[i].PartyLines, b.sheets.Choices[i].Place)
	}
	for i := range b.sheets.Ballots {
		note(b.sheets.Ballots[i].Party, b.sheets.Ballots[i].Place)
	}
	for i := range b.sheets.Styles {
		note(b.sheets.Styles[i].Party, b.sheets.Styles[i].Place)
	}
	keys := make([]string, 0, len(implicit))
	for key := range implicit {
		keys = append(keys, key)
	}
	slices.Sort(keys)
	folded := b.foldedCodes()
	for _, key := range keys {
		m := implicit[key]
		if party, ok := folded[strings.ToLower(key)]; ok && party >= 0 {
			b.partyCodes.add(key, party)
			continue
		}
		b.partyCodes.add(key, len(e.Parties))
		add(model.Party{Abbreviation: model.Say(model.Plain(m.name))}, m.name, m.at)
	}
	b.partyCells = map[string]model.Stated[[]int]{}
	return nil
}

// foldedCodes are the codes of parties.csv without regard to capitals: what another
// sheet writes in other capitals is the same party, where no other code is like it. It
// is -1 for codes that only capitals tell apart.
func (b *builder) foldedCodes() map[string]int {
	folded := map[string]int{}
	for _, code := range b.partyCodes.list {
		key := strings.ToLower(code)
		if _, twice := folded[key]; twice {
			folded[key] = -1
			continue
		}
		folded[key], _ = b.partyCodes.find(code)
	}
	return folded
}

// parties reads a cell that names parties by code or full name, several joined by
// a bar. An empty cell states nothing, a dash states none. The result is shared
// between equal cells: whoever changes it copies it first.
func (b *builder) parties(cell string, at Place, column string) (model.Stated[[]int], error) {
	if known, ok := b.partyCells[cell]; ok {
		return known, nil
	}
	var read model.Stated[[]int]
	switch typed := strings.TrimSpace(cell); typed {
	case "":
	case nothing:
		read.Known = true
	default:
		read.Known = true
		seen := map[int]bool{}
		for _, name := range strings.Split(typed, separator) {
			name = strings.TrimSpace(name)
			switch name {
			case "":
				return read, fault(at, column, "write codes with one | between them, such as DEM|WOR", "%s names an empty party",
					quote(typed))
			case nothing:
				return read, fault(at, column, "write - alone where no party is printed, else only the parties",
					"%s names a party and none", quote(typed))
			}
			p, ok := b.partyCodes.find(name)
			if !ok {
				p, _ = b.partyNames.find(name)
			}
			if !ok && b.sharedNames[canonical(name)] {
				return read, fault(at, column, "use the party's code", "several parties are called %s", quote(name))
			}
			if seen[p] {
				return read, fault(at, column, "name each party once; a choice that is printed on one line twice has two positions",
					"%s names the party %s twice", quote(typed), quote(name))
			}
			seen[p] = true
			read.Value = append(read.Value, p)
		}
	}
	b.partyCells[cell] = read
	return read, nil
}
