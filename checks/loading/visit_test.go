package loading_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"counterproof/checks/loading"
	"counterproof/model/cards"
)

// A fault that a later visit no longer shows is past, and still not settled.
func TestWhatALaterVisitNoLongerShowsIsPast(t *testing.T) {
	w := newWarehouse(t, 0)
	u := w.some(1)[0]
	w.shift(t, u.Name, -time.Hour)
	w.read(u.Name, cards.Visit, "", "")
	w.read(u.Name, cards.Clock, "", w.screen())
	w.sign(u.Name, 2)
	all := w.Findings()
	require.Empty(t, all.Findings)
	require.Len(t, all.Past, 1)
	require.Contains(t, all.Past[0].Message, "1 hour behind")
	require.Equal(t, "clock-off", string(all.Past[0].Check))
}

// A card that was made again from the approved export is not stale; that the old one was in the unit has to
// be settled.
func TestACardMadeAgain(t *testing.T) {
	for _, visited := range []bool{false, true} {
		w := newWarehouse(t, 0)
		u := w.some(1)[0]
		for i := range w.Ledger {
			if w.Ledger[i].Unit == u.Name {
				w.Ledger[i].Export = strings.Repeat("ab", 32)
			}
		}
		w.Ledger = append(w.Ledger, cards.Card{Label: "NEW", Unit: u.Name, Export: "approved"})
		all := w.Findings()
		require.Len(t, all.Findings, 1, "the old card is still in the unit: %v", all.Findings)
		require.Equal(t, "wrong-card", string(all.Findings[0].Check))
		if !visited {
			continue
		}
		w.read(u.Name, cards.Visit, "", "")
		w.read(u.Name, cards.Label, "", "NEW")
		w.read(u.Name, cards.Header, "", "", u.Header...)
		w.read(u.Name, cards.Election, "", w.Plan.Election)
		w.read(u.Name, cards.Date, "", w.Plan.Date)
		w.read(u.Name, cards.Zero, "", cards.AllZero)
		w.read(u.Name, cards.Initials, "", "", "WA", "OF")
		w.sign(u.Name, 2)
		all = w.Findings()
		require.Empty(t, all.Findings)
		var past []string
		for _, f := range all.Past {
			past = append(past, string(f.Check))
		}
		require.Equal(t, []string{"wrong-card", "stale-card"}, past)
	}
}

// A correction takes the place of a reading, wherever it stands.
func TestACorrectionTakesAReadingsPlace(t *testing.T) {
	w := newWarehouse(t, 0)
	u := w.some(1)[0]
	was := ""
	w.alter(u.Name, cards.Label, func(r *cards.Reading) { was, r.Value = r.Value, "C-nobody's" })
	entry := int64(0)
	for _, r := range w.Records {
		if r.Unit == u.Name && r.Field == cards.Label {
			entry = r.Entry
		}
	}
	require.Len(t, w.Findings().Findings, 1)
	w.read(u.Name, cards.Label, "", was)
	last := &w.Records[len(w.Records)-1]
	last.Corrects, last.Reason = entry, "misheard"
	w.sign(u.Name, 1)
	require.Empty(t, w.Findings())
	for _, v := range w.Visits() {
		if v.Unit == u.Name {
			require.Len(t, v.Corrected, 1)
			require.Equal(t, "C-nobody's", v.Corrected[0][0].Value, "both stay on record")
		}
	}
}

// A seal whose number was keyed wrongly and is corrected later is the one that was found meanwhile.
func TestACorrectedSealStaysInItsPlace(t *testing.T) {
	w := newWarehouse(t, 0)
	u := w.some(1)[0]
	right, entry := "", int64(0)
	for i := range w.Records {
		if r := &w.Records[i]; r.Unit == u.Name && r.Field == cards.SealApplied && r.Name == "lid" {
			right, r.Value, entry = r.Value, "171717", r.Entry
		}
	}
	w.read(u.Name, cards.SealRemoved, "lid", right)
	w.read(u.Name, cards.SealApplied, "lid", "181818")
	require.Len(t, loading.SealFaults(w.Visits()), 1)
	w.read(u.Name, cards.SealApplied, "lid", right)
	last := &w.Records[len(w.Records)-1]
	last.Corrects, last.Reason = entry, "misread"
	w.sign(u.Name, 1)
	require.Empty(t, w.Findings())
	require.Contains(t, loading.SealsOf(w.Visits(), u.Name), loading.SealState{Place: "lid", Number: "181818"})
}

// A seal of another unit is a fault where nothing was on record too.
func TestASealOfAnotherUnitIsFoundAtAFirstOpening(t *testing.T) {
	w := newWarehouse(t, 0)
	two := w.some(2)
	number := ""
	for _, r := range w.Records {
		if r.Unit == two[0].Name && r.Field == cards.SealApplied && r.Name == "lid" {
			number = r.Value
		}
	}
	w.read(two[1].Name, cards.SealRemoved, "hatch", "171717")
	require.Empty(t, loading.SealFaults(w.Visits()))
	w.read(two[1].Name, cards.SealRemoved, "back", number)
	faults := loading.SealFaults(w.Visits())
	require.Len(t, faults, 1)
	require.Equal(t, two[1].Name, faults[0].Unit)
	require.Equal(t, "unit "+two[0].Name+", lid", faults[0].Before)
}

// Which card a unit must hold is not said before the label in it is read.
func TestAStaleCardIsNotNamedBeforeItsLabelIsRead(t *testing.T) {
	w := newWarehouse(t, 0)
	u := w.some(1)[0]
	for i := range w.Ledger {
		if w.Ledger[i].Unit == u.Name {
			w.Ledger[i].Export = strings.Repeat("ab", 32)
		}
	}
	require.Len(t, w.AtUnit(&u, w.Visits()), 1)
	w.drop(u.Name, cards.Label)
	require.Empty(t, w.AtUnit(&u, w.Visits()))
	require.NotEmpty(t, w.Findings())
}

// The last visit is the last on record, also where the computer that it was keyed on has a clock that is slow.
func TestTheLastVisitIsTheLastOnRecord(t *testing.T) {
	w := newWarehouse(t, 0)
	unit := w.Plan.Units[0].Name
	w.at = w.at.Add(-24 * time.Hour)
	w.read(unit, cards.Visit, "", "")
	var list []*loading.Visit
	for _, v := range w.Visits() {
		if v.Unit == unit {
			list = append(list, &v)
		}
	}
	require.Len(t, list, 2)
	require.True(t, list[1].First.At.Before(list[0].First.At))
	require.Equal(t, 2, loading.LastVisit(list).Number)
	require.Nil(t, loading.LastVisit(nil))
}
