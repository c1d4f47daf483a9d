package review_test

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/casetest"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// Before the seal, and while an amendment is open, nothing of an export is read out.
func TestNothingOfAnExportIsLookedAtBeforeTheSeal(t *testing.T) {
	c := casetest.New(t)
	casetest.Key(t, c, casetest.Sheets(t))
	r := review.New(c)
	export := review.File{Name: "export.xml", Data: casetest.File(t, "export.xml")}
	_, err := r.LookAt(t.Context(), export)
	require.ErrorIs(t, err, review.ErrBlind)
	casetest.Seal(t, c, casefile.ScopeBallots, casefile.ScopeUnits)
	in, err := r.LookAt(t.Context(), export)
	require.NoError(t, err)
	assert.Equal(t, "Tarnwick County Board of Elections", in.Contents.Issuer)
	assert.Equal(t, "General Election, 2027-11-02", in.Elections(""))
	assert.Equal(t, 12, in.Contents.Units)
	assert.Empty(t, in.Other)
	assert.Empty(t, c.State().Exports, "what is looked at is not in the case")
	require.NoError(t, c.Amend(casefile.Amendment{Document: "Order 12", Date: "2027-10-01", Contests: []casefile.Row{
		{Table: casefile.Contests, Row: 1}}}, casetest.Programmer, casetest.Second))
	_, err = r.LookAt(t.Context(), export)
	require.ErrorIs(t, err, review.ErrBlind)
}

func TestAnIncomingExportIsSaidToBeOfAnotherElection(t *testing.T) {
	c := casetest.New(t)
	casetest.Key(t, c, casetest.Sheets(t))
	casetest.Seal(t, c, casefile.ScopeBallots, casefile.ScopeUnits)
	r := review.New(c)
	data := casetest.File(t, "export.xml")
	spring := bytes.ReplaceAll(data, []byte("2027-11-02"), []byte("2028-04-04"))
	spring = bytes.ReplaceAll(spring, []byte("<Text Language=\"en\">General Election</Text>"),
		[]byte("<Text Language=\"en\">Village Primary</Text>"))
	in, err := r.LookAt(t.Context(), review.File{Name: "spring.xml", Data: spring})
	require.NoError(t, err)
	assert.Equal(t, `spring.xml is dated 2028-04-04, and the case is for the election of 2027-11-02 and is named `+
		`"Village Primary", and the case is for "General Election".`, in.Other)

	// What comes in afterwards says the same.
	_, err = r.BringIn(casetest.Programmer, in.Files...)
	require.NoError(t, err)
	assert.Equal(t, in.Other, casetest.Now(t, r).OtherElection())
	_, err = r.LookAt(t.Context(), review.File{Name: "notes.txt", Data: []byte("<html>")})
	require.Error(t, err, "what is no export is refused as BringIn refuses it")
}

// A card list alone is counted, and belongs to the export that came in last.
func TestACardListIsLookedAt(t *testing.T) {
	r := casetest.Sealed(t)
	in, err := r.LookAt(t.Context(), review.File{Name: "cards.csv",
		Data: []byte("unit,site,precinct\nTW-9001,Town Hall,1-01\nTW-9001,Town Hall,1-02\nTW-9002,Town Hall,1-03\n")})
	require.NoError(t, err)
	assert.True(t, in.CardsAlone)
	assert.Equal(t, 2, in.CardUnits)
}
