package machines_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks/loading"
	"counterproof/checks/review"
	"counterproof/model/cards"
)

// untilClock keys what is read blind at the unit in view, with a clock that is off by so much.
func (s *sitting) untilClock(off time.Duration) {
	s.t.Helper()
	of := s.work.Machines().Warehouse
	c, _ := of.Card(s.work.Unit().Name)
	s.keys("-", "-", strings.Join(s.work.Unit().Header, ","), "",
		"General Election", "11/2/2027", c.Label, of.Clock.Must(s.work.Now()).Screen().Add(off).Format("1/2/2006 3:04pm"))
}

func (s *sitting) again() {
	s.t.Helper()
	r := s.work.Again()
	require.NoError(s.t, s.r.ReadUnit(second, r))
	m, err := s.r.Machines()
	require.NoError(s.t, err)
	s.work.Recorded(r, m)
	s.enters++
}

// A clock that was an hour off is set, and read hours later on another visit: that is a reading of its own,
// held against its own time. What both signed for on the first visit stays as they signed it.
func TestAnotherVisitReadsAgain(t *testing.T) {
	s := atCounty(t, 1)
	wall := time.Now()
	s.work.Now = func() time.Time { return wall }
	s.untilClock(-time.Hour)
	unit := s.work.Unit().Name
	require.Equal(t, "Do not seal. Decide first.", s.work.DoNotSeal())
	item := s.work.Items(unit)[0]
	require.NoError(t, s.r.DecideUnit(review.UnitVerdict{Findings: []string{item.ID}, Outcome: cards.SetClock,
		Reason: "an hour behind"}, programmer, second))
	s.keys("y", "y", "y", "OF WA", "1021", "1:40", "40000", "40001")
	assert.Equal(t, "Do not seal. First do what was decided, then begin another visit.", s.work.DoNotSeal())
	require.NoError(t, s.r.SignUnit(unit, programmer, second))
	before, _ := s.work.Machines().Visit(unit).Get(cards.Clock, "")

	wall = wall.Add(26 * time.Hour)
	s.again()
	assert.Zero(t, s.work.At(), "the seals are found first")
	s.keys("40000", "40001")
	require.Equal(t, cards.Clock, s.work.Steps()[s.work.At()].Field, "what was to be put right is read again")
	s.keys(s.work.Machines().Warehouse.Clock.Must(wall).Screen().Format("1/2/2006 3:04pm"))

	visits := s.work.Machines().Of(unit)
	require.Len(t, visits, 2)
	first, _ := visits[0].Get(cards.Clock, "")
	assert.Equal(t, before, first, "the first visit's reading stays")
	assert.Empty(t, visits[0].Corrected)
	_, own := visits[1].Read[loading.Key{Field: cards.Clock}]
	assert.True(t, own, "the second has one of its own")
	for _, i := range s.work.Machines().Items {
		if i.ID == item.ID {
			assert.Equal(t, review.StatusCleared, i.Status, i.Message)
		}
	}
	assert.Empty(t, s.work.DoNotSeal())
}

// A zero report that is not all zero is no finding to decide; it is said all the same before a seal is applied,
// and asked for again on another visit.
func TestAZeroReportThatIsNotAllZeroStopsTheSeals(t *testing.T) {
	s := atCounty(t, 1)
	s.untilClock(0)
	assert.Empty(t, s.work.DoNotSeal())
	s.keys("y", "y", "n")
	assert.Contains(t, s.work.DoNotSeal(), "The zero report has to be all zero")
	s.again()
	s.keys("-", "-")
	require.Equal(t, cards.Zero, s.work.Steps()[s.work.At()].Field)
	s.keys("y")
	assert.Empty(t, s.work.DoNotSeal())
}

// Before everything is read blind nothing can be decided, and nothing says so.
func TestAWrongHeaderSaysToReadOn(t *testing.T) {
	s := atCounty(t, 1)
	s.keys("-", "-", s.work.Unit().Header[0], "")
	assert.Equal(t, "Do not seal. Read on to the clock; then it is decided.", s.work.DoNotSeal())
}
