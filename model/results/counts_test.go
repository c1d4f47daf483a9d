package results

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model"
)

// The rules that these tests hold are those of the class reference of SP 1500-100 version 2 (Counts,
// VoteCounts, OtherCounts, CountItemType). Names are invented.

const countsXML = `<ElectionReport xmlns="http://itl.nist.gov/ns/voting/1500-100/v2"
 xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">
<Election>
 <BallotStyle><GpUnitIds>p1 p2</GpUnitIds>
  <OrderedContent xsi:type="OrderedContest"><ContestId>judge</ContestId></OrderedContent></BallotStyle>
 <Candidate ObjectId="ada"><BallotName><Text Language="en">Ada Roe</Text></BallotName></Candidate>
 <Contest xsi:type="CandidateContest" ObjectId="judge">
  <ContestSelection xsi:type="CandidateSelection" ObjectId="j1">
VOTES
   <CandidateIds>ada</CandidateIds>
  </ContestSelection>
  <ElectionDistrictId>county</ElectionDistrictId>
  <Name>County Judge</Name>
OTHER
  <VotesAllowed>1</VotesAllowed>
 </Contest>
 <ElectionScopeId>county</ElectionScopeId>
 <Name><Text Language="en">Election</Text></Name>
 <StartDate>2027-11-02</StartDate><EndDate>2027-11-02</EndDate><Type>general</Type>
</Election>
<Format>precinct-level</Format><GeneratedDate>2027-11-02T10:00:00Z</GeneratedDate>
<GpUnit xsi:type="ReportingUnit" ObjectId="county">
 <ComposingGpUnitIds>north p2</ComposingGpUnitIds><Type>county</Type></GpUnit>
<GpUnit xsi:type="ReportingUnit" ObjectId="north"><ComposingGpUnitIds>p1</ComposingGpUnitIds><Type>other</Type></GpUnit>
<GpUnit xsi:type="ReportingUnit" ObjectId="p1">
 <Name><Text Language="en">Ward 1</Text></Name><Type>precinct</Type></GpUnit>
<GpUnit xsi:type="ReportingUnit" ObjectId="p2">
 <Name><Text Language="en">Ward 2</Text></Name><Type>precinct</Type></GpUnit>
<GpUnit xsi:type="ReportingDevice" ObjectId="d1"><SerialNumber>S-1</SerialNumber></GpUnit>
<Issuer>Tarnwick County</Issuer><IssuerAbbreviation>TC</IssuerAbbreviation>
<SequenceEnd>1</SequenceEnd><SequenceStart>1</SequenceStart><Status>pre-election</Status>
<VendorApplicationId>x</VendorApplicationId>
</ElectionReport>`

func countsOf(votes, other string) string {
	return strings.NewReplacer("VOTES", votes, "OTHER", other).Replace(countsXML)
}

// voteCounts is a VoteCounts of an area, a type and a number, with more that it says.
func voteCounts(area, kind, count, more string) string {
	return "<VoteCounts>" + more + "<GpUnitId>" + area + "</GpUnitId><Type>" + kind + "</Type><Count>" + count +
		"</Count></VoteCounts>"
}

func TestCountsOfAnArea(t *testing.T) {
	none := model.Stated[int]{}
	for _, test := range []struct {
		name, counts string
		votes        model.Stated[int]
		noted        bool
	}{
		{"a total", voteCounts("p1", "total", "7", ""), model.Say(7), false},
		{"a total written as a double", voteCounts("p1", "total", "7.0E0", ""), model.Say(7), false},
		{"the total, not its parts", voteCounts("p1", "early", "3", "") + voteCounts("p1", "total", "7", ""), model.Say(7),
			false},
		{"no total: the sum of the classes", voteCounts("p1", "early", "3", "") + voteCounts("p1", "election-day", "2", ""),
			model.Say(5), true},
		{"absentee holds its classes", voteCounts("p1", "absentee", "3", "") + voteCounts("p1", "absentee-mail", "2", ""),
			model.Say(3),
			true},
		{"seats are no votes", voteCounts("p1", "seats", "3", ""), none, true},
		{"suppressed for privacy", voteCounts("p1", "total", "0", "<IsSuppressedForPrivacy>true</IsSuppressedForPrivacy>"),
			none, false},
		{"a later round", voteCounts("p1", "total", "9", "<Round>2</Round>"), none, true},
		{"the first round", voteCounts("p1", "total", "9", "<Round>1</Round>") + voteCounts("p1", "total", "4",
			"<Round>2</Round>"),
			model.Say(9), true},
	} {
		t.Run(test.name, func(t *testing.T) {
			r, err := Read(Bytes("counts.xml", []byte(countsOf(test.counts, ""))))
			require.NoError(t, err)
			require.Len(t, r.Tallies, 1)
			assert.Equal(t, test.votes, r.Tallies[0].Votes[0])
			assert.Equal(t, []int{0}, r.Tallies[0].Precincts)
			assert.Equal(t, test.noted, len(r.Notes) > 0, r.Notes)
		})
	}
}

func TestAreasOfCounts(t *testing.T) {
	other := "<OtherCounts><GpUnitId>p2</GpUnitId><Overvotes>2</Overvotes></OtherCounts>"
	r, err := Read(Bytes("counts.xml", []byte(countsOf(voteCounts("county", "total", "9", "")+voteCounts("north",
		"total", "4", "")+
		voteCounts("d1", "total", "6", "")+voteCounts("mars", "total", "6", ""), other))))
	require.NoError(t, err)
	require.Len(t, r.Tallies, 4)
	assert.Equal(t, []int{0, 1}, r.Tallies[0].Precincts)
	assert.Equal(t, []int{0}, r.Tallies[1].Precincts)
	assert.Equal(t, 0, r.Tallies[2].Unit)
	assert.Nil(t, r.Tallies[2].Precincts)
	assert.Equal(t, []int{1}, r.Tallies[3].Precincts)
	assert.Equal(t, model.Say(2), r.Tallies[3].Overvotes)
	assert.False(t, r.Tallies[3].Undervotes.Known)
	assert.False(t, r.Tallies[3].Votes[0].Known)
	assert.Equal(t, []string{`Not read: counts of the area "mars", which the file does not define (1).`}, r.Notes)
}

