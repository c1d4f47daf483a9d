package cdf

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestBadXML(t *testing.T) {
	good := export{contests: race("clerk", "<IsWriteIn>1</IsWriteIn>"), styles: ballot("p1", "clerk")}.String()
	with := func(old, replacement string) string {
		require.Contains(t, good, old)
		return strings.Replace(good, old, replacement, 1)
	}
	const handChanged = "; the file is damaged or was changed by hand: export it again"
	for _, c := range []struct{ name, data, want string }{
		{"an empty file", "", "export.xml: the file is empty; export it again"},
		{"white space", " \n\t ", "export.xml: the file holds nothing but white space; export it again"},
		{"plain text", "Precinct,Contest\n1,Clerk\n", `export.xml: this is a file that begins with "Precinct,Contest", not ` +
			`an election report in XML or JSON` + wantExport},
		{"a spreadsheet", "PK\x03\x04 ...", "export.xml: this is a ZIP archive or a spreadsheet, not an election report in " +
			"XML or JSON" + wantExport},
		{"a PDF", "%PDF-1.7 ...", "export.xml: this is a PDF document, not an election report in XML or JSON" +
			wantExport},
		{"binary", "\x01\x02\x03\x04", `export.xml: this is a file that begins with "\u0001\u0002\u0003\u0004", not an ` +
			`election report in XML or JSON` + wantExport},
		{"cut short within a tag", good[:strings.Index(good, "VotesAllowed>")+3],
			"export.xml, line 5, Contest: the file ends in the middle; it was cut short: export or copy it again"},
		{"cut short within text", good[:strings.Index(good, "1</VotesAllowed>")+1], "export.xml, line 5: the file ends " +
			"within VotesAllowed, which begins at line 5; it was cut short: export or copy it again"},
		{"cut short between elements", good[:strings.Index(good, "<Format>")], "export.xml, line 9: the file ends within " +
			"ElectionReport, which begins at line 1; it was cut short: export or copy it again"},
		{"only a declaration", `<?xml version="1.0"?>`, "export.xml, line 1: the file holds no element; " + wantReport},
		{"another root", "<html></html>", `export.xml, line 1, html: the root is "html", neither ElectionReport nor ` +
			`BallotDefinition; ` + wantReport},
		{"cast vote records", `<c:CastVoteRecordReport xmlns:c="http://itl.nist.gov/ns/voting/1500-103/v1"/>`,
			"export.xml, line 1, c:CastVoteRecordReport: the root is CastVoteRecordReport of NIST SP 1500-103 (cast vote " +
				"records), neither ElectionReport nor BallotDefinition; " + wantReport},
		{"cast vote records without their namespace", `<CastVoteRecordReport/>`, `export.xml, line 1, ` +
			`CastVoteRecordReport: the root is CastVoteRecordReport, which belongs to NIST SP 1500-103 (cast vote records), ` +
			`in the namespace ""; ` + wantReport},
		{"a ballot definition without its namespace", `<BallotDefinition/>`, `export.xml, line 1, BallotDefinition: the ` +
			`root BallotDefinition is in the namespace "", not in that of SP 1500-20 version 1; export as SP 1500-20 version ` +
			`1, whose namespace is http://itl.nist.gov/ns/voting/1500-20/v1`},
		{"version 2 of ballot definitions", `<BallotDefinition xmlns="http://itl.nist.gov/ns/voting/1500-20/v2"/>`,
			"export.xml, line 1, BallotDefinition: this is a file of SP 1500-20 version 2, not version 1; " + wantReport},
		{"a report in the namespace of ballot definitions",
			`<ElectionReport xmlns="http://itl.nist.gov/ns/voting/1500-20/v1"/>`,
			"export.xml, line 1, ElectionReport: the root is ElectionReport of NIST SP 1500-20 (ballot definition), not " +
				"BallotDefinition; " + wantReport},
		{"a ballot definition without an election",
			`<b:BallotDefinition xmlns:b="http://itl.nist.gov/ns/voting/1500-20/v1"/>`,
			"export.xml, BallotDefinition: the report holds no Election; export the election definition"},
		{"version 1 of the standard", strings.Replace(good, "1500-100/v2", "1500-100/v1", 1), "export.xml, line 1, " +
			"ElectionReport: this is a file of SP 1500-100 version 1, not version 2; " + wantReport},
		{"the right root in no namespace", `<ElectionReport/>`, `export.xml, line 1, ElectionReport: the root ` +
			`ElectionReport is in the namespace "", not in that of SP 1500-100 version 2; export as SP 1500-100 version 2, ` +
			`whose namespace is http://itl.nist.gov/ns/voting/1500-100/v2`},
		{"another element of the standard", `<Election xmlns="http://itl.nist.gov/ns/voting/1500-100/v2"/>`,
			"export.xml, line 1, Election: the root is Election of NIST SP 1500-100 (election results reporting), not " +
				"ElectionReport; " + wantReport},
		{"an entity declaration", "<!DOCTYPE r [<!ENTITY a \"b\">]>\n" + good, "export.xml, line 1: the file holds a " +
			"document type declaration, which can define entities; remove everything from <!DOCTYPE to its end, and export " +
			"without it"},
		{"an entity that XML does not know", with("Precinct 1", "Pr&eacute;cinct"),
			"export.xml, line 10, Text: this is not well-formed XML: invalid character entity &eacute;" + handChanged},
		{"tags that do not match", with("</Election>", "</election>"),
			"export.xml, line 8: this is not well-formed XML: </election> stands where </Election> should" + handChanged},
		{"a tag too many", with("<Format>", "</Election><Format>"),
			"export.xml, line 9: this is not well-formed XML: </Election> stands where </ElectionReport> should" + handChanged},
		{"a closing tag after the end", good + "</ElectionReport>",
			"export.xml, line 21: this is not well-formed XML: </ElectionReport> closes nothing" + handChanged},
		{"two reports in one file", good + good,
			"export.xml, line 21, ElectionReport: a second root element; the file must hold one report: separate them"},
		{"text after the report", good + "The end", "export.xml, line 20: text outside of the root element" + handChanged},
		{"an XML declaration that is not at the beginning", "\n<?xml version=\"1.0\"?>" + good, "export.xml, line 2: an " +
			"XML declaration that is not at the very beginning of the file; remove what stands before it"},
		{"an attribute given twice", with(`ObjectId="p1"`, `ObjectId="p1" ObjectId="p2"`),
			"export.xml, line 10, GpUnit: the attribute ObjectId is given twice" + handChanged},
		{"a prefix that is not declared", with("<Format>precinct-level</Format>", "<e:Format/>"), `export.xml, line 9, ` +
			`e:Format: the namespace prefix "e" is not declared; the file is not namespace-well-formed XML: export it again`},
		{"invalid UTF-8", with("Precinct 1", "Pr\xe9cinct 1"),
			"export.xml, line 10, Text: this is not well-formed XML: invalid UTF-8" + handChanged},
		{"a control character", with("Precinct 1", "Precinct\x07 1"),
			"export.xml, line 10, Text: this is not well-formed XML: illegal character code U+0007" + handChanged},
		{"an unknown encoding", `<?xml version="1.0" encoding="EBCDIC-XY"?>` + good,
			`export.xml, line 1, encoding: the encoding "EBCDIC-XY" is not known; save the file as UTF-8`},
		{"UTF-16 that is none", `<?xml version="1.0" encoding="UTF-16"?>` + good, "export.xml, line 1, encoding: the file " +
			"declares UTF-16 but is not written in it; save the file as UTF-8 and let the declaration say so"},
		{"a byte that the declared encoding does not have", `<?xml version="1.0" encoding="windows-1253"?>` +
			strings.Replace(good, "Precinct 1", "Precinct \xaa", 1), "export.xml, line 10: a byte that is no character in " +
			"windows-1253, which the file declares; save the file as UTF-8, or let the declaration name its real encoding"},
		{"half a surrogate pair", "\xff\xfe<\x00?\x00\x00\xd8 \x00",
			"export.xml, line 1: half a UTF-16 surrogate pair; export the file again, as UTF-8 if that can be chosen"},
		{"half a UTF-16 character", "\xff\xfe<\x00?",
			"export.xml, line 1: the file ends within a UTF-16 character; it was cut short: export it again"},
		{"UTF-32", "\xff\xfe\x00\x00<\x00\x00\x00", "export.xml: the file is in UTF-32; save it as UTF-8"},
		{"an identifier used twice", with(`ObjectId="p2"`, "\n"+`ObjectId="heron"`), `export.xml, line 16, Party: the ` +
			`identifier "heron" is used twice, first for a ReportingUnit at line 11; identifiers must differ: correct it in ` +
			`the system and export again`},
		{"an identifier used for an office and a contest", with("<Format>", `<Office ObjectId="clerk"/><Format>`),
			`export.xml, line 9, Office: the identifier "clerk" is used twice, first for a CandidateContest at line 5; ` +
				`identifiers must differ: correct it in the system and export again`},
		{"a vote-for in words", with("<VotesAllowed>1", "<VotesAllowed>two"), `export.xml, line 5, VotesAllowed of ` +
			`CandidateContest clerk: "two" is not a whole number; it must be digits, such as 2`},
		{"a vote-for with a fraction", with("<VotesAllowed>1", "<VotesAllowed>1.5"), `export.xml, line 5, VotesAllowed of ` +
			`CandidateContest clerk: "1.5" is not a whole number; it must be digits, such as 2`},
		{"a vote-for in floating point", with("<VotesAllowed>1", "<VotesAllowed>1e99"), `export.xml, line 5, VotesAllowed ` +
			`of CandidateContest clerk: "1e99" is not a whole number; it must be digits, such as 2`},
		{"an absurd vote-for", with("<VotesAllowed>1", "<VotesAllowed>99999999999999999999"), `export.xml, line 5, ` +
			`VotesAllowed of CandidateContest clerk: "99999999999999999999" is far too large a number; correct it in the ` +
			`system and export again`},
		{"an empty vote-for", with("<VotesAllowed>1", "<VotesAllowed>"), `export.xml, line 5, VotesAllowed of ` +
			`CandidateContest clerk: "" is not a whole number; it must be digits, such as 2`},
		{"two vote-fors", with("<VotesAllowed>1</VotesAllowed>",
			"<VotesAllowed>1</VotesAllowed>\n<VotesAllowed>2</VotesAllowed>"),
			"export.xml, line 6, VotesAllowed: the CandidateContest states this twice, first at line 5; only one of them can " +
				"be right: remove the other"},
		{"two titles", with("<Name>clerk", "<BallotTitle/><BallotTitle/><Name>clerk"), "export.xml, line 5, BallotTitle: " +
			"the CandidateContest states this twice, first at line 5; only one of them can be right: remove the other"},
		{"two names of the election", with("<Type>general", "<Name/><Type>general"), "export.xml, line 7, Name: the " +
			"Election states this twice, first at line 6; only one of them can be right: remove the other"},
		{"a write-in that is maybe one", with("<IsWriteIn>1", "<IsWriteIn>yes"), `export.xml, line 5, IsWriteIn of ` +
			`CandidateSelection clerk-a: "yes" is neither true nor false; it must be true, false, 1 or 0`},
		{"a date of another country", with(">2027-11-02<", ">02.11.2027<"),
			`export.xml, line 7, StartDate: "02.11.2027" is not a date; it must be written like 2027-11-02`},
		{"a day that does not exist", with(">2027-11-02<", ">2027-02-30<"),
			`export.xml, line 7, StartDate: "2027-02-30" is not a date; it must be written like 2027-11-02`},
		{"a contest of no class", with(` xsi:type="CandidateContest"`, ""), "export.xml, line 5, Contest: no xsi:type says " +
			"what it is; it must be CandidateContest, BallotMeasureContest, RetentionContest or PartyContest"},
		{"a contest of the abstract class", with(`"CandidateContest"`, `"Contest"`), `export.xml, line 5, Contest: ` +
			`xsi:type is "Contest", which cannot stand here; it must be CandidateContest, BallotMeasureContest, ` +
			`RetentionContest or PartyContest`},
		{"a contest that is a party", with(`"CandidateContest"`, `"Party"`), `export.xml, line 5, Contest: xsi:type is ` +
			`"Party", which cannot stand here; it must be CandidateContest, BallotMeasureContest, RetentionContest or ` +
			`PartyContest`},
		{"a class with an undeclared prefix", with(`"CandidateContest"`, `"e:CandidateContest"`), `export.xml, line 5, ` +
			`Contest: xsi:type is "e:CandidateContest", which cannot stand here; it must be CandidateContest, ` +
			`BallotMeasureContest, RetentionContest or PartyContest`},
		{"an element within a name", with("<Name>clerk", "<Name>cl<b>er</b>k"), `export.xml, line 5, Name: holds an ` +
			`element, "b", where CandidateContest has text; the file does not follow SP 1500-100: export it again`},
		{"no election", begin + end,
			"export.xml, ElectionReport: the report holds no Election; export the election definition"},
		{"no ballot styles", export{}.String(), "export.xml, line 2, Election: the export holds no ballot styles " +
			"(BallotStyle), so it does not say what is on any ballot; export the election definition, with its ballot styles"},
		{"elements 10,000 deep", begin + strings.Repeat("<a>", 10_000), "export.xml, line 1: elements stand more than 256 " +
			"deep within each other; no ballot needs that: the file is damaged, or not an export"},
		{"a thousand namespaces", begin + namespaces(1000) + end, "export.xml, line 1: more than 100 namespaces are " +
			"declared; no ballot needs that: the file is damaged, or not an export"},
		{"a thousand and one languages", with(`<Text Language="en">Heron Party</Text>`,
			strings.Repeat(`<Text Language="en">x</Text>`, 1001)),
			"export.xml, line 15, InternationalizedText: more than 1000 texts in one; no ballot needs that: the file is " +
				"damaged, or not an export"},
		{"a thousand and one elections", begin + strings.Repeat("<Election/>", 1001) + end, "export.xml, line 1, Election: " +
			"the report holds more than 1000 elections; no ballot needs that: the file is damaged, or not an export"},
		{"an attribute of 2 MiB", begin + `<a b="` + strings.Repeat("x", 2<<20) + `"/>` + end, "export.xml, line 1: a tag " +
			"with its attributes longer than 1 MiB; no ballot needs that: the file is damaged, or not an export"},
		{"a comment of 17 MiB", begin + "<!--" + strings.Repeat("x", 17<<20) + "-->" + end, "export.xml, line 1: a comment " +
			"longer than 16 MiB; no ballot needs that: the file is damaged, or not an export"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, _, err := Read([]Part{{"export.xml", []byte(c.data)}}, Options{})
			require.EqualError(t, err, c.want)
			assert.NotContains(t, err.Error(), "\n", "one line")
			var e *Error
			require.ErrorAs(t, err, &e)
		})
	}
	_, _, err := Read([]Part{{"export.xml", []byte(good)}}, Options{})
	require.NoError(t, err, "the export that the cases spoil")
}

