package machines_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model/cards"
)

// What machines show is keyed as people write it; what cannot be read of it is asked for again, and nothing is
// recorded.
func TestReadingsAreKeyedAsPeopleWriteThem(t *testing.T) {
	s := atCounty(t, 1)
	goTo := func(field cards.Field) {
		for i, step := range s.work.Steps() {
			if step.Field == field {
				s.work.Move(i - s.work.At())
				return
			}
		}
		t.Fatalf("no step for %s", field)
	}
	for _, c := range []struct {
		field cards.Field
		typed string
		want  string
		fails string
	}{
		{cards.Date, "Nov 2, 2027", "2027-11-02", ""},
		{cards.Date, "11/2/27", "2027-11-02", ""},
		{cards.Date, "13/2/2027", "", "is no day"},
		{cards.Date, "", "", "key what the machine shows"},
		{cards.Clock, "11/2/2027 7:05 pm", "2027-11-02 19:05", ""},
		{cards.Clock, "2027-11-02T07:05:30", "2027-11-02 07:05:30", ""},
		{cards.Clock, "2 November 2027 12:05 a.m.", "2027-11-02 00:05", ""},
		{cards.Clock, "Oct 3, 2027 1905", "2027-10-03 19:05", ""},
		{cards.Clock, "7:05", "", "is no day and time"},
		{cards.Clock, "11/2/2027 25:05", "", "is no day and time"},
		{cards.Key, "Y", "turns", ""},
		{cards.Key, "no", "fails", ""},
		{cards.Key, "x", "", "key y or n"},
		{cards.Zero, "n", "not-zero", ""},
		{cards.LoadTime, "1:35", "95", ""},
		{cards.LoadTime, "95", "95", ""},
		{cards.LoadTime, "1:75", "", "is no time"},
		{cards.Counter, "12,345", "12345", ""},
		{cards.SealRemoved, "-", "", ""},
		{cards.SealRemoved, "--", "", "is no number of a seal"},
		{cards.SealApplied, "0041877", "0041877", ""},
		{cards.SealApplied, "-", "", "is no number of a seal"},
		{cards.SealApplied, "#?", "", "is no number of a seal"},
	} {
		goTo(c.field)
		s.work.Type(c.typed)
		r, err := s.work.Confirm()
		if c.fails != "" {
			require.ErrorContains(t, err, c.fails, c.typed)
			continue
		}
		require.NoError(t, err, c.typed)
		assert.Equal(t, c.want, r.Value, c.typed)
		s.work.Type("")
	}
	assert.Empty(t, s.r.Case().State().Read)
}

// Precincts with blanks between them are several where each is one. No second Enter makes one name of a list.
func TestPrecinctsWithBlanksBetweenThemAreSeveral(t *testing.T) {
	s := atCounty(t, 1)
	s.keys("-", "-")
	confirm := func(text string) ([]string, error) {
		s.work.Type(text)
		r, err := s.work.Confirm()
		return r.List, err
	}
	for _, text := range []string{"001-01 001-02  001-03", "001-01 001-02, 001-03", "001-01;001-02 001-03"} {
		list, err := confirm(text)
		require.NoError(t, err, text)
		assert.Equal(t, []string{"001-01", "001-02", "001-03"}, list, text)
	}
	for range 3 {
		s.work.Type("001-01 001-0Z")
		_, err := s.work.Confirm()
		require.ErrorContains(t, err, "001-0Z")
		_, err = s.work.Confirm()
		require.ErrorContains(t, err, "key one precinct", "Enter again confirms nothing")
	}
	_, err := confirm("Ward of Oaks")
	require.ErrorContains(t, err, "press Enter again")
	r, err := s.work.Confirm()
	require.NoError(t, err)
	assert.Equal(t, []string{"Ward of Oaks"}, r.List)
}

// A precinct that nobody knows is asked for once more, and recorded as it was read. A header is recorded
// precinct by precinct, and goes on where a crash left it.
func TestAHeaderIsReadPrecinctByPrecinct(t *testing.T) {
	s := atCounty(t, 1)
	s.keys("-", "-", "001-01")
	s.work.Type("001-91")
	_, err := s.work.Confirm()
	require.ErrorContains(t, err, "press Enter again")
	r, err := s.work.Confirm()
	require.NoError(t, err)
	assert.Equal(t, []string{"001-01", "001-91"}, r.List)
	assert.True(t, r.Open)
	s.work.Type("001-9")
	_, err = s.work.Confirm()
	require.Error(t, err, "another text is asked for again")
	s.work.Type("")

	again := at(t, s.r) // the program was ended here
	assert.Equal(t, cards.Header, again.work.Steps()[again.work.At()].Field)
	again.enters = 3
	again.keys("001-02", "")
	header := again.work.Steps()[2]
	assert.Equal(t, "001-01, 001-02", header.Shown)
	assert.True(t, header.Differs())
	assert.Equal(t, "001-01, 001-02, 001-03, 001-04, 001-05", header.Must)

	// It was misheard: the correction takes its place, and both stay.
	fixed, err := again.work.Correct(header, "001-01, 001-02, 001-03, 001-04, 001-05", "misheard")
	require.NoError(t, err)
	assert.Equal(t, header.Record.Entry, fixed.Corrects)
	require.NoError(t, again.r.ReadUnit(second, fixed))
	m, err := again.r.Machines()
	require.NoError(t, err)
	again.work.Recorded(fixed, m)
	assert.True(t, again.work.Steps()[2].Agrees)
	_, err = again.work.Correct(again.work.Steps()[2], "", " ")
	require.ErrorContains(t, err, "why")
	void, err := again.work.Correct(again.work.Steps()[2], "", "nobody read it")
	require.NoError(t, err)
	assert.True(t, void.Void)
}
