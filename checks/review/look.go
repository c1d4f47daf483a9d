package review

import (
	"cmp"
	"encoding/json"
	"reflect"
	"slices"

	canonical "github.com/go-json-experiment/json/jsontext"

	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model"
	"counterproof/model/casefile"
)

// look compares and binds the decisions.
func (r *Review) look(state *casefile.State) (*Standing, error) {
	if err := blind(state); err != nil {
		return nil, err
	}
	rounds, err := r.rounds(state)
	if err != nil {
		return nil, err
	}
	if len(rounds) == 0 {
		// What came in is not complete, or cannot be read: the reader says why.
		last := state.Exports[len(state.Exports)-1]
		_, err := r.read(state, Round{Files: []casefile.Export{last}})
		return nil, err
	}
	latest := rounds[len(rounds)-1]
	first, err := r.read(state, rounds[0])
	if err != nil {
		return nil, err
	}
	last, err := r.read(state, latest)
	if err != nil {
		return nil, err
	}
	second, differ, err := r.second(state)
	if err != nil {
		return nil, err
	}
	primary, err := r.withoutMailed(state, last, optionsOf(state))
	if err != nil {
		return nil, err
	}
	s := &Standing{State: state, Primary: primary, Second: second, Options: optionsOf(state), Latest: latest}
	if !state.Sealed(casefile.ScopeUnits) {
		s.Primary, s.Second = r.withoutUnits(primary), r.withoutUnits(second)
	}
	s.Result = r.compare(s.Options, s.Primary, s.Second)
	unasked, err := r.unaskedSince(state, rounds, first, s)
	if err != nil {
		return nil, err
	}
	r.keepOnly(state, rounds[0], latest)
	s.add(differ)
	s.add(unasked)
	s.bind(r.standing)
	for _, f := range unasked {
		s.Item(f.ID).Unasked = true
	}
	return s, nil
}

// comparison is a comparison that was made, with what it was made of. Elections are
// never altered once they are read, so the same ones say the same.
type comparison struct {
	options         checks.Options
	primary, second *model.Election
	result          checks.Result
}

// compare compares, unless this was compared last: a decision compares nothing. Only the
// last comparison is kept, because its findings hold on to both elections.
func (r *Review) compare(o checks.Options, primary, second *model.Election) checks.Result {
	c := &r.compared
	if c.primary != primary || c.second != second || !sameOptions(c.options, o) {
		*c = comparison{} // room for the next one
		*c = comparison{o, primary, second, checks.Compare(primary, second, o)}
	}
	return c.result
}

// optionsOf are the options of the comparison: what the pair signed, and what it
// mapped.
func optionsOf(state *casefile.State) checks.Options {
	how := settings(state)
	o := checks.Options{Language: how.Language, UnitLimit: how.UnitLimit}
	if o.UnitLimit == 0 {
		o.UnitLimit = checks.DefaultUnitLimit
	}
	for _, m := range state.Mappings {
		o.Mapped = append(o.Mapped, pairing.Mapped{Kind: m.Terms.Kind, Primary: m.Terms.Primary, Second: m.Terms.Second})
	}
	return o
}

func sameOptions(a, b checks.Options) bool {
	return a.Language == b.Language && a.UnitLimit == b.UnitLimit && slices.Equal(a.Mapped, b.Mapped)
}

// add puts findings that only a case can show among the others, in their order.
func (s *Standing) add(more []finding.Finding) {
	if len(more) == 0 {
		return
	}
	for _, f := range more {
		switch f.Grade {
		case finding.MustFix:
			s.Result.Summary.MustFix++
		case finding.Confirm:
			s.Result.Summary.Confirm++
		default:
			s.Result.Summary.Note++
		}
	}
	grades := map[finding.Grade]int{finding.MustFix: 0, finding.Confirm: 1, finding.Note: 2}
	all := append(slices.Clone(s.Result.Findings), more...)
	slices.SortStableFunc(all, func(a, b finding.Finding) int { return cmp.Compare(grades[a.Grade], grades[b.Grade]) })
	s.Result.Findings = all
}

