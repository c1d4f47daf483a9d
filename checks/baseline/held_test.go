package baseline_test

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/beevik/etree"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/stretchr/testify/require"

	"counterproof/assets/demo"
	"counterproof/checks/baseline"
	"counterproof/checks/pairing"
	"counterproof/model"
	"counterproof/model/cdf"
)

// leaf is one value of a file, with the path of the members to it, and where its bytes are.
type leaf struct {
	path     string
	from, to int
	// quoted is true for a string of JSON; number and logical for other values of JSON.
	quoted bool
}

func (l leaf) member() string { return l.path[strings.LastIndexByte(l.path, '/')+1:] }

// harmless are the members in which a change between two exports says nothing of an
// election: who made the file with what, when, and in how many parts. The report says them once.
var harmless = []string{"GeneratedDate", "Issuer", "IssuerAbbreviation", "VendorApplicationId", "SequenceStart",
	"SequenceEnd"}

// xmlLeaves are the texts of elements without children, and the attributes but for
// identifiers, classes and namespaces.
func xmlLeaves(t *testing.T, data []byte) (out []leaf) {
	d := xml.NewDecoder(bytes.NewReader(data))
	var path []string
	var from int64
	leafSince := -1
	for {
		before := d.InputOffset()
		token, err := d.Token()
		if err == io.EOF {
			return out
		}
		require.NoError(t, err)
		switch token := token.(type) {
		case xml.StartElement:
			path = append(path, token.Name.Local)
			from, leafSince = d.InputOffset(), len(path)
			tag := string(data[before:d.InputOffset()])
			for _, a := range token.Attr {
				if a.Name.Local != "ObjectId" && a.Name.Space != "xmlns" && a.Name.Local != "xmlns" && a.Name.Space == "" {
					i := strings.Index(tag, a.Name.Local+`="`)
					require.Positive(t, i, tag)
					at := int(before) + i + len(a.Name.Local) + 2
					out = append(out, leaf{strings.Join(path, "/") + "/@" + a.Name.Local, at, at + len(a.Value), false})
				}
			}
		case xml.EndElement:
			if leafSince == len(path) && before > from {
				out = append(out, leaf{strings.Join(path, "/"), int(from), int(before), false})
			}
			leafSince = -1
			path = path[:len(path)-1]
		}
	}
}

// jsonLeaves are all values of JSON but identifiers and classes.
func jsonLeaves(t *testing.T, data []byte) (out []leaf) {
	d := jsontext.NewDecoder(bytes.NewReader(data))
	var digits = regexp.MustCompile(`/\d+`)
	for {
		token, err := d.ReadToken()
		if err == io.EOF {
			return out
		}
		require.NoError(t, err)
		kind, n := d.StackIndex(d.StackDepth())
		isName := kind == '{' && n%2 == 1
		pointer := digits.ReplaceAllString(string(d.StackPointer()), "")
		switch k := token.Kind(); {
		case isName && k == '"', k == '{', k == '}', k == '[', k == ']':
		case strings.HasSuffix(pointer, "/@id"), strings.HasSuffix(pointer, "/@type"):
		default:
			to := int(d.InputOffset())
			from := to - len(token.String())
			if k == '"' {
				to--
				for from = to; data[from-1] != '"' || data[from-2] == '\\'; from-- {
				}
			}
			out = append(out, leaf{pointer, from, to, k == '"'})
		}
	}
}

var (
	wholeNumber = regexp.MustCompile(`^\d+$`)
	fraction    = regexp.MustCompile(`^\d+\.\d+$`)
	isoDate     = regexp.MustCompile(`^(\d{4})-\d\d-\d\d`)
	enumeration = regexp.MustCompile(`(?s)<xsd?:simpleType name="(\w+)">.*?</xsd?:simpleType>`)
	enumerated  = regexp.MustCompile(`<xsd?:enumeration value="([^"]+)"`)
)

// needsPublished skips a test where the published data is not beside the repository.
func needsPublished(t *testing.T) {
	t.Helper()
	if _, err := os.Stat("../../../shared/standards"); err != nil && os.Getenv("CI") != "true" {
		t.Skipf("the NIST test elections are not beside the repository: %v", err)
	}
}

