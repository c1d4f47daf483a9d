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

// decidedValues is what a decision records of a finding: everything that says what differs and
// where, and nothing of the program's wording.
type decidedValues struct {
	// Bound is the part that the decision binds to. Decisions of layout 1 have none; they bind to
	// all other fields.
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
	// Wants is what the second entry says of single fields when the decision is signed: field,
	// language and value in turn. This is what the decision asks the configuration to say.
	Wants []string `json:"wants,omitempty"`
}

// bound is what both sides say, as data. A decision reopens when this changes, but not because a
// precinct joined the contest or the export calls a party by another name.
type bound struct {
	// Precincts are the finding's precincts if the finding is about precincts.
	Precincts []string `json:"precincts"`
	// Keys say what the finding is about, by the rows of the second entry, so that a decision
	// survives a corrected title.
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

// boundVersion increases with every change to what a decision binds to.
const boundVersion = 2

func decidedValuesOf(f *finding.Finding, keys []baseline.Key) decidedValues {
	s := decidedAlone(f)
	s.Bound = boundOf(f, keys)
	return s
}

// subject identifies what a finding is about, independent of what the sides say; empty if only the
// finding's identity tells.
func (s *decidedValues) subject() string {
	if s.Bound == nil || len(s.Bound.Keys) == 0 {
		return ""
	}
	var b strings.Builder
	b.WriteString(s.Check)
	for _, k := range s.Bound.Keys {
		b.WriteString("\x00" + string(k.Thing) + "\x1f" + k.ID + "\x1f" + k.Part + "\x1f" + string(k.Field))
		if k.Language != "" {
			b.WriteString("\x1f" + k.Language)
		}
	}
	return b.String()
}

// decidedAlone returns what decisions of layout 1 recorded and bind to.
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

// spelledBefore writes a value as older decisions recorded it. They called the export "the
// primary", also in the words for a missing value; those decisions still apply.
func spelledBefore(words string) string {
	if words == notInExport {
		return "not in the primary"
	}
	return words
}

// bindsTo reports whether a decision on a finding still applies to its current values.
func bindsTo(kept casefile.Decided, now decidedValues) bool {
	if was := wordsIn(kept); was.Bound != nil && was.Bound.Version == boundVersion {
		return was.Check == now.Check && slices.Equal(was.Bound.Precincts, now.Bound.Precincts) &&
			reflect.DeepEqual(was.Bound.Primary, now.Bound.Primary) && reflect.DeepEqual(was.Bound.Second, now.Bound.Second)
	}
	alone := now
	alone.Bound, alone.Wants = nil, nil
	return kept.Said == casefile.DigestOf([]byte(wordsOf(alone)))
}

// wordsIn reads what a decision recorded of a finding.
func wordsIn(d casefile.Decided) decidedValues {
	var s decidedValues
	_ = json.Unmarshal([]byte(d.Words), &s) // decisions of an older layout have none
	return s
}

// wordsOf writes a finding's values as canonical JSON.
func wordsOf(s decidedValues) string {
	b, err := json.Marshal(s)
	if err == nil {
		value := canonical.Value(b)
		err = value.Canonicalize()
		b = value
	}
	if err != nil {
		// The wording is not valid text and cannot be recorded; the finding still has its identity.
		return `{}`
	}
	return string(b)
}

// findingOf rebuilds the finding from what a decision recorded.
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
