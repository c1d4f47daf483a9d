package cdf

import (
	"bytes"
	"encoding/binary"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// tricky holds markup that looks like other markup, and every way to write a tag.
const tricky = `<?xml version="1.0" encoding="UTF-8"?>
<!-- <ElectionReport> -->
<v:ElectionReport xmlns:v="http://itl.nist.gov/ns/voting/1500-100/v2" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance" a=">" b='"/>'>
<v:GpUnit xsi:type="v:ReportingUnit" ObjectId="p1"><v:Name><v:Text Language="en">1 > 0, "quoted" &lt;v:Election></v:Text></v:Name><v:Type>precinct</v:Type></v:GpUnit>
<v:Election xmlns="http://itl.nist.gov/ns/voting/1500-100/v2" xmlns:w="http://itl.nist.gov/ns/voting/1500-100/v2">
<BallotStyle
  ><GpUnitIds
>p1</GpUnitIds
><OrderedContent xsi:type="w:OrderedContest"><ContestId>c1</ContestId></OrderedContent></BallotStyle><!-- </v:Election> -->
<w:Contest xsi:type="CandidateContest" ObjectId="c1"><ElectionDistrictId>p1</ElectionDistrictId><Name><![CDATA[</Contest></v:Election>]]>]</Name><VotesAllowed>1</VotesAllowed></w:Contest>
<?x </v:Election> ?>
<v:ElectionScopeId>p1</v:ElectionScopeId><Name/><StartDate>2027-11-02</StartDate>
</v:Election>
<v:Election xmlns:other="urn:other"><v:Name><v:Text Language="en">Second</v:Text></v:Name></v:Election>
<v:Election/>
<other:Election xmlns:other="urn:other"><Deep><Deeper/></Deep></other:Election>
<v:Issuer/>
</v:ElectionReport>
<!-- end -->
`

// wellFormedness are texts within the report. Where wrong is empty, XML 1.0 allows
// them. lenient says that encoding/xml takes what XML does not allow, and stricter
// that XML allows what is refused here. TestWellFormedness holds that to xmllint.
var wellFormedness = []struct {
	name, xml, wrong  string
	lenient, stricter bool
}{
	{name: "text", xml: "<N>a</N>"},
	{name: "an attribute in single quotes", xml: `<N a='"'/>`},
	{name: "white space in tags", xml: "<N\n a\t=\r\n'1'\n/><N ></N\n>"},
	{name: "greater than in an attribute", xml: `<N a=">]]>"/>`},
	{name: "letters beyond ASCII in a name", xml: `<Größe größe="1"/>`},
	{name: "digits and marks in a name", xml: `<_a-1.b/>`},
	{name: "references", xml: `<N a="&lt;&#60;&#x3C;">&amp;&gt;&quot;&apos;&#x1F600;&#0010;&#x9;</N>`},
	{name: "characters at the ends of the ranges", xml: "<N>\t\n\r \ud7ff\ue000\ufffd\U00010000\U0010FFFF</N>"},
	{name: "line ends", xml: "<N a='\r\n\r\r'>\r\n\r\r\n&amp;\r<![CDATA[\r\n\r]]>\r</N>\r\n"},
	{name: "a CDATA section", xml: "<N><![CDATA[<&>]]]]><![CDATA[>]]></N>"},
	{name: "an empty CDATA section", xml: "<N><![CDATA[]]></N>"},
	{name: "a processing instruction", xml: "<?a?><?b c ? > ?>"},
	{name: "comments", xml: "<!----><!-- - > -- -->", wrong: `invalid sequence "--" not allowed in comments`},
	{name: "an empty comment", xml: "<!---->"},
	{name: "a comment that begins with a dash", xml: "<!--- a -->"},
	{name: "a comment that begins with a sign", xml: "<!--> a -->",
		wrong: "a comment begins with > or ->", stricter: true},
	{name: "a comment that begins with a dash and a sign", xml: "<!---> a -->",
		wrong: "a comment begins with > or ->", stricter: true},
	{name: "half a surrogate pair by number", xml: "<N>&#xD800;</N>",
		wrong: "illegal character code U+D800", lenient: true},
	{name: "the other half by number", xml: "<N>&#57343;</N>", wrong: "illegal character code U+DFFF", lenient: true},
	{name: "NUL by number", xml: "<N>&#0;</N>", wrong: "illegal character code U+0000"},
	{name: "a control character by number", xml: "<N>&#x1;</N>", wrong: "illegal character code U+0001"},
	{name: "U+FFFE by number", xml: "<N>&#xFFFE;</N>", wrong: "illegal character code U+FFFE"},
	{name: "U+FFFF", xml: "<N>\uffff</N>", wrong: "illegal character code U+FFFF"},
	{name: "a number beyond Unicode", xml: "<N>&#x110000;</N>", wrong: "invalid character entity &#x110000;"},
	{name: "an endless number", xml: "<N>&#99999999999999999999999999;</N>",
		wrong: "invalid character entity &#99999999999999999999999999;"},
	{name: "a reference without a number", xml: "<N>&#;</N>", wrong: "invalid character entity &#;"},
	{name: "a reference without a hexadecimal number", xml: "<N>&#x;</N>", wrong: "invalid character entity &#x;"},
	{name: "a sign in a number", xml: "<N>&#+1;</N>", wrong: "invalid character entity &# (no semicolon)"},
	{name: "a large X", xml: "<N>&#X41;</N>", wrong: "invalid character entity &#X41;"},
	{name: "an underscore in a number", xml: "<N>&#1_0;</N>", wrong: "invalid character entity &#1_0;"},
	{name: "an ampersand", xml: "<N>A & B</N>", wrong: "invalid character entity & (no semicolon)"},
	{name: "an unknown entity", xml: "<N>&nbsp;</N>", wrong: "invalid character entity &nbsp;"},
	{name: "an unknown entity in an attribute", xml: "<N a='&nbsp;'/>", wrong: "invalid character entity &nbsp;"},
	{name: "half a surrogate pair", xml: "<N>\xed\xa0\x80</N>", wrong: "invalid UTF-8"},
	{name: "a letter that is too long", xml: "<N>\xc0\xaf</N>", wrong: "invalid UTF-8"},
	{name: "invalid UTF-8 in an attribute", xml: "<N a='\xff'/>", wrong: "invalid UTF-8"},
	{name: "invalid UTF-8 in a comment", xml: "<!-- \xff -->", wrong: "invalid UTF-8", lenient: true},
	{name: "invalid UTF-8 in a CDATA section", xml: "<N><![CDATA[\xff]]></N>", wrong: "invalid UTF-8"},
	{name: "invalid UTF-8 in a name", xml: "<N\xff/>", wrong: "invalid XML name: N"},
	{name: "NUL in text", xml: "<N>\x00</N>", wrong: "illegal character code U+0000"},
	{name: "NUL in a comment", xml: "<!-- \x00 -->", wrong: "illegal character code U+0000", lenient: true},
	{name: "NUL in an instruction", xml: "<?a \x00?>", wrong: "illegal character code U+0000", lenient: true},
	{name: "NUL in a tag", xml: "<N\x00/>", wrong: "expected attribute name in element"},
	{name: "the end of a CDATA section in text", xml: "<N>]]></N>", wrong: "unescaped ]]> not in CDATA section"},
	{name: "the end of one with a reference in it", xml: "<N>]&#93;></N>"},
	{name: "less than in an attribute", xml: "<N a='<'/>", wrong: "unescaped < inside quoted string"},
	{name: "an attribute twice", xml: "<N a='1' a='2'/>", wrong: "the attribute a is given twice", lenient: true},
	{name: "an attribute twice under two prefixes", xml: "<N xmlns:a='u' xmlns:b='u' a:c='1' b:c='2'/>",
		wrong: "the attribute b:c is given twice", lenient: true},
	{name: "attributes without white space", xml: "<N a='1'b='2'/>",
		wrong: "no white space before an attribute", lenient: true},
	{name: "an attribute without quotes", xml: "<N a=1/>", wrong: "unquoted or missing attribute value in element"},
	{name: "an attribute without a value", xml: "<N a/>", wrong: "attribute name without = in element"},
	{name: "a slash in a tag", xml: "<N / >", wrong: "expected /> in element"},
	{name: "a quote in a tag", xml: `<N">"/>`, wrong: "expected attribute name in element"},
	{name: "a tag in a tag", xml: "<N <N/>/>", wrong: "expected attribute name in element"},
	{name: "white space before a name", xml: "< N/>", wrong: "expected element name after <"},
	{name: "an empty tag", xml: "<>", wrong: "expected element name after <"},
	{name: "an empty end tag", xml: "</>", wrong: "expected element name after </"},
	{name: "a name that begins with a digit", xml: "<1N/>", wrong: "invalid XML name: 1N"},
	{name: "a name of two colons", xml: "<a:b:c/>", wrong: "invalid XML name: a:b:c"},
	{name: "a name that begins with a colon", xml: "<:a/>", wrong: "invalid XML name: :a", lenient: true},
	{name: "a name that ends with a colon", xml: "<N xmlns:a='u'><a:/></N>",
		wrong: "invalid XML name: a:", lenient: true},
	{name: "an attribute in an end tag", xml: "<N></N a='1'>", wrong: "invalid characters between </N and >"},
	{name: "other tags", xml: "<N></M>", wrong: "</M> stands where </N> should"},
	{name: "crossed tags", xml: "<N><M></N></M>", wrong: "</N> stands where </M> should"},
	{name: "the prefix of another namespace", xml: "<N xmlns:a='u'><a:b></b></N>",
		wrong: "</b> stands where </a:b> should"},
	{name: "a declaration within", xml: `<?xml version="1.0"?>`,
		wrong: "an XML declaration that is not at the very beginning of the file", lenient: true},
	{name: "a reserved name", xml: `<?XML a?>`, wrong: "the name XML is reserved", lenient: true},
	{name: "an instruction without a name", xml: `<??>`, wrong: "expected target name after <?"},
	{name: "an instruction after white space", xml: `<? a?>`, wrong: "invalid XML name: "},
	{name: "a short instruction", xml: `<?>?>`, wrong: "expected target name after <?"},
	{name: "an instruction without white space", xml: `<?a+b?>`, wrong: "invalid XML name: a+b", lenient: true},
	{name: "half a comment", xml: `<!- -->`, wrong: "invalid sequence <!- not part of <!--"},
	{name: "a comment of three dashes at its end", xml: `<!-- a --->`,
		wrong: `invalid sequence "--" not allowed in comments`},
	{name: "half a CDATA section", xml: `<![cdata[ ]]>`, wrong: "invalid <![ sequence"},
	{name: "a declaration of an element", xml: `<!ELEMENT a EMPTY>`,
		wrong: "the file holds a document type declaration, which can define entities", lenient: true},
	{name: "nothing after an exclamation mark", xml: `<!>`,
		wrong: "the file holds a document type declaration, which can define entities"},
	{name: "an undeclared prefix", xml: `<a:b/>`, wrong: `the namespace prefix "a" is not declared`, lenient: true},
	{name: "an undeclared prefix of an attribute", xml: `<N a:b=""/>`,
		wrong: `the namespace prefix "a" is not declared`, lenient: true},
	{name: "an attribute twice, under a namespace once", xml: `<N xmlns:a="u" a:b="" b=""/>`},
	{name: "a namespace that ends with its element", xml: `<N xmlns:a="u"><a:b/></N><a:b/>`,
		wrong: `the namespace prefix "a" is not declared`, lenient: true},
	{name: "256 elements in each other", xml: strings.Repeat("<a>", 255) + strings.Repeat("</a>", 255)},
	{name: "257 elements in each other", xml: strings.Repeat("<a>", 256) + strings.Repeat("</a>", 256),
		wrong: "elements stand more than 256 deep within each other", stricter: true},
}

// wholeFiles are like wellFormedness, for what stands around the root.
var wholeFiles = []struct {
	name, xml, wrong string
	lenient          bool
}{
	{name: "a declaration", xml: `<?xml version="1.0"?>` + begin + end},
	{name: "a declaration with everything",
		xml: "<?xml\tversion = '1.0'\nencoding='utf-8' standalone='no' ?>" + begin + end},
	{name: "a declaration without a version", xml: `<?xml encoding="utf-8"?>` + begin + end,
		wrong: "the XML declaration is not like", lenient: true},
	{name: "a declaration out of order", xml: `<?xml encoding="utf-8" version="1.0"?>` + begin + end,
		wrong: "the XML declaration is not like", lenient: true},
	{name: "a declaration with something else", xml: `<?xml version="1.0" a="b"?>` + begin + end,
		wrong: "the XML declaration is not like", lenient: true},
	{name: "a declaration that is neither alone nor not",
		xml:   `<?xml version="1.0" standalone="maybe"?>` + begin + end,
		wrong: "the XML declaration is not like", lenient: true},
	{name: "an empty declaration", xml: `<?xml?>` + begin + end,
		wrong: "the XML declaration is not like", lenient: true},
	{name: "white space before the declaration", xml: ` <?xml version="1.0"?>` + begin + end,
		wrong: "an XML declaration that is not at the very beginning", lenient: true},
	{name: "comments and instructions around the root", xml: "<!-- --> <?a?>" + begin + end + "<!-- --><?a?>\n"},
	{name: "text before the root", xml: "<!-- -->a" + begin + end,
		wrong: "text outside of the root element", lenient: true},
	{name: "text after the root", xml: begin + end + "a", wrong: "text outside of the root element", lenient: true},
	{name: "a reference after the root", xml: begin + end + "&#32;",
		wrong: "text outside of the root element", lenient: true},
	{name: "a CDATA section after the root", xml: begin + end + "<![CDATA[ ]]>",
		wrong: "text outside of the root element", lenient: true},
	{name: "a control character after the root", xml: begin + end + "\x01", wrong: "text outside of the root element"},
	{name: "two roots", xml: begin + end + begin + end, wrong: "a second root element", lenient: true},
	{name: "an end tag after the root", xml: begin + end + end, wrong: "</ElectionReport> closes nothing"},
	{name: "no root", xml: "<!-- -->", wrong: "the file holds no element", lenient: true},
	{name: "no end", xml: begin, wrong: "the file ends within ElectionReport"},
}

// TestWellFormedness holds the table above to itself, to xmllint, which knows the
// standard, and to encoding/xml.
func TestWellFormedness(t *testing.T) {
	lint, err := exec.LookPath("xmllint")
	if err != nil {
		require.NotEqual(t, "true", os.Getenv("CI"), "xmllint is missing; install libxml2-utils")
	}
	judge := func(t *testing.T, text, wrong string, lenient, stricter bool) {
		_, fault := readXML(strings.NewReader(text), 0, false)
		if wrong == "" {
			require.Nil(t, fault)
		} else {
			require.NotNil(t, fault)
			assert.Contains(t, fault.Fault, wrong)
		}
		_, err := libraryTokens([]byte(text))
		assert.Equal(t, wrong == "" || lenient || stricter, err == nil, "encoding/xml: %v", err)
		if lint == "" {
			return
		}
		path := filepath.Join(t.TempDir(), "x.xml")
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
		out, _ := exec.Command(lint, "--noout", "--nonet", path).CombinedOutput()
		assert.Equal(t, wrong == "" || stricter, len(out) == 0, "xmllint: %s", out)
	}
	for _, c := range wellFormedness {
		t.Run(c.name, func(t *testing.T) { judge(t, begin+c.xml+end, c.wrong, c.lenient, c.stricter) })
	}
	for _, c := range wholeFiles {
		t.Run(c.name, func(t *testing.T) { judge(t, c.xml, c.wrong, c.lenient, false) })
	}
}

// TestArrivalChangesNothing: however the file arrives, it reads the same, and has
// the same fault at the same place.
func TestArrivalChangesNothing(t *testing.T) {
	files := map[string]string{"tricky": tricky, "county": string(county(40))}
	for i, s := range xmlSeeds() {
		files[fmt.Sprint("seed ", i)] = s
	}
	for _, c := range wellFormedness {
		files[c.name] = begin + "\n" + c.xml + end
	}
	for _, c := range wholeFiles {
		files[c.name] = c.xml
	}
	for name, text := range files {
		want, wantFault := readXML(strings.NewReader(text), 0, false)
		for how, in := range map[string]io.Reader{
			"byte by byte":         iotest.OneByteReader(strings.NewReader(text)),
			"in halves":            iotest.HalfReader(strings.NewReader(text)),
			"with its end at once": iotest.DataErrReader(strings.NewReader(text)),
			"with pauses":          &pausing{in: iotest.OneByteReader(strings.NewReader(text))},
		} {
			got, fault := readXML(in, 0, false)
			assert.Equal(t, want, got, "%s, %s", name, how)
			assert.Equal(t, wantFault, fault, "%s, %s", name, how)
		}
	}
}

// pausing reads nothing every other time, which readers may.
type pausing struct {
	in     io.Reader
	paused bool
}

func (p *pausing) Read(b []byte) (int, error) {
	if p.paused = !p.paused; p.paused {
		return 0, nil
	}
	return p.in.Read(b)
}

// TestFaultsHaveTheirLine: the line is that of the fault itself, also within a text
// or a tag of many lines.
func TestFaultsHaveTheirLine(t *testing.T) {
	for _, c := range []struct {
		name, xml, element string
		line               int
	}{
		{"a character", begin + "\n<Issuer>\n\n\x01\n</Issuer>", "Issuer", 4},
		{"a reference", begin + "\n<Issuer>\n\n&no;\n</Issuer>", "Issuer", 4},
		{"the end of a CDATA section", begin + "\n<Issuer>\n]]>\n</Issuer>", "Issuer", 3},
		{"a CDATA section", begin + "\n<Issuer><![CDATA[\n\n\x01\n]]></Issuer>", "Issuer", 4},
		{"a comment", begin + "\n<!--\n\n\x01\n-->", "ElectionReport", 4},
		{"an attribute", begin + "\n<Issuer\na='1'\nb='\n&no;'\n/>", "ElectionReport", 5},
		{"a tag", begin + "\n<Issuer\na='1'\nb\n/>", "ElectionReport", 4},
		{"an end within a comment", begin + "\n<!--\n\n", "ElectionReport", 4},
		{"an end within a reference", begin + "\n<Issuer>\n\n&am", "Issuer", 4},
		{"an end within a letter", begin + "\n<Issuer>\n\n\xe2\x82", "Issuer", 4},
	} {
		_, fault := readXML(strings.NewReader(c.xml), 0, false)
		require.NotNil(t, fault, c.name)
		assert.Equal(t, c.line, fault.Line, c.name)
		assert.Equal(t, c.element, fault.Element, c.name)
	}
}

// TestCutShortAnywhere: an export that was cut off at any byte, in any encoding, is
// refused in one line that says so.
func TestCutShortAnywhere(t *testing.T) {
	full := strings.TrimSpace(strings.Replace(tricky, "Second", "Zweite Größe &amp; 😀 &#x20AC;", 1))
	whole := full[:strings.LastIndex(full, "\n")]
	for name, data := range map[string][]byte{
		"UTF-8":                                 []byte(whole),
		"UTF-8 with a byte order mark":          []byte("\ufeff" + whole),
		"UTF-16LE with a byte order mark":       wide(binary.LittleEndian, "\ufeff"+whole),
		"UTF-16BE with a byte order mark":       wide(binary.BigEndian, "\ufeff"+whole),
		"UTF-16LE":                              wide(binary.LittleEndian, whole),
		"UTF-16BE":                              wide(binary.BigEndian, whole),
		"UTF-16 that begins like another order": wide(binary.BigEndian, "\ufffe"+whole),
	} {
		step := 1
		if testing.Short() {
			step = 7 // an odd number also ends in the middle of a UTF-16 unit
		}
		for n := 0; n < len(data); n += step {
			_, _, err := Read([]Part{{"x.xml", data[:n]}}, Options{WithoutStyles: true, Elections: []string{"none"}})
			var fault *Error
			require.ErrorAs(t, err, &fault, "%s, %d bytes", name, n)
			require.NotContains(t, fault.Error(), "\n")
			require.NotErrorIs(t, err, ErrWhichElection, "%s, %d bytes: taken for whole", name, n)
			if n > 300 && !strings.Contains(name, "another") {
				require.Regexp(t, "the file ends|half a UTF-16 surrogate pair", fault.Fault, "%s, %d bytes", name, n)
			}
		}
	}
}

// TestHostileSizes: each of these takes long or much memory if anything in the
// reading is worse than linear.
func TestHostileSizes(t *testing.T) {
	if testing.Short() {
		t.Skip("reads huge files: long; run without -short")
	}
	const many = 1_000_000
	var attributes, names, prefixed strings.Builder
	for i := range many {
		if i < maxNames-100 {
			fmt.Fprintf(&attributes, " a%d=''", i)
			fmt.Fprintf(&prefixed, " n%d:a=''", i%90)
		}
		fmt.Fprintf(&names, "<e%d/>", i)
	}
	for _, c := range []struct{ name, xml, want string }{
		{"thousands of attributes", "<a" + attributes.String() + "/>", ""},
		{"a million attributes", "<a" + strings.Repeat(" a='1'", many) + "/>", "a tag with its attributes longer than 1 MiB"},
		{"attributes of many namespaces", "<N" + strings.TrimSuffix(strings.TrimPrefix(namespaces(90), "<Notes"), "/>") +
			"><a" + prefixed.String() + "/></N>", "is given twice"},
		{"a name of a megabyte", "<" + strings.Repeat("n", 1<<20) + "/>", "a tag with its attributes longer than 1 MiB"},
		{"an end tag of a megabyte", "</" + strings.Repeat("n", 1<<20) + ">", "a tag longer than 1 MiB"},
		{"a million names", names.String(), "more than 10000 names of elements and attributes"},
		{"a million references", "<Issuer>" + strings.Repeat("&amp;&#65;&#x42;", many/3) + "</Issuer>", ""},
		{"a million ampersands", "<Issuer>" + strings.Repeat("&", many) + "</Issuer>",
			"invalid character entity & (no semicolon)"},
		{"a million brackets", "<Issuer>" + strings.Repeat("]]", many) + "</Issuer>", ""},
		{"a million carriage returns", "<Issuer>" + strings.Repeat("\r", many) + "</Issuer>", ""},
		{"a million letters of three bytes", "<Issuer>" + strings.Repeat("€", many) + "</Issuer>", ""},
		{"a million comments", "<Issuer>" + strings.Repeat("a<!---->", many) + "</Issuer>", ""},
		{"a million CDATA sections", "<Issuer>" + strings.Repeat("<![CDATA[a]]>", many) + "</Issuer>", ""},
		{"CDATA sections of 20 MiB", "<Issuer>" + strings.Repeat("<![CDATA["+strings.Repeat("a", 1<<20)+"]]>", 20) +
			"</Issuer>", "text longer than 16 MiB"},
		{"a million elements", strings.Repeat("<a></a>", many), ""},
		{"a million dashes in a comment", "<!--" + strings.Repeat("- ", many) + "-->", ""},
		{"a million starts", strings.Repeat("<", many), "expected"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, fault := readXML(strings.NewReader(begin+c.xml+end), 0, false)
			if c.want == "" {
				require.Nil(t, fault)
				return
			}
			require.NotNil(t, fault)
			assert.Contains(t, fault.Fault, c.want)
			assert.Less(t, len(fault.Error()), 2500)
		})
	}
}