// enumerations are the sets of values of the published schemas.
func enumerations(t *testing.T) (out [][]string) {
	for _, standard := range []string{"sp1500-100", "sp1500-20"} {
		schemas, err := filepath.Glob("../../../shared/standards/" + standard + "/*.xsd")
		require.NoError(t, err)
		require.NotEmpty(t, schemas, "the published schema is needed")
		data, err := os.ReadFile(schemas[0])
		require.NoError(t, err)
		for _, m := range enumeration.FindAllString(string(data), -1) {
			var set []string
			for _, v := range enumerated.FindAllStringSubmatch(m, -1) {
				set = append(set, v[1])
			}
			if len(set) > 1 {
				out = append(out, set)
			}
		}
	}
	require.Greater(t, len(out), 10)
	return out
}

// altered is the value of a leaf as another of its kind.
func altered(l leaf, value string, sets [][]string, ids []string) string {
	switch {
	case value == "true":
		return "false"
	case value == "false":
		return "true"
	case strings.HasPrefix(l.member(), "Is") && value == "1": // a boolean of XML
		return "0"
	case fraction.MatchString(value):
		return value + "1"
	case wholeNumber.MatchString(value) && !strings.HasSuffix(l.path, "ExternalIdentifier/Value"):
		return value + "1"
	case isoDate.MatchString(value):
		return fmt.Sprint(value[:3], (value[3]-'0'+1)%10, value[4:])
	case strings.HasSuffix(l.member(), "Id") || strings.HasSuffix(l.member(), "Ids"):
		if list := strings.Fields(value); len(list) > 1 {
			return strings.Join(list[1:], " ") // one less
		}
		i := slices.Index(ids, value)
		if i < 0 {
			return value + "x"
		}
		return ids[(i+1)%len(ids)]
	case l.member() == "@Language" || l.member() == "Language":
		if value == "fr" {
			return "es"
		}
		return "fr"
	}
	for _, set := range sets {
		if i := slices.Index(set, value); i >= 0 {
			return set[(i+1)%len(set)]
		}
	}
	return value + "x"
}

var objectID = regexp.MustCompile(`(?:ObjectId="|"@id":\s*")([^"]+)"`)

// TestNoValueOfAnExportChangesUnseen alters each value of the published test elections (NIST
// SP 1500-100 reports before and after the election and SP 1500-20 ballot definitions, XML and
// JSON), of a ballot definition with all that this standard adds, and of the demo, one at a
// time, and reads off what changed between the export and the altered one.
func TestNoValueOfAnExportChangesUnseen(t *testing.T) {
	needsPublished(t)
	sets := enumerations(t)
	paths, err := filepath.Glob("../../../shared/standards/test-elections/*/*err-*")
	require.NoError(t, err)
	definitions, err := filepath.Glob("../../../shared/standards/test-elections/*/bd-*")
	require.NoError(t, err)
	require.Equal(t, []int{12, 6}, []int{len(paths), len(definitions)})
	paths = append(append(paths, definitions...), "../../model/cdf/testdata/definition.xml")
	files := map[string][]byte{}
	for _, path := range paths {
		files[filepath.Base(path)], err = os.ReadFile(path)
		require.NoError(t, err)
	}
	files["demo export.xml"], err = demo.FS.ReadFile("export.xml")
	require.NoError(t, err)
	files["demo corrected.xml"], err = demo.FS.ReadFile("corrected.xml")
	require.NoError(t, err)
	// Each altered export is read again: CI alters every value, the other tiers a part of them.
	step := 3
	switch {
	case testing.Short():
		step = 23
	case os.Getenv("CI") == "true":
		step = 1
	}
	for name, data := range files {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			before, second := readHeld(t, data)
			leaves := xmlLeaves
			if bytes.HasPrefix(bytes.TrimSpace(data), []byte("{")) {
				leaves = jsonLeaves
			}
			var ids []string
			for _, m := range objectID.FindAllSubmatch(data, -1) {
				ids = append(ids, string(m[1]))
			}
			seen, told := 0, 0
			unseen := map[string]int{}
			example := map[string]string{}
			list := leaves(t, data)
			for i, l := range list {
				if i%step != 0 {
					continue
				}
				value := string(data[l.from:l.to])
				other := altered(l, value, sets, ids)
				if other == value || value == "can-db" && other == "can-daveb" {
					continue // to another candidate who is the same in all but the identifier
				}
				changed := slices.Concat(data[:l.from], []byte(other), data[l.to:])
				seen++
				e, _, err := cdf.Read([]cdf.Part{{Name: "b", Data: changed}}, cdf.Options{Hold: true})
				if err != nil {
					told++ // it is no export any more, and the reader says so
					continue
				}
				after, names := baseline.Of(pairing.Of(e, second, "", nil), before.names)
				_ = names
				groups := baseline.Groups(after, before.values, after, baseline.Diff(before.values, after))
				if len(groups) > 0 {
					told++
					continue
				}
				unseen[l.path]++
				example[l.path] = value + " → " + other
			}
			for path, n := range unseen {
				if !slices.Contains(harmless, path[strings.LastIndexByte(path, '/')+1:]) {
					t.Errorf("%s: %d changes unseen, as %s", path, n, example[path])
				}
			}
			t.Logf("%d values altered, %d told", seen, told)
			require.Positive(t, seen)
		})
	}
}

