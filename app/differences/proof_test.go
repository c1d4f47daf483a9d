package differences_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"counterproof/app/differences"
	"counterproof/app/internal/windowtest"
)

func TestTheProofOfEachFindingOpens(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Compare()
	w.Go("Differences")
	opened := w.Opened()
	p := windowtest.Place[*differences.Place](w)
	faces := map[string]string{
		"Member of Town Council Town of Dunmere":                      "BS-09.pdf",
		"Town Supervisor Town of Corrie":                              "BS-07.pdf",
		"Superintendent of Highways Town of Corrie":                   "BS-08.pdf",
		"Member of County Council District 5":                         "BS-10.pdf",
		"Proposition Two Hollin Library District – Reading Room Bond": "BS-01.pdf",
	}
	seen := 0
	for range w.Session.State().Proofs {
		w.Press("o")
		i := p.Item()
		switch want := faces[i.Contest]; {
		case i.Unit != "":
			assert.Equal(t, "card headers.pdf", w.LastOpened(opened), i.Message)
			seen++
		case want != "":
			assert.Equal(t, want, w.LastOpened(opened), i.Message)
			seen++
		}
		w.Press("Down")
	}
	assert.Greater(t, seen, 4)
}
