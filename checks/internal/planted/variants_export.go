package planted

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"regexp"
	"slices"
	"strings"
	"unicode/utf16"

	"github.com/beevik/etree"

	"counterproof/model"
	"counterproof/model/cdf"
	"counterproof/model/sheets"
)

// export writes the primary as SP 1500-100 XML, changes the bytes, and reads them
// again.
func export(name string, change func(r *rand.Rand, xml []byte) ([]byte, error)) *Variant {
	return &Variant{name, func(r *rand.Rand, c *County) (*model.Election, *model.Election, bool, error) {
		if c.Shape.PrecinctBy == ByCode { // the writer makes identifiers anew
			return nil, nil, false, nil
		}
		var file bytes.Buffer
		if err := cdf.WriteXML(&file, c.Primary.Election, cdf.WriteOptions{}); err != nil {
			return nil, nil, false, err
		}
		data, err := change(r, file.Bytes())
		if err != nil {
			return nil, nil, false, err
		}
		primary, _, err := cdf.Read([]cdf.Part{{Name: "export", Data: data}}, cdf.Options{})
		return primary, c.Second.Election, true, err
	}}
}

// tree makes an export variant out of a change to the document.
func tree(name string, change func(r *rand.Rand, root *etree.Element)) *Variant {
	return export(name, func(r *rand.Rand, xml []byte) ([]byte, error) {
		doc := etree.NewDocument()
		if err := doc.ReadFromBytes(xml); err != nil {
			return nil, err
		}
		change(r, doc.Root())
		return doc.WriteToBytes()
	})
}

// text makes an export variant out of a change to the text of the file.
func text(name string, change func(r *rand.Rand, xml string) string) *Variant {
	return export(name, func(r *rand.Rand, xml []byte) ([]byte, error) { return []byte(change(r, string(xml))), nil })
}

var (
	tag         = regexp.MustCompile(`<(/?)([A-Za-z])`)
	typed       = regexp.MustCompile(`xsi:type="`)
	attribute   = regexp.MustCompile(` ([A-Za-z:]+)="([^"']*)"`)
	between     = regexp.MustCompile(`>\s+<`)
	declaration = regexp.MustCompile(`^<\?xml[^>]*\?>\s*`)
	content     = regexp.MustCompile(`>([^<>]*[^<>\s][^<>]*)<`)
	trueFalse   = regexp.MustCompile(`>(true|false)<`)
	identifier  = regexp.MustCompile(`ObjectId="([^"]+)"`)
)

var exportVariants = []*Variant{
	text("the export written and read", func(_ *rand.Rand, xml string) string { return xml }),
	text("a namespace prefix on every element and type", func(_ *rand.Rand, xml string) string {
		head := declaration.FindString(xml)
		body := tag.ReplaceAllString(xml[len(head):], "<${1}er:$2")
		body = typed.ReplaceAllString(body, `xsi:type="er:`)
		return head + strings.Replace(body, ` xmlns="`, ` xmlns:er="`, 1)
	}),
	text("another prefix for the schema instance", func(_ *rand.Rand, xml string) string {
		return strings.ReplaceAll(strings.Replace(xml, "xmlns:xsi=", "xmlns:i=", 1), "xsi:type=", "i:type=")
	}),
	text("UTF-8 with a byte order mark", func(_ *rand.Rand, xml string) string { return "\ufeff" + xml }),
	export("UTF-16, little end first", func(_ *rand.Rand, xml []byte) ([]byte, error) {
		return wide(string(xml), false),
			nil
	}),
	export("UTF-16, big end first", func(_ *rand.Rand, xml []byte) ([]byte, error) {
		return wide(string(xml), true),
			nil
	}),
	export("ISO-8859-1", func(_ *rand.Rand, xml []byte) ([]byte, error) { return latin(string(xml), "ISO-8859-1"), nil }),
	export("windows-1252", func(_ *rand.Rand, xml []byte) ([]byte, error) {
		return latin(string(xml), "windows-1252"),
			nil
	}),
	text("characters beyond ASCII as references", func(_ *rand.Rand, xml string) string {
		var out strings.Builder
		for _, c := range xml {
			if c < 0x80 {
				out.WriteRune(c)
			} else {
				fmt.Fprintf(&out, "&#x%X;", c)
			}
		}
		return out.String()
	}),
	text("line ends of another system",
		func(_ *rand.Rand, xml string) string { return strings.ReplaceAll(xml, "\n", "\r\n") }),
	text("no space between elements",
		func(_ *rand.Rand, xml string) string { return between.ReplaceAllString(xml, "><") }),
	text("comments and processing instructions between elements", func(_ *rand.Rand, xml string) string {
		head := declaration.FindString(xml)
		return head + between.ReplaceAllString(xml[len(head):], ">\n<!-- checked <twice> -->\n<?proof read?>\n<")
	}),
	text("texts as CDATA", func(_ *rand.Rand, xml string) string {
		return content.ReplaceAllStringFunc(xml, func(s string) string {
			if strings.Contains(s, "&") {
				return s
			}
			return "><![CDATA[" + s[1:len(s)-1] + "]]><"
		})
	}),
	text("attributes in single quotes",
		func(_ *rand.Rand, xml string) string { return attribute.ReplaceAllString(xml, ` $1='$2'`) }),
	text("booleans as 1 and 0", func(_ *rand.Rand, xml string) string {
		return trueFalse.ReplaceAllStringFunc(xml, func(s string) string {
			if s == ">true<" {
				return ">1<"
			}
			return ">0<"
		})
	}),
	text("identifiers renamed in the file", func(r *rand.Rand, xml string) string {
		names := map[string]string{}
		for i, m := range identifier.FindAllStringSubmatch(xml, -1) {
			names[m[1]] = fmt.Sprintf("_%d-%04x", i, r.Uint32N(1<<16))
		}
		return regexp.MustCompile(`[A-Za-z][A-Za-z0-9-]*-[0-9]+(-[a-z]+-[0-9]+)?`).ReplaceAllStringFunc(xml,
			func(s string) string {
				if n, ok := names[s]; ok {
					return n
				}
				return s
			})
	}),
	tree("attributes in another order", func(_ *rand.Rand, root *etree.Element) {
		each(root, func(e *etree.Element) { slices.Reverse(e.Attr) })
	}),
	tree("elements in another order", func(r *rand.Rand, root *etree.Element) {
		each(root, func(e *etree.Element) { reorder(r, e) })
	}),
	export("JSON", func(_ *rand.Rand, xml []byte) ([]byte, error) {
		doc := etree.NewDocument()
		if err := doc.ReadFromBytes(xml); err != nil {
			return nil, err
		}
		return json.Marshal(object(doc.Root()))
	}),
	{"voting units in a list of cards beside the export",
		func(r *rand.Rand, c *County) (*model.Election, *model.Election, bool, error) {
			if !c.Shape.Uses { // an export's own devices state no use, and so lose nothing
				return nil, nil, false, nil
			}
			rows := sheets.FromElection(c.Second.Election, "").Units
			c.Primary.Units, c.Primary.Origins.Units = nil, nil
			err := sheets.AttachUnits(c.Primary.Election, rows)
			return c.Primary.Election, c.Second.Election, len(rows) > 0, err
		}},
}

