package cdf

import (
	"fmt"
	"io"
	"regexp"
	"slices"
	"strings"
	"time"

	"github.com/beevik/etree"

	"counterproof/model"
)

// WriteOptions are what a report says of itself.
type WriteOptions struct {
	// Issuer and IssuerAbbreviation name who issues the report; empty for the
	// election's jurisdiction.
	Issuer             string
	IssuerAbbreviation string
	// Application is the program that wrote the report (VendorApplicationId);
	// empty for this one.
	Application string
	// Generated is when the report was made. It is written as it is given, so that
	// the same input gives the same bytes; the zero time is 1 January of year 1.
	Generated time.Time
}

// WriteXML writes an election as an SP 1500-100 version 2 report in XML that is
// valid against the published schema. The election may come from any source;
// identifiers are made anew.
//
// Read gives the same election back, apart from what the format cannot hold. What
// is not stated is left out where the schema allows it. Otherwise:
//
//   - A candidate contest whose vote-for is not stated gets VotesAllowed 0, which no
//     ballot has and every check shows. Other contests have no place for a vote-for.
//   - A contest without a kind is written as a candidate contest; one without a
//     district belongs to the election scope; one without a Name gets its title as
//     its Name.
//   - The election scope is the first district if it has the jurisdiction's name, else
//     a unit of the type "jurisdiction" that contains every precinct.
//   - A date that is not stated is 0001-01-01; the type of the election is "not stated".
//   - Running mates are one Candidate, their names joined by " / " (SP 1500-100,
//     CandidateSelection: "unless the ticket itself is defined as a candidate").
//     Positions of one person share a Candidate, or a Person where their wording
//     differs. A write-in position has no name.
//   - A candidate's only position has the first of its lines as the candidate's own
//     party and the rest as endorsements. Several positions of one person have all
//     their lines as endorsements. Lines that are not stated read as none.
//   - A choice of a straight-party contest is named by its parties; where its lines
//     are not stated, the party of its name stands in. Choices of measures have no
//     lines. Primary parties are kept for candidate contests, texts for measures and
//     retentions. A retention names a Candidate, which gets the contest's title.
//   - A party without a name gets its abbreviation as its name. A precinct without a
//     kind is a "precinct".
//   - A style without precincts is not written: the schema asks for one, and no voter
//     gets it. Headings that are stated to be none read as not stated where no ballot
//     has any, and as none where another has some.
//   - A site that serves several uses is written once for each.
//   - Lists and texts that are stated and empty read as not stated.
func WriteXML(w io.Writer, e *model.Election, opts WriteOptions) error {
	x := &writer{e: e, opts: opts, parties: slices.Clone(e.Parties)}
	if err := x.check(); err != nil {
		return err
	}
	doc := etree.NewDocument()
	doc.CreateProcInst("xml", `version="1.0" encoding="UTF-8"`)
	x.report(doc)
	if x.bad != nil {
		return x.bad
	}
	// Canonical text keeps a carriage return as it is.
	doc.WriteSettings.CanonicalText = true
	doc.WriteSettings.CanonicalAttrVal = true
	indent := etree.NewIndentSettings()
	indent.Spaces = 2
	indent.PreserveLeafWhitespace = true
	doc.IndentWithSettings(indent)
	if _, err := doc.WriteTo(w); err != nil {
		return fmt.Errorf("writing the report: %w", err)
	}
	return nil
}

type writer struct {
	e    *model.Election
	opts WriteOptions
	bad  error

	parties    []model.Party // those of the election and those made for choices
	candidates []*etree.Element
	persons    int
	headers    []model.Text
	scope      string
}

// put adds an element with text.
func (x *writer) put(in *etree.Element, name, text string) *etree.Element {
	el := in.CreateElement(name)
	for _, r := range text {
		if !inXML(r) && x.bad == nil {
			x.bad = fmt.Errorf("%s %s holds the character U+%04X, which XML cannot hold; remove it", name, quote(text), r)
		}
	}
	if text != "" {
		el.SetText(text)
	}
	return el
}

