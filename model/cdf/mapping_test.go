package cdf

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model"
)

// export is a small report of the invented Wendle County, with its sections to be
// filled in.
type export struct {
	contests, candidates, styles, units, report string
	// election is written in place of the usual facts of the election.
	election string
}

const usualFacts = `<ElectionScopeId>county</ElectionScopeId><Name><Text Language="en">General Election</Text></Name>
<StartDate>2027-11-02</StartDate><EndDate>2027-11-02</EndDate><Type>general</Type>`

const (
	begin = `<ElectionReport xmlns="http://itl.nist.gov/ns/voting/1500-100/v2" ` +
		`xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">`
	end = `</ElectionReport>`
)

func (x export) String() string {
	facts := x.election
	if facts == "" {
		facts = usualFacts
	}
	units := x.units
	if !strings.Contains(units, `"county"`) {
		units += area("county", "county", "p1 p2", "Wendle County")
	}
	return begin + "\n<Election>\n" + x.styles + "\n" + x.candidates + "\n" + x.contests + "\n" + facts +
		"\n</Election>\n" +
		`<Format>precinct-level</Format><GeneratedDate>2027-09-20T09:00:00Z</GeneratedDate>` + "\n" +
		area("p1", "precinct", "", "Precinct 1") + area("p2", "precinct", "", "Precinct 2") + units + `
<Issuer>Wendle County Board of Elections</Issuer><IssuerAbbreviation>WC</IssuerAbbreviation>
<Party ObjectId="heron"><Abbreviation><Text Language="en">HER</Text></Abbreviation><Name><Text Language="en">Heron Party</Text></Name></Party>
<Party ObjectId="larch"><Name><Text Language="en">Larch Party</Text><Text Language="es">Partido Alerce</Text></Name></Party>
<Party ObjectId="tide" xsi:type="Coalition"><Name><Text Language="en">Tide Coalition</Text></Name><PartyIds>heron larch</PartyIds></Party>
<SequenceStart>1</SequenceStart><SequenceEnd>1</SequenceEnd><Status>pre-election</Status><VendorApplicationId>x</VendorApplicationId>
` + x.report + "\n" + end + "\n"
}

func area(id, kind, composing, name string) string {
	s := `<GpUnit xsi:type="ReportingUnit" ObjectId="` + id + `">`
	if composing != "" {
		s += "<ComposingGpUnitIds>" + composing + "</ComposingGpUnitIds>"
	}
	if name != "" {
		s += `<Name><Text Language="en">` + name + "</Text></Name>"
	}
	return s + "<Type>" + kind + "</Type></GpUnit>\n"
}

func candidateXML(id, name, rest string) string {
	return `<Candidate ObjectId="` + id + `"><BallotName><Text Language="en">` + name + `</Text></BallotName>` + rest +
		`</Candidate>`
}

// race is a candidate contest with the selections given as their content.
func race(id string, selections ...string) string {
	s := `<Contest xsi:type="CandidateContest" ObjectId="` + id + `">`
	for i, in := range selections {
		s += `<ContestSelection xsi:type="CandidateSelection" ObjectId="` + id + "-" + string(rune('a'+i)) + `">` + in +
			`</ContestSelection>`
	}
	return s + `<ElectionDistrictId>county</ElectionDistrictId><Name>` + id +
		`</Name><VotesAllowed>1</VotesAllowed></Contest>`
}

func ballot(units string, content ...string) string {
	s := "<BallotStyle><GpUnitIds>" + units + "</GpUnitIds>"
	for _, c := range content {
		if strings.HasPrefix(c, "<") {
			s += c
		} else {
			s += `<OrderedContent xsi:type="OrderedContest"><ContestId>` + c + `</ContestId></OrderedContent>`
		}
	}
	return s + "</BallotStyle>"
}

func under(header string, content ...string) string {
	s := `<OrderedContent xsi:type="OrderedHeader"><HeaderId>` + header + `</HeaderId>`
	for _, c := range content {
		if !strings.HasPrefix(c, "<") {
			c = `<OrderedContent xsi:type="OrderedContest"><ContestId>` + c + `</ContestId></OrderedContent>`
		}
		s += c
	}
	return s + `</OrderedContent>`
}

func headerXML(id, name string) string {
	return `<Header ObjectId="` + id + `"><Name><Text Language="en">` + name + `</Text></Name></Header>`
}