// found is a token as encoding/xml and our tokenizer agree on it, with its line.
type found struct {
	Kind       tokenKind
	Line       int
	Name       string // {namespace}local
	Attributes []string
	Text       string
}

// libraryTokens are the tokens that encoding/xml finds up to its first fault. It
// matches tags, but does not mind text outside of the root or a second one.
func libraryTokens(data []byte) ([]found, error) {
	d := xml.NewDecoder(bytes.NewReader(data))
	d.CharsetReader = func(_ string, in io.Reader) (io.Reader, error) { return in, nil }
	expanded := func(n xml.Name) string { return "{" + n.Space + "}" + n.Local }
	out := []found{}
	for depth := 0; ; {
		line, _ := d.InputPos()
		t, err := d.Token()
		if err != nil {
			if err == io.EOF {
				err = nil
			}
			return out, err
		}
		switch t := t.(type) {
		case xml.StartElement:
			depth++
			f := found{Kind: tokenStart, Line: line, Name: expanded(t.Name)}
			for _, a := range t.Attr {
				f.Attributes = append(f.Attributes, expanded(a.Name)+"="+a.Value)
			}
			out = append(out, f)
		case xml.EndElement:
			depth--
			out = append(out, found{Kind: tokenEnd})
		case xml.CharData:
			if depth > 0 || len(bytes.Trim(t, xmlSpace)) > 0 {
				out = append(out, found{Kind: tokenText, Line: line, Text: string(t)})
			}
		}
	}
}

