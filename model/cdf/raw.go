package cdf

import (
	"slices"
	"strings"

	"counterproof/model"
)

// What a report holds, as the file has it: both the XML and the JSON reader fill
// these structures, and one builder turns them into a model.Election. Only what
// the comparison uses has a place here; everything else is counted.

// pos is a place in one of the parts, line counted from 1. The zero pos means
// that the thing was not in the file.
type pos struct {
	line int32
	part int32
}

// str is the text of an element or attribute.
type str struct {
	v  string
	at pos
}

func (s str) given() bool { return s.at.line > 0 }

// word is the text without the white space around it, for values whose type
// says that it has no meaning (identifiers, numbers, dates, enumerations).
func (s str) word() string { return strings.Trim(s.v, xmlSpace) }

const xmlSpace = " \t\r\n"

// integer and boolean are texts of which the JSON schema of SP 1500-100 says that
// they are numbers without a fraction, or true or false.
type (
	integer struct{ *str }
	boolean struct{ *str }
)

// refs is a list of identifiers, kept as one string so that the many equal lists
// of a large export are held once. XML separates them by white space. JSON
// allows white space within an identifier, so its lists begin with a NUL and are
// separated by NULs, which XML cannot contain.
type refs struct {
	v  string
	at pos
}

const jsonSeparator = "\x00"

func (r refs) list() []string {
	if r.v == "" {
		return nil
	}
	if rest, ok := strings.CutPrefix(r.v, jsonSeparator); ok {
		return strings.Split(rest, jsonSeparator)
	}
	if one := strings.Trim(r.v, xmlSpace); !strings.ContainsAny(one, xmlSpace) && one != "" {
		return []string{one}
	}
	return strings.FieldsFunc(r.v, func(c rune) bool { return c < 0x80 && strings.IndexByte(xmlSpace, byte(c)) >= 0 })
}

// words is an InternationalizedText.
type words struct {
	text model.Text
	at   pos
}

// stated is not stated where no language has a word.
func (w words) stated() model.Stated[model.Text] {
	if w.blank() {
		return model.Stated[model.Text]{}
	}
	return model.Say(w.text)
}

func (w words) blank() bool {
	return !slices.ContainsFunc(w.text, func(l model.Phrase) bool { return strings.TrimSpace(l.Words) != "" })
}

// node is an object of the standard whose members a reader fills in.
type node interface {
	// class is the name of the object's class, for messages and counts.
	class() string
	// setClass is told the xsi:type or @type. It reports whether an object of
	// that class may stand here.
	setClass(name string) bool
	// slot returns where the member of that name is to be stored: *str, integer,
	// boolean, *refs, *words or another node; skipped for a member that is known and says nothing
	// that is compared or shown, uncompared for one that is only followed; nil for one that is not
	// used. Names of one standard alone (onlyIn) are asked for in files of that standard alone.
	slot(name string) any
}

// another appends to a list, and returns what it appended. A long list gets twice the room
// when it is full: append alone would give it a quarter, and copy it more often.
func another[T any](list *[]T) *T {
	n := len(*list)
	if n == cap(*list) && n > 0 {
		*list = slices.Grow(*list, n)
	}
	*list = append(*list, *new(T))
	return &(*list)[n]
}

// uncompared marks identifiers that are counted as uncompared, though the reader knows them.
type uncompared struct{ *refs }

// skipped marks members that are read over without being counted as uncompared,
// because they only accompany something that is used.
type skipped struct{}

// identified is a node with an ObjectId. Its pos is the place of the whole node,
// also where the identifier is missing.
type identified interface{ identity() *str }

// placed is a node without ObjectId whose place is kept all the same.
type placed interface{ place() *pos }

// classed is a node whose class is abstract in the standard, so that the file
// must name a concrete one (standard.concrete).
type classed interface {
	node
	// chosen reports whether setClass was called.
	chosen() bool
}

type report struct {
	is        *standard // nil while JSON has not said it
	elections []*election
	units     []unit
	parties   []party
	headers   []header

	format, generated, issuer, issuerAbbreviation, isTest, status, vendor str
	sequenceStart, sequenceEnd                                            str
	held                                                                  []held
}

func (r *report) setClass(name string) bool { return name == r.class() }

func (r *report) class() string {
	if r.is == nil {
		return results.root
	}
	return r.is.root
}

func (r *report) slot(name string) any {
	switch name {
	case "Election":
		r.elections = append(r.elections, &election{})
		return r.elections[len(r.elections)-1]
	case "GpUnit":
		return another(&r.units)
	case "Party":
		return another(&r.parties)
	case "Header":
		return another(&r.headers)
	case "Format":
		return &r.format
	case "GeneratedDate":
		return &r.generated
	case "Issuer":
		return &r.issuer
	case "IssuerAbbreviation":
		return &r.issuerAbbreviation
	case "IsTest":
		return boolean{&r.isTest}
	case "Status":
		return &r.status
	case "VendorApplicationId":
		return &r.vendor
	case "SequenceStart":
		return integer{&r.sequenceStart}
	case "SequenceEnd":
		return integer{&r.sequenceEnd}
	}
	return nil
}

// singles are the members that a report has at most once, by name.
func (r *report) singles() []single {
	return []single{
		{"Format", &r.format}, {"GeneratedDate", &r.generated}, {"Issuer", &r.issuer},
		{"IssuerAbbreviation", &r.issuerAbbreviation}, {"IsTest", &r.isTest}, {"Status", &r.status},
		{"VendorApplicationId", &r.vendor}, {"SequenceStart", &r.sequenceStart}, {"SequenceEnd", &r.sequenceEnd},
	}
}

type single struct {
	name string
	in   *str
}