func mustRead(t testing.TB, xml string, elections ...string) *model.Election {
	t.Helper()
	e, _, err := Read([]Part{{"export.xml", []byte(xml)}}, Options{Elections: elections, WithoutStyles: true})
	require.NoError(t, err)
	return e
}

func en(words string) model.Text { return model.Text{{Language: "en", Words: words}} }

func TestPartyLines(t *testing.T) {
	nothing := []int{}
	for _, c := range []struct {
		name       string
		candidates string
		selections []string
		lines      [][]int // nil: not stated
		endorsed   []bool
	}{
		{"a candidate stands on the line of the own party",
			candidateXML("ada", "Ada Quill", "<PartyId>heron</PartyId>"),
			[]string{"<CandidateIds>ada</CandidateIds>"}, [][]int{{0}}, []bool{false}},
		{"a candidate without a party stands on no line",
			candidateXML("ada", "Ada Quill", ""),
			[]string{"<CandidateIds>ada</CandidateIds>"}, [][]int{nothing}, []bool{false}},
		{"a cross-endorsed candidate keeps both lines, the own party first",
			candidateXML("ada", "Ada Quill", "<PartyId>larch</PartyId>"),
			[]string{"<CandidateIds>ada</CandidateIds><EndorsementPartyIds>heron</EndorsementPartyIds>"}, [][]int{{1, 0}},
			[]bool{true}},
		{"an endorsement by the own party is one line",
			candidateXML("ada", "Ada Quill", "<PartyId>larch</PartyId>"),
			[]string{"<CandidateIds>ada</CandidateIds><EndorsementPartyIds>larch heron heron</EndorsementPartyIds>"},
			[][]int{{1, 0}}, []bool{true}},
		{"on a fusion ballot each position of one candidate has the lines that it names",
			candidateXML("ada", "Ada Quill", "<PartyId>heron</PartyId>"),
			[]string{"<CandidateIds>ada</CandidateIds>",
				"<CandidateIds>ada</CandidateIds><EndorsementPartyIds>larch</EndorsementPartyIds>"},
			[][]int{{0}, {1}}, []bool{false, true}},
		{"candidates who share a Person are one candidate on a fusion ballot",
			candidateXML("ada", "Ada Quill", "<PartyId>heron</PartyId><PersonId>person</PersonId>") +
				candidateXML("ada2", "Ada Quill", "<PartyId>heron</PartyId><PersonId>person</PersonId>"),
			[]string{"<CandidateIds>ada</CandidateIds>",
				"<CandidateIds>ada2</CandidateIds><EndorsementPartyIds>larch</EndorsementPartyIds>"},
			[][]int{{0}, {1}}, []bool{false, true}},
		{"candidates of the same name who share nothing are two candidates",
			candidateXML("ada", "Ada Quill", "<PartyId>heron</PartyId>") +
				candidateXML("ada2", "Ada Quill", "<PartyId>heron</PartyId>"),
			[]string{"<CandidateIds>ada</CandidateIds>",
				"<CandidateIds>ada2</CandidateIds><EndorsementPartyIds>larch</EndorsementPartyIds>"},
			[][]int{{0}, {0, 1}}, []bool{false, true}},
		{"running mates stand on the lines of both, each once",
			candidateXML("ada", "Ada Quill", "<PartyId>larch</PartyId>") +
				candidateXML("bo", "Bo Reed", "<PartyId>heron</PartyId>") +
				candidateXML("cy", "Cy Moss", "<PartyId>larch</PartyId>"),
			[]string{"<CandidateIds>ada bo cy</CandidateIds>"}, [][]int{{1, 0}}, []bool{false}},
		{"a coalition is a line of its own",
			candidateXML("ada", "Ada Quill", "<PartyId>tide</PartyId>"),
			[]string{"<CandidateIds>ada</CandidateIds>"}, [][]int{{2}}, []bool{false}},
		{"a write-in line states no party", "",
			[]string{"<IsWriteIn>true</IsWriteIn>"}, [][]int{nil}, []bool{false}},
		{"a write-in line with an endorsement states it", "",
			[]string{"<IsWriteIn>1</IsWriteIn><EndorsementPartyIds>larch</EndorsementPartyIds>"}, [][]int{{1}}, []bool{true}},
	} {
		t.Run(c.name, func(t *testing.T) {
			e := mustRead(t, export{candidates: c.candidates, contests: race("clerk", c.selections...),
				report: `<Person ObjectId="person"/>`}.String())
			assert.Empty(t, e.Origins.Dangling)
			for i, want := range c.lines {
				lines := e.Contests[0].Choices[i].Lines
				assert.Equal(t, want != nil, lines.Known, "stated")
				assert.Equal(t, want, lines.Value, "position %d", i)
				assert.Equal(t, c.endorsed[i], e.Origins.Choice(0, i).Endorsed, "endorsed, position %d", i)
			}
		})
	}
}

