package cdf

import (
	"bytes"
	"io"
	"regexp"
	"strings"

	"github.com/orisano/gosax"
)

// xmlTokens finds the tags and the text of a report. gosax finds where each token
// ends. Everything else that XML asks for is checked here, by W3C XML 1.0 and
// Namespaces in XML 1.0: names, matching tags, attributes once, characters,
// references, one root. Comments and processing instructions are checked and left
// out. A document type declaration is refused, so that there are no entities but
// the five that XML predefines.
type xmlTokens struct {
	input *xmlInput
	sax   *gosax.Reader

	token token  // the token read last
	raw   []byte // its bytes in the file; gosax overwrites them

	// space is the namespace of the standard, once the root says it.
	space  string
	open   []openTag
	bound  []binding // the namespace declarations in force
	rooted bool      // the root has begun
	// empty says that the element just opened ends with its start tag.
	empty bool

	names   map[string]*qname
	named   *qname // the name asked for last
	decoded []byte // text that is not as it stands in the file
}

// token is valid until the next one is read.
type token struct {
	kind tokenKind
	line int // where it begins
	// name is that of a start tag.
	name       *qname
	attributes []attribute
	text       []byte
}

type tokenKind uint8

const (
	tokenStart tokenKind = iota
	tokenEnd
	tokenText
	tokenOver // the end of the file
)

type attribute struct {
	name  *qname
	value []byte
}

func newXMLTokens(in io.Reader) *xmlTokens {
	input := &xmlInput{in: in, line: 1, limit: maxReport}
	return &xmlTokens{input: input, sax: gosax.NewReaderSize(input, 128<<10), names: map[string]*qname{},
		named: &qname{}}
}

// next reads the next token. A start tag opens its element, an end tag closes it.
func (x *xmlTokens) next() *Error {
	if x.empty {
		x.empty = false
		x.token.kind = tokenEnd
		x.close()
		return nil
	}
	for {
		found, fault := x.event()
		if found || fault != nil {
			return fault
		}
	}
}

// event reads what gosax finds next, and reports whether that is a token.
func (x *xmlTokens) event() (bool, *Error) {
	begin := x.input.done
	x.token.line = x.input.line
	e, err := x.sax.Event()
	if err != nil {
		return false, x.incomplete()
	}
	x.raw = e.Bytes
	x.input.done += int64(len(x.raw))
	if len(x.raw) > maxTag && e.Type() != gosax.EventDocType {
		if called, limit := markup(x.raw); len(x.raw) > limit {
			return false, tooLong(x.token.line, called, limit)
		}
	}
	switch e.Type() {
	case gosax.EventStart:
		return true, x.startTag()
	case gosax.EventEnd:
		return true, x.endTag()
	}
	x.countLines()
	switch e.Type() {
	case gosax.EventText:
		if len(x.open) == 0 {
			return false, x.outside(blank(x.raw))
		}
		return true, x.characters()
	case gosax.EventCData:
		if !bytes.HasPrefix(x.raw, []byte(cdataBegin)) {
			return false, x.syntax(0, "invalid <![ sequence")
		}
		if len(x.open) == 0 {
			return false, x.outside(false)
		}
		return true, x.cdata()
	case gosax.EventComment:
		return false, x.comment()
	case gosax.EventProcessingInstruction:
		return false, x.instruction(begin)
	case gosax.EventEOF:
		return true, x.over()
	}
	return false, x.doctype()
}

// countLines counts the lines that end in the token read last.
func (x *xmlTokens) countLines() { x.input.line += bytes.Count(x.raw, []byte("\n")) }

// fault is one at the token read last.
func (x *xmlTokens) fault(element, fault, remedy string) *Error {
	return &Error{Line: x.token.line, Element: element, Fault: fault, Remedy: remedy}
}

// syntax is a fault at a place in the token read last, within the element that is
// open.
func (x *xmlTokens) syntax(at int, what string) *Error {
	fault := x.fault(x.within(), "this is not well-formed XML: "+what, damaged)
	fault.Line += bytes.Count(x.raw[:at], []byte("\n"))
	return fault
}

