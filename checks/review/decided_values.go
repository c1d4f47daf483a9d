package review

import (
	"encoding/json"
	"reflect"
	"slices"
	"strings"

	canonical "github.com/go-json-experiment/json/jsontext"

	"counterproof/checks/baseline"
	"counterproof/checks/finding"
	"counterproof/model/casefile"
)

// said is what a decision keeps of a finding: everything that says what is different
// and where, and nothing of how the program words it.
type decidedValues struct {
	// Bound is what the decision binds to. Decisions of layout 1 have none: they bind to
	// all the rest.
	Bound     *bound   `json:"bound,omitempty"`
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
	// Wants is what the second entry says of single fields when the decision is signed:
	// field, language and value in turn. It is what a request to the configuration asks for.
	Wants []string `json:"wants,omitempty"`
}

// bound is what both sides say, as data. A decision reopens when that changes, and not
// because a precinct joined the contest or the export calls a party otherwise.
type bound struct {
	// Precincts are those of the finding where it is about them.
	Precincts []string `json:"precincts"`
	// Keys are what it is about, by the rows of the second entry: a corrected title orphans
	// no decision.
	Keys    []baseline.Key `json:"keys"`
	Primary value          `json:"primary"`
	Second  value          `json:"second"`
	Version int            `json:"version"`
}

// value is a finding.Value.
type value struct {
	List  []string `json:"list"`
	Words string   `json:"words"`
}

// boundVersion goes up with any change in what a decision binds to.
const boundVersion = 2

func decidedValuesOf(f *finding.Finding, keys []baseline.Key) decidedValues {
	s := decidedAlone(f)
	s.Bound = boundOf(f, keys)
	return s
}

// subject is what a finding is about, whatever the sides say of it; empty where nothing
// names it but its identity.
func (s *decidedValues) subject() string {
	if s.Bound == nil || len(s.Bound.Keys) == 0 {
		return ""
	}
	var b strings.Builder
	b.WriteString(s.Check)
	for _, k := range s.Bound.Keys {
		b.WriteString("\x00" + string(k.Thing) + "\x1f" + k.ID + "\x1f" + k.Part + "\x1f" + string(k.Field))
	}
	return b.String()
}

// saidAlone is what decisions of layout 1 kept, and bind to.
func decidedAlone(f *finding.Finding) decidedValues {
	return decidedValues{Check: string(f.Check), Choice: f.Choice, Contest: f.Contest, Grade: string(f.Grade),
		Party:     f.Party,
		Precincts: f.Precincts,
		Primary:   spelledBefore(f.Primary), Second: f.Second, Site: f.Site, Style: f.Style, Unit: f.Unit}
}

func boundOf(f *finding.Finding, keys []baseline.Key) *bound {
	of := func(v finding.Value) value { return value{append([]string{}, v.List...), spelledBefore(v.Words)} }
	b := &bound{[]string{}, append([]baseline.Key{}, keys...), of(f.Values[0]), of(f.Values[1]), boundVersion}
	if f.OfPrecincts() {
		b.Precincts = append(b.Precincts, f.Precincts...)
	}
	return b
}

const notInExport = "not in the export"

// spelledBefore is a value as decisions keep it. The export was called the primary once,
// also where a value says that it lacks something; a decision of that time goes on.
func spelledBefore(words string) string {
	if words == notInExport {
		return "not in the primary"
	}
	return words
}

// bindsTo is true where a decision on a finding still applies to what it says now.
func bindsTo(kept casefile.Decided, now decidedValues) bool {
	if was := wordsIn(kept); was.Bound != nil && was.Bound.Version == boundVersion {
		return was.Check == now.Check && slices.Equal(was.Bound.Precincts, now.Bound.Precincts) &&
			reflect.DeepEqual(was.Bound.Primary, now.Bound.Primary) && reflect.DeepEqual(was.Bound.Second, now.Bound.Second)
	}
	alone := now
	alone.Bound, alone.Wants = nil, nil
	return kept.Said == casefile.DigestOf([]byte(wordsOf(alone)))
}

// wordsIn reads what a decision kept of a finding.
func wordsIn(d casefile.Decided) decidedValues {
	var s decidedValues
	_ = json.Unmarshal([]byte(d.Words), &s) // a decision of an older layout keeps none
	return s
}

// wordsOf returns what a finding says as canonical JSON.
func wordsOf(s decidedValues) string {
	b, err := json.Marshal(s)
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

// findingOf reads what a decision kept of a finding.
func findingOf(d casefile.Decided) finding.Finding {
	s := wordsIn(d)
	f := finding.Finding{
		ID: d.Finding, Check: finding.Code(s.Check), Grade: finding.Grade(s.Grade), Contest: s.Contest, Party: s.Party,
		Choice:    s.Choice,
		Precincts: s.Precincts, Unit: s.Unit, Site: s.Site, Style: s.Style, Primary: s.Primary, Second: s.Second,
	}
	if f.Precincts == nil {
		f.Precincts = []string{}
	}
	if f.Primary == spelledBefore(notInExport) {
		f.Primary = notInExport
	}
	f.Message = d.Message
	return f
}
