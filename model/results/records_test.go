package results

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model"
)

// The rules that these tests hold are those of the XML schema of SP 1500-103 (its annotations), as
// records.go and votes.go quote them. Names are invented.

const definitionXML = `<Election ObjectId="e">
  <Candidate ObjectId="ada"><Name>Ada Roe</Name><PartyId>y1</PartyId></Candidate>
  <Candidate ObjectId="ben"><Name>Ben Fox</Name></Candidate>
  <Contest xsi:type="CandidateContest" ObjectId="judge">
    <ContestSelection xsi:type="CandidateSelection" ObjectId="j1"><CandidateIds>ada</CandidateIds></ContestSelection>
    <ContestSelection xsi:type="CandidateSelection" ObjectId="j2"><CandidateIds>ben</CandidateIds></ContestSelection>
    <ContestSelection xsi:type="CandidateSelection" ObjectId="j3"><IsWriteIn>true</IsWriteIn></ContestSelection>
    <Name>County Judge</Name><VotesAllowed>1</VotesAllowed>
  </Contest>
  <Contest xsi:type="CandidateContest" ObjectId="mayor">
    <ContestSelection xsi:type="CandidateSelection" ObjectId="m1"><CandidateIds>ada</CandidateIds></ContestSelection>
    <ContestSelection xsi:type="CandidateSelection" ObjectId="m2"><CandidateIds>ben</CandidateIds></ContestSelection>
    <Name>Mayor</Name><VoteVariation>rcv</VoteVariation>
  </Contest>
  <ElectionScopeId>p1</ElectionScopeId>
</Election>
<GpUnit ObjectId="p1">
 <Code><Type>local-level</Type><Value>0101</Value></Code><Name>Ward 1</Name><Type>precinct</Type></GpUnit>
<Party ObjectId="y1"><Name>Meridian</Name></Party>
<ReportingDevice ObjectId="d1"><SerialNumber>S-1</SerialNumber></ReportingDevice>`

const rootXML = `<CastVoteRecordReport xmlns="http://itl.nist.gov/ns/voting/1500-103/v1" ` +
	`xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">`

// recordsXML is a file of records, each given by its snapshots; the first is current.
func recordsXML(records ...string) string {
	var b strings.Builder
	b.WriteString(rootXML)
	for i, r := range records {
		fmt.Fprintf(&b, "<CVR><BallotPrePrintedId>%d</BallotPrePrintedId><BallotStyleUnitId>p1</BallotStyleUnitId>"+
			"<CreatingDeviceId>d1</CreatingDeviceId><CurrentSnapshotId>s1</CurrentSnapshotId>%s</CVR>\n", i+1, r)
	}
	return b.String() + definitionXML + "</CastVoteRecordReport>"
}

func snapshotXML(id string, contests ...string) string {
	return `<CVRSnapshot ObjectId="` + id + `">` + strings.Join(contests, "") + "<Type>original</Type></CVRSnapshot>"
}

// judge is the contest "judge" of a snapshot, with what is said of it and its marks.
func judge(says string, marks ...string) string {
	return "<CVRContest><ContestId>judge</ContestId>" + strings.Join(marks, "") + says + "</CVRContest>"
}

func markXML(choice, says string) string {
	return "<CVRContestSelection><ContestSelectionId>" + choice + "</ContestSelectionId><SelectionPosition>" + says +
		"</SelectionPosition></CVRContestSelection>"
}

const (
	yes       = "<HasIndication>yes</HasIndication><NumberVotes>1</NumberVotes>"
	allocated = "<HasIndication>yes</HasIndication><IsAllocable>yes</IsAllocable><NumberVotes>1</NumberVotes>"
	notCount  = "<HasIndication>yes</HasIndication><IsAllocable>no</IsAllocable><NumberVotes>1</NumberVotes>"
	unknown   = "<HasIndication>yes</HasIndication><IsAllocable>unknown</IsAllocable><NumberVotes>1</NumberVotes>"
)

func readBytes(t *testing.T, text string) *Results {
	t.Helper()
	r, err := Read(Bytes("records.xml", []byte(text)))
	require.NoError(t, err)
	return r
}