// TestWhatABallotDefinitionHoldsIsNamedWhereItChanges: each change of what SP 1500-20 adds says on
// which thing it is.
func TestWhatABallotDefinitionHoldsIsNamedWhereItChanges(t *testing.T) {
	data, err := os.ReadFile("../../model/cdf/testdata/definition.xml")
	require.NoError(t, err)
	before, second := readHeld(t, data)
	from, to := bytes.Index(data, []byte("<Physical>")), bytes.Index(data, []byte("</Physical>"))+len("</Physical>")
	physical := string(data[from:to])
	const straight = "<ContestId>straight</ContestId>"
	for _, c := range []struct{ old, new, want string }{
		{physical + "</OrderedContent>\n<OrderedContent xsi:type=\"OrderedContest\">" + straight,
			"</OrderedContent>\n<OrderedContent xsi:type=\"OrderedContest\">" + straight + physical,
			`OrderedContent.Physical of "Straight party" on the ballot of precinct Ward 1 changed from nothing`},
		{"<X>1.5</X>", "<X>1.6</X>", `OrderedContent.Physical of "Mayor" on the ballot of precinct Ward 1 changed from `},
		{"<CausesActivation>true<", "<CausesActivation>false<",
			`CausesActivation of "Yes" in "Recall" changed from "true" to "false"`},
		{"<ControlledContestIds>mayor</ControlledContestIds>\n<CandidateId>",
			"<ControlledContestIds>straight</ControlledContestIds>\n<CandidateId>",
			`ControlledContestIds of "Recall" changed from "CandidateContest Mayor" to "StraightPartyContest Straight party"`},
		{">inclusive<", ">exclusive<", `StraightPartyRuleset of "Straight party" changed from "inclusive" to "exclusive"`},
		{"Turn over", "Turn around", `HeaderedContent Recalls changed from "[en] Turn over" to "[en] Turn around"`},
		{"<ShortEdge>8.5<", "<ShortEdge>9<", "ShortEdge 9"},
		{"<RanksAllowed>3<", "<RanksAllowed>4<", `the vote-for of "Mayor" changed from "3" to "4"`},
		{"<VotesAllowed>1<", "<VotesAllowed>2<", `VotesAllowed of "Mayor" changed from "1" to "2"`},
	} {
		require.Equal(t, 1, strings.Count(string(data), c.old), c.old)
		e, _, err := cdf.Read([]cdf.Part{{Name: "b", Data: []byte(strings.Replace(string(data), c.old, c.new, 1))}},
			cdf.Options{Hold: true})
		require.NoError(t, err)
		after, _ := baseline.Of(pairing.Of(e, second, "", nil), before.names)
		var said []string
		for _, g := range baseline.Groups(after, before.values, after, baseline.Diff(before.values, after)) {
			said = append(said, g.Words)
		}
		require.Contains(t, strings.Join(said, "\n"), c.want)
	}
}

type heldValues struct {
	values *baseline.Values
	names  *baseline.Named
}

