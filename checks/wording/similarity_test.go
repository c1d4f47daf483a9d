package wording

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Levenshtein distances as commonly published (kitten and sitting 3; Saturday and
// Sunday 3), the pair that tells the optimal string alignment distance (3) from the
// unrestricted Damerau-Levenshtein distance (2), CA and ABC, from L. Boytsov, "Indexing
// methods for approximate dictionary searching", ACM JEA 16 (2011), and flaw and lawn,
// 2; the citations are from memory.
func TestPublishedDistances(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{
		{"kitten", "sitting", 3}, {"Saturday", "Sunday", 3}, {"CA", "ABC", 3}, {"flaw", "lawn", 2},
		{"", "", 0}, {"", "abc", 3}, {"abc", "", 3}, {"Smith", "Smith", 0},
		{"Lnud", "Lund", 1}, {"A\u030a", "\u00c5", 0}, {"\xff", "\xfe", 1}, {"\xff", "\ufffd", 1},
	} {
		assert.Equal(t, c.want, Distance(c.a, c.b), "%q %q", c.a, c.b)
		assert.Equal(t, c.want, Distance(c.b, c.a), "%q %q", c.b, c.a)
	}
}

// byDefinition is the optimal string alignment distance by its recurrence.
func byDefinition(a, b []rune) int {
	switch n, m := len(a), len(b); {
	case n == 0 || m == 0:
		return n + m
	default:
		cost := 1
		if a[n-1] == b[m-1] {
			cost = 0
		}
		d := min(byDefinition(a[:n-1], b)+1, byDefinition(a, b[:m-1])+1, byDefinition(a[:n-1], b[:m-1])+cost)
		if n > 1 && m > 1 && a[n-1] == b[m-2] && a[n-2] == b[m-1] {
			d = min(d, byDefinition(a[:n-2], b[:m-2])+1)
		}
		return d
	}
}

func TestDistanceIsItsDefinition(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.StringMatching(`[abc]{0,7}`).Draw(t, "a"), rapid.StringMatching(`[abc]{0,7}`).Draw(t, "b")
		require.Equal(t, byDefinition([]rune(a), []rune(b)), Distance(a, b))
	})
}

func TestWhatIsOneThingIsMoreAlikeThanWhatIsNot(t *testing.T) {
	together := [][2]string{
		{"Replacement Governor", "Governor"}, {"Smith, John", "John Smith"}, {"Jon Smyth", "John Smith"},
		{"John A. Smith", "John Smith"},
		{"J. Smith", "John Smith"}, {"Maren Østby", "MAREN OSTBY"}, {"Mac Donald", "MacDonald"}, {"O'Brien", "OBrien"},
		{"Jose\u0301 Lund", "Jose Lund"},
		{"Ida Lnud", "Ida Lund"}, {"County Judge", "County Judge (vacancy)"}, {"John Smith Jr.", "John Smith Sr."},
		{"J\u043ehn Smith", "John Smith"}, {"Aksel Lund / Ida Holm", "Aksel Lund / Ida Holme"},
		{"Town of Elmset Supervisor", "Supervisor, Town of Elmset"},
	}
	apart := [][2]string{
		{"Yes", "No"}, {"For", "Against"}, {"John Smith", "John Jones"}, {"Ann Lee", "Ann Fox"},
		{"Christopher Lee", "Christopher Fox"},
		{"Town Clerk", "Town Justice"}, {"Maren Østby", "Ida Lund"}, {"", "Lund"}, {"---", "..."}, {"Sheriff", "Coroner"},
		{"1", "2"}, {"12", "21"},
	}
	for _, c := range together {
		assert.Greater(t, Similarity(c[0], c[1]), 0.6, "%q %q", c[0], c[1])
	}
	for _, c := range apart {
		assert.Less(t, Similarity(c[0], c[1]), 0.5, "%q %q", c[0], c[1])
	}
	// What is right is nearer than what is next to it.
	for _, c := range [][3]string{
		{"Proposition 2", "Propositon 2", "Proposition 1"},
		{"State Senator, District 1", "State Senator District 1", "State Senator District 2"},
		{"John Smith Jr.", "John Smith, Jr", "John Smith Sr."},
		{"Replacement Governor", "Governor", "Lieutenant Governor"},
		{"José", "José", "Jose"},
	} {
		assert.Greater(t, Similarity(c[0], c[1]), Similarity(c[0], c[2]), "%q", c)
	}
}

