package cdf

import (
	_ "embed"
	"maps"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"counterproof/model"
)

// asDefinition rewrites a report of SP 1500-100 as a ballot definition of SP 1500-20, by the names of
// the two schemas. It must hold no devices and no counts.
var asDefinition = strings.NewReplacer("1500-100/v2", "1500-20/v1", "ElectionReport", "BallotDefinition",
	"ElectionResults.", "BallotDefinition.", "OrderedContestSelectionIds", "OrderedContestOptionIds",
	"ContestSelection", "ContestOption", "CandidateSelection", "CandidateOption", "BallotMeasureSelection",
	"BallotMeasureOption", "PartySelection", "PartyOption", "<Format>precinct-level</Format>", "",
	"<Status>pre-election</Status>", "", `"Format": "precinct-level",`, "", `"Status": "pre-election",`, "",
	"</VendorApplicationId>", "</VendorApplicationId><Version>1.0.0</Version>")

// TestNISTBallotDefinitionsSayWhatTheReportsSay: of each NIST test election the ballot definition gives
// the same election as the report, and differs from it by what is listed here, found by comparing the
// files: a definition has a version, and no status and level of detail; and GEN-01's straight-party
// contest is a PartyContest in the report, and in the definition a StraightPartyContest that controls the
// contests with a party. Both are the same question to the voter.
func TestNISTBallotDefinitionsSayWhatTheReportsSay(t *testing.T) {
	for election, uncompared := range map[string]map[string]int{
		"gen-01":  {"Contest.ControlledContestIds": 1, "Contest.StraightPartyRuleset": 1},
		"gen-03":  {},
		"prim-01": {},
	} {
		for _, format := range []string{".xml", ".json"} {
			t.Run(election+format, func(t *testing.T) {
				report, rc := readPublished(t, election+"/pe-err-"+election+format)
				def, dc := readPublished(t, election+"/bd-"+election+format)
				assert.Empty(t, def.Origins.Dangling)
				assert.Equal(t, "SP 1500-20 version 1", def.Origins.Format)
				assert.Equal(t, "SP 1500-100 version 2", report.Origins.Format)
				for i := range def.Contests {
					assert.Positive(t, def.Origins.Contests[i].Line)
					assert.Equal(t, report.Origins.Contests[i].ID, def.Origins.Contests[i].ID)
				}
				report.Origins, def.Origins = model.Origins{}, model.Origins{}
				assert.Empty(t, cmp.Diff(report, def))

				assert.Equal(t, []string{"NIST SP 1500-100", "2", "NIST SP 1500-20", "1"},
					[]string{rc.Standard, rc.Version, dc.Standard, dc.Version})
				assert.Equal(t, []string{"pre-election", "precinct-level", "", ""},
					[]string{rc.Status, rc.Detail, dc.Status, dc.Detail})
				want := maps.Clone(rc.Uncompared)
				if want == nil {
					want = map[string]int{}
				}
				want["BallotDefinition.Version"] = 1
				maps.Copy(want, uncompared)
				assert.Equal(t, want, dc.Uncompared)
				rc.Uncompared, rc.Standard, rc.Version, rc.Status, rc.Detail, rc.Parts = dc.Uncompared, dc.Standard,
					dc.Version, "", "", dc.Parts
				assert.Empty(t, cmp.Diff(rc, dc))
			})
		}
	}
}

// TestWhatTheNISTFilesStateDifferently holds both wordings of what the files of GEN-01 state differently
// of the ballot: of its straight-party contest, which the definition says more of.
func TestWhatTheNISTFilesStateDifferently(t *testing.T) {
	controlled := []string{"County Assessor", "County Commissioner - District 1", "County Commissioner - District 2",
		"County Commissioner - District 3", "President and Vice President of the United States",
		"Representative in Congress - District 1", "Representative in Congress - District 2", "State Assembly - District 1",
		"State Assembly - District 2", "State Assembly - District 3", "Supreme Court Justice - Seat A",
		"Supreme Court Justice - Seat B", "Supreme Court Justice - Seat C", "United State Senator"}
	for _, c := range []struct{ member, report, definition string }{
		{"class", "", "StraightPartyContest"}, // PartyContest is all that the kind says
		{"StraightPartyRuleset", "", "inclusive"},
		{"ControlledContestIds", "", "CandidateContest " + strings.Join(controlled, "; CandidateContest ")},
	} {
		for _, format := range []string{"xml", "json"} {
			for path, want := range map[string]string{"pe-err-": c.report, "bd-": c.definition} {
				e, _, err := ReadFiles([]string{published(t, "test-elections/gen-01/"+path+"gen-01."+format)},
					Options{Hold: true})
				require.NoError(t, err)
				require.Equal(t, "Straight Party", e.Contests[0].Name.Value.In(""))
				assert.Equal(t, want, strings.Join(memberOf(e.Origins.Contests[0].Held, c.member), "; "), path+format)
			}
		}
	}
}