func namespaces(n int) string {
	s := "<Notes"
	for i := range n {
		s += fmt.Sprintf(` xmlns:n%d="urn:%d"`, i, i)
	}
	return s + "/>"
}

// endless is a file that goes on after its beginning as long as anybody reads it.
type endless struct {
	begin io.Reader
	read  int64
}

func (e *endless) Read(p []byte) (int, error) {
	n, err := e.begin.Read(p)
	if err == io.EOF {
		for i := range p {
			p[i] = 'x'
		}
		n, err = len(p), nil
	}
	e.read += int64(n)
	return n, err
}

func (*endless) Close() error { return nil }

// TestEndlessValuesAreNotHeld: what has no end is refused after a few megabytes,
// and with a bound on the memory.
func TestEndlessValuesAreNotHeld(t *testing.T) {
	for _, c := range []struct{ name, begin, want string }{
		{"attribute", begin + `<a b="`, "a tag with its attributes longer than 1 MiB"},
		{"tag", begin + `<a`, "a tag with its attributes longer than 1 MiB"},
		{"closing tag", begin + `</a`, "a tag longer than 1 MiB"},
		{"text", begin + "<Election><Name>", "text longer than 16 MiB"},
		{"comment", begin + "<!--", "a comment longer than 16 MiB"},
		{"CDATA section", begin + "<![CDATA[", "a CDATA section longer than 16 MiB"},
		{"document type declaration", "<!DOCTYPE r [", "the file holds a document type declaration"},
		{"processing instruction", begin + "<?p ", "a processing instruction longer than 16 MiB"},
		{"JSON string", `{"Issuer": "`, "a value longer than 16 MiB"},
		{"JSON name", `{"`, "a value longer than 16 MiB"},
		{"JSON unused string", `{"Foo": {"Bar": ["`, "a value longer than 16 MiB"},
	} {
		t.Run(c.name, func(t *testing.T) {
			in := &endless{begin: strings.NewReader(c.begin)}
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			_, _, err := read([]source{{"x", func() (io.ReadCloser, error) { return in, nil }}}, Options{}, 0)
			runtime.ReadMemStats(&after)
			require.ErrorContains(t, err, c.want)
			assert.Less(t, in.read, int64(64<<20), "bytes read")
			assert.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(256<<20), "bytes allocated")
		})
	}
}