func TestWhatARecordCredits(t *testing.T) {
	for _, test := range []struct {
		name, contest string
		votes         []int
		over, under   model.Stated[int]
		unsettled     bool
	}{
		{"a mark that is there counts", judge("", markXML("j1", yes)), []int{1, 0, 0}, model.Stated[int]{},
			model.Stated[int]{}, false},
		{"as many votes as the mark has", judge("", markXML("j1", strings.Replace(allocated, ">1<", ">3<", 1))), []int{3, 0,
			0},
			model.Stated[int]{}, model.Stated[int]{}, false},
		{"a mark that is not there", judge("<Undervotes>1</Undervotes>", markXML("j1", strings.Replace(yes, "yes", "no", 1))),
			[]int{0, 0, 0}, model.Stated[int]{}, model.Say(1), false},
		{"a mark made by a rule counts where it is allocated", judge("", markXML("j2", strings.Replace(allocated, "yes",
			"no", 1))),
			[]int{0, 1, 0}, model.Stated[int]{}, model.Stated[int]{}, false},
		{"a mark that is not allocated", judge("<Overvotes>1</Overvotes>", markXML("j1", notCount), markXML("j2", notCount)),
			[]int{0, 0, 0}, model.Say(1), model.Stated[int]{}, false},
		{"a mark that a machine allocates in an over-vote shows", judge("<Overvotes>1</Overvotes>", markXML("j1", allocated),
			markXML("j2", notCount)), []int{1, 0, 0}, model.Say(1), model.Stated[int]{}, false},
		{"a mark for a person to decide", judge("", markXML("j1", unknown)), []int{0, 0, 0}, model.Stated[int]{},
			model.Stated[int]{},
			true},
		{"an unclear mark", judge("", markXML("j1", strings.Replace(yes, "yes", "unknown", 1))), []int{0, 0, 0},
			model.Stated[int]{}, model.Stated[int]{}, true},
		{"two marks as scanned, vote for 1", judge("", markXML("j1", yes), markXML("j2", yes)), []int{0, 0, 0}, model.Say(1),
			model.Stated[int]{}, false},
		{"an over-voted contest without IsAllocable", judge("<Status>overvoted</Status>", markXML("j1", yes)), []int{0, 0, 0},
			model.Stated[int]{}, model.Stated[int]{}, false},
		{"a mark that the rules took back", judge("", markXML("j1", yes+"<Status>invalidated-rules</Status>"), markXML("j2",
			yes)),
			[]int{0, 1, 0}, model.Stated[int]{}, model.Stated[int]{}, false},
		{"a write-in that names no choice", judge("", "<CVRContestSelection><SelectionPosition><CVRWriteIn><Text>Zoe</Text>"+
			"</CVRWriteIn>"+yes+"</SelectionPosition></CVRContestSelection>"), []int{0, 0, 1}, model.Stated[int]{},
			model.Stated[int]{}, false},
		{"a choice by its place", judge("", "<CVRContestSelection><OptionPosition>3</OptionPosition><SelectionPosition>"+yes+
			"</SelectionPosition></CVRContestSelection>"), []int{0, 0, 1}, model.Stated[int]{}, model.Stated[int]{}, false},
	} {
		t.Run(test.name, func(t *testing.T) {
			r := readBytes(t, recordsXML(snapshotXML("s1", test.contest)))
			require.Len(t, r.Ballots, 1)
			assert.Equal(t, "1", r.Ballots[0].Number)
			v := r.Ballots[0].Votes[0]
			assert.Equal(t, test.votes, v.Choices)
			assert.Equal(t, test.over, v.Overvotes)
			assert.Equal(t, test.under, v.Undervotes)
			assert.Equal(t, test.unsettled, v.Unsettled)
			assert.Equal(t, test.unsettled, len(r.Notes) == 1, r.Notes)
		})
	}
}

func TestTheCurrentSnapshotAloneCounts(t *testing.T) {
	r := readBytes(t, recordsXML(snapshotXML("s0", judge("", markXML("j1", yes)))+snapshotXML("s1", judge("",
		markXML("j2", yes)))+
		snapshotXML("s2", judge("", markXML("j1", yes)))))
	require.Len(t, r.Tallies, 1)
	assert.Equal(t, []model.Stated[int]{model.Say(0), model.Say(1), model.Say(0)}, r.Tallies[0].Votes)
}

func TestRanksAreCountedByThemselves(t *testing.T) {
	rank := func(choice string, n int) string {
		return markXML(choice, fmt.Sprintf("<HasIndication>yes</HasIndication><NumberVotes>1</NumberVotes><Rank>%d</Rank>",
			n))
	}
	r := readBytes(t, recordsXML(snapshotXML("s1", "<CVRContest><ContestId>mayor</ContestId>"+rank("m2", 1)+rank("m1", 2)+
		"</CVRContest>")))
	assert.Equal(t, []model.Stated[int]{model.Say(0), model.Say(1)}, r.Tallies[0].Votes)
	assert.Equal(t, [][]model.Stated[int]{{model.Say(1), model.Say(0)}}, r.Tallies[0].Ranks)
}

