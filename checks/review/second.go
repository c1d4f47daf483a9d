package review

import (
	"fmt"
	"slices"

	"counterproof/checks"
	"counterproof/model"
	"counterproof/model/casefile"
	"counterproof/model/sheets"
)

// keyed is the second entry as it stands, kept until what it was made of changes.
type keyed struct {
	at       string
	sources  []*model.Election
	election *model.Election
	differ   []checks.Finding
}

// second returns the second entry of all keyers as one election, and where two
// keyers of the same thing differ. Units that are being keyed may be missing from it
// until they are sealed.
func (r *Review) second(state *casefile.State) (*model.Election, []checks.Finding, error) {
	at := version(state)
	if r.keyed != nil && r.keyed.at == at {
		return r.keyed.election, r.keyed.differ, nil
	}
	k := &keyed{at: at}
	var keyers []checks.Keyer
	for source := 0; source <= len(state.Joined); source++ {
		rows, err := r.of.Sheets(source)
		if err != nil {
			return nil, nil, err
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

// version tells when the second entry may have changed. What is sealed changes only by
// acts that are counted here.
func version(state *casefile.State) string {
	if !state.Sealed(casefile.ScopeBallots) || len(state.OpenAmendments()) > 0 {
		return state.Head.String()
	}
	return fmt.Sprint(len(state.Corrections), len(state.Joined), len(state.Seals), len(state.Amendments))
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
	if r.keyed != nil && !state.Sealed(casefile.ScopeUnits) {
		r.keyed.at = ""
	}
	e, _, err := r.second(state)
	return e, err
}