const wantExport = "; give the export of the election management system, in SP 1500-100 or SP 1500-20"

func TestBadJSON(t *testing.T) {
	good := goodJSON
	with := func(old, replacement string) string {
		require.Contains(t, good, old)
		return strings.Replace(good, old, replacement, 1)
	}
	for _, c := range []struct{ name, data, want string }{
		{"an array", `[{}]`, "export.json: this is a JSON array, not an election report in XML or JSON" +
			wantExport},
		{"cut short", good[:len(good)/2],
			"export.json, line 8: the file ends in the middle; it was cut short: export or copy it again"},
		{"something after the report", good + "{}",
			"export.json, line 24: something follows the report; the file must hold one report: remove what follows"},
		{"not JSON after all", "{Election: 1}", "export.json, line 1: this is not well-formed JSON: invalid character 'E' " +
			"at start of value; the file is damaged or was changed by hand: export it again"},
		{"a name given twice", with(`"VotesAllowed": 1`, `"VotesAllowed": 1, "VotesAllowed": 2`), "export.json, line 12, " +
			"/Election/0/Contest/0/VotesAllowed: the object has this name twice; only one of them can be right: remove the " +
			"other"},
		{"invalid UTF-8", with("Grange Hall", "Gr\xe9nge"), "export.json, line 18, /GpUnit/0/Name/Text/0/Content: this is " +
			"not well-formed JSON: invalid UTF-8; the file is damaged or was changed by hand: export it again"},
		{"cast vote records", `{"@type": "CVR.CastVoteRecordReport"}`, `export.json, line 1, the report: this is a file ` +
			`of NIST SP 1500-103 (cast vote records): its @type is "CVR.CastVoteRecordReport"; ` + wantReport},
		{"a report that calls itself a ballot definition", strings.ReplaceAll(good, "ElectionResults.", "BallotDefinition."),
			`export.json, line 1, the report: @type is "BallotDefinition.ElectionReport", which cannot stand here; it must be ` +
				`BallotDefinition`},
		{"a class of another standard", with("ElectionResults.CandidateContest", "BallotDefinition.CandidateContest"),
			`export.json, line 7, Contest: @type is "BallotDefinition.CandidateContest", of NIST SP 1500-20 (ballot ` +
				`definition), in a file of SP 1500-100; the file does not follow SP 1500-100: export it again`},
		{"a first class of nothing known", `{"@type": "ElectionReport"}`, `export.json, line 1, the report: @type is ` +
			`"ElectionReport", which is no class of SP 1500-100 or SP 1500-20; it must begin with ElectionResults. or ` +
			`BallotDefinition.`},
		{"a member of one standard before a class of another", `{"Election": [{"Contest": [{"ContestOption": ` +
			`[{"@type": "ElectionResults.CandidateSelection"}]}]}]}`, `export.json, line 1, ContestOption: @type is ` +
			`"ElectionResults.CandidateSelection", of NIST SP 1500-100 (election results reporting), in a file of SP 1500-20; ` +
			`the file does not follow SP 1500-20: export it again`},
		{"a class of nothing known", with("ElectionResults.CandidateContest", "CandidateContest"), `export.json, line 7, ` +
			`Contest: @type is "CandidateContest", which is no class of SP 1500-100; it must begin with ElectionResults.`},
		{"a class that cannot stand here", with("ElectionResults.CandidateContest", "ElectionResults.Party"),
			`export.json, line 7, Contest: @type is "ElectionResults.Party", which cannot stand here; it must be ` +
				`CandidateContest, BallotMeasureContest, RetentionContest or PartyContest`},
		{"a contest of no class", with(`"@type": "ElectionResults.CandidateContest",`, ""), "export.json, line 7, Contest: " +
			"no @type says what it is; it must be CandidateContest, BallotMeasureContest, RetentionContest or PartyContest"},
		{"a report of no class", with(`"@type": "ElectionResults.ElectionReport",`, ""), "export.json, line 1: the " +
			"outermost object has no @type ElectionResults.ElectionReport; " + wantReport},
		{"another root", `{"@type": "ElectionResults.Election"}`, `export.json, line 1, the report: @type is ` +
			`"ElectionResults.Election", which cannot stand here; it must be ElectionReport`},
		{"a title that is a string", with(`"BallotTitle": {`, `"BallotTitle": "Clerk", "Foo": {`), "export.json, line 8: " +
			"BallotTitle is a string, not an object; the file does not follow SP 1500-100: export it again"},
		{"a name that is an object", with(`"Name": "clerk"`, `"Name": {}`), "export.json, line 11, Name: is an object " +
			"where CandidateContest has a string; the file does not follow SP 1500-100: export it again"},
		{"identifiers that are numbers", with(`["p1"]`, `[1]`), "export.json, line 3, GpUnitIds: is a number where " +
			"BallotStyle has the identifier of something; the file does not follow SP 1500-100: export it again"},
		{"an array within an array", with(`"ContestSelection": [`, `"ContestSelection": [[], `), "export.json, line 8, " +
			"ContestSelection: an array within an array; the file does not follow SP 1500-100: export it again"},
		{"a vote-for in words", with(`"VotesAllowed": 1`, `"VotesAllowed": "two"`), "export.json, line 12, VotesAllowed: " +
			"is a string where CandidateContest has a number; the file does not follow SP 1500-100: export it again"},
		{"half a vote", with(`"VotesAllowed": 1`, `"VotesAllowed": 1.5`), `export.json, line 12, VotesAllowed of ` +
			`CandidateContest clerk: "1.5" is not a whole number; it must be digits, such as 2`},
		{"a contest that is null", with(`"Contest": [`, `"Contest": [null, `),
			"export.json, line 7: Contest is null, not an object; the file does not follow SP 1500-100: export it again"},
		{"an absurd vote-for", with(`"VotesAllowed": 1`, `"VotesAllowed": 1e99`), `export.json, line 12, VotesAllowed of ` +
			`CandidateContest clerk: "1e99" is not a whole number; it must be digits, such as 2`},
		{"an identifier used twice", with(`"@id": "p1"`, `"@id": "clerk"`), `export.json, line 17, ReportingUnit: the ` +
			`identifier "clerk" is used twice, first for a CandidateContest at line 7; identifiers must differ: correct it in ` +
			`the system and export again`},
		{"objects 10,000 deep", `{"a":` + strings.Repeat(`{"a":`, 10_000), "export.json, line 1: values stand more than " +
			"256 deep within each other; no ballot needs that: the file is damaged, or not an export"},
		{"arrays within arrays", `{"a":` + strings.Repeat(`[`, 10_000),
			"export.json, line 1, a: an array within an array; the file does not follow SP 1500-100: export it again"},
		{"objects and arrays 10,000 deep", `{"a":` + strings.Repeat(`[{"a":`, 10_000), "export.json, line 1: values stand " +
			"more than 256 deep within each other; no ballot needs that: the file is damaged, or not an export"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, _, err := Read([]Part{{"export.json", []byte(c.data)}}, Options{})
			require.EqualError(t, err, c.want)
		})
	}
	e, _, err := Read([]Part{{"export.json", []byte(good)}}, Options{})
	require.NoError(t, err, "the export that the cases spoil")
	assert.Len(t, e.Contests[0].Choices, 1)
}