func declared(xml, encoding string) string {
	return `<?xml version="1.0" encoding="` + encoding + `"?>` + "\n" + xml[len(declaration.FindString(xml)):]
}

func wide(xml string, bigEnd bool) []byte {
	var out []byte
	for _, unit := range utf16.Encode([]rune("\ufeff" + declared(xml, "UTF-16"))) {
		if bigEnd {
			out = append(out, byte(unit>>8), byte(unit))
		} else {
			out = append(out, byte(unit), byte(unit>>8))
		}
	}
	return out
}

// latin writes what a single byte can say, and references for the rest.
func latin(xml, encoding string) []byte {
	var out []byte
	for _, c := range declared(xml, encoding) {
		if c < 0x80 || c >= 0xa0 && c < 0x100 {
			out = append(out, byte(c))
		} else {
			out = fmt.Appendf(out, "&#%d;", c)
		}
	}
	return out
}

func each(e *etree.Element, change func(*etree.Element)) {
	change(e)
	for _, child := range e.ChildElements() {
		each(child, change)
	}
}

// reorder puts the children of an element into another order. Those of one name
// keep theirs: the content of a ballot is ordered, and so are the languages of a
// text.
func reorder(r *rand.Rand, e *etree.Element) {
	children := e.ChildElements()
	if len(children) < 2 {
		return
	}
	byName := map[string][]*etree.Element{}
	var names []string
	for _, child := range children {
		byName[child.Tag] = append(byName[child.Tag], child)
		names = append(names, child.Tag)
		e.RemoveChild(child)
	}
	for _, name := range shuffled(r, names) {
		e.AddChild(byName[name][0])
		byName[name] = byName[name][1:]
	}
}

// many are the members of which SP 1500-100 (JSON schema) has arrays, of those
// that WriteXML writes.
var many = strings.Fields(
	`BallotStyle OrderedContent Contest ContestSelection Candidate GpUnit Header Party Person Election
ExternalIdentifier Text GpUnitIds OrderedContestSelectionIds CandidateIds EndorsementPartyIds ComposingGpUnitIds PartyIds
PrimaryPartyIds`)

// object is an element in the JSON form of SP 1500-100.
func object(e *etree.Element) map[string]any {
	class := e.Tag
	if t := e.SelectAttrValue("xsi:type", ""); t != "" {
		class = t
	}
	out := map[string]any{}
	if id := e.SelectAttrValue("ObjectId", ""); id != "" {
		out["@id"] = id
	}
	for _, child := range e.ChildElements() {
		var value any
		switch {
		case len(child.ChildElements()) > 0:
			value = object(child)
		case child.Tag == "Text":
			value = map[string]any{"@type": "ElectionResults.LanguageString", "Content": child.Text(),
				"Language": child.SelectAttrValue("Language", "")}
		case strings.HasSuffix(child.Tag, "Ids"):
			for _, id := range strings.Fields(child.Text()) {
				list, _ := out[child.Tag].([]any)
				out[child.Tag] = append(list, id)
			}
			continue
		case child.Text() == "true" || child.Text() == "false":
			value = child.Text() == "true"
		case slices.Contains([]string{"VotesAllowed", "SequenceStart", "SequenceEnd", "NumberElected"}, child.Tag):
			value = json.Number(strings.TrimSpace(child.Text()))
		default:
			value = child.Text()
		}
		if slices.Contains(many, child.Tag) {
			list, _ := out[child.Tag].([]any)
			out[child.Tag] = append(list, value)
		} else {
			out[child.Tag] = value
		}
	}
	if _, ok := out["Text"]; ok {
		class = "InternationalizedText"
	}
	out["@type"] = "ElectionResults." + class
	return out
}