// ourTokens are those that we find, up to the first fault.
func ourTokens(data []byte) ([]found, *Error) {
	x := newXMLTokens(bytes.NewReader(data))
	expanded := func(n *qname, attribute bool) string {
		switch {
		case n.prefix == "xmlns", attribute && n.prefix == "":
			return "{" + n.prefix + "}" + n.local
		}
		return "{" + resolve(x.bound, n.prefix) + "}" + n.local
	}
	out := []found{}
	for {
		if fault := x.next(); fault != nil {
			return out, fault
		}
		t := x.token
		f := found{Kind: t.kind, Line: t.line}
		switch t.kind {
		case tokenOver:
			return out, nil
		case tokenStart:
			f.Name = expanded(t.name, false)
			for _, a := range t.attributes {
				f.Attributes = append(f.Attributes, expanded(a.name, true)+"="+string(a.value))
			}
		case tokenEnd:
			f.Line = 0
		case tokenText:
			f.Text = string(t.text)
		}
		out = append(out, f)
	}
}

// stricter are the beginnings of the faults that encoding/xml does not find.
var stricter = []string{
	"text outside of the root element", "a second root element", "the attribute ", "the namespace prefix ",
	"a namespace prefix ",
	"more than 100 namespaces", "more than 10000 names", "elements stand more than",
	"the file holds a document type declaration",
	"an XML declaration that is not", "this is not well-formed XML: the XML declaration",
	"this is not well-formed XML: the name ",
	"this is not well-formed XML: no white space before an attribute",
	"this is not well-formed XML: a comment begins with",
	"this is not well-formed XML: invalid XML name", "this is not well-formed XML: illegal character code",
	"this is not well-formed XML: invalid UTF-8", "this is not well-formed XML: invalid sequence <!-",
	"this is not well-formed XML: invalid <![", "this is not well-formed XML: expected target name",
}

