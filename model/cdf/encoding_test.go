package cdf

import (
	"encoding/binary"
	"io"
	"strings"
	"testing"
	stdutf16 "unicode/utf16"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/text/encoding/charmap"

	"counterproof/model"
)

// wide writes text as UTF-16.
func wide(order binary.AppendByteOrder, text string) []byte {
	var out []byte
	for _, c := range stdutf16.Encode([]rune(text)) {
		out = order.AppendUint16(out, c)
	}
	return out
}

func TestEncodings(t *testing.T) {
	declare := func(encoding string) string {
		return `<?xml version="1.0" encoding="` + encoding + `"?>` + "\n" +
			strings.Replace(export{}.String(), "Wendle County", "Condado de Peñón’s", 1)
	}
	single := func(m *charmap.Charmap, text string) []byte {
		b, err := m.NewEncoder().Bytes([]byte(text))
		require.NoError(t, err)
		return b
	}
	json := strings.Replace(goodJSON, "Grange Hall", "Condado de Peñón’s", 1)
	for _, c := range []struct {
		name     string
		data     []byte
		encoding string
	}{
		{"UTF-8", []byte(declare("UTF-8")), "UTF-8"},
		{"UTF-8 in small letters", []byte(declare("utf-8")), "UTF-8"},
		{"UTF-8 with a byte order mark", []byte("\xef\xbb\xbf" + declare("UTF-8")), "UTF-8"},
		{"UTF-8 with a byte order mark that contradicts the declaration", []byte("\xef\xbb\xbf" + declare("ISO-8859-1")),
			"UTF-8"},
		{"UTF-8 without a declaration", []byte(strings.TrimPrefix(declare("X"), `<?xml version="1.0" encoding="X"?>`+"\n")),
			"UTF-8"},
		{"UTF-16, little end first, with a byte order mark", wide(binary.LittleEndian, "\ufeff"+declare("UTF-16")),
			"UTF-16LE"},
		{"UTF-16, big end first, with a byte order mark", wide(binary.BigEndian, "\ufeff"+declare("UTF-16")), "UTF-16BE"},
		{"UTF-16, little end first, declared", wide(binary.LittleEndian, declare("UTF-16LE")), "UTF-16LE"},
		{"UTF-16, big end first, declared", wide(binary.BigEndian, declare("UTF-16BE")), "UTF-16BE"},
		{"windows-1252", single(charmap.Windows1252, declare("windows-1252")), "windows-1252"},
		{"ISO-8859-1 that is really windows-1252", single(charmap.Windows1252, declare("ISO-8859-1")), "ISO-8859-1"},
		{"IBM850", single(charmap.CodePage850, strings.Replace(declare("IBM850"), "’", "'", 1)), "IBM850"},
		{"JSON in UTF-8", []byte(json), "UTF-8"},
		{"JSON in UTF-8 with a byte order mark", []byte("\xef\xbb\xbf" + json), "UTF-8"},
		{"JSON in UTF-16", wide(binary.LittleEndian, "\ufeff"+json), "UTF-16LE"},
	} {
		t.Run(c.name, func(t *testing.T) {
			e, contents, err := Read([]Part{{"export", c.data}}, Options{WithoutStyles: true})
			require.NoError(t, err)
			assert.Equal(t, c.encoding, contents.Parts[0].Encoding)
			assert.Equal(t, int64(len(c.data)), contents.Parts[0].Bytes)
			want := "Condado de Peñón’s"
			if c.encoding == "IBM850" {
				want = "Condado de Peñón's"
			}
			assert.Equal(t, want, e.Facts.Jurisdiction.Value.In("en"))
		})
	}
	t.Run("characters beyond the basic plane", func(t *testing.T) {
		xml := strings.Replace(export{}.String(), "Wendle", "𝒲endle 😀", 1)
		e := mustRead(t, string(wide(binary.BigEndian, "\ufeff"+xml)))
		assert.Equal(t, "𝒲endle 😀 County", e.Facts.Jurisdiction.Value.In("en"))
	})
}

// TestEncodingsAreReadInSmallSteps: whoever reads the text may ask for less than a
// character, as the JSON decoder does when its buffer is nearly full.
func TestEncodingsAreReadInSmallSteps(t *testing.T) {
	const text = `<?xml version="1.0" encoding="windows-1252"?><a>Peñón 😀</a>`
	single, err := charmap.Windows1252.NewEncoder().String(strings.ReplaceAll(text, "😀", "’"))
	require.NoError(t, err)
	for name, data := range map[string]string{"UTF-16": string(wide(binary.LittleEndian, text)), "windows-1252": single} {
		_, in, fault := sniff(strings.NewReader(data))
		require.Nil(t, fault, name)
		var got []byte
		for step := make([]byte, 1); len(got) < 1000; {
			n, err := in.Read(step)
			got = append(got, step[:n]...)
			if err == io.EOF {
				break
			}
			require.NoError(t, err, name)
			require.NotZero(t, n, "%s: nothing was read", name)
		}
		assert.Contains(t, string(got), "Peñón", name)
		assert.Contains(t, string(got), "</a>", name)
	}
}