// goodJSON is a small export; the class of an object may come first or last.
const goodJSON = `{"@type": "ElectionResults.ElectionReport",
"Election": [{
  "BallotStyle": [{"GpUnitIds": ["p1"], "OrderedContent": [
    {"ContestId": "clerk", "@type": "ElectionResults.OrderedContest"}], "@type": "ElectionResults.BallotStyle"}],
  "Name": {"Text": [{"Language": "en", "Content": "General Election", "@type": "ElectionResults.LanguageString"}], "@type": "ElectionResults.InternationalizedText"},
  "StartDate": "2027-11-02", "EndDate": "2027-11-02", "ElectionScopeId": "p1", "Type": "general",
  "Contest": [{"@id": "clerk", "@type": "ElectionResults.CandidateContest",
    "BallotTitle": {"Text": [{"Language": "en", "Content": "Clerk"}]}, "ContestSelection": [
      {"@id": "w", "IsWriteIn": true, "@type": "ElectionResults.CandidateSelection"}],
    "ElectionDistrictId": "p1",
    "Name": "clerk",
    "VotesAllowed": 1}],
  "@type": "ElectionResults.Election"}],
"Format": "precinct-level",
"GeneratedDate": "2027-09-20T09:00:00Z",
"GpUnit": [
  {"@id": "p1", "@type": "ElectionResults.ReportingUnit",
   "Name": {"Text": [{"Language": "en", "Content": "Grange Hall"}]},
   "Type": "precinct", "ComposingGpUnitIds": null}],
"Issuer": "Wendle County", "IssuerAbbreviation": "WC",
"SequenceStart": 1, "SequenceEnd": 1,
"Status": "pre-election",
"VendorApplicationId": "x"
}`

