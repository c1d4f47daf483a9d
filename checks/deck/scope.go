package deck

import (
	"fmt"

	"counterproof/model"
)

// For limits options to a voting unit, a precinct or a style, by what the sheets call them; empty for
// no limit. Several limits hold together. An error says which is not there.
func (o Options) For(e *model.Election, unit, precinct, style string) (Options, error) {
	if unit != "" {
		at := -1
		for i := range e.Units {
			if canonical(e.Units[i].Name) == canonical(unit) {
				at = i
			}
		}
		switch {
		case at < 0:
			return o, fmt.Errorf("%.80q is no voting unit; write it as units.csv has it", unit)
		case len(e.Units[at].Precincts.Value) == 0:
			return o, fmt.Errorf("the card header of voting unit %.80q names no precinct; key it first", unit)
		}
		o.Precincts = e.Units[at].Precincts.Value
	}
	if precinct != "" {
		in := setOf(o.Precincts)
		o.Precincts = []int{}
		for p := range e.Precincts {
			if canonical(precinctLabel(e, p)) == canonical(precinct) && (in == nil || in[p]) {
				o.Precincts = append(o.Precincts, p)
			}
		}
		if len(o.Precincts) == 0 {
			return o, fmt.Errorf("%.80q is no precinct here; write it as precincts.csv has it", precinct)
		}
	}
	if style != "" {
		for s := range e.Styles {
			if canonical(e.Styles[s].Label.Value) == canonical(style) {
				o.Styles = append(o.Styles, s)
			}
		}
		if len(o.Styles) == 0 {
			return o, fmt.Errorf("%.80q is no style; write it as ballots.csv has it", style)
		}
	}
	return o, nil
}
