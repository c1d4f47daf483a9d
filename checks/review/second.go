package review

import (
	"fmt"
	"reflect"
	"slices"
	"strings"

	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/model"
	"counterproof/model/casefile"
	"counterproof/model/sheets"
)

// keyed is the current second entry, cached until its sources change.
type keyed struct {
	at string
	// corrections is the number of corrections that it includes.
	corrections int
	sources     []*model.Election
	election    *model.Election
	differ      []finding.Finding
}

// second returns the second entry of all keyers as one election, and the findings where two keyers
// of the same thing differ. Until the units are sealed they are left out, and an error that the
// entry cannot be read does not mention them.
func (r *Review) second(state *casefile.State) (*model.Election, []finding.Finding, error) {
	return r.secondEntry(state, state.Sealed(casefile.ScopeUnits))
}

// bareVersion is the suffix for the version of a second entry without the units.
const bareVersion = " without units"

// secondEntry is second, with or without the units.
func (r *Review) secondEntry(state *casefile.State, whole bool) (*model.Election, []finding.Finding, error) {
	at := version(state)
	if !whole {
		at += bareVersion
	}
	if r.keyed != nil && r.keyed.at == at {
		return r.keyed.election, r.keyed.differ, nil
	}
	if k := r.corrected(state); k != nil {
		k.at = at
		r.keyed = k
		return k.election, nil, nil
	}
	k := &keyed{at: at, corrections: len(state.Corrections)}
	var keyers []checks.Keyer
	for source := 0; source <= len(state.Joined); source++ {
		rows, err := r.of.Sheets(source)
		if err != nil {
			return nil, nil, err
		}
		if !whole {
			WithoutUnits(rows)
		}
		e, err := election(rows, source)
		if err != nil {
			return nil, nil, err
		}
		if r.keyed != nil && source < len(r.keyed.sources) {
			share(r.keyed.sources[source], e)
		}
		k.sources = append(k.sources, e)
		keyers = append(keyers, checks.Keyer{Name: KeyerOf(state, source), Entry: e})
	}
	if len(keyers) == 1 {
		k.election = k.sources[0]
	} else {
		k.election, k.differ = checks.UniteKeyers(keyers, optionsOf(state))
	}
	r.keyed = k
	return k.election, k.differ, nil
}

// WithoutUnits removes the units and polling sites, which are blind until their own seal, from the
// rows of a second entry.
func WithoutUnits(rows *sheets.Sheets) {
	rows.Units = nil
	known := map[string]bool{}
	rows.Precincts = slices.DeleteFunc(rows.Precincts, func(p sheets.PrecinctRow) bool {
		was := known[p.Precinct]
		known[p.Precinct] = true
		return was
	})
	for i := range rows.Precincts {
		rows.Precincts[i].Site, rows.Precincts[i].Use = "", ""
	}
}

// corrected returns the second entry after corrections that changed only the content of contests.
// It reuses the ballots, the bulk of a county, from the entry before. It returns nil if more
// changed and everything must be read again.
func (r *Review) corrected(state *casefile.State) *keyed {
	if r.keyed == nil || r.keyed.at == "" || len(state.Joined) > 0 || len(state.Corrections) <= r.keyed.corrections ||
		strings.TrimSuffix(r.keyed.at, bareVersion) != versionAt(state, r.keyed.corrections) {
		return nil
	}
	var fields []casefile.Field
	for _, a := range state.Corrections[r.keyed.corrections:] {
		fields = append(fields, a.Terms.Fields()...)
	}
	e := r.withContests(r.keyed.election, fields, nil)
	if e == nil {
		return nil
	}
	return &keyed{corrections: len(state.Corrections), sources: []*model.Election{e}, election: e}
}

