package review

import (
	"encoding/json"
	"reflect"
	"strings"

	canonical "github.com/go-json-experiment/json/jsontext"

	"counterproof/checks/baseline"
	"counterproof/checks/finding"
	"counterproof/model/casefile"
)

// said is what a decision keeps of a finding. Version 2 binds to Keys and Values: to the
// values of both sides, and to the things of the second entry by their rows, so that a
// corrected title, a precinct more or another abbreviation of a party reopens nothing.
// Version 1, which has neither, binds to all of it.
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

	Version int            `json:"version,omitempty"`
	Keys    []baseline.Key `json:"keys,omitempty"`
	Values  []string       `json:"values,omitempty"`
}

// saidVersion is what new decisions bind by.
const saidVersion = 2

// saidOf is what a finding says, as version 1 has it.
func saidOf(f *finding.Finding) said {
	return said{Check: string(f.Check), Choice: f.Choice, Contest: f.Contest, Grade: string(f.Grade), Party: f.Party, Precincts: f.Precincts,
		Primary: f.Primary, Second: f.Second, Site: f.Site, Style: f.Style, Unit: f.Unit}
}

// json is what was said as canonical JSON.
func (x said) json() string {
	b, err := json.Marshal(x)
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

// bound is what version 2 binds to: check, things and values.
func (x said) bound() string { return x.subject() + "\x00" + strings.Join(x.Values, "\x1f") }

// subject is what a finding is about, whatever the sides say of it.
func (x said) subject() string {
	keys := make([]string, len(x.Keys))
	for i, k := range x.Keys {
		keys[i] = string(k.Thing) + "\x1e" + k.ID + "\x1e" + k.Part + "\x1e" + string(k.Field)
	}
	return x.Check + "\x00" + strings.Join(keys, "\x1f")
}

// wordsIn reads what a decision kept of a finding.
func wordsIn(d casefile.Decided) said {
	var s said
	_ = json.Unmarshal([]byte(d.Words), &s) // a decision of an older layout keeps none
	return s
}

// findingOf is what a decision kept, as a finding.
func findingOf(d casefile.Decided) finding.Finding {
	s := wordsIn(d)
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

// decidedOn are the decisions on one finding, first to last, with what each kept of it.
type decidedOn struct {
	acts []casefile.Act[casefile.Decision]
	kept []casefile.Decided
}

// bind says of each finding how far it is, and which decided ones are gone.
func (s *Standing) bind(q *sequence) {
	byID, bySubject := map[string]*decidedOn{}, map[string]*decidedOn{}
	var order []*decidedOn
	for _, d := range s.State.Decisions {
		for _, f := range d.Terms.Findings {
			w := wordsIn(f)
			on := byID[f.Finding]
			if on == nil && w.Version >= 2 && len(w.Keys) > 0 {
				on = bySubject[w.subject()]
			}
			if on == nil {
				on = &decidedOn{}
				order = append(order, on)
			}
			byID[f.Finding] = on
			if w.Version >= 2 && len(w.Keys) > 0 {
				bySubject[w.subject()] = on
			}
			on.acts, on.kept = append(on.acts, d), append(on.kept, f)
		}
	}
	current := map[*decidedOn]bool{}
	s.Items = make([]Item, len(s.Result.Findings))
	for i, f := range s.Result.Findings {
		item := Item{Finding: f}
		now := saidOf(&f)
		before := casefile.DigestOf([]byte(now.json()))
		now.Version, now.Keys, now.Values = saidVersion, q.keysNow(&f), q.valuesNow(&f)
		item.Words = now.json()
		item.Said = casefile.DigestOf([]byte(item.Words))
		on := byID[f.ID]
		if on == nil && len(now.Keys) > 0 {
			on = bySubject[now.subject()]
		}
		if on == nil {
			on = q.decidedBefore(&f, byID)
		}
		var kept casefile.Decided
		if on != nil {
			item.Decisions, kept = on.acts, on.kept[len(on.kept)-1]
			current[on] = true
		}
		same := kept.Said == before || kept.Said == item.Said
		if w := wordsIn(kept); w.Version >= 2 {
			same = w.bound() == now.bound()
		}
		item.Status = item.status(same, q.done[kept.Finding] != 0)
		s.Items[i] = item
	}
	for _, on := range order {
		if current[on] {
			continue
		}
		kept := on.kept[len(on.kept)-1]
		s.Cleared = append(s.Cleared, Item{
			Finding: findingOf(kept), Said: kept.Said, Words: kept.Words, Status: StatusCleared, Decisions: on.acts,
		})
	}
}

// status is how far a finding is that is there. same says that both sides say what they
// said when it was decided, done that an export did since what was asked.
func (i *Item) status(same, done bool) Status {
	last := i.Last()
	switch {
	case last == nil && i.Grade == finding.Note:
		return StatusNoted
	case last == nil:
		return StatusOpen
	case !same:
		return StatusReopened
	}
	switch last.Terms.Outcome {
	case casefile.OutcomeFixConfiguration:
		if done {
			return StatusReopened // an export mended it, and a later one has it again
		}
		return StatusWaiting
	case casefile.OutcomeAsCertified:
		return StatusSettled
	case casefile.OutcomeRefer:
		return StatusReferred
	}
	// A keying slip whose correction did not end the difference.
	return StatusReopened
}

// sameWords is true for findings that say the same.
func sameWords(a, b *finding.Finding) bool { return reflect.DeepEqual(saidOf(a), saidOf(b)) }