// inXML reports whether XML 1.0 allows a character (section 2.2, Char).
func inXML(r rune) bool {
	return r == '\t' || r == '\n' || r == '\r' || r >= ' ' && r <= 0xD7FF || r >= 0xE000 && r <= 0xFFFD || r >= 0x10000 &&
		r <= 0x10FFFF
}

var languageTag = regexp.MustCompile(`^[a-zA-Z]{1,8}(-[a-zA-Z0-9]{1,8})*$`) // xsd:language

// words adds an InternationalizedText.
func (x *writer) words(in *etree.Element, name string, text model.Text) {
	el := in.CreateElement(name)
	if len(text) == 0 {
		text = model.Text{{}}
	}
	for _, p := range text {
		language := p.Language
		if !languageTag.MatchString(language) {
			language = undetermined
		}
		x.put(el, "Text", p.Words).CreateAttr("Language", language)
	}
}

func (x *writer) stated(in *etree.Element, name string, text model.Stated[model.Text]) {
	if text.Known && len(text.Value) > 0 {
		x.words(in, name, text.Value)
	}
}

func id(kind string, n int) string { return kind + "-" + decimal(n+1) }

// ids adds a list of identifiers, if there are any.
func (x *writer) ids(in *etree.Element, name, kind string, list []int) {
	if len(list) == 0 {
		return
	}
	names := make([]string, len(list))
	for i, n := range list {
		names[i] = id(kind, n)
	}
	x.put(in, name, strings.Join(names, " "))
}

func (x *writer) report(doc *etree.Document) {
	root := doc.CreateElement("ElectionReport")
	root.CreateAttr("xmlns", namespace)
	root.CreateAttr("xmlns:xsi", xsiNamespace)
	x.scope = "scope"
	if d := x.e.Districts; len(d) > 0 && x.e.Facts.Jurisdiction.Known &&
		slices.Equal(d[0].Name, x.e.Facts.Jurisdiction.Value) {
		x.scope = x.districtID(0)
	}
	persons := etree.NewElement("persons")
	x.election(root, persons)
	x.put(root, "Format", "precinct-level")
	x.put(root, "GeneratedDate", x.opts.Generated.UTC().Format("2006-01-02T15:04:05Z"))
	x.units(root)
	for i, h := range x.headers {
		el := root.CreateElement("Header")
		el.CreateAttr("ObjectId", id("header", i))
		x.words(el, "Name", h)
	}
	issuer := x.opts.Issuer
	if issuer == "" {
		issuer = x.e.Facts.Jurisdiction.Value.In("")
	}
	if issuer == "" {
		issuer = "not stated"
	}
	abbreviation := x.opts.IssuerAbbreviation
	if abbreviation == "" {
		abbreviation = issuer
	}
	x.put(root, "Issuer", issuer)
	x.put(root, "IssuerAbbreviation", abbreviation)
	for i, p := range x.parties {
		el := root.CreateElement("Party")
		el.CreateAttr("ObjectId", id("party", i))
		x.stated(el, "Abbreviation", p.Abbreviation)
		name := p.Name.Value
		if len(name) == 0 {
			name = p.Abbreviation.Value
		}
		x.words(el, "Name", name)
	}
	for _, p := range persons.ChildElements() {
		root.AddChild(p)
	}
	x.put(root, "SequenceStart", "1")
	x.put(root, "SequenceEnd", "1")
	x.put(root, "Status", "pre-election")
	application := x.opts.Application
	if application == "" {
		application = "Counterproof"
	}
	x.put(root, "VendorApplicationId", application)
}

func (x *writer) election(root, persons *etree.Element) {
	el := root.CreateElement("Election")
	for i := range x.e.Styles {
		if len(x.e.Styles[i].Precincts) > 0 {
			x.style(el, &x.e.Styles[i])
		}
	}
	contests := etree.NewElement("contests")
	for i := range x.e.Contests {
		x.contest(contests, persons, i)
	}
	for _, c := range x.candidates {
		el.AddChild(c)
	}
	for _, c := range contests.ChildElements() {
		el.AddChild(c)
	}
	x.put(el, "ElectionScopeId", x.scope)
	x.words(el, "Name", x.e.Facts.Name.Value)
	date := "0001-01-01"
	if x.e.Facts.Date.Known && x.e.Facts.Date.Value != "" {
		date = x.e.Facts.Date.Value
	}
	x.put(el, "StartDate", date)
	x.put(el, "EndDate", date)
	x.put(el, "Type", "other")
	x.put(el, "OtherType", "not stated")
}