type election struct {
	at         pos
	name       words
	start, end str
	kind       str
	otherKind  str
	scope      str
	styles     []style
	contests   []contest
	candidates []candidate
	held       []held
}

func (e *election) place() *pos             { return &e.at }
func (*election) class() string             { return "Election" }
func (*election) setClass(name string) bool { return name == "Election" }

func (e *election) slot(name string) any {
	switch name {
	case "BallotStyle":
		st := another(&e.styles)
		if n := len(e.styles); n > 1 { // a ballot is about as long as the one before
			st.content = make([]ordered, 0, min(len(e.styles[n-2].content), 100))
		}
		return st
	case "Candidate":
		return another(&e.candidates)
	case "Contest":
		return another(&e.contests)
	case "ElectionScopeId":
		return &e.scope
	case "Name":
		return &e.name
	case "StartDate":
		return &e.start
	case "EndDate":
		return &e.end
	case "Type":
		return &e.kind
	case "OtherType":
		return &e.otherKind
	}
	return nil
}

func (e *election) singles() []single {
	return []single{
		{"ElectionScopeId", &e.scope}, {"StartDate", &e.start}, {"EndDate", &e.end},
		{"Type", &e.kind}, {"OtherType", &e.otherKind},
	}
}

// code is an ExternalIdentifier.
type code struct{ value, kind, otherKind, label str }

func (*code) class() string             { return "ExternalIdentifier" }
func (*code) setClass(name string) bool { return name == "ExternalIdentifier" }

func (c *code) slot(name string) any {
	switch name {
	case "Value":
		return &c.value
	case "Type":
		return &c.kind
	case "OtherType":
		return &c.otherKind
	case "Label":
		return &c.label
	}
	return nil
}

type codes []code

func (c *codes) add() *code { return another((*[]code)(c)) }

func (c codes) values() []string {
	var out []string
	for _, x := range c {
		if x.value.given() {
			out = append(out, x.value.v)
		}
	}
	return out
}

// unit is a GpUnit: a ReportingUnit or a ReportingDevice.
type unit struct {
	id        str
	device    bool
	typed     bool
	composing refs
	codes     codes
	name      words
	number    str
	kind      str
	otherKind str
	serial    str
	deviceOf  deviceClass
	held      []held
}

func (u *unit) identity() *str { return &u.id }
func (u *unit) chosen() bool   { return u.typed }

func (u *unit) class() string {
	if u.device {
		return "ReportingDevice"
	}
	if u.typed {
		return "ReportingUnit"
	}
	return "GpUnit"
}

func (u *unit) setClass(name string) bool {
	u.typed, u.device = true, name == "ReportingDevice"
	return u.device || name == "ReportingUnit"
}

func (u *unit) slot(name string) any {
	switch name {
	case "ComposingGpUnitIds":
		return &u.composing
	case "ExternalIdentifier":
		return u.codes.add()
	case "Name":
		return &u.name
	case "Number":
		return &u.number
	case "Type":
		return &u.kind
	case "OtherType":
		return &u.otherKind
	case "SerialNumber":
		return &u.serial
	case "DeviceClass":
		return &u.deviceOf
	}
	return nil
}

type deviceClass struct{ kind, otherKind str }

func (*deviceClass) class() string             { return "DeviceClass" }
func (*deviceClass) setClass(name string) bool { return name == "DeviceClass" }

func (d *deviceClass) slot(name string) any {
	switch name {
	case "Type":
		return &d.kind
	case "OtherType":
		return &d.otherKind
	}
	return nil
}

type party struct {
	id           str
	coalition    bool
	codes        codes
	name         words
	abbreviation words
	held         []held
}

func (p *party) identity() *str { return &p.id }

func (p *party) class() string {
	if p.coalition {
		return "Coalition"
	}
	return "Party"
}

func (p *party) setClass(name string) bool {
	p.coalition = name == "Coalition"
	return p.coalition || name == "Party"
}

func (p *party) slot(name string) any {
	switch name {
	case "ExternalIdentifier":
		return p.codes.add()
	case "Name":
		return &p.name
	case "Abbreviation":
		return &p.abbreviation
	}
	return nil
}

type header struct {
	id   str
	name words
	held []held
}

func (h *header) identity() *str          { return &h.id }
func (*header) class() string             { return "Header" }
func (*header) setClass(name string) bool { return name == "Header" }

func (h *header) slot(name string) any {
	if name == "Name" {
		return &h.name
	}
	return nil
}

// international is an InternationalizedText as JSON has it, and phrase one of its
// LanguageStrings.
type international struct{ phrases []phrase }

func (*international) class() string             { return "InternationalizedText" }
func (*international) setClass(name string) bool { return name == "InternationalizedText" }

func (i *international) slot(name string) any {
	switch name {
	case "Text":
		return another(&i.phrases)
	case "Label":
		return skipped{}
	}
	return nil
}

type phrase struct{ language, content str }

func (*phrase) class() string             { return "LanguageString" }
func (*phrase) setClass(name string) bool { return name == "LanguageString" }

func (p *phrase) slot(name string) any {
	switch name {
	case "Language":
		return &p.language
	case "Content":
		return &p.content
	}
	return nil
}

// family names the kind of a node for counting: the element's class, or the
// abstract class it derives from.
func family(n node) string {
	switch n := n.(type) {
	case *unit:
		return "GpUnit"
	case *contest:
		return "Contest"
	case *selection:
		return n.family()
	case *ordered:
		return "OrderedContent"
	case *party:
		return "Party"
	}
	return n.class()
}

// other is an identified thing that the comparison has no use for; references to
// it are still of the right kind (Person) or the wrong one (Office).
type other struct {
	id   string
	kind string
	at   pos
	says held // nothing where nothing is held
}
