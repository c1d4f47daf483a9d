package wording_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"counterproof/checks/wording"
)

func TestWhatDiffersIsMarkedAsPeopleReadIt(t *testing.T) {
	for _, c := range [][4]string{
		{"from two to three years", "from two to four years", "from two to [three] years", "from two to [four] years"},
		{"not more than $1,580,000", "not more than $1,850,000", "not more than $[1,580,000]", "not more than $[1,850,000]"},
		{"Ruth-Anne Skarsgard", "Ruth-Anne Skarsgaard", "Ruth-Anne Skarsgard", "Ruth-Anne Skarsga[a]rd"},
		{"Inés Carrasquel", "Ines Carrasquel", "In[é]s Carrasquel", "In[e]s Carrasquel"},
		{"precinct 1-03", "precinct 1-08", "precinct [1-03]", "precinct [1-08]"},
		{"style BS-02", "style BS-03", "style [BS-02]", "style [BS-03]"},
		{"Library District - Bond", "Library District – Bond", "Library District [-] Bond", "Library District [–] Bond"},
		{"Town  Clerk", "Town Clerk", "Town [ ]Clerk", "Town Clerk"},
		{"TOWN CLERK", "Town Clerk", "[TOWN] [CLERK]", "[Town] [Clerk]"},
		{"County Judge", "County judge", "County [J]udge", "County [j]udge"},
		{"John Smith", "John A. Smith", "John Smith", "John [A. ]Smith"},
	} {
		p, s := wording.Mark(c[0], c[1])
		assert.Equal(t, c[2], p)
		assert.Equal(t, c[3], s)
		s, p = wording.Mark(c[1], c[0])
		assert.Equal(t, []string{c[2], c[3]}, []string{p, s}, "the other way round")
	}
}

func TestTheReadableScriptHoldsBothWordings(t *testing.T) {
	text := rapid.StringMatching(`[ab1-3é' .,-]{0,24}`)
	rapid.Check(t, func(t *rapid.T) {
		a, b := text.Draw(t, "a"), text.Draw(t, "b")
		var p, s strings.Builder
		for _, step := range wording.Readable(a, b) {
			if step.Op != wording.Add {
				p.WriteString(step.Text)
			}
			if step.Op != wording.Drop {
				s.WriteString(step.Text)
			}
		}
		assert.Equal(t, wording.Normal(a), p.String())
		assert.Equal(t, wording.Normal(b), s.String())
	})
}
