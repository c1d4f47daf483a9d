package differences_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"counterproof/app/internal/windowtest"
)

// Enter goes on from the contests that are chosen, and the day is typed as the order prints it.
func TestAnAmendmentIsEnteredByTheKeyboard(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Compare()
	w.Go("Differences")
	w.Press("a")
	w.Type("County Judge")
	w.Press("Return", "Return")
	assert.Equal(t, w.Field("Document"), w.Fyne().Canvas().Focused())
	w.Type("Order 12")
	w.Write("Day", "October 15, 2027")
	w.Write("Reason", "a candidate withdraws")
	w.Tap("Both sign")
	assert.Contains(t, w.Says(), "Order 12, 2027-10-15")
	assert.Contains(t, w.Says(), "Opened again: County Judge")
}