func TestWhatRecordsLeaveOutIsNotStated(t *testing.T) {
	// The second record does not list the contest: who knows whether it was on the ballot?
	r := readBytes(t, recordsXML(snapshotXML("s1", judge("<Overvotes>0</Overvotes><Undervotes>0</Undervotes>",
		markXML("j1", yes))),
		snapshotXML("s1")))
	assert.False(t, r.Tallies[0].Ballots.Known)
	assert.False(t, r.Tallies[0].Undervotes.Known)
	assert.Equal(t, model.Say(0), r.Tallies[0].Overvotes)
	// The second record lists it without a mark: so this file lists every contest.
	r = readBytes(t, recordsXML(snapshotXML("s1", judge("<Undervotes>0</Undervotes>", markXML("j1", yes))),
		snapshotXML("s1", judge("<Undervotes>1</Undervotes>"))))
	assert.Equal(t, model.Say(2), r.Tallies[0].Ballots)
	assert.Equal(t, model.Say(1), r.Tallies[0].Undervotes)
	assert.False(t, r.Tallies[0].Overvotes.Known)
	// An over-voted contest without its marks was voted: that says nothing of contests that were not.
	r = readBytes(t, recordsXML(snapshotXML("s1", judge("<Overvotes>1</Overvotes><Undervotes>0</Undervotes>")),
		snapshotXML("s1")))
	assert.False(t, r.Tallies[0].Ballots.Known)
	// Every record of one style lists it and none of another, on which it may be as well.
	r = readBytes(t, strings.Replace(recordsXML(snapshotXML("s1", judge("<Undervotes>0</Undervotes>",
		markXML("j1", yes))), snapshotXML("s1")), "<BallotStyleUnitId>",
		"<BallotStyleId>2</BallotStyleId><BallotStyleUnitId>", 1))
	assert.False(t, r.Tallies[0].Ballots.Known)
	assert.False(t, r.Tallies[0].Undervotes.Known)
	assert.Equal(t, model.Say(1), r.Tallies[0].Votes[0])
}

func TestTheElectionOfRecords(t *testing.T) {
	r := readBytes(t, recordsXML(snapshotXML("s1", judge("", markXML("j1", yes)))))
	e := r.Election
	require.Len(t, e.Contests, 2)
	assert.Equal(t, "County Judge", e.Contests[0].Name.Value.In(""))
	assert.Equal(t, model.Say(1), e.Contests[0].VoteFor)
	assert.Equal(t, "Ada Roe", e.Contests[0].Choices[0].Name.Value.In(""))
	assert.Equal(t, model.Say([]int{0}), e.Contests[0].Choices[0].Lines)
	assert.True(t, e.Contests[0].Choices[2].WriteIn)
	require.Len(t, e.Precincts, 1)
	assert.Equal(t, "Ward 1", e.Precincts[0].Name.In(""))
	assert.Equal(t, []string{"0101"}, e.Origins.Precinct(0).Codes)
	require.Len(t, e.Units, 1)
	assert.Equal(t, "S-1", e.Units[0].Name)
	assert.Equal(t, 0, r.Tallies[0].Unit)
}

