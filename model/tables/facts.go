package tables

import (
	"cmp"
	"fmt"
	"strings"
)

// election proposes what the table says of the election.
func (p *Proposal) election(s *sample, add func(string, Source, map[string]string)) {
	facts, odd := map[string]string{}, []string{}
	for _, fact := range []struct {
		role          Role
		column, order string
	}{{"election", "name", ""}, {"county", "jurisdiction", ""}, {"date", "date", ""}, {dateMonthFirst, "date", MonthFirst},
		{dateDayFirst, "date", DayFirst}} {
		given := s.has(fact.role) && s.given.Roles[s.name(fact.role)] == fact.role
		if !s.has(fact.role) || !given && !s.one(fact.role) {
			continue // a column of many values says nothing of the one election
		}
		facts[fact.column] = s.of(fact.role)
		p.Mapping.Dates = cmp.Or(fact.order, p.Mapping.Dates)
		if !given {
			odd = append(odd, fmt.Sprintf("%s: %s is taken for the election's %s.", s.grid.name(), s.of(fact.role), fact.column))
		}
	}
	if facts["name"]+facts["date"] == "" {
		return
	}
	p.Odd = append(p.Odd, odd...)
	add("election", Source{}, facts)
	for _, v := range s.values("date") {
		_, month := day(v, MonthFirst)
		_, first := day(v, DayFirst)
		switch {
		case month && !first:
			p.Mapping.Dates = MonthFirst
		case first && !month:
			p.Mapping.Dates = DayFirst
		case strings.Contains(v, "/") && p.Mapping.Dates == "":
			p.Odd = append(p.Odd, fmt.Sprintf("%s: %q may be one day or another; say which stands first, month or day.",
				s.grid.name(), cut(v)))
		}
	}
}