// said is what a decision binds to: everything of a finding that says what is
// different and where, and nothing of how the program words it.
type said struct {
	Check     string   `json:"check"`
	Choice    string   `json:"choice"`
	Contest   string   `json:"contest"`
	Grade     string   `json:"grade"`
	Party     string   `json:"party"`
	Precincts []string `json:"precincts"`
	Primary   string   `json:"primary"`
	Second    string   `json:"second"`
	Site      string   `json:"site"`
	Style     string   `json:"style"`
	Unit      string   `json:"unit"`
}

func saidOf(f *finding.Finding) said {
	return said{string(f.Check), f.Choice, f.Contest, string(f.Grade), f.Party, f.Precincts, f.Primary, f.Second, f.Site, f.Style, f.Unit}
}

// wordsOf returns what a finding says as canonical JSON.
func wordsOf(f *finding.Finding) string {
	b, err := json.Marshal(saidOf(f))
	if err == nil {
		value := canonical.Value(b)
		err = value.Canonicalize()
		b = value
	}
	if err != nil {
		// Wording that is no text at all: what can be told apart still is.
		return `{}`
	}
	return string(b)
}

// sameWords is true for findings that say the same.
func sameWords(a, b *finding.Finding) bool { return reflect.DeepEqual(saidOf(a), saidOf(b)) }

// findingOf reads what a decision kept of a finding.
func findingOf(d casefile.Decided) finding.Finding {
	var s said
	_ = json.Unmarshal([]byte(d.Words), &s) // a decision of an older layout keeps none
	f := finding.Finding{
		ID: d.Finding, Check: finding.Code(s.Check), Grade: finding.Grade(s.Grade), Contest: s.Contest, Party: s.Party, Choice: s.Choice,
		Precincts: s.Precincts, Unit: s.Unit, Site: s.Site, Style: s.Style, Primary: s.Primary, Second: s.Second,
	}
	if f.Precincts == nil {
		f.Precincts = []string{}
	}
	f.Message = d.Message
	return f
}

// bind says of each finding how far it is, and which decided ones are gone. What the
// standing before, which may be nil, has of the same findings is taken from it.
func (s *Standing) bind(before *Standing) {
	known := map[string]*Item{}
	if before != nil {
		for i := range before.Items {
			known[before.Items[i].ID] = &before.Items[i]
		}
	}
	decisions := map[string][]casefile.Act[casefile.Decision]{}
	var order []string
	for _, d := range s.State.Decisions {
		for _, f := range d.Terms.Findings {
			if decisions[f.Finding] == nil {
				order = append(order, f.Finding)
			}
			decisions[f.Finding] = append(decisions[f.Finding], d)
		}
	}
	current := map[string]bool{}
	s.Items = make([]Item, len(s.Result.Findings))
	for i, f := range s.Result.Findings {
		item := Item{Finding: f, Decisions: decisions[f.ID]}
		if was := known[f.ID]; was != nil && sameWords(&was.Finding, &f) {
			item.Words, item.Said = was.Words, was.Said
		} else {
			item.Words = wordsOf(&f)
			item.Said = casefile.DigestOf([]byte(item.Words))
		}
		item.Status = item.status()
		s.Items[i] = item
		current[f.ID] = true
	}
	for _, id := range order {
		if current[id] {
			continue
		}
		list := decisions[id]
		kept := keptIn(&list[len(list)-1], id)
		s.Cleared = append(s.Cleared, Item{
			Finding: findingOf(kept), Said: kept.Said, Words: kept.Words, Status: StatusCleared, Decisions: list,
		})
	}
}

// keptIn is what a decision keeps of one of its findings.
func keptIn(d *casefile.Act[casefile.Decision], id string) casefile.Decided {
	for _, f := range d.Terms.Findings {
		if f.Finding == id {
			return f
		}
	}
	return casefile.Decided{Finding: id}
}

// status is how far a finding is that is there.
func (i *Item) status() Status {
	last := i.Last()
	switch {
	case last == nil && i.Grade == finding.Note:
		return StatusNoted
	case last == nil:
		return StatusOpen
	case keptIn(last, i.ID).Said != i.Said:
		return StatusReopened
	}
	switch last.Terms.Outcome {
	case casefile.OutcomeFixConfiguration:
		return StatusWaiting
	case casefile.OutcomeAsCertified:
		return StatusSettled
	case casefile.OutcomeRefer:
		return StatusReferred
	}
	// A keying slip whose correction did not end the difference.
	return StatusReopened
}