func TestPositionsOfOnePerson(t *testing.T) {
	candidates := candidateXML("ada", "Ada Quill", "") + candidateXML("ada2", "A. Quill", "<PersonId>person</PersonId>") +
		candidateXML("ada3", "Ada Quill", "<PersonId>person</PersonId>") + candidateXML("bo", "Bo Reed", "")
	e := mustRead(t, export{candidates: candidates, report: `<Person ObjectId="person"/>`, contests: race("clerk",
		"<CandidateIds>ada</CandidateIds>", "<CandidateIds>ada2</CandidateIds>", "<CandidateIds>ada3</CandidateIds>",
		"<CandidateIds>ada bo</CandidateIds>", "<CandidateIds>ada bo</CandidateIds>", "<CandidateIds>bo ada</CandidateIds>",
		"<CandidateIds>ada</CandidateIds><IsWriteIn>true</IsWriteIn>")}.String())
	persons := make([]string, 7)
	for i, c := range e.Contests[0].Choices {
		persons[i] = c.Person
	}
	assert.Equal(t, persons[1], persons[2], "candidates who share a Person")
	assert.NotEqual(t, persons[0], persons[2], "candidates who do not")
	assert.Equal(t, persons[3], persons[4], "the same ticket")
	assert.NotEqual(t, persons[3], persons[5], "a ticket in another order")
	assert.Empty(t, persons[6], "a write-in")
	assert.NotContains(t, persons[:6], "")
}

func TestNamesOfChoices(t *testing.T) {
	two := `<Candidate ObjectId="ada"><BallotName><Text Language="en">Ada Quill</Text><Text Language="es">Ada ` +
		`Pluma</Text></BallotName></Candidate>` +
		candidateXML("bo", " Bo  Reed ", "")
	t.Run("running mates are joined, language by language", func(t *testing.T) {
		e := mustRead(t, export{candidates: two, contests: race("c", "<CandidateIds>ada bo</CandidateIds>")}.String())
		assert.Equal(t, model.Say(model.Text{{Language: "en", Words: "Ada Quill /  Bo  Reed "},
			{Language: "es", Words: "Ada Pluma /  Bo  Reed "}}), e.Contests[0].Choices[0].Name)
		assert.Equal(t, []string{"en", "es"}, e.Origins.Languages)
	})
	t.Run("a write-in line has no name", func(t *testing.T) {
		e := mustRead(t, export{contests: race("c", "<IsWriteIn>1</IsWriteIn>")}.String())
		assert.Equal(t, model.Choice{WriteIn: true}, e.Contests[0].Choices[0])
	})
	t.Run("a straight-party choice is named by its parties", func(t *testing.T) {
		e := mustRead(t,
			export{
				contests: `<Contest xsi:type="PartyContest" ObjectId="c"><ContestSelection xsi:type="PartySelection" ObjectId="s"><PartyIds>larch heron</PartyIds></ContestSelection>
			<ElectionDistrictId>county</ElectionDistrictId><Name>Straight party</Name></Contest>`}.String())
		assert.Equal(t,
			model.Choice{Name: model.Say(model.Text{{Language: "en", Words: "Larch Party / Heron Party"},
				{Language: "es", Words: "Partido Alerce / Heron Party"}}), Lines: model.Say([]int{1, 0})},
			e.Contests[0].Choices[0])
	})
}