// withContests returns the second entry with the contests of some fields read again, as if the
// changes had been made. It shares everything else with the election before. It returns nil if the
// fields are about more than the content of single contests, or if the result cannot be read.
func (r *Review) withContests(before *model.Election, fields []casefile.Field,
	changes []casefile.Change) *model.Election {
	var touched []casefile.Row
	parties := false
	for _, f := range fields {
		// A reference to a contest, or the order of a ballot, affects more than the contest.
		if f.Source != 0 || f.Table != casefile.Contests && f.Table != casefile.Choices || f.Column == "contest" ||
			f.Column == "position" {
			return nil
		}
		parties = parties || f.Column == "party_lines" || f.Column == "primary_party"
		touched = append(touched, casefile.Row{Table: f.Table, Row: f.Row})
	}
	rows, err := r.of.ContestSheets(0, changes, touched...)
	if err != nil {
		return nil
	}
	// Parties that only contests and ballots mention come after those that were keyed.
	if keyed := len(rows.Parties); keyed < len(before.Parties) {
		if parties {
			return nil // a party may be added or removed
		}
		for _, p := range before.Parties[keyed:] {
			rows.Parties = append(rows.Parties, sheets.PartyRow{Party: p.Abbreviation.Value.In("")})
		}
	}
	now, err := rows.Election()
	if err != nil || !reflect.DeepEqual(now.Parties, before.Parties) {
		return nil
	}
	index := make(map[string]int, len(before.Contests))
	for i := range before.Origins.Contests {
		index[before.Origins.Contests[i].ID] = i
	}
	e := *before
	e.Contests, e.Origins.Contests = slices.Clone(before.Contests), slices.Clone(before.Origins.Contests)
	for k := range now.Contests {
		i, known := index[now.Origins.Contests[k].ID]
		if !known || len(now.Contests[k].Choices) != len(before.Contests[i].Choices) {
			return nil
		}
		e.Contests[i], e.Origins.Contests[i] = now.Contests[k], now.Origins.Contests[k]
	}
	return &e
}

// version shows when the second entry may have changed. After the seal it changes only by acts that
// are counted here.
func version(state *casefile.State) string {
	if !state.Sealed(casefile.ScopeBallots) || len(state.OpenAmendments()) > 0 {
		return state.Head.String()
	}
	return versionAt(state, len(state.Corrections))
}

func versionAt(state *casefile.State, corrections int) string {
	return fmt.Sprint(corrections, len(state.Joined), len(state.Seals), len(state.Amendments))
}

// election makes an election from the rows of a source. If a fault shows only when rows are
// combined, such as a choice of a contest without a title, the error names the row.
func election(rows *sheets.Sheets, source int) (*model.Election, error) {
	e, err := rows.Election()
	if err != nil && source > 0 {
		return nil, fmt.Errorf("joined case %d: %w", source, err)
	}
	return e, err
}

// share makes a new election reuse the memory of the previous one where both are equal, so that the
// next comparison can skip what did not change.
func share(before, now *model.Election) {
	if len(before.Styles) != len(now.Styles) {
		return
	}
	for i := range now.Styles {
		if slices.EqualFunc(before.Styles[i].Content, now.Styles[i].Content, samePlacement) {
			now.Styles[i].Content = before.Styles[i].Content
		}
	}
}

func samePlacement(a, b model.Placement) bool {
	return a.Contest == b.Contest && a.Headings.Known == b.Headings.Known && a.Order.Known == b.Order.Known &&
		slices.Equal(a.Order.Value, b.Order.Value) &&
		slices.EqualFunc(a.Headings.Value, b.Headings.Value, func(x, y model.Text) bool { return slices.Equal(x, y) })
}

// KeyerOf names the people who keyed a source.
func KeyerOf(state *casefile.State, source int) string {
	of := state
	if source > 0 {
		of = state.Joined[source-1].State
	}
	name := ""
	if of != nil {
		for _, id := range of.Keying {
			if p, ok := of.Person(id); ok {
				if name != "" {
					name += " and "
				}
				name += p.Name
			}
		}
	}
	if name == "" {
		return fmt.Sprintf("keyer %d", source+1)
	}
	return name
}

// Second returns the current second entry of all keyers, sealed or not. It contains nothing from
// any export.
func (r *Review) Second() (*model.Election, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	state := r.of.State()
	if !state.Sealed(casefile.ScopeUnits) {
		// The comparison uses an entry without the units, so this one is not cached.
		r.keyed = nil
		defer func() { r.keyed = nil }()
	}
	e, _, err := r.secondEntry(state, true)
	return e, err
}

// secondAt returns the second entry of one source as it was after an entry of the journal; nil if
// the source did not exist yet.
func (r *Review) secondAt(seq int64, source int) (*model.Election, error) {
	rows, err := r.of.SheetsAt(seq, source)
	if err != nil || rows == nil {
		return nil, err
	}
	if !r.of.State().Sealed(casefile.ScopeUnits) {
		WithoutUnits(rows)
	}
	return election(rows, source)
}