func TestSimilarityIsSound(t *testing.T) {
	word := rapid.SampledFrom([]string{"a", "b", "Ann", "Anne", "Lee", "Leo", "Smith", "Smyth", "1", "12", "Jr.", "Østby",
		"\xff", "-"})
	rapid.Check(t, func(t *rapid.T) {
		a := strings.Join(rapid.SliceOfN(word, 0, 7).Draw(t, "a"), " ")
		b := strings.Join(rapid.SliceOfN(word, 0, 7).Draw(t, "b"), " ")
		x := Similarity(a, b)
		require.Equal(t, x, Similarity(b, a))
		require.True(t, x >= 0 && x <= 1, "%v", x)
		require.Equal(t, Normal(a) == Normal(b), x == 1)
		require.Equal(t, 1.0, Similarity(a, a))
	})
}

func TestLongTextsAreAlikeByTheirWords(t *testing.T) {
	text := strings.Repeat("shall the charter of the county be amended to provide for it ", 30)
	assert.Greater(t, Similarity(text, strings.Replace(text, "amended", "changed", 1)), 0.9)
	assert.Less(t, Similarity(text, strings.Repeat("resolved that no bond issue is hereby approved ", 30)), 0.3)
}

func TestFoldedKeys(t *testing.T) {
	for in, want := range map[string]string{
		"Maren  Østby":       "maren ostby",
		" O’Brien, Jr. ":     "obrien jr",
		"SMITH-JONES":        "smith jones",
		"Jose\u0301":         "jose",
		"Weiß":               "weiss",
		"Cæsar":              "caesar",
		"\ufb01n":            "fin",
		"\uff2d":             "m",
		"Mac\u200bDonald":    "macdonald",
		"U.S. Senator":       "us senator",
		"1.5":                "1 5",
		"1,500":              "1500",
		"Aksel Lund / Ida H": "aksel lund ida h",
		"A & B":              "a & b",
		"---":                "",
		"":                   "",
		"D\u0131az":          "diaz",
		"\xffa":              "\xffa",
	} {
		assert.Equal(t, want, Fold(in), "%q", in)
	}
	rapid.Check(t, func(t *rapid.T) {
		k := Fold(drawWording(t, "wording"))
		require.Equal(t, k, strings.Join(strings.Fields(k), " "))
	})
}

func BenchmarkSimilarity(b *testing.B) {
	names := []string{"Maren Kristine Ostby", "Jonathan Smythe", "Ida Lund", "Aksel Holm Jr.", "María José Núñez",
		"Thorvald Brekke", "J. R. Vang", "Signe O'Dell"}
	var prepared []Prepared
	for _, n := range names {
		prepared = append(prepared, Prepare(n))
	}
	b.Run("prepared", func(b *testing.B) {
		for i := 0; b.Loop(); i++ {
			prepared[i%8].Similarity(prepared[(i/8)%8])
		}
	})
	b.Run("unprepared", func(b *testing.B) {
		for i := 0; b.Loop(); i++ {
			Similarity(names[i%8], names[(i/8)%8])
		}
	})
	b.Run("reference: plain Distance", func(b *testing.B) {
		for i := 0; b.Loop(); i++ {
			Distance(names[i%8], names[(i/8)%8])
		}
	})
}

func BenchmarkCompare(b *testing.B) {
	for _, c := range [][3]string{
		{"same", "Maren Kristine Ostby", "Maren Kristine Ostby"},
		{"same with accents", "María José Núñez", "María José Núñez"},
		{"capitals", "Maren Kristine Ostby", "MAREN KRISTINE OSTBY"},
		{"differs", "Maren Kristine Ostby", "Maren Kristine Holm"},
	} {
		b.Run(c[0], func(b *testing.B) {
			for b.Loop() {
				Compare(c[1], c[2])
			}
		})
	}
}

func ExampleCompare() {
	for _, c := range [][2]string{
		{"Maren Ostby", "MAREN ØSTBY"},
		{"P\u0430ul Vang", "Paul Vang"},
		{"Replacement Governor", "Governor"},
	} {
		d := Compare(c[0], c[1])
		fmt.Println(d.Word(), d.Minor, d.Lookalike)
		for _, n := range d.Notes {
			fmt.Println("-", n)
		}
	}
	// Output:
	// capitals and accents true false
	// look-alike letters false true
	// - the export has a small Cyrillic а (U+0430) at letter 2 of "Pаul" where the second entry has a small Latin a (U+0061)
	// wording false false
}

func ExampleMark() {
	p, s := Mark("John Smith", "John A. Smyth")
	fmt.Println("primary:     ", p)
	fmt.Println("second entry:", s)
	// Output:
	// primary:      John [Smith]
	// second entry: John [A. Smyth]
}

func ExampleVisible() {
	fmt.Println(Visible("Mac\u200bDonald"))
	// Output: Mac<U+200B>Donald
}

func ExampleOddities() {
	for _, o := range Oddities("J0hn Sm\u0456th") {
		fmt.Println(o.At, o.What)
	}
	// Output:
	// 1 the digit 0 (U+0030)
	// 7 a small Cyrillic і (U+0456)
}