const (
	damaged = "the file is damaged or was changed by hand: export it again"
	cutOff  = "it was cut short: export or copy it again"
)

// within names the innermost open element.
func (x *xmlTokens) within() string {
	if n := len(x.open); n > 0 {
		return x.open[n-1].name.whole
	}
	return ""
}

// incomplete is the fault of a token that gosax found no end of.
func (x *xmlTokens) incomplete() *Error {
	in := x.input
	in.note()
	switch {
	case isDeclaration(in.head):
		return x.doctype()
	case in.failed != nil:
		return in.failed
	}
	fault := x.endsWithin()
	fault.Line += in.ends
	return fault
}

func (x *xmlTokens) endsWithin() *Error {
	fault := x.fault(x.within(), "the file ends in the middle", cutOff)
	fault.Line = x.input.line
	return fault
}

func (x *xmlTokens) doctype() *Error {
	return x.fault("", "the file holds a document type declaration, which can define entities",
		"remove everything from <!DOCTYPE to its end, and export without it")
}

// over is the end of the file, which must not be within an element.
func (x *xmlTokens) over() *Error {
	x.token.kind = tokenOver
	if n := len(x.open); n > 0 {
		o := x.open[n-1]
		return x.fault("", "the file ends within "+o.name.whole+", which begins at line "+decimal(o.line), cutOff)
	}
	return nil
}

// outside checks what stands before or after the root.
func (x *xmlTokens) outside(blank bool) *Error {
	if blank {
		return nil
	}
	return x.fault("", "text outside of the root element", damaged)
}

// comment checks a comment. gosax takes "<!-->" and "<!--->" for whole comments,
// which they are not, so text of a comment must not begin like that.
func (x *xmlTokens) comment() *Error {
	switch text, ok := bytes.CutPrefix(x.raw, []byte(commentBegin)); {
	case !ok:
		return x.syntax(0, "invalid sequence <!- not part of <!--")
	case text[0] == '>' || bytes.HasPrefix(text, []byte("->")):
		return x.syntax(0, "a comment begins with > or ->")
	case bytes.Index(text, []byte("--")) < len(text)-len("-->"):
		return x.syntax(0, `invalid sequence "--" not allowed in comments`)
	}
	_, fault := x.decode(x.raw, 0, literal)
	return fault
}

// xmlDeclaration is XMLDecl of XML 1.0, section 2.8.
var xmlDeclaration = regexp.MustCompile(`^<\?xml` +
	`[ \t\r\n]+version[ \t\r\n]*=[ \t\r\n]*("1\.0"|'1\.0')` +
	`([ \t\r\n]+encoding[ \t\r\n]*=[ \t\r\n]*("[A-Za-z][A-Za-z0-9._-]*"|'[A-Za-z][A-Za-z0-9._-]*'))?` +
	`([ \t\r\n]+standalone[ \t\r\n]*=[ \t\r\n]*("(yes|no)"|'(yes|no)'))?` +
	`[ \t\r\n]*\?>$`)

// instruction checks a processing instruction, which begins at a place in the file.
func (x *xmlTokens) instruction(begin int64) *Error {
	if len(x.raw) < len("<?x?>") || x.raw[2] == '>' { // gosax may take "<?>" for a whole one
		return x.syntax(0, "expected target name after <?")
	}
	target := x.raw[2 : len(x.raw)-2]
	if i := bytes.IndexAny(target, xmlSpace); i >= 0 {
		target = target[:i]
	}
	switch {
	case string(target) == "xml" && begin > 0:
		return x.fault(x.within(), "an XML declaration that is not at the very beginning of the file",
			"remove what stands before it")
	case string(target) == "xml" && !xmlDeclaration.Match(x.raw):
		return x.syntax(0, `the XML declaration is not like <?xml version="1.0" encoding="UTF-8"?>`)
	case string(target) != "xml" && strings.EqualFold(string(target), "xml"):
		return x.syntax(0, "the name "+string(target)+" is reserved")
	}
	if _, fault := x.name(target, len("<?")); fault != nil {
		return fault
	}
	_, fault := x.decode(x.raw, 0, literal)
	return fault
}