func (x *writer) style(in *etree.Element, s *model.Style) {
	el := in.CreateElement("BallotStyle")
	if s.Label.Known {
		code := el.CreateElement("ExternalIdentifier")
		x.put(code, "Type", "local-level")
		x.put(code, "Value", s.Label.Value)
	}
	x.ids(el, "GpUnitIds", "precinct", s.Precincts)
	content := func(class string) *etree.Element {
		c := el.CreateElement("OrderedContent")
		c.CreateAttr("xsi:type", class)
		return c
	}
	heading := func(text model.Text) {
		x.put(content("OrderedHeader"), "HeaderId", id("header", x.header(text)))
	}
	for _, p := range s.Content {
		for _, h := range p.Headings.Value {
			heading(h)
		}
		c := content("OrderedContest")
		x.put(c, "ContestId", id("contest", p.Contest))
		x.ids(c, "OrderedContestSelectionIds", id("contest", p.Contest)+"-choice", p.Order.Value)
	}
	for _, h := range s.Closing.Value {
		heading(h)
	}
	x.ids(el, "PartyIds", "party", s.Parties)
}

// header returns the index of a heading; equal ones are one Header.
func (x *writer) header(text model.Text) int {
	for i, h := range x.headers {
		if slices.Equal(h, text) {
			return i
		}
	}
	x.headers = append(x.headers, text)
	return len(x.headers) - 1
}

// check refuses an election whose parts point at what is not there, and a date
// that is none.
func (x *writer) check() error {
	e := x.e
	if d := e.Facts.Date; d.Known && d.Value != "" {
		if _, err := time.Parse(time.DateOnly, d.Value); err != nil {
			return fmt.Errorf("the election's date %s is not written like 2027-11-02; correct it", quote(d.Value))
		}
	}
	within := func(what string, list []int, n int) error {
		for _, i := range list {
			if i < 0 || i >= n {
				return fmt.Errorf("%s refers to number %d of %d; the election is inconsistent", what, i, n)
			}
		}
		return nil
	}
	var checks []error
	for i, d := range e.Districts {
		checks = append(checks, within(fmt.Sprintf("district %d", i), d.Precincts, len(e.Precincts)))
	}
	for i, p := range e.Precincts {
		checks = append(checks, within(fmt.Sprintf("precinct %d", i), p.Members, len(e.Precincts)))
		for _, s := range p.Sites.Value {
			checks = append(checks, within(fmt.Sprintf("precinct %d", i), []int{s.Site}, len(e.Sites)))
		}
	}
	for i, c := range e.Contests {
		what := fmt.Sprintf("contest %d", i)
		checks = append(checks, within(what, c.PrimaryParties.Value, len(e.Parties)))
		if c.District.Known {
			checks = append(checks, within(what, []int{c.District.Value}, len(e.Districts)))
		}
		for _, choice := range c.Choices {
			checks = append(checks, within(what, choice.Lines.Value, len(e.Parties)))
		}
	}
	for i, s := range e.Styles {
		what := fmt.Sprintf("style %d", i)
		checks = append(checks, within(what, s.Precincts, len(e.Precincts)), within(what, s.Parties, len(e.Parties)))
		for _, p := range s.Content {
			if err := within(what, []int{p.Contest}, len(e.Contests)); err != nil {
				return err
			}
			checks = append(checks, within(what, p.Order.Value, len(e.Contests[p.Contest].Choices)))
		}
	}
	for i, u := range e.Units {
		what := fmt.Sprintf("unit %d", i)
		checks = append(checks, within(what, u.Precincts.Value, len(e.Precincts)))
		if u.Site.Known {
			checks = append(checks, within(what, []int{u.Site.Value}, len(e.Sites)))
		}
	}
	for _, err := range checks {
		if err != nil {
			return err
		}
	}
	return nil
}