func readHeld(t *testing.T, data []byte) (heldValues, *model.Election) {
	t.Helper()
	e, _, err := cdf.Read([]cdf.Part{{Name: "a", Data: data}}, cdf.Options{Hold: true})
	require.NoError(t, err)
	second, _, err := cdf.Read([]cdf.Part{{Name: "a", Data: data}}, cdf.Options{})
	require.NoError(t, err)
	v, n := baseline.Of(pairing.Of(e, second, "", nil))
	return heldValues{v, n}, second
}

// TestAnotherOrderAndOtherIdentifiersAreNoChange renumbers the identifiers of each XML report
// and reorders its lists that have no order.
func TestAnotherOrderAndOtherIdentifiersAreNoChange(t *testing.T) {
	needsPublished(t)
	paths, err := filepath.Glob("../../../shared/standards/test-elections/*/*[rd]-*.xml")
	require.NoError(t, err)
	paths = slices.DeleteFunc(paths, func(p string) bool { return strings.HasPrefix(filepath.Base(p), "cvr") })
	require.Len(t, paths, 9)
	paths = append(paths, "../../model/cdf/testdata/definition.xml")
	files := map[string][]byte{}
	for _, path := range paths {
		files[filepath.Base(path)], err = os.ReadFile(path)
		require.NoError(t, err)
	}
	files["demo export.xml"], err = demo.FS.ReadFile("export.xml")
	require.NoError(t, err)
	for name, data := range files {
		t.Run(name, func(t *testing.T) {
			before, second := readHeld(t, data)
			for seed := range uint64(5) {
				other := renumbered(t, data, rand.New(rand.NewPCG(seed, 7)))
				e, _, err := cdf.Read([]cdf.Part{{Name: "b", Data: other}}, cdf.Options{Hold: true})
				require.NoError(t, err)
				require.NotEqual(t, string(data), string(other))
				after, _ := baseline.Of(pairing.Of(e, second, "", nil), before.names)
				for _, g := range baseline.Groups(after, before.values, after, baseline.Diff(before.values, after)) {
					t.Errorf("seed %d: %s", seed, g.Words)
				}
			}
		})
	}
}

// renumbered gives all things other identifiers, and puts the things of each kind and the
// references of lists without an order into another order.
func renumbered(t *testing.T, data []byte, draw *rand.Rand) []byte {
	t.Helper()
	doc := etree.NewDocument()
	require.NoError(t, doc.ReadFromBytes(data))
	ids := map[string]string{}
	for _, e := range doc.FindElements("//*[@ObjectId]") {
		id := e.SelectAttrValue("ObjectId", "")
		ids[id] = fmt.Sprintf("n%d", draw.Uint32())
		e.CreateAttr("ObjectId", ids[id])
	}
	ordered := map[string]bool{"OrderedContestSelectionIds": true, "OrderedContestOptionIds": true,
		"EndorsementPartyIds": true, "PartyIds": true, "CandidateIds": true}
	for _, e := range doc.FindElements("//*") {
		if len(e.ChildElements()) == 0 && (strings.HasSuffix(e.Tag, "Id") || strings.HasSuffix(e.Tag, "Ids")) {
			list := strings.Fields(e.Text())
			for i := range list {
				if to, ok := ids[list[i]]; ok {
					list[i] = to
				}
			}
			if !ordered[e.Tag] {
				draw.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
			}
			e.SetText(strings.Join(list, " "))
		}
	}
	shuffle := func(in *etree.Element) {
		byTag := map[string][]*etree.Element{}
		var tags []string
		for _, e := range in.ChildElements() {
			if byTag[e.Tag] == nil {
				tags = append(tags, e.Tag)
			}
			byTag[e.Tag] = append(byTag[e.Tag], e)
			in.RemoveChild(e)
		}
		for _, tag := range tags {
			list := byTag[tag]
			draw.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
			for _, e := range list {
				in.AddChild(e)
			}
		}
	}
	shuffle(doc.Root())
	for _, e := range doc.Root().SelectElements("Election") {
		shuffle(e)
	}
	out, err := doc.WriteToBytes()
	require.NoError(t, err)
	return out
}