func TestContests(t *testing.T) {
	measure := func(class, rest string) string {
		return `<Contest xsi:type="` + class +
			`" ObjectId="m"><BallotTitle><Text Language="en">Proposal 1</Text></BallotTitle><BallotSubTitle><Text Language="en">Bridge repair</Text></BallotSubTitle>
			<ContestSelection xsi:type="BallotMeasureSelection" ObjectId="yes"><Selection><Text Language="en">Yes</Text></Selection></ContestSelection>
			<ContestSelection xsi:type="BallotMeasureSelection" ObjectId="no"><Selection><Text Language="en">No</Text></Selection></ContestSelection>
			<ElectionDistrictId>county</ElectionDistrictId><Name>prop-1</Name>` + rest + `</Contest>`
	}
	answers := []model.Choice{{Name: model.Say(en("Yes"))}, {Name: model.Say(en("No"))}}
	usual := model.Contest{Title: model.Say(en("Proposal 1")), Subtitle: model.Say(en("Bridge repair")),
		Name: model.Say(model.Plain("prop-1")), District: model.Say(0), Choices: answers}
	with := func(change func(*model.Contest)) model.Contest {
		c := usual
		change(&c)
		return c
	}
	for _, c := range []struct {
		name, xml string
		want      model.Contest
	}{
		{"a ballot measure states no vote-for", measure("BallotMeasureContest", ""),
			with(func(c *model.Contest) { c.Kind = model.Say(model.KindMeasure) })},
		{"a recall is a measure", measure("BallotMeasureContest", "<Type>recall</Type>"),
			with(func(c *model.Contest) { c.Kind = model.Say(model.KindMeasure) })},
		{"text, summary and method of voting are kept",
			measure("BallotMeasureContest", `<VoteVariation>super-majority</VoteVariation><FullText><Text Language="en">Shall `+
				`the bridge be repaired?</Text></FullText><SummaryText><Text Language="en">Repairs.</Text></SummaryText>`),
			with(func(c *model.Contest) {
				c.Kind, c.Variation = model.Say(model.KindMeasure), model.Say("super-majority")
				c.Text, c.Summary = model.Say(en("Shall the bridge be repaired?")), model.Say(en("Repairs."))
			})},
		{"a method that the standard does not list is kept by its own name",
			measure("BallotMeasureContest", "<VoteVariation>other</VoteVariation><OtherVoteVariation>star</OtherVoteVariation>"),
			with(func(c *model.Contest) { c.Kind, c.Variation = model.Say(model.KindMeasure), model.Say("star") })},
		{"a measure that states a vote-for keeps it", measure("BallotMeasureContest", "<VotesAllowed> 1 </VotesAllowed>"),
			with(func(c *model.Contest) { c.Kind, c.VoteFor = model.Say(model.KindMeasure), model.Say(1) })},
		{"a retention names a candidate and has its own choices",
			measure("RetentionContest", "<CandidateId>ada</CandidateId>"),
			with(func(c *model.Contest) { c.Kind = model.Say(model.KindRetention) })},
		{"rotation is kept", measure("BallotMeasureContest", "<HasRotation>1</HasRotation>"),
			with(func(c *model.Contest) { c.Kind, c.Rotates = model.Say(model.KindMeasure), model.Say(true) })},
		{"rotation that is denied is stated too", measure("BallotMeasureContest", "<HasRotation>false</HasRotation>"),
			with(func(c *model.Contest) { c.Kind, c.Rotates = model.Say(model.KindMeasure), model.Say(false) })},
		{"a candidate contest without primary parties says so", race("clerk"),
			model.Contest{Name: model.Say(model.Plain("clerk")), Kind: model.Say(model.KindCandidate), VoteFor: model.Say(1),
				PrimaryParties: model.Say([]int{}), District: model.Say(0)}},
		{"an export contest keeps its parties", strings.Replace(race("clerk"), "<VotesAllowed>1",
			"<PrimaryPartyIds>larch</PrimaryPartyIds><VotesAllowed>0", 1),
			model.Contest{Name: model.Say(model.Plain("clerk")), Kind: model.Say(model.KindCandidate), VoteFor: model.Say(0),
				PrimaryParties: model.Say([]int{1}), District: model.Say(0)}},
	} {
		t.Run(c.name, func(t *testing.T) {
			e := mustRead(t, export{contests: c.xml, candidates: candidateXML("ada", "Ada Quill", "")}.String())
			assert.Empty(t, cmp.Diff([]model.Contest{c.want}, e.Contests))
			assert.Empty(t, e.Origins.Dangling)
		})
	}
}