// TestADefinitionSaysWhatTheReportOfItsWordsSays holds for any election without devices.
func TestADefinitionSaysWhatTheReportOfItsWordsSays(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		e := drawElection(rt)
		e.Units = nil
		report, data := written(rt, e)
		def, _, err := Read([]Part{{"definition.xml", []byte(asDefinition.Replace(string(data)))}},
			Options{WithoutStyles: true})
		require.NoError(rt, err)
		report.Origins, def.Origins = model.Origins{}, model.Origins{}
		if diff := cmp.Diff(report, def); diff != "" {
			rt.Fatalf("the definition says something else:\n%s\n%s", diff, data)
		}
	})
}

// everything is a ballot definition with what SP 1500-20 adds to SP 1500-100.
//
//go:embed testdata/definition.xml
var everything string

func readDefinition(t *testing.T, data string) (*model.Election, Contents) {
	t.Helper()
	e, c, err := Read([]Part{{"bd.xml", []byte(data)}}, Options{Hold: true})
	require.NoError(t, err)
	return e, c
}

// memberOf returns the words of a held member.
func memberOf(list []model.Held, member string) (words []string) {
	for _, h := range list {
		if h.Member == member {
			words = append(words, h.Words)
		}
	}
	return words
}

func TestWhatABallotDefinitionAdds(t *testing.T) {
	validateAs(t, definition, []byte(everything))
	e, contents := readDefinition(t, everything)
	assert.Empty(t, e.Origins.Dangling)
	assert.Equal(t, []string{"en", "es"}, contents.Languages)

	recall, mayor, straight, which := &e.Contests[0], &e.Contests[1], &e.Contests[2], &e.Contests[3]
	assert.Equal(t, model.KindMeasure, recall.Kind.Value, "a recall is a measure")
	assert.Equal(t, "Revocación", recall.Title.Value.In("es"))
	assert.Equal(t, "Shall Ben Ash be recalled?", recall.Summary.Value.In("en"))
	assert.Equal(t, "Yes", recall.Choices[0].Name.Value.In("en"))
	assert.Equal(t, "No", recall.Choices[1].Name.Value.In("en"))
	assert.Equal(t, model.KindCandidate, mayor.Kind.Value)
	assert.Equal(t, model.Say(3), mayor.VoteFor, "what a ranked contest prints is the number of ranks")
	assert.Equal(t, "Ada Quill", mayor.Choices[0].Name.Value.In("en"))
	assert.True(t, mayor.Choices[1].WriteIn)
	for _, c := range []*model.Contest{straight, which} {
		assert.Equal(t, model.KindParty, c.Kind.Value)
		assert.Equal(t, model.Say([]int{0}), c.Choices[0].Lines)
		assert.Equal(t, "Heron Party", c.Choices[0].Name.Value.In("en"))
	}
	content := e.Styles[0].Content
	for i, on := range content {
		assert.Equal(t, i, on.Contest)
	}
	assert.Equal(t, "Recalls", content[0].Headings.Value[0].In("en"))
	assert.Equal(t, model.Say([]int{1, 0}), content[1].Order)

	o := &e.Origins
	before, _, _ := strings.Cut(everything, `ObjectId="recall"`)
	assert.Equal(t, 1+strings.Count(before, "\n"), o.Contests[0].Line)
	assert.Equal(t, []string{"CandidateContest Mayor"}, memberOf(o.Contests[0].Held, "ControlledContestIds"))
	assert.Equal(t, []string{"Candidate Ben Ash"}, memberOf(o.Contests[0].Held, "CandidateId"))
	assert.Equal(t, []string{"true"}, memberOf(o.Contests[0].Choices[0].Held, "CausesActivation"))
	assert.Equal(t, []string{"1"}, memberOf(o.Contests[1].Held, "VotesAllowed"))
	assert.Empty(t, memberOf(o.Contests[1].Held, "RanksAllowed"))
	assert.Equal(t, []string{"inclusive"}, memberOf(o.Contests[2].Held, "StraightPartyRuleset"))
	assert.Equal(t, []string{"en", "es"}, memberOf(o.Styles[0].Held, "Language"))
	assert.Equal(t, []string{"federal only"}, memberOf(o.Styles[0].Held, "Purpose"))
	for _, h := range o.Styles[0].Held {
		if h.Member == "OrderedContent.Physical" {
			assert.Equal(t, "Mayor", h.Of)
		}
	}
	assert.Len(t, memberOf(o.Styles[0].Held, "OrderedContent.Physical"), 1)
	assert.Contains(t, o.Held, model.Held{Member: "HeaderedContent", Of: "Recalls", Words: "[en] Turn over"})
	assert.Equal(t, map[string]int{"BallotDefinition.BallotFormat": 1, "BallotDefinition.Shape": 1,
		"BallotDefinition.Version": 1, "BallotStyle.Language": 2, "BallotStyle.Purpose": 1,
		"OrderedContent.Physical": 1, "Header.HeaderedContent": 1, "Contest.ControlledContestIds": 3,
		"Contest.StraightPartyRuleset": 1, "ContestOption.CausesActivation": 2, "Contest.VotesAllowed": 1},
		contents.Uncompared)
}

