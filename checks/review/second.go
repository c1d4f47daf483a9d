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

// keyed is the second entry as it stands, kept until what it was made of changes.
type keyed struct {
	at string
	// corrections counts the corrections that it holds.
	corrections int
	sources     []*model.Election
	election    *model.Election
	differ      []finding.Finding
}

// second returns the second entry of all keyers as one election, and where two
// keyers of the same thing differ. Until they are sealed the units are not in it, nor in
// what is said of it where it cannot be read.
func (r *Review) second(state *casefile.State) (*model.Election, []finding.Finding, error) {
	return r.secondEntry(state, state.Sealed(casefile.ScopeUnits))
}

// bareVersion ends the version of a second entry that is without the units.
const bareVersion = " without units"

// secondEntry is second, whole or without the units.
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
		keyers = append(keyers, checks.Keyer{Name: keyerOf(state, source), Entry: e})
	}
	if len(keyers) == 1 {
		k.election = k.sources[0]
	} else {
		k.election, k.differ = checks.UniteKeyers(keyers, optionsOf(state))
	}
	r.keyed = k
	return k.election, k.differ, nil
}

// WithoutUnits takes the units and the polling sites out of the rows of a second entry:
// what is blind until their own seal.
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

// corrected is the second entry after corrections that changed nothing but the
// content of contests: its ballots, the bulk of a county, are those of the entry
// before. It is nil where that is not so, and everything is to be read again.
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

// withContests is the second entry as it was before some fields changed, with the
// contests of these fields read again, as if the changes had been made as well. It
// shares everything else with the one before. It is nil where more is touched than
// what single contests say, or where it cannot be read.
func (r *Review) withContests(before *model.Election, fields []casefile.Field,
	changes []casefile.Change) *model.Election {
	var touched []casefile.Row
	parties := false
	for _, f := range fields {
		// What refers to a contest, and what a ballot's own order counts by, changes more.
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
	// Parties that only contests and ballots mention follow those that were keyed.
	if keyed := len(rows.Parties); keyed < len(before.Parties) {
		if parties {
			return nil // one of them may come or go
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

// version tells when the second entry may have changed. What is sealed changes only by
// acts that are counted here.
func version(state *casefile.State) string {
	if !state.Sealed(casefile.ScopeBallots) || len(state.OpenAmendments()) > 0 {
		return state.Head.String()
	}
	return versionAt(state, len(state.Corrections))
}

func versionAt(state *casefile.State, corrections int) string {
	return fmt.Sprint(corrections, len(state.Joined), len(state.Seals), len(state.Amendments))
}

// election makes an election of the rows of a source. A fault that only shows when
// the rows are put together, such as a choice of a contest without a title, names
// the row.
func election(rows *sheets.Sheets, source int) (*model.Election, error) {
	e, err := rows.Election()
	if err != nil && source > 0 {
		return nil, fmt.Errorf("joined case %d: %w", source, err)
	}
	return e, err
}

// share lets a new election use the memory of the one before where both say the
// same, so that comparing again sees at once what did not change.
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

// keyerOf names whoever keyed a source.
func keyerOf(state *casefile.State, source int) string {
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

// Second returns the second entry as it stands, of all keyers, whether it is sealed or
// not. It holds nothing of any export.
func (r *Review) Second() (*model.Election, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	state := r.of.State()
	if !state.Sealed(casefile.ScopeUnits) {
		// What is compared is without them, so this one is made afresh and not kept.
		r.keyed = nil
		defer func() { r.keyed = nil }()
	}
	e, _, err := r.secondEntry(state, true)
	return e, err
}

// secondAt is a source of the second entry as it stood after an entry; nil where
// the source was not there.
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