func TestHeadings(t *testing.T) {
	contests := race("a") + race("b") + race("c")
	headers := headerXML("h1", "County offices") + headerXML("h2", "Judges") + headerXML("h3", "Turn over")
	read := func(t *testing.T, styles string) *model.Election {
		return mustRead(t, export{contests: contests, styles: styles, report: headers}.String())
	}
	show := func(s model.Style) []string {
		var out []string
		for _, p := range s.Content {
			for _, h := range p.Headings.Value {
				out = append(out, "# "+h.In("en"))
			}
			out = append(out, string(rune('a'+p.Contest)))
		}
		for _, h := range s.Closing.Value {
			out = append(out, "# "+h.In("en"))
		}
		return out
	}
	for _, c := range []struct {
		name, style string
		want        []string
		closing     int
	}{
		{"a heading beside contests goes with the one that follows", ballot("p1", under("h1"), "a", "b"),
			[]string{"# County offices", "a", "b"}, 0},
		{"a heading goes with the first contest under it", ballot("p1", under("h1", "a", "b"), "c"),
			[]string{"# County offices", "a", "b", "c"}, 0},
		{"nested headings come outermost first", ballot("p1", under("h1", under("h2", "a"), "b")),
			[]string{"# County offices", "# Judges", "a", "b"}, 0},
		{"headings after the last contest close the ballot", ballot("p1", "a", under("h2", under("h3"))),
			[]string{"a", "# Judges", "# Turn over"}, 2},
	} {
		t.Run(c.name, func(t *testing.T) {
			e := read(t, c.style)
			assert.Equal(t, c.want, show(e.Styles[0]))
			assert.True(t, e.Styles[0].Content[0].Headings.Known)
			assert.True(t, e.Styles[0].Closing.Known)
			assert.Len(t, e.Styles[0].Closing.Value, c.closing)
		})
	}
	t.Run("an export without any header states none", func(t *testing.T) {
		e := mustRead(t, export{contests: contests, styles: ballot("p1", "a")}.String())
		assert.False(t, e.Styles[0].Content[0].Headings.Known)
		assert.False(t, e.Styles[0].Closing.Known)
	})
}

func TestStyles(t *testing.T) {
	ordered := func(contest, selections string) string {
		return `<OrderedContent xsi:type="OrderedContest"><ContestId>` + contest +
			`</ContestId><OrderedContestSelectionIds>` + selections + `</OrderedContestSelectionIds></OrderedContent>`
	}
	contests := race("a", "", "", "") + race("b", "")
	t.Run("label, parties and precincts", func(t *testing.T) {
		e := mustRead(t, export{contests: contests,
			styles: `<BallotStyle><ExternalIdentifier><Type>local-level</Type><Value>12-D</Value></ExternalIdentifier>
			<ExternalIdentifier><Type>other</Type><OtherType>printer</OtherType><Value>0012</Value></ExternalIdentifier>
			<GpUnitIds>p2	p1
			p2</GpUnitIds><PartyIds>larch</PartyIds></BallotStyle>`}.String())
		assert.Equal(t, model.Style{Label: model.Say("12-D"), Parties: []int{1}, Precincts: []int{0, 1},
			Content: []model.Placement{}}, e.Styles[0])
		assert.Equal(t, []string{"12-D", "0012"}, e.Origins.Style(0).Codes)
	})
	t.Run("the order of choices is the style's", func(t *testing.T) {
		e := mustRead(t, export{contests: contests, styles: ballot("p1", ordered("a", "a-c a-a a-b"), "b") +
			ballot("p2", ordered("a", "a-c a-a a-b"))}.String())
		assert.Equal(t, model.Say([]int{2, 0, 1}), e.Styles[0].Content[0].Order)
		assert.False(t, e.Styles[0].Content[1].Order.Known)
		assert.Same(t, &e.Styles[0].Content[0].Order.Value[0], &e.Styles[1].Content[0].Order.Value[0],
			"equal orders are held once")
	})
	t.Run("an order that lists only some choices, or one twice, is kept as it is", func(t *testing.T) {
		e := mustRead(t, export{contests: contests, styles: ballot("p1", ordered("a", "a-b a-b"))}.String())
		assert.Equal(t, model.Say([]int{1, 1}), e.Styles[0].Content[0].Order)
	})
	t.Run("a contest printed twice stands twice", func(t *testing.T) {
		e := mustRead(t, export{contests: contests, styles: ballot("p1", "b", "a", "b")}.String())
		assert.Len(t, e.Styles[0].Content, 3)
	})
	t.Run("any unit that a style names is a precinct", func(t *testing.T) {
		e := mustRead(t, export{contests: contests, styles: ballot("ward"),
			units: area("ward", "ward", "p2", "Ward 9")}.String())
		assert.Equal(t, model.Precinct{Name: en("Ward 9"), Kind: "ward", Members: []int{1}}, e.Precincts[2])
		assert.Equal(t, []int{2}, e.Styles[0].Precincts)
	})
}