func TestRanksAreComparedWhereVotersRank(t *testing.T) {
	for _, c := range []struct{ name, says, voteFor, held string }{
		{"ranked choice", "<VoteVariation>rcv</VoteVariation><RanksAllowed>3</RanksAllowed><VotesAllowed>1</VotesAllowed>",
			"3", "VotesAllowed 1"},
		{"ranked choice without ranks", "<VoteVariation>rcv</VoteVariation><VotesAllowed>4</VotesAllowed>", "4", ""},
		{"n of m", "<VoteVariation>n-of-m</VoteVariation><RanksAllowed>3</RanksAllowed><VotesAllowed>2</VotesAllowed>",
			"2", "RanksAllowed 3"},
		{"no word of how votes count", "<RanksAllowed>3</RanksAllowed><VotesAllowed>1</VotesAllowed>", "3",
			"VotesAllowed 1"},
		{"one rank", "<RanksAllowed>1</RanksAllowed><VotesAllowed>2</VotesAllowed>", "2", "RanksAllowed 1"},
	} {
		t.Run(c.name, func(t *testing.T) {
			e, contents := readDefinition(t, strings.Replace(everything,
				"<VoteVariation>rcv</VoteVariation>\n<RanksAllowed>3</RanksAllowed><VotesAllowed>1</VotesAllowed>", c.says, 1))
			assert.Equal(t, c.voteFor, decimal(e.Contests[1].VoteFor.Value))
			member, value, _ := strings.Cut(c.held, " ")
			assert.Equal(t, contents.Uncompared["Contest."+member], len(memberOf(e.Origins.Contests[1].Held, member)))
			if member != "" {
				assert.Equal(t, []string{value}, memberOf(e.Origins.Contests[1].Held, member))
			}
		})
	}
}

// TestNamesOfOneStandardMeanNothingInTheOther: they are counted and held, as all that is not known.
func TestNamesOfOneStandardMeanNothingInTheOther(t *testing.T) {
	ranked := strings.Replace(race("clerk", "<IsWriteIn>1</IsWriteIn>"), "<VotesAllowed>",
		"<VoteVariation>rcv</VoteVariation><RanksAllowed>3</RanksAllowed><VotesAllowed>", 1)
	report := export{styles: ballot("p1", "clerk"), contests: ranked}.String()
	e, c := readDefinition(t, report)
	assert.Equal(t, 1, e.Contests[0].VoteFor.Value)
	assert.Equal(t, 1, c.Uncompared["Contest.RanksAllowed"])
	assert.Equal(t, []string{"3"}, memberOf(e.Origins.Contests[0].Held, "RanksAllowed"))

	mixed := asDefinition.Replace(report)
	mixed = strings.Replace(mixed, `<ContestOption xsi:type="CandidateOption" ObjectId="clerk-a">`,
		`<ContestSelection ObjectId="clerk-z"/><ContestOption xsi:type="CandidateOption" ObjectId="clerk-a">`, 1)
	e, c = readDefinition(t, mixed)
	assert.Len(t, e.Contests[0].Choices, 1)
	assert.Equal(t, 1, c.Uncompared["Contest.ContestSelection"])

	wrong := func(data, old, new string) error {
		_, _, err := Read([]Part{{"bd.xml", []byte(strings.Replace(data, old, new, 1))}}, Options{})
		return err
	}
	err := wrong(mixed, `"CandidateOption"`, `"CandidateSelection"`)
	require.EqualError(t, err, `bd.xml, line 5, ContestOption: xsi:type is "CandidateSelection", which cannot stand `+
		`here; it must be CandidateOption, BallotMeasureOption, PartyOption or ActivationOption`)
	err = wrong(everything, `"ReportingUnit"`, `"ReportingDevice"`)
	require.ErrorContains(t, err, `xsi:type is "ReportingDevice", which cannot stand here; it must be ReportingUnit`)
	err = wrong(everything, `xsi:type="ActivationContest"`, "")
	require.ErrorContains(t, err, "it must be CandidateContest, BallotMeasureContest, RetentionContest, PartyContest, "+
		"ActivationContest, PartyPreferenceContest or StraightPartyContest")
}

