package session

import (
	"errors"
	"fmt"
	"slices"

	"github.com/dustin/go-humanize/english"

	"counterproof/model/casefile"
)

// RosterLine is a precinct of the official roster with its polling site. Use is empty unless sites
// differ by use.
type RosterLine struct{ Precinct, Site, Use string }

// Roster returns the official roster as keyed.
func (s *Session) Roster() []RosterLine {
	var out []RosterLine
	s.eachRosterRow(func(_ int, l RosterLine) { out = append(out, l) })
	return out
}

// RosterPrecincts returns the number of precincts in the roster.
func (s *Session) RosterPrecincts() int {
	seen := map[string]bool{}
	s.eachRosterRow(func(_ int, l RosterLine) {
		if l.Precinct != "" {
			seen[l.Precinct] = true
		}
	})
	return len(seen)
}

// RosterWords says how many precincts a roster has, and at how many polling sites.
func RosterWords(lines []RosterLine) string {
	precincts, sites := map[string]bool{}, map[string]bool{}
	for _, l := range lines {
		precincts[l.Precinct] = true
		if l.Site != "" {
			sites[l.Site] = true
		}
	}
	words := english.Plural(len(precincts), "precinct", "")
	if len(sites) == 0 {
		return words + ", no polling site given"
	}
	return words + " at " + english.Plural(len(sites), "polling site", "")
}

func (s *Session) eachRosterRow(do func(row int, l RosterLine)) {
	if s.Case() == nil {
		return
	}
	sh, err := s.Case().Sheets(0)
	if err != nil {
		return
	}
	for i, r := range sh.Precincts {
		do(i, RosterLine{r.Precinct, r.Site, r.Use})
	}
}

// KeepRoster makes the lines the official roster, as one entry of the journal by the person of the
// second party. It does not touch unchanged rows.
func (s *Session) KeepRoster(lines []RosterLine) error {
	if s.Case() == nil {
		return ErrNoCase
	}
	who, ok := s.Holder(casefile.SeatSecond)
	if !ok {
		return errors.New("the roster is kept by the second party: enrol that person first")
	}
	k, err := s.Case().Keying(who.ID)
	if err != nil {
		return err
	}
	type key struct{ precinct, use string }
	was := map[key]int{}
	var changes []casefile.Change
	sites := map[int]string{}
	k.Tables().Each(casefile.Precincts, func(row int, cells []string) {
		id := key{cells[0], cells[2]}
		if _, twice := was[id]; twice || cells[0] == "" {
			id = key{fmt.Sprintf("\x00%d", row), ""} // removed, because no line can have this name
		}
		was[id], sites[row] = row, cells[1]
	})
	next := k.Next(casefile.Precincts)
	for _, l := range lines {
		if row, there := was[key{l.Precinct, l.Use}]; there {
			delete(was, key{l.Precinct, l.Use})
			if sites[row] != l.Site {
				changes = append(changes, casefile.Set(casefile.Precincts, row, "site", l.Site))
			}
			continue
		}
		changes = append(changes, casefile.Set(casefile.Precincts, next, "precinct", l.Precinct))
		if l.Site != "" {
			changes = append(changes, casefile.Set(casefile.Precincts, next, "site", l.Site))
		}
		if l.Use != "" {
			changes = append(changes, casefile.Set(casefile.Precincts, next, "use", l.Use))
		}
		next++
	}
	var gone []int
	for _, row := range was {
		gone = append(gone, row)
	}
	slices.Sort(gone)
	for _, row := range gone {
		for _, column := range casefile.Precincts.Columns() {
			if k.Get(casefile.Precincts, row, column) != "" {
				changes = append(changes, casefile.Set(casefile.Precincts, row, column, ""))
			}
		}
	}
	if len(changes) == 0 {
		return nil
	}
	return k.Set(changes...)
}