func TestDanglingReferencesAreReportedAndReadingGoesOn(t *testing.T) {
	dangle := func(from, field, to, found string) model.Dangling {
		return model.Dangling{From: from, Field: field, To: to, Found: found}
	}
	cases := []struct {
		name   string
		export export
		want   []model.Dangling
	}{
		{"a style names no such precinct", export{styles: ballot("p1 p7")},
			[]model.Dangling{dangle("BallotStyle at line 3", "GpUnitIds", "p7", "")}},
		{"a style names a party as its precinct", export{styles: ballot("heron")},
			[]model.Dangling{dangle("BallotStyle at line 3", "GpUnitIds", "heron", "Party")}},
		{"a ballot holds a contest that is not there", export{styles: ballot("p1", "x")},
			[]model.Dangling{dangle("BallotStyle at line 3", "ContestId", "x", "")}},
		{"a ballot names a header that is a contest", export{contests: race("a"), styles: ballot("p1", under("a", "a"))},
			[]model.Dangling{dangle("BallotStyle at line 3", "HeaderId", "a", "CandidateContest")}},
		{"a ballot orders the choices of another contest",
			export{contests: race("a", "") + race("b", ""), styles: ballot("p1", `<OrderedContent `+
				`xsi:type="OrderedContest"><ContestId>a</ContestId><OrderedContestSelectionIds>b-a `+
				`a-a</OrderedContestSelectionIds></OrderedContent>`)},
			[]model.Dangling{dangle("BallotStyle at line 3", "OrderedContestSelectionIds", "b-a",
				"CandidateSelection of another contest")}},
		{"a contest is of no district", export{contests: strings.Replace(race("a"), ">county<", ">x<", 1)},
			[]model.Dangling{dangle("CandidateContest a", "ElectionDistrictId", "x", "")}},
		{"a contest is of an office as its district", export{contests: strings.Replace(race("a"), ">county<", ">office<", 1),
			report: `<Office ObjectId="office"/>`},
			[]model.Dangling{dangle("CandidateContest a", "ElectionDistrictId", "office", "Office")}},
		{"a choice names no candidate", export{contests: race("a", "<CandidateIds>x</CandidateIds>")},
			[]model.Dangling{dangle("CandidateSelection a-a", "CandidateIds", "x", "")}},
		{"an endorsing party is a precinct", export{contests: race("a", "<EndorsementPartyIds>p1</EndorsementPartyIds>")},
			[]model.Dangling{dangle("CandidateSelection a-a", "EndorsementPartyIds", "p1", "ReportingUnit")}},
		{"a candidate has no such party and person",
			export{candidates: candidateXML("ada", "Ada", "<PartyId>x</PartyId><PersonId>y</PersonId>"),
				contests: race("a", "<CandidateIds>ada</CandidateIds>")},
			[]model.Dangling{dangle("Candidate ada", "PersonId", "y", ""), dangle("Candidate ada", "PartyId", "x", "")}},
		{"a unit contains one that is not there", export{units: area("ward", "ward", "x", "")},
			[]model.Dangling{dangle("ReportingUnit ward", "ComposingGpUnitIds", "x", "")}},
		{"the election is held nowhere", export{election: strings.Replace(usualFacts, ">county<", ">x<", 1)},
			[]model.Dangling{dangle("Election General Election", "ElectionScopeId", "x", "")}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			e := mustRead(t, c.export.String())
			for i := range e.Origins.Dangling {
				d := &e.Origins.Dangling[i]
				assert.Equal(t, "export.xml", d.File)
				assert.Positive(t, d.Line)
				d.File, d.Line = "", 0
			}
			assert.Equal(t, c.want, e.Origins.Dangling)
		})
	}
}

// What names no language ("und", BCP 47) comes first where it stands before the language that is
// named first.
func TestTheFirstLanguageMayHaveNoName(t *testing.T) {
	title := func(texts string) string {
		return strings.Replace(race("c"), "<Name>", "<BallotTitle>"+texts+"</BallotTitle><Name>", 1)
	}
	text := func(tag, words string) string { return `<Text Language="` + tag + `">` + words + `</Text>` }
	for name, c := range map[string]struct{ texts, first string }{
		"before the language named first":  {text("und", "Clerk") + text("en", "Town Clerk"), ""},
		"after it":                         {text("en", "Town Clerk") + text("und", "Clerk"), "en"},
		"alone":                            {text("und", "Clerk"), "en"},
		"before a language named later on": {text("und", "Clerk") + text("es", "Secretario"), "en"},
	} {
		e := mustRead(t, export{candidates: candidateXML("ada", "Ada Quill", ""), contests: title(c.texts)}.String())
		assert.Equal(t, "en", e.Origins.Languages[0], name)
		assert.Equal(t, c.first, e.Origins.FirstLanguage(), name)
	}
}

