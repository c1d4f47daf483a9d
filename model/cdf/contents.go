package cdf

import "counterproof/model"

// Contents is what an export holds, for showing to people.
type Contents struct {
	// Standard and Version name the format: "NIST SP 1500-100", "2", or "NIST SP 1500-20", "1".
	Standard string
	Version  string
	Parts    []PartContents

	Issuer             string
	IssuerAbbreviation string
	// Generated, Status, Detail and Application are as the report states them
	// (SP 1500-100, ElectionReport: GeneratedDate, Status, Format,
	// VendorApplicationId); SP 1500-20 has no Status and no Format.
	Generated   string
	Status      string
	Detail      string
	Application string
	// Test says that the report calls itself a test report (IsTest).
	Test bool

	Elections []ElectionContents

	// What the whole report holds. Districts are the units that contests and
	// elections are held in; Sites, Units and Precincts as in model.Election.
	Precincts int
	Districts int
	Sites     int
	Units     int
	Parties   int
	Headers   int

	// Languages of the texts that are read, in order of first use.
	Languages []string
	// Uncompared counts what no check uses, by class and member.
	Uncompared map[string]int
}

// PartContents is one file of a report.
type PartContents struct {
	Name     string
	Format   string // "XML" or "JSON"
	Encoding string
	Bytes    int64
	SHA256   string // of the file as it is, hexadecimal
	// Number and Of are SequenceStart and SequenceEnd.
	Number, Of int
	Generated  string
	Status     string
}

// ElectionContents is one election of a report.
type ElectionContents struct {
	Name       model.Text
	Start, End string
	// Type is the ElectionType of the standard, or OtherType where that is "other".
	Type                                  string
	Styles, Contests, Choices, Candidates int
}

// contents counts what the report holds.
func (w *whole) contents() Contents {
	r := &w.report
	c := Contents{
		Standard: "NIST " + r.is.String(), Version: r.is.version, Parts: w.parts,
		Issuer: r.issuer.v, IssuerAbbreviation: r.issuerAbbreviation.v,
		Generated: r.generated.word(), Status: r.status.word(), Detail: r.format.word(), Application: r.vendor.v,
		Test:    r.isTest.word() == "true" || r.isTest.word() == "1",
		Parties: len(r.parties), Headers: len(r.headers),
		Languages: w.languages, Uncompared: w.uncompared,
	}
	precincts, districts := map[int]bool{}, map[int]bool{}
	note := func(in map[int]bool, id string) {
		if t, ok := w.ids[id]; ok && t.is == isUnit {
			in[t.index] = true
		}
	}
	for i := range r.units {
		u := &r.units[i]
		switch {
		case u.device:
			c.Units++
		case u.isSite():
			c.Sites++
		case u.isPrecinct():
			precincts[i] = true
		}
	}
	for _, e := range r.elections {
		ec := ElectionContents{
			Name: e.name.text, Start: e.start.word(), End: e.end.word(), Type: orOther(e.kind, e.otherKind),
			Styles: len(e.styles), Contests: len(e.contests), Candidates: len(e.candidates),
		}
		note(districts, e.scope.word())
		for i := range e.contests {
			ec.Choices += len(e.contests[i].selections)
			note(districts, e.contests[i].district.word())
		}
		for i := range e.styles {
			for _, id := range e.styles[i].units.list() {
				note(precincts, id)
			}
		}
		c.Elections = append(c.Elections, ec)
	}
	c.Precincts, c.Districts = len(precincts), len(districts)
	return c
}

// orOther is an enumerated value, or the free one that stands in for "other".
func orOther(kind, other str) string {
	if kind.word() == "other" && other.word() != "" {
		return other.v
	}
	return kind.word()
}
