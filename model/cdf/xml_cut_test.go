package cdf

import (
	"bytes"
	"fmt"
	"os"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model"
)

// cutTo makes the pieces of a report small.
func cutTo(t testing.TB, size int) {
	before := pieceSize
	pieceSize = size
	t.Cleanup(func() { pieceSize = before })
}

// tricky holds everything that could fool a cutter.
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

// TestCuttingChangesNothing: however small the pieces that a report is cut into,
// and however the file arrives, it reads the same.
func TestCuttingChangesNothing(t *testing.T) {
	reports := map[string]string{"tricky": tricky, "county": string(county(40))}
	for _, election := range []string{"gen-01", "prim-01"} {
		if data, err := os.ReadFile(published(t, "test-elections/"+election+"/pe-err-"+election+".xml")); err == nil {
			reports[election] = string(data)
		}
	}
	for name, xml := range reports {
		opts := Options{WithoutStyles: true}
		if name == "tricky" {
			opts.Elections = []string{"Second"}
		}
		read := func() (*fragment, *model.Election, Contents) {
			frag, fault := readXML(iotest.HalfReader(strings.NewReader(xml)), 0)
			require.Nil(t, fault)
			e, c, err := Read([]Part{{"x.xml", []byte(xml)}}, opts)
			require.NoError(t, err)
			return frag, e, c
		}
		wantFrag, want, wantContents := read()
		for _, size := range []int{1, 2, 100, 1000, 10_000} {
			t.Run(fmt.Sprint(name, " in pieces of ", size), func(t *testing.T) {
				cutTo(t, size)
				frag, e, c := read()
				assert.Equal(t, wantFrag, frag)
				assert.Equal(t, want, e)
				assert.Equal(t, wantContents, c)
			})
		}
	}
}

func TestPiecesAreSmallAndComplete(t *testing.T) {
	cutTo(t, 1)
	c := newCutter(iotest.OneByteReader(strings.NewReader(tricky)))
	var all bytes.Buffer
	pieces := 0
	for {
		p, ok := c.next()
		if !ok {
			break
		}
		assert.Equal(t, 1+strings.Count(all.String(), "\n"), p.line)
		all.Write(p.data)
		pieces++
	}
	require.Nil(t, c.failed)
	assert.Equal(t, tricky, all.String())
	// The unit, five members of the first election, four further children of the
	// root, the ends of the elections that have one, and what follows.
	assert.GreaterOrEqual(t, pieces, 12)
}

// TestTheFirstFaultIsReported: of two faults the one that comes first in the file,
// whichever piece is read first.
func TestTheFirstFaultIsReported(t *testing.T) {
	cutTo(t, 1)
	xml := strings.Replace(tricky, "</w:Contest>", "</Contest>", 1)
	xml = strings.Replace(xml, "<v:Issuer/>", "<v:Issuer>&nope;</v:Issuer>", 1)
	for range 20 {
		_, fault := readXML(strings.NewReader(xml), 0)
		require.NotNil(t, fault)
		assert.Equal(t, "this is not well-formed XML: </Contest> stands where </w:Contest> should", fault.Fault)
		assert.Equal(t, 10, fault.Line)
	}
}