// FuzzXMLTokens holds our tokens to those of encoding/xml in its strict mode: what
// we accept, it accepts, with the same names, values and lines; what only we refuse
// is one of the faults that it does not look for; and what both refuse, at the same
// token, has its line between the beginning of that token and where it stopped, or
// the end of the file if that ends within the token.
func FuzzXMLTokens(f *testing.F) {
	for _, s := range xmlSeeds() {
		f.Add([]byte(s))
	}
	for _, c := range wellFormedness {
		f.Add([]byte(begin + "\n" + c.xml + end))
	}
	for _, c := range wholeFiles {
		f.Add([]byte(c.xml))
	}
	addSeeds(f, "*/pe-err-*.xml")
	f.Fuzz(func(t *testing.T, data []byte) {
		theirs, err := libraryTokens(data)
		ours, fault := ourTokens(data)
		require.LessOrEqual(t, len(ours), len(theirs), "only encoding/xml finds a fault: %v", err)
		require.Equal(t, theirs[:len(ours)], ours)
		if fault == nil {
			require.NoError(t, err, "only encoding/xml finds a fault")
			require.Len(t, ours, len(theirs))
			return
		}
		if len(theirs) > len(ours) || err == nil {
			for _, s := range stricter {
				if strings.HasPrefix(fault.Fault, s) {
					return
				}
			}
			t.Fatalf("only we find a fault: %v", fault)
		}
		var syntax *xml.SyntaxError
		if !errors.As(err, &syntax) {
			return // an XML declaration, on the first line
		}
		last := 1
		for _, token := range ours {
			last = max(last, token.Line)
		}
		assert.GreaterOrEqual(t, fault.Line, last)
		until := syntax.Line
		if strings.HasPrefix(fault.Fault, "the file ends") {
			until = 1 + bytes.Count(data, []byte("\n"))
		}
		assert.LessOrEqual(t, fault.Line, until)
	})
}