func TestAControlledContestThatIsNotThereIsMissed(t *testing.T) {
	e, _ := readDefinition(t, strings.Replace(everything, "<ControlledContestIds>mayor</",
		"<ControlledContestIds>mayor heron mayer</", 1))
	require.Len(t, e.Origins.Dangling, 2)
	assert.Equal(t, "ActivationContest recall", e.Origins.Dangling[0].From)
	assert.Equal(t, []string{"heron", "Party"}, []string{e.Origins.Dangling[0].To, e.Origins.Dangling[0].Found})
	assert.Equal(t, []string{"mayer", ""}, []string{e.Origins.Dangling[1].To, e.Origins.Dangling[1].Found})
}

// TestPartsOfTwoStandardsAreNoReport: also where the two files number each other.
func TestPartsOfTwoStandardsAreNoReport(t *testing.T) {
	one := export{styles: ballot("p1", "clerk"), contests: race("clerk")}.String()
	part := func(data, number string) []byte {
		data = strings.Replace(data, "<SequenceStart>1<", "<SequenceStart>"+number+"<", 1)
		return []byte(strings.Replace(data, "<SequenceEnd>1<", "<SequenceEnd>2<", 1))
	}
	other := part(asDefinition.Replace(one), "2")
	_, _, err := Read([]Part{{"a.xml", part(one, "1")}, {"b.xml", other}}, Options{})
	require.EqualError(t, err, "b.xml, BallotDefinition: the file is of SP 1500-20, but a.xml is of SP 1500-100; give "+
		"the parts of one report")
}

// TestJSONSaysItsStandardAtTheEnd: classes may stand after all other members, as NIST's files have them.
func TestJSONSaysItsStandardAtTheEnd(t *testing.T) {
	def := asDefinition.Replace(goodJSON)
	e, _ := readDefinition(t, def)
	late := `{"Notes": "x", "Election": [{"Contest": [{"ContestOption": [{"IsWriteIn": true, "@id": "a", ` +
		`"@type": "BallotDefinition.CandidateOption"}], "RanksAllowed": 2, "VoteVariation": "rcv", "@id": "c", ` +
		`"@type": "BallotDefinition.CandidateContest"}]}], "@type": "BallotDefinition.BallotDefinition"}`
	data, c, err := Read([]Part{{"bd.json", []byte(late)}}, Options{WithoutStyles: true})
	require.NoError(t, err)
	assert.Equal(t, model.Say(2), data.Contests[0].VoteFor)
	assert.Equal(t, map[string]int{"BallotDefinition.Notes": 1}, c.Uncompared)

	report, _, err := Read([]Part{{"r.json", []byte(goodJSON)}}, Options{})
	require.NoError(t, err)
	report.Origins, e.Origins = model.Origins{}, model.Origins{}
	assert.Empty(t, cmp.Diff(report, e))
}

// TestBallotDefinitionsAreValid: what the tests of this file read as definitions follows the schema.
func TestBallotDefinitionsAreValid(t *testing.T) {
	var all [][]byte
	for seed := range 10 {
		e := rapid.Custom(drawElection).Example(seed)
		e.Units = nil
		_, data := written(t, e)
		all = append(all, []byte(asDefinition.Replace(string(data))))
	}
	validateAs(t, definition, all...)
}

// TestWhatStandsUnderHeadingsIsHeldByHeading: what two headings hold is not the same the other way round.
func TestWhatStandsUnderHeadingsIsHeldByHeading(t *testing.T) {
	header := func(name, content string) string {
		return `<Header ObjectId="` + name + `"><HeaderedContent><Text Language="en">` + content +
			`</Text></HeaderedContent><Name><Text Language="en">` + name + `</Text></Name></Header>`
	}
	held := func(headers string) []model.Held {
		e, _ := readDefinition(t, strings.Replace(everything, "<Issuer>", headers+"<Issuer>", 1))
		return e.Origins.Held
	}
	one := held(header("Federal", "Vote for one") + header("Local", "Vote for two"))
	assert.NotElementsMatch(t, one, held(header("Federal", "Vote for two")+header("Local", "Vote for one")))
	assert.ElementsMatch(t, one, held(header("Local", "Vote for two")+header("Federal", "Vote for one")))
}