func TestFaultsOfCounts(t *testing.T) {
	for _, test := range []struct{ name, count, says string }{
		{"negative", "-1", `Count: is "-1", not a count`},
		{"huge", "1e30", `is "1e30", not a count`},
		{"no number", "many", `is "many", not a count`},
		{"not finite", "NaN", `is "NaN", not a count`},
		{"a fraction", "1.5", `is "1.5", a fraction of a vote`},
	} {
		t.Run(test.name, func(t *testing.T) {
			_, err := Read(Bytes("counts.xml", []byte(countsOf(voteCounts("p1", "total", test.count, ""), ""))))
			require.ErrorContains(t, err, test.says)
			assert.True(t, strings.HasPrefix(err.Error(), "counts.xml, line 9, "), err)
		})
	}
	_, err := Read(Bytes("counts.xml", []byte(countsOf(voteCounts("p1", "total", "7", "")+voteCounts("p1", "total", "8",
		""), ""))))
	require.ErrorContains(t, err, "a second total")
}

func TestAnotherCountOfOvervotesInOneAreaIsAnError(t *testing.T) {
	other := func(over, under string) string {
		return "<OtherCounts><GpUnitId>p1</GpUnitId><Overvotes>" + over + "</Overvotes><Undervotes>" + under +
			"</Undervotes></OtherCounts>\n"
	}
	read := func(second string) error {
		_, err := Read(Bytes("counts.xml", []byte(countsOf(voteCounts("p1", "total", "7", ""), other("1", "2")+second))))
		return err
	}
	require.NoError(t, read(other("1", "2")))
	require.ErrorContains(t, read(other("3", "2")), "counts.xml, line 15, OtherCounts: a second count of overvotes")
	require.ErrorContains(t, read(other("1", "0")), "a second count of undervotes")
}

func TestResultsOfSeveralElectionsAreOneLine(t *testing.T) {
	two := strings.Replace(countsOf("", ""), "<Format>", "<Election><Name><Text Language=\"en\">Other</Text></Name>"+
		"<ElectionScopeId>county</ElectionScopeId><StartDate>2027-11-02</StartDate></Election><Format>", 1)
	_, err := Read(Bytes("counts.xml", []byte(two)))
	require.ErrorContains(t, err, "the report holds 2 elections")
	require.ErrorContains(t, err, "; export the results of the election of the test deck alone")
}

func TestATableOfAnyColumns(t *testing.T) {
	columns, err := ReadColumns("precinct=Pct, contest=Race,choice=Candidate,count=Votes,party=Ballot")
	require.NoError(t, err)
	r, err := ReadAs(Bytes("machine.csv", []byte("Page;Pct;Race;Ballot;Candidate;Votes\n1;1-01;Judge;;Ada Roe;1,204\n"+
		"1;1-01;Judge;;Write-in;3\n1;1-01;Judge;;Write-in;0\n"+
		"1;1-01;Judge;;Over Votes;2\n1;1-01;Judge;MER;Ada Roe;9\n2;1-02;Judge;;Ada Roe;0\n")), columns)
	require.NoError(t, err)
	require.Len(t, r.Tallies, 3)
	assert.Equal(t, []model.Stated[int]{model.Say(1204), model.Say(3), model.Say(0)}, r.Tallies[0].Votes)
	assert.Equal(t, model.Say(2), r.Tallies[0].Overvotes)
	assert.False(t, r.Tallies[0].Ballots.Known)
	assert.True(t, r.Election.Contests[0].Choices[1].WriteIn)
	assert.Equal(t, []model.Stated[int]{model.Say(0), {}, {}}, r.Tallies[2].Votes, "what a row does not say is not stated")
	for _, test := range []struct{ name, table, says string }{
		{"empty", "", "the file is empty"},
		{"a column that is not there", "Pct,Race,Candidate,Votes\n", "column Ballot: the file lacks this column"},
		{"no precinct", "Pct,Race,Candidate,Votes,Ballot\n,Judge,Ada,3,\n", "column Pct: the row names no precinct"},
		{"no count", "Pct,Race,Candidate,Votes,Ballot\n1,Judge,Ada,x,\n", `column Votes: "x" is not a count`},
		{"negative", "Pct,Race,Candidate,Votes,Ballot\n1,Judge,Ada,-3,\n", `column Votes: "-3" is not a count`},
		{"twice", "Pct,Race,Candidate,Votes,Ballot\n1,Judge,Ada,3,\n1,Judge,Ada,3,\n",
			`line 3, column Candidate: the row counts "Ada" a`},
		{"nothing", "Pct,Race,Candidate,Votes,Ballot\n", "the table holds no count"},
	} {
		t.Run(test.name, func(t *testing.T) {
			_, err := ReadAs(Bytes("machine.csv", []byte(test.table)), columns)
			require.ErrorContains(t, err, test.says)
		})
	}
	for _, wrong := range []string{"precinct", "precinct=a,contest=b,choice=c", "precinct=a,precinct=b", "weight=x",
		"precinct="} {
		_, err := ReadColumns(wrong)
		assert.Error(t, err, wrong)
	}
}