func TestFaultsOfRecords(t *testing.T) {
	good := snapshotXML("s1", judge("", markXML("j1", yes)))
	for _, test := range []struct{ name, text, says string }{
		{"nothing", "", "records.xml: "},
		{"cut off", recordsXML(good)[:700], "ends"},
		{"another root", `<Votes xmlns="urn:x"/>`, `the root is "Votes"`},
		{"a ballot definition", `<BallotDefinition xmlns="http://itl.nist.gov/ns/voting/1500-20/v1"/>`,
			"which holds no results"},
		{"no current snapshot", recordsXML(snapshotXML("s9")), `line 1, CVR: no snapshot is the current one, "s1"`},
		{"two current snapshots", recordsXML(good + good), "two snapshots have the identifier"},
		{"an undefined contest", recordsXML(strings.Replace(good, ">judge<", ">sheriff<", 1)),
			`the contest "sheriff", which is not`},
		{"an undefined contest, in no precinct", strings.Replace(recordsXML(strings.Replace(good, ">judge<", ">sheriff<", 1)),
			"<BallotStyleUnitId>p1</BallotStyleUnitId>", "", 1), `the contest "sheriff", which is not`},
		{"an undefined choice", recordsXML(strings.Replace(good, ">j1<", ">m1<", 1)),
			`the choice "m1", which the contest "judge"`},
		{"a negative number", recordsXML(strings.Replace(good, "<NumberVotes>1", "<NumberVotes>-1", 1)),
			`NumberVotes: is "-1", not a`},
		{"a huge number", recordsXML(strings.Replace(good, "<NumberVotes>1", "<NumberVotes>99999999999999", 1)),
			"not a whole number"},
		{"a word", recordsXML(strings.Replace(good, "yes", "perhaps", 1)),
			`is "perhaps", which is neither yes, no nor unknown`},
		{"a fraction", recordsXML(strings.Replace(good, yes, yes+"<FractionalVotes>.5</FractionalVotes>", 1)),
			"a fraction of a vote"},
		{"no contest named", recordsXML(strings.Replace(good, "<ContestId>judge</ContestId>", "", 1)), "does not say which"},
		{"a contest twice", strings.Replace(recordsXML(good), `ObjectId="mayor"`, `ObjectId="judge"`, 1),
			"two contests have the identifier"},
		{"two elections", strings.Replace(recordsXML(good), "<Party ", `<Election ObjectId="f"/><Party `, 1),
			"several elections"},
		{"a missing candidate", strings.Replace(recordsXML(good), ">ben</CandidateIds>", ">bob</CandidateIds>", 1),
			`no candidate "bob"`},
		{"a document type", `<!DOCTYPE x><x/>`, "document type declaration"},
		{"JSON of another class", `{"@type": "BallotDefinition.BallotDefinition"}`, "neither results nor cast vote records"},
		{"JSON without a class", `{"CVR": []}`, "which standard it follows"},
		{"JSON that ends", `{"@type": "CVR.CastVoteRecordReport", "CVR": [`, "ends in the middle"},
		{"an array in an array", `{"@type": "CVR.CastVoteRecordReport", "CVR": [[]]}`, "array within an array"},
	} {
		t.Run(test.name, func(t *testing.T) {
			_, err := Read(Bytes("records.xml", []byte(test.text)))
			require.ErrorContains(t, err, test.says)
			assert.NotContains(t, err.Error(), "\n")
			assert.True(t, strings.HasPrefix(err.Error(), "records.xml"), err)
		})
	}
}

// Whatever the bytes, there are results or one line that says why not.
func FuzzResults(f *testing.F) {
	f.Add([]byte(recordsXML(snapshotXML("s1", judge("", markXML("j1", yes))))))
	f.Add([]byte(countsXML))
	f.Add([]byte(`{"@type": "CVR.CastVoteRecordReport", "CVR": [{"@type": "CVR.CVR", "CurrentSnapshotId": "s", ` +
		`"CVRSnapshot": [{"@type": "CVR.CVRSnapshot", "@id": "s", "CVRContest": [` +
		`{"ContestId": "c", "CVRContestSelection": [{` +
		`"ContestSelectionId": "j", "Rank": 2, "SelectionPosition": [{"HasIndication": "yes", "NumberVotes": 1}]}]}]}]}], ` +
		`"Election": [{"@id": "e", "Contest": [{"@type": "CVR.CandidateContest", "@id": "c", "VoteVariation": "rcv", ` +
		`"ContestSelection": [{"@id": "j"}]}]}]}`))
	f.Add([]byte("precinct,party,contest,position,choice,count\na,,c,1,,3\n"))
	for _, name := range []string{"gen-03/cvr-gen-03.json", "gen-03/err-gen-03.json", "gen-03/err-gen-03.xml"} {
		if data, err := os.ReadFile(filepath.Join(standards, name)); err == nil {
			f.Add(data)
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		for _, columns := range []Columns{nil, {"precinct": "precinct", "contest": "contest", "choice": "choice",
			"count": "count"}} {
			r, err := ReadAs(Bytes("file", data), columns)
			if err != nil {
				require.NotContains(t, err.Error(), "\n")
				continue
			}
			for _, tally := range r.Tallies {
				require.Less(t, tally.Contest, len(r.Election.Contests))
				require.Len(t, tally.Votes, len(r.Election.Contests[tally.Contest].Choices))
			}
		}
	})
}