func TestFacts(t *testing.T) {
	t.Run("the jurisdiction is the election scope", func(t *testing.T) {
		e := mustRead(t, export{}.String())
		assert.Equal(t, model.Facts{Name: model.Say(en("General Election")), Date: model.Say("2027-11-02"),
			Jurisdiction: model.Say(en("Wendle County"))}, e.Facts)
	})
	t.Run("else the issuer", func(t *testing.T) {
		e := mustRead(t, export{units: area("county", "county", "", "")}.String())
		assert.Equal(t, model.Say(model.Plain("Wendle County Board of Elections")), e.Facts.Jurisdiction)
	})
	t.Run("a date with a time zone is the same day", func(t *testing.T) {
		e := mustRead(t, export{election: strings.Replace(usualFacts, ">2027-11-02<", ">2027-11-02-05:00<", 1)}.String())
		assert.Equal(t, model.Say("2027-11-02"), e.Facts.Date)
	})
}

func TestWhatIsNotComparedIsCounted(t *testing.T) {
	e := mustRead(t, export{
		candidates: candidateXML("ada", "Ada Quill", "<FileDate>2027-07-01</FileDate><IsIncumbent>1</IsIncumbent>"),
		report: `<Office ObjectId="o"><Name><Text Language="fr">x</Text></Name></Office><Person ObjectId="p"/><x:Extra ` +
			`xmlns:x="urn:x"><x:Deep/></x:Extra>`,
	}.String())
	assert.Equal(t, map[string]int{
		"Candidate.FileDate": 1, "Candidate.IsIncumbent": 1, "ElectionReport.Office": 1, "ElectionReport.Person": 1,
		"ElectionReport.x:Extra": 1, "Party.PartyIds": 1,
	}, e.Origins.Uncompared)
	assert.Equal(t, []string{"en", "es"}, e.Origins.Languages, "languages of what is not read are not listed")
}

func TestOriginsNameThePlace(t *testing.T) {
	xml := export{contests: race("clerk", "<CandidateIds>ada</CandidateIds>"), candidates: candidateXML("ada", "Ada", ""),
		styles: ballot("p1", "clerk")}.String()
	e := mustRead(t, xml)
	line := func(what string) int { return 1 + strings.Count(xml[:strings.Index(xml, what)], "\n") }
	assert.Equal(t, model.Origin{ID: "clerk", File: "export.xml", Line: line(`ObjectId="clerk"`)},
		e.Origins.Contest(0).Origin)
	assert.Equal(t, model.Origin{ID: "clerk-a", File: "export.xml", Line: line(`ObjectId="clerk-a"`)},
		e.Origins.Choice(0, 0).Origin)
	assert.Equal(t, model.Origin{ID: "heron", File: "export.xml", Line: line(`ObjectId="heron"`)}, e.Origins.Party(0))
	assert.Equal(t, model.Origin{ID: "p2", File: "export.xml", Line: line(`ObjectId="p2"`)}, e.Origins.Precinct(1))
	assert.Equal(t, line("<BallotStyle>"), e.Origins.Style(0).Line)
	assert.Equal(t, "export.xml, SP 1500-100 version 2 in XML", e.Origins.Description)
}

// However often something is referred to that is not there, it is one entry.
func TestReferencesToOneMissingThingAreCounted(t *testing.T) {
	const n = 2_000
	var styles strings.Builder
	for range n {
		styles.WriteString(ballot("p1 p7"))
	}
	e := mustRead(t, export{styles: styles.String() + ballot("p1 p8")}.String())
	require.Len(t, e.Origins.Dangling, 2)
	d := e.Origins.Dangling[0]
	assert.Equal(t, "p7", d.To)
	assert.Equal(t, n-1, d.More)
	assert.LessOrEqual(t, len(d.Others), model.MaxReferrers)
	assert.Equal(t, "p8", e.Origins.Dangling[1].To)
	assert.Zero(t, e.Origins.Dangling[1].More)
}