// TestWordingIsKeptAsItIs: spaces, line ends and marks are the ballot's business.
func TestWordingIsKeptAsItIs(t *testing.T) {
	for _, c := range []struct{ name, xml, want string }{
		{"spaces around a name", "  Ada  Quill ", "  Ada  Quill "},
		{"entities", "Ada &quot;A&amp;Q&quot; O&apos;Quill &lt;Jr&gt;", `Ada "A&Q" O'Quill <Jr>`},
		{"characters by number", "Ada&#xA0;Quill&#8217;s", "Ada\u00a0Quill\u2019s"},
		{"CDATA", "<![CDATA[Ada <&> Quill]]>", "Ada <&> Quill"},
		{"a comment within", "Ada <!-- née Reed -->Quill", "Ada Quill"},
		{"a processing instruction within", "Ada <?print bold?>Quill", "Ada Quill"},
		{"line ends of Windows", "Ada\r\nQuill\rReed", "Ada\nQuill\nReed"},
		{"invisible characters and direction marks", "Ada\u200bQu\u202eill", "Ada\u200bQu\u202eill"},
		{"decomposed accents", "Ade\u0301", "Ade\u0301"},
		{"nothing", "", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			e := mustRead(t, export{candidates: candidateXML("ada", c.xml, ""),
				contests: race("clerk", "<CandidateIds>ada</CandidateIds>")}.String())
			assert.Equal(t, model.Say(en(c.want)), e.Contests[0].Choices[0].Name)
		})
	}
}

// TestWaysToWriteTheSame: whatever XML leaves open makes no difference.
func TestWaysToWriteTheSame(t *testing.T) {
	plain := export{candidates: candidateXML("ada", "Ada Quill", "<PartyId>heron</PartyId>"),
		contests: race("clerk", "<CandidateIds>ada</CandidateIds>", "<IsWriteIn>true</IsWriteIn>"),
		styles:   ballot("p1 p2", "clerk")}.String()
	want := mustRead(t, plain)
	for _, c := range []struct {
		name   string
		change func(string) string
	}{
		{"a prefix on every element", func(s string) string {
			s = strings.ReplaceAll(strings.ReplaceAll(s, "</", "\x01"), "<", "<v2:")
			s = strings.ReplaceAll(strings.ReplaceAll(s, "\x01", "</v2:"), `xsi:type="`, `xsi:type="v2:`)
			return strings.Replace(s, "xmlns=", "xmlns:v2=", 1)
		}},
		{"a prefix on elements, types without", func(s string) string {
			s = strings.ReplaceAll(strings.ReplaceAll(s, "</", "\x01"), "<", "<e:")
			return strings.Replace(strings.ReplaceAll(s, "\x01", "</e:"), "xmlns=", "xmlns:e=", 1)
		}},
		{"another prefix for xsi", func(s string) string { return strings.ReplaceAll(s, "xsi", "i") }},
		{"the namespace of xsi declared where it is used", func(s string) string {
			return strings.ReplaceAll(strings.Replace(s, ` xmlns:xsi="`+xsiNamespace+`"`, "", 1), "xsi:type",
				`xmlns:xsi="`+xsiNamespace+`" xsi:type`)
		}},
		{"single quotes and spaces in tags", func(s string) string {
			return strings.ReplaceAll(strings.ReplaceAll(s, `"`, "'"), "='", " =\t'")
		}},
		{"booleans as numbers", func(s string) string { return strings.ReplaceAll(s, "true", "1") }},
		{"spaces around identifiers and numbers", func(s string) string {
			return strings.ReplaceAll(strings.ReplaceAll(s, ">county<", ">\n county\t<"), ">1<", "> 1 <")
		}},
		{"CRLF", func(s string) string { return strings.ReplaceAll(s, "\n", "\r\n") }},
		{"comments that look like markup", func(s string) string {
			return strings.ReplaceAll(s, "</Election>", "<!-- </Election> <Contest> ]]> --></Election><!-- > -->")
		}},
		{"CDATA that looks like markup", func(s string) string {
			return strings.ReplaceAll(s, "<Format>", "<Notes><![CDATA[</ElectionReport><Election>]]></Notes><Format>")
		}},
		{"processing instructions that look like markup", func(s string) string {
			return strings.ReplaceAll(s, "<Format>", "<?x </ElectionReport> > ?><Format>")
		}},
		{"attributes that look like markup", func(s string) string {
			return strings.ReplaceAll(s, "<Format>", `<Notes x="/>" y='">'/><Format>`)
		}},
		{"a schema location", func(s string) string {
			return strings.Replace(s, "<ElectionReport ", `<ElectionReport xsi:schemaLocation="a b" xml:lang="en" `, 1)
		}},
		{"white space and a comment around the report",
			func(s string) string { return "<!-- x -->\n" + s + "\n\n<!-- y --> <?z?>\n" }},
	} {
		t.Run(c.name, func(t *testing.T) {
			changed := c.change(plain)
			require.NotEqual(t, plain, changed)
			got := mustRead(t, changed)
			got.Origins = model.Origins{}
			expected := *want
			expected.Origins = model.Origins{}
			assert.Equal(t, &expected, got)
		})
	}
	t.Run("the parts of the report in another order", func(t *testing.T) {
		from, to := strings.Index(plain, "<Election>"), strings.Index(plain, "</Election>")+len("</Election>")
		last := plain[:from] + plain[to:]
		last = strings.Replace(last, end, plain[from:to]+end, 1)
		got := mustRead(t, last)
		got.Origins = model.Origins{}
		expected := *want
		expected.Origins = model.Origins{}
		assert.Equal(t, &expected, got)
	})
}
