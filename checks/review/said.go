package review

import (
	"encoding/json"
	"reflect"

	canonical "github.com/go-json-experiment/json/jsontext"

	"counterproof/checks/finding"
	"counterproof/model/casefile"
)

// said is what a decision keeps of a finding: everything that says what is different
// and where, and nothing of how the program words it.
type said struct {
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
}

// bound is what both sides say, as data. A decision reopens when that changes, and not
// because a precinct joined the contest or the export calls a party otherwise.
type bound struct {
	// Precincts are those of the finding where it is about them.
	Precincts []string `json:"precincts"`
	Primary   value    `json:"primary"`
	Second    value    `json:"second"`
	Version   int      `json:"version"`
}

// value is a finding.Value.
type value struct {
	List  []string `json:"list"`
	Words string   `json:"words"`
}

// boundVersion goes up with any change in what a decision binds to.
const boundVersion = 2

func saidOf(f *finding.Finding) said {
	s := saidAlone(f)
	s.Bound = boundOf(f)
	return s
}

// saidAlone is what decisions of layout 1 kept, and bind to.
func saidAlone(f *finding.Finding) said {
	return said{nil, string(f.Check), f.Choice, f.Contest, string(f.Grade), f.Party, f.Precincts, f.Primary, f.Second, f.Site, f.Style, f.Unit}
}

func boundOf(f *finding.Finding) *bound {
	of := func(v finding.Value) value { return value{append([]string{}, v.List...), v.Words} }
	b := &bound{[]string{}, of(f.Values[0]), of(f.Values[1]), boundVersion}
	if f.OfPrecincts() {
		b.Precincts = append(b.Precincts, f.Precincts...)
	}
	return b
}

// bindsTo is true where a decision on a finding still applies to what it says now.
func bindsTo(kept casefile.Decided, f *finding.Finding) bool {
	var s said
	if err := json.Unmarshal([]byte(kept.Words), &s); err == nil && s.Bound != nil && s.Bound.Version == boundVersion {
		return s.Check == string(f.Check) && reflect.DeepEqual(s.Bound, boundOf(f))
	}
	return kept.Said == casefile.DigestOf([]byte(wordsOf(saidAlone(f))))
}

// wordsOf returns what a finding says as canonical JSON.
func wordsOf(s said) string {
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
