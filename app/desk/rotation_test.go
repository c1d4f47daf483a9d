package desk

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model/casefile"
)

func TestRotationIsKeyedByTheFirstLettersOfTheNames(t *testing.T) {
	for typed, want := range map[string]string{
		"bac": "2|1|3|4", "BAC": "2|1|3|4", "c b a": "3|2|1|4", "Cy, Bo, Ada": "3|2|1|4", "cy ad b": "3|1|2|4",
		"rql": "2|1|3|4", "bawc": "2|1|4|3", "2,1,3,4": "2|1|3|4", "3 2 1": "3|2|1|4",
		"ba": "Cy Lund is missing", "bax": `no choice that is left begins with "x"`, "bbb": "no choice that is left",
		"2 2 1": "stands twice", "2 5 1": "is no position", "0": "is no position",
	} {
		k, r := open(t, "1-01")
		keys(k, "A⏎Judge⏎⏎c⏎1⏎Ada Quill⏎ALD⏎Bo Reed⏎BRK⏎Cy Lund⏎GRO⏎_⏎⏎Proof⏎")
		k.GoTo(Stop{Kind: VoteFor, Row: 1, Place: 1})
		k.Reveal(ChoiceOrder)
		require.Equal(t, ChoiceOrder, k.Focus().Kind)
		keys(k, typed)
		next := k.Next()
		k.Enter()
		require.NoError(t, k.Flush())
		got := r.Get(casefile.Placements, 1, "choice_order")
		if got == "" {
			assert.Contains(t, k.Message(), want, typed)
			assert.Empty(t, next, typed)
			continue
		}
		assert.Equal(t, want, got, typed)
		if want == "2|1|3|4" {
			assert.Equal(t, "Bo Reed (BRK), Ada Quill (ALD), Cy Lund (GRO), Write-in", next, "as understood, before Enter")
		}
		e, err := r.Sheets().Election()
		require.NoError(t, err)
		assert.True(t, e.Styles[0].Content[0].Order.Known)
	}
}

func TestRotationOfNamesThatBeginAlike(t *testing.T) {
	k, r := open(t, "1-01")
	keys(k, "A⏎Judge⏎⏎c⏎1⏎Ada Quill⏎ALD⏎Alma Reed⏎BRK⏎\"⏎GRO⏎⏎Proof⏎")
	k.GoTo(Stop{Kind: VoteFor, Row: 1, Place: 1})
	k.Reveal(ChoiceOrder)
	keys(k, "aaa⏎")
	assert.Contains(t, k.Message(), `"a" may be Ada Quill (ALD) or Alma Reed (BRK)`)
	k.Type("al ad al")
	k.Enter()
	assert.Contains(t, k.Message(), "may be Alma Reed (BRK) or Alma Reed (GRO)", "one person on two lines: which is "+
		"first?")
	k.Type("3 1 2")
	assert.Equal(t, "Alma Reed (GRO), Ada Quill (ALD), Alma Reed (BRK)", k.Next())
	k.Enter()
	require.NoError(t, k.Flush())
	assert.Equal(t, "3|1|2", r.Get(casefile.Placements, 1, "choice_order"))

	order := Stop{Kind: ChoiceOrder, Row: 1, Place: 1}
	assert.Empty(t, k.Flags(order))
	k.GoTo(Stop{Kind: ChoiceName, Row: 2, Place: 1})
	k.Remove()
	assert.Equal(t, []string{"the order names other positions than the contest has"}, k.Flags(order))
	var all []string
	for _, f := range k.Odd(casefile.ScopeBallots) {
		all = append(all, f.Words)
	}
	assert.Contains(t, all, "the order names other positions than the contest has", "and it is seen before sealing")
	k.GoTo(order)
	k.Type("a a")
	k.Enter()
	assert.Contains(t, k.Message(), "may be")
	k.Type("al ad")
	k.Enter()
	require.NoError(t, k.Flush())
	assert.Equal(t, "3|1", r.Get(casefile.Placements, 1, "choice_order"), "positions as the record numbers them")
	_, err := r.Sheets().Election()
	require.NoError(t, err)
}

func TestAFacePrintsTheSameNamesAfterAChoiceWasMoved(t *testing.T) {
	k, r := open(t, "1-01")
	keys(k, "A⏎Judge⏎⏎c⏎1⏎Ada⏎ALD⏎Bo⏎BRK⏎Cy⏎GRO⏎⏎Proof⏎")
	k.GoTo(Stop{Kind: VoteFor, Row: 1, Place: 1})
	k.Reveal(ChoiceOrder)
	keys(k, "cab⏎")
	words := func() string {
		words, ok := k.OrderWords(1, k.Value(Stop{Kind: ChoiceOrder, Row: 1, Place: 1}))
		require.True(t, ok)
		return words
	}
	want := words()
	assert.Equal(t, "Cy (GRO), Ada (ALD), Bo (BRK)", want)
	k.GoTo(Stop{Kind: ChoiceName, Row: 1, Place: 1})
	k.Move(1)
	assert.Equal(t, want, words())
	k.Move(1)
	assert.Equal(t, want, words())
	require.NoError(t, k.Flush())
	assert.Equal(t, "2|3|1", r.Get(casefile.Placements, 1, "choice_order"), "in the order Bo, Cy, Ada")
	require.True(t, k.Undo())
	assert.Equal(t, want, words(), "one act")
}

// Whatever is typed as an order is refused, or is every position once.
func FuzzRotation(f *testing.F) {
	f.Add("bac")
	f.Add("al ad 3")
	k, _ := open(f, "1-01")
	keys(k, "A⏎Judge⏎⏎c⏎1⏎Ada Quill⏎ALD⏎Alma Reed⏎BRK⏎Alma Reed⏎GRO⏎Élan⏎-⏎__⏎⏎Proof⏎")
	f.Fuzz(func(t *testing.T, typed string) {
		value, fault := k.order(1, typed)
		if fault != "" {
			require.Empty(t, value)
			return
		}
		list := strings.Split(value, "|")
		slices.Sort(list)
		require.Equal(t, []string{"1", "2", "3", "4", "5", "6"}, list)
	})
}
