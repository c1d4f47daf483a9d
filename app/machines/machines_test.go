package machines_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/app/internal/windowtest"
	"counterproof/app/machines"
	"counterproof/checks/review"
	"counterproof/model/cards"
)

var rules = cards.Rules{Zone: "America/New_York", Keys: []string{"power", "ballot box"},
	Seals: []string{"card door", "ballot box"}, Counters: []string{"public"}}

// atMachines opens the place on the demo, with a card for each unit.
func atMachines(t *testing.T, w *windowtest.Window) *machines.Place {
	t.Helper()
	w.Compare()
	r := w.Session.Review()
	require.NoError(t, r.SetMachineRules(rules, "p1", "p2"))
	m, err := r.Machines()
	require.NoError(t, err)
	var list []cards.Card
	for _, u := range m.Warehouse.Plan.Units {
		list = append(list, cards.Card{Label: "C-" + u.Name[3:], Unit: u.Name, Export: w.Session.State().Exports[0].Digest.String(),
			Made: "2027-09-13", By: "HV"})
	}
	require.NoError(t, r.MakeCards("p1", list...))
	w.Go("Machines")
	return windowtest.Place[*machines.Place](w)
}

// key types texts in the field, each with Enter.
func key(w *windowtest.Window, texts ...string) {
	for _, text := range texts {
		w.Press(strings.Split(text, "")...)
		w.Press("Return")
	}
}

var _ review.UnitItem

func TestPictures(t *testing.T) {
	windowtest.Pictures(t, "at-", map[string]func(t *testing.T, w *windowtest.Window){
		"machines": func(t *testing.T, w *windowtest.Window) {
			atMachines(t, w)
			key(w, "-", "-", "1-01", "1-02", "", "General Election", "11/2/2027", "C-1102", "9/14/2027 5:00 am")
		},
	})
}