func TestExportsWithoutStylesCanBeLookedAt(t *testing.T) {
	part := []Part{{"export.xml", []byte(export{contests: race("clerk")}.String())}}
	_, contents, err := Read(part, Options{})
	require.ErrorIs(t, err, ErrNoStyles)
	assert.Equal(t, 1, contents.Elections[0].Contests)
	e, _, err := Read(part, Options{WithoutStyles: true})
	require.NoError(t, err)
	assert.Len(t, e.Contests, 1)
}

func TestFilesThatCannotBeRead(t *testing.T) {
	folder := t.TempDir()
	_, _, err := ReadFiles([]string{folder}, Options{})
	assert.EqualError(t, err, folder+": is a folder, not a file; name the file in it")
	missing := filepath.Join(folder, "missing.xml")
	_, _, err = ReadFiles([]string{missing}, Options{})
	assert.EqualError(t, err, missing+": there is no such file; check the name")
	assert.True(t, errors.Is(err, os.ErrNotExist))
	_, _, err = ReadFiles(nil, Options{})
	assert.EqualError(t, err, "export: no file was given; give the ElectionReport of SP 1500-100 version 2, or "+
		"the BallotDefinition of SP 1500-20 version 1, that the election management system exports")
}

func TestReportsInParts(t *testing.T) {
	sequence := func(x export, start, end string) Part {
		s := strings.Replace(x.String(), "<SequenceStart>1</SequenceStart><SequenceEnd>1</SequenceEnd>",
			"<SequenceStart>"+start+"</SequenceStart>\n<SequenceEnd>"+end+"</SequenceEnd>", 1)
		return Part{"part" + start + ".xml", []byte(s)}
	}
	first := export{contests: race("clerk"), styles: ballot("p1", "clerk")}
	second := export{contests: race("judge"), styles: ballot("p2", "judge", "clerk") + ballot("p1", "clerk")}
	t.Run("parts in any order make one election", func(t *testing.T) {
		one, two := sequence(first, "1", "2"), sequence(second, "2", "2")
		for _, parts := range [][]Part{{one, two}, {two, one}} {
			e, contents, err := Read(parts, Options{})
			require.NoError(t, err)
			assert.Len(t, e.Precincts, 2, "what both parts hold is one thing")
			assert.Len(t, e.Parties, 3)
			assert.Len(t, e.Styles, 2, "a style in both parts is one style")
			assert.Equal(t, "clerk", e.Contests[0].Name.Value.In(""))
			assert.Equal(t, "judge", e.Contests[1].Name.Value.In(""))
			assert.Empty(t, e.Origins.Dangling)
			assert.Equal(t, "part2.xml", e.Origins.Contest(1).File)
			assert.Equal(t, []string{"part1.xml", "part2.xml"}, []string{contents.Parts[0].Name, contents.Parts[1].Name})
			assert.Equal(t, 1, len(contents.Elections))
		}
	})
	change := func(p Part, old, replacement string) Part {
		return Part{p.Name, bytes.Replace(p.Data, []byte(old), []byte(replacement), 1)}
	}
	for _, c := range []struct {
		name  string
		parts []Part
		want  string
	}{
		{"a part is missing", []Part{sequence(first, "1", "2")},
			"part1.xml, line 19, SequenceEnd: the report has 2 parts; not given: part 2; give all of its parts"},
		{"many parts are missing", []Part{sequence(first, "2", "2000000000")}, "part2.xml, line 19, SequenceEnd: the " +
			"report has 2000000000 parts; not given: part 1, 3, 4, 5, 6, …; give all of its parts"},
		{"a part is given twice", []Part{sequence(first, "1", "2"), sequence(second, "1", "2")},
			"part1.xml, line 18, SequenceStart: this is part 1 of 2, and so is part1.xml; give each part once"},
		{"parts of other reports", []Part{sequence(first, "1", "2"), sequence(second, "2", "3")}, "part2.xml, line 19, " +
			"SequenceEnd: the file is one of 3 parts, but part1.xml is one of 2; give the parts of one report"},
		{"parts of another issuer", []Part{sequence(first, "1", "2"),
			change(sequence(second, "2", "2"), "<Issuer>Wendle", "<Issuer>Other")},
			`part2.xml, line 14, Issuer: the issuer is "Other County Board of Elections", but that of part1.xml is "Wendle ` +
				`County Board of Elections"; give the parts of one report`},
		{"parts of another state of the count",
			[]Part{sequence(first, "1", "2"), change(sequence(second, "2", "2"), ">pre-election<", ">certified<")},
			`part2.xml, line 19, Status: the status is "certified", but that of part1.xml is "pre-election"; give the parts ` +
				`of one report`},
		{"a part beyond the last", []Part{sequence(first, "3", "2")}, "part3.xml, line 18, SequenceStart: the file calls " +
			"itself part 3 of 2; parts are numbered from 1 to SequenceEnd: export it again"},
		{"a part without a number", []Part{sequence(first, "1", "2"),
			change(sequence(second, "2", "2"), "<SequenceStart>2</SequenceStart>", "")},
			"part2.xml, SequenceStart: the file does not say which part of the report it is; give each report by itself, or " +
				"export it with SequenceStart and SequenceEnd"},
		{"a part without a number that makes sense", []Part{sequence(first, "first", "2")},
			`partfirst.xml, line 18, SequenceStart: "first" is not a whole number; it must be digits, such as 2`},
		{"parts that say different things of one contest",
			[]Part{sequence(first, "1", "2"),
				sequence(export{contests: strings.Replace(race("clerk"), "Allowed>1", "Allowed>2", 1)}, "2", "2")},
			"part2.xml, line 5, CandidateContest clerk: this part says something else of it than part1.xml, line 5; export " +
				"all parts again, at one time"},
		{"parts that say different things of a precinct",
			[]Part{sequence(first, "1", "2"), change(sequence(second, "2", "2"), "Precinct 2", "Precinct 3")},
			"part2.xml, line 11, ReportingUnit p2: this part says something else of it than part1.xml, line 11; export all " +
				"parts again, at one time"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, _, err := Read(c.parts, Options{})
			require.EqualError(t, err, c.want)
		})
	}
	t.Run("a ballot with headings that two parts hold is one ballot", func(t *testing.T) {
		headed := export{contests: race("clerk"), styles: ballot("p1", under("h", under("h", "clerk"))),
			report: headerXML("h", "County")}
		other := headed
		other.styles += ballot("p1", under("h", "clerk"))
		for n, parts := range map[int][]Part{
			1: {sequence(headed, "1", "2"), sequence(headed, "2", "2")},
			2: {sequence(headed, "1", "2"), sequence(other, "2", "2")},
		} {
			e, _, err := Read(parts, Options{})
			require.NoError(t, err)
			assert.Len(t, e.Styles, n)
		}
	})
}
