package wording

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/text/unicode/norm"
	"pgregory.net/rapid"
)

const (
	same      = ""
	lookalike = "look-alike letters"
	unseen    = "characters that cannot be seen"
	differs   = "wording"
)

// Code points are written out where they cannot be seen.
var differences = []struct {
	name            string
	primary, second string
	word            string
}{
	{"the same name", "Maren Østby", "Maren Østby", same},
	{"nothing on either side", "", "", same},
	{"nothing against something", "", "Maren", differs},
	{"another surname", "John Smith", "John Jones", differs},
	{"a misspelt name", "John Smith", "John Smyth", differs},
	{"yes and no", "Yes", "No", differs},
	{"another number", "Proposition 12", "Proposition 21", differs},

	// UAX #15, figure 3 (singletons) and figure 4 (canonical composites).
	{"the Angstrom sign is an A with a ring", "\u212b", "\u00c5", same},
	{"the Ohm sign is an omega", "\u2126", "\u03a9", same},
	{"an A with a ring, composed and decomposed", "\u00c5", "A\u030a", same},
	{"an o with a circumflex, composed and decomposed", "\u00f4", "o\u0302", same},
	// UAX #15, figure 5 (multiple combining marks) and figure 6 (compatibility
	// composites: NFC leaves the ligature and the raised five).
	{"two marks on one letter, in either order", "s\u0323\u0307", "s\u0307\u0323", same},
	{"a ligature is not the two letters that it looks like", "\ufb01n", "fin", lookalike},
	{"a raised five is not a five", "2\u2075", "25", differs},

	{"capitals", "MAREN ØSTBY", "Maren Østby", "capitals"},
	{"capitals of another script", "ИВАН", "Иван", "capitals"},
	{"a final sigma", "ΟΔΟΣ", "οδος", "capitals"},
	{"O as capital and small letter", "O", "o", "capitals"},
	{"two spaces for one", "Maren  Ostby", "Maren Ostby", "spacing"},
	{"a space before", " Maren", "Maren", "spacing"},
	{"a space behind", "Maren", "Maren ", "spacing"},
	{"no space", "MacDonald", "Mac Donald", "spacing"},
	{"a no-break space", "Maren\u00a0Ostby", "Maren Ostby", "spacing"},
	{"a thin space", "Maren\u2009Ostby", "Maren Ostby", "spacing"},
	{"an ideographic space", "Maren\u3000Ostby", "Maren Ostby", "spacing"},
	{"a line break", "Maren\nOstby", "Maren Ostby", "line breaks"},
	{"a comma before or after the space", "Smith ,Jr", "Smith, Jr", "spacing"},
	{"only spaces", "", "  ", "spacing"},
	{"a comma", "John Smith, Jr.", "John Smith Jr.", "punctuation"},
	{"a full stop", "John Smith Jr.", "John Smith Jr", "punctuation"},
	{"an apostrophe left out", "O'Brien", "OBrien", "punctuation"},
	{"another mark", "Maren Ostby?", "Maren Ostby!", "punctuation"},
	{"quotes", "\"Red\" Lund", "\u201cRed\u201d Lund", "punctuation"},
	{"two apostrophes for a quote", "\"Red\" Lund", "''Red'' Lund", "punctuation"},
	{"only punctuation", "", "-", "punctuation"},
	{"a point in a number", "1.5 mills", "15 mills", "punctuation"},
	{"an accent", "José", "Jose", "accents"},
	{"another accent", "José", "Josè", "accents"},
	{"a decomposed accent against none", "Jose\u0301", "Jose", "accents"},
	{"a stroke", "Søren", "Soren", "accents"},
	{"a stroke through an l", "Łukasz", "Lukasz", "accents"},
	{"a sharp s", "Weiß", "Weiss", "accents"},
	{"two strokes that look different", "\u00f0", "\u0111", "accents"},
	{"capitals and accents", "JOSE", "José", "capitals and accents"},
	{"capitals and a stroke", "ŁUKASZ", "lukasz", "capitals and accents"},
	{"a sharp s in capitals", "WEISS", "Weiß", "capitals and accents"},
	{"a hyphen for a space", "Smith-Jones", "Smith Jones", "spacing and punctuation"},
	{"all four", "JOSÉ O'Brien", "jose  obrien", "capitals, spacing, punctuation and accents"},

	{"an and-sign is a word", "Smith & Jones", "Smith Jones", differs},
	{"a percent sign is a word", "5%", "5", differs},
	{"a dollar sign is a word", "$5", "5", differs},
	{"a vowel sign of Devanagari is no accent", "कु", "क", differs},
	{"a voicing mark of kana is no accent", "が", "か", differs},

	// UTS #39, section 4: "paypal" with a Cyrillic а, and "scope" of Cyrillic letters
	// alone, against Latin. Both examples and the rest of the confusables data that
	// these cases rest on are quoted from memory.
	{"paypal with a Cyrillic a", "p\u0430ypal", "paypal", lookalike},
	{"scope of Cyrillic letters", "\u0455\u0441\u043e\u0440\u0435", "scope", lookalike},
	{"a Greek omicron", "L\u03bfnd", "Lond", lookalike},
	{"zero and capital O", "Route 50", "Route 5O", lookalike},
	{"one and small l", "Proposition 1", "Proposition l", lookalike},
	{"one and capital I", "Proposition 1", "Proposition I", lookalike},
	{"capital I and small l", "Ian", "lan", lookalike},
	{"a bar for an l", "Wi|son", "Wilson", lookalike},
	{"r n for m", "Farnham", "Famham", lookalike},
	{"a dotless i", "D\u0131az", "Diaz", lookalike},
	{"a capital against a dotless i", "DIAZ", "d\u0131az", "look-alike letters and capitals"},
	{"ae in one letter", "C\u00e6sar", "Caesar", lookalike},
	{"oe in one letter", "\u0152uvre", "OEuvre", lookalike},
	{"a Roman numeral in one character", "Charter \u2167", "Charter VIII", lookalike},
	{"full-width letters", "\uff2d\uff41ren", "Maren", lookalike},
	{"a full-width letter without an entry in the confusables", "\uff46oo", "foo", lookalike},
	{"a mathematical letter", "\U0001d5e0aren", "Maren", lookalike},
	{"the micro sign and mu", "\u00b5", "\u03bc", lookalike},
	{"a cedilla and a comma below", "\u015f", "\u0219", lookalike},
	{"a stroke in the letter and on it", "\u00f8", "o\u0338", lookalike},
	{"a click letter for an exclamation mark", "Vote\u01c3", "Vote!", "look-alike letters and punctuation"},
	{"a look-alike among capitals", "\u0405MITH", "smith", "look-alike letters and capitals"},
	{"a look-alike alike only as a capital", "\u041d", "h", "look-alike letters and capitals"},
	{"a look-alike and a space", "J\u043ehn  Smith", "John Smith", "look-alike letters and spacing"},
	{"a look-alike and a full stop", "J\u043ehn Smith Jr.", "John Smith Jr", "look-alike letters and punctuation"},
	{"a look-alike and an accent", "J\u043esé", "Jose", "look-alike letters and accents"},
	{"capital I and capital L do not look alike", "Iynn", "Lynn", differs},
	{"capital L and one do not look alike", "Lst", "1st", differs},
	{"small i and small l do not look alike", "Lind", "Llnd", differs},
	{"M and RN do not look alike as capitals", "FARNHAM", "FAMHAM", differs},
	{"a look-alike in a wording that differs", "J\u043ehn Smith", "John Smyth", differs},

	{"a zero width space", "Mac\u200bDonald", "MacDonald", unseen},
	{"a soft hyphen", "Mac\u00adDonald", "MacDonald", unseen},
	{"a word joiner", "Mac\u2060Donald", "MacDonald", unseen},
	{"a byte order mark", "\ufeffMaren", "Maren", unseen},
	{"a variation selector", "Maren\ufe0f", "Maren", unseen},
	{"a tag character", "Maren\U000e0041", "Maren", unseen},
	{"a Hangul filler", "Maren\u3164", "Maren", unseen},
	{"an empty Braille pattern", "Maren\u2800", "Maren", unseen},
	{"a control character", "Mar\x00en", "Maren", unseen},
	{"a right-to-left override", "Mar\u202een", "Maren", unseen},
	{"an isolate", "\u2066Maren\u2069", "Maren", unseen},
	{"an invisible character alone", "\u200b", "", unseen},
	{"two different invisible characters", "Mac\u200bDonald", "Mac\u200cDonald", unseen},
	{"an invisible character in a letter pair that looks like one", "r\u200bn", "m",
		"look-alike letters and characters that cannot be seen"},
	{"an invisible character and capitals", "MAC\u200bDONALD", "MacDonald", "characters that cannot be seen and capitals"},
	{"an invisible character and another letter", "Mac\u200bDonald", "MacDonell", differs},

	{"bytes that are not UTF-8", "Mar\xe9n", "Mar\xe8n", differs},
	{"bytes against a replacement character", "Mar\xe9n", "Mar\ufffdn", differs},
	{"the same bytes that are not UTF-8", "Mar\xe9n", "Mar\xe9n", same},
}

// The characters that the design calls variants of one punctuation mark.
func TestTypographicVariantsArePunctuation(t *testing.T) {
	for mark, variants := range map[string]string{
		"'":  "\u2018\u2019\u201b\u02bc\u02bb\u2032\u00b4`\uff07\u02b9",
		"\"": "\u201c\u201d\u201e\u2033\u00ab\u00bb\uff02",
		"-":  "\u2010\u2011\u2012\u2013\u2014\u2015\u2212\ufe63\uff0d",
	} {
		for _, v := range variants {
			d := Compare("O"+mark+"Brien", "O"+string(v)+"Brien")
			assert.True(t, d.Minor && d.Punctuation && !d.Lookalike, "%s and %U: %+v", mark, v, d)
			assert.Equal(t, "punctuation", d.Word())
		}
	}
}

func TestHowWordingsDiffer(t *testing.T) {
	for _, c := range differences {
		t.Run(c.name, func(t *testing.T) {
			d := Compare(c.primary, c.second)
			assert.Equal(t, c.word, d.Word(), "%+v", d)
			assert.Equal(t, c.word == same, d.Same)
			assert.Equal(t, strings.HasPrefix(c.word, lookalike) || strings.HasPrefix(c.word, unseen), d.Lookalike)
			assert.Equal(t, c.word != same && c.word != differs && !d.Lookalike, d.Minor)
			back := Compare(c.second, c.primary)
			back.Notes, d.Notes = nil, nil
			assert.Equal(t, d, back, "the other way round")
		})
	}
}

func TestNotesTellWhatCannotBeSeen(t *testing.T) {
	for _, c := range []struct {
		name, primary, second string
		want                  []string
	}{
		{"a Cyrillic letter", "Ida P\u0430ul", "Ida Paul", []string{
			"the export has a small Cyrillic \u0430 (U+0430) at letter 2 of \"P\u0430ul\" where the second entry has a small " +
				"Latin a (U+0061)"}},
		{"the digit one", "Charter 1", "Charter I", []string{
			"the export has the digit 1 (U+0031) at letter 1 of \"1\" where the second entry has a capital Latin I (U+0049)"}},
		{"r and n", "Famham", "Farnham", []string{
			"the export has a small Latin m (U+006D) at letter 3 of \"Famham\" where the second entry has the letters \"rn\""}},
		{"an invisible character", "Mac\u200bDonald", "MacDonald", []string{
			"after \"Mac\" the export has a zero width space (U+200B), the second entry has no invisible character"}},
		{"an override", "Maren", "\u202eMaren", []string{
			"at the beginning the export has no invisible character, the second entry has a right-to-left override (U+202E)"}},
		{"two spaces", "Maren  Østby", "Maren Østby", []string{
			"after \"Maren\" the export has two spaces, the second entry has a space"}},
		{"a space at the end", "José ", "José", []string{
			"at the end the export has a space, the second entry has no space"}},
		{"a no-break space after an accent", "José\u00a0Lund", "José Lund", []string{
			"after \"José\" the export has a no-break space (U+00A0), the second entry has a space"}},
		{"apostrophes", "O\u2019Brien", "O'Brien", []string{
			"after \"O\" the export has \u2019 (U+2019), the second entry has ' (U+0027)"}},
		{"a point inside a number", "Levy of 1.5 mills", "Levy of 15 mills", []string{
			"the difference is inside a number: the export has 1.5, the second entry has 15"}},
		{"a look-alike in a wording that differs", "J\u043ehn Smith", "John Smyth", []string{
			"the export has a small Cyrillic \u043e (U+043E) after \"J\" where the second entry has a small Latin o (U+006F)"}},
		{"an invisible character in a wording that differs", "John Smith", "Jo\u200bhn Smyth", []string{
			"the second entry has a zero width space (U+200B) after \"Jo\""}},
		{"nothing to remark", "John Smith", "John Smyth", nil},
		{"capitals are seen", "JOHN", "John", nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.Equal(t, c.want, Compare(c.primary, c.second).Notes)
		})
	}
	t.Run("a person is not buried in remarks", func(t *testing.T) {
		for _, s := range []string{strings.Repeat("\u0430", 100), strings.Repeat("a\u200b", 100),
			strings.Repeat("\u0430", 100) + "x", strings.Repeat("a\u200b", 100) + "x"} {
			assert.LessOrEqual(t, len(Compare(s, strings.Repeat("a", 100)).Notes), noteLimit+1)
		}
	})
}

// alphabet holds what a ballot prints and what lies in wait between: letters and
// their doubles, marks, spaces, invisible characters, emoji, stray bytes.
var alphabet = []string{
	"a", "e", "i", "l", "m", "n", "o", "r", "s", "A", "I", "L", "M", "N", "O", "S", "0", "1", "5", "|",
	"\u0430", "\u043e", "\u0405", "\u0455", "\u03bf", "\u00e9", "e\u0301", "\u00f8", "\u0142", "\u00df", "\u00e6",
	"\u0131", "\ufb01", "\uff21",
	" ", " ", "\u00a0", "\u2009", "\n", "'", "\u2019", "-", "\u2014", ".", ",", "\"", "&", "%", "[", "]", "<U+",
	"\u0301", "\u0327", "\u200b", "\u200d", "\u202e", "\ufe0f", "\u00ad", "\u2800",
	"\U0001f1f3\U0001f1f4", "\U0001f468\u200d\U0001f469", "\u1100\u1161", "\uac00", "\xff", "\xc3",
}

func drawWording(t *rapid.T, name string) string {
	return strings.Join(rapid.SliceOfN(rapid.SampledFrom(alphabet), 0, 12).Draw(t, name), "")
}

// drawTwo draws two wordings, mostly the second out of the first by a few changes.
func drawTwo(t *rapid.T) (string, string) {
	p := rapid.SliceOfN(rapid.SampledFrom(alphabet), 0, 12).Draw(t, "primary")
	if rapid.IntRange(0, 3).Draw(t, "unrelated") == 3 {
		return strings.Join(p, ""), drawWording(t, "second")
	}
	s := append([]string(nil), p...)
	for range rapid.IntRange(0, 3).Draw(t, "changes") {
		i := rapid.IntRange(0, len(s)).Draw(t, "at")
		with := rapid.SampledFrom(alphabet).Draw(t, "with")
		if i < len(s) && rapid.Bool().Draw(t, "replace") {
			s[i] = with
		} else {
			s = append(s[:i:i], append([]string{with}, s[i:]...)...)
		}
	}
	return strings.Join(p, ""), strings.Join(s, "")
}

func TestDifferenceIsSoundWhateverTheWording(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, s := drawTwo(t)
		d, back := Compare(p, s), Compare(s, p)
		require.Equal(t, norm.NFC.String(p) == norm.NFC.String(s), d.Same, "same if and only if equal in NFC")
		small := d.Case || d.Spacing || d.Punctuation || d.Accents
		require.Equal(t, !d.Same && small && !d.Lookalike, d.Minor, "minor is small differences and no look-alike: %+v", d)
		require.False(t, d.Same && (small || d.Lookalike || len(d.Notes) > 0))
		require.Equal(t, d.Same, d.Word() == "")
		require.Equal(t, d.Letters || d.Unseen, d.Lookalike)
		if d.Lookalike {
			require.NotEmpty(t, d.Notes, "a look-alike that is not explained: %q %q", p, s)
		}
		require.Equal(t, d.Same || d.Lookalike || d.Minor, Alike(p, s), "what is alike")
		d.Notes, back.Notes = nil, nil
		require.Equal(t, d, back, "the other way round")
	})
}

// What UTS #39 calls confusable is a look-alike here whenever a letter differs.
func TestConfusableLettersNeverPassAsSmall(t *testing.T) {
	letters := []string{"a\u0430", "o\u043e\u03bf", "O0\u041e\u039f", "l1I|", "c\u0441", "p\u0440\u03c1", "e\u0435",
		"x\u0445\u00d7", "H\u041d\u0397", "S\u0405", "i\u0131"}
	rapid.Check(t, func(t *rapid.T) {
		var p, s strings.Builder
		differ := false
		for range rapid.IntRange(1, 8).Draw(t, "length") {
			of := []rune(rapid.SampledFrom(letters).Draw(t, "letter"))
			x, y := rapid.SampledFrom(of).Draw(t, "x"), rapid.SampledFrom(of).Draw(t, "y")
			differ = differ || x != y
			p.WriteRune(x)
			s.WriteRune(y)
		}
		d := Compare(p.String(), s.String())
		require.Equal(t, differ, d.Lookalike, "%q %q %+v", p.String(), s.String(), d)
	})
}

func TestSmallChangesAreCalledByTheirKind(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		// Letters without strokes or doubles, so that only the kind drawn can differ.
		words := rapid.SliceOfN(rapid.StringMatching(`[A-Z][bdfghknpt]{1,6}`), 1, 4).Draw(t, "words")
		p := strings.Join(words, " ")
		var s, want string
		switch rapid.IntRange(0, 3).Draw(t, "kind") {
		case 0:
			s, want = strings.ToUpper(p), "capitals"
		case 1:
			s, want = strings.ReplaceAll(p, " ", "  ")+" ", "spacing"
		case 2:
			s, want = strings.ReplaceAll(p, " ", ". ")+".", "punctuation"
		case 3:
			s, want = strings.ReplaceAll(p, " ", "\u0301 ")+"\u0308", "accents"
		}
		require.Equal(t, want, Compare(p, s).Word())
		require.Equal(t, want, Compare(s, p).Word())
		require.Equal(t, Fold(p), Fold(s))
	})
}

func TestLongAndHostileTextsEnd(t *testing.T) {
	if testing.Short() {
		t.Skip("long texts; run without -short")
	}
	long := func(s string) string { return strings.Repeat(s, 100_000/len(s)) }
	for _, c := range [][2]string{
		{long("a"), long("b")}, {long("ab"), long("ba")}, {long("rn"), long("m")}, {long("m"), long("rn") + "x"},
		{long(" "), long("\t")},
		{long("\u200b"), ""}, {long("a\u0301"), long("a")}, {long("\u0301"), long("\u0300")},
		{long("a\u200b"), long("b\u200b")},
		{long("\xff"), long("\xfe")}, {long("word "), long("other ")}, {long("\U0001f468\u200d"), long("\U0001f469\u200d")},
		{long("[<U+"), long("]{}")},
		{long("0a1"), long("Oal")}, {long("\u0430"), long("a")}, {long("1.5,"), long("15,")},
	} {
		everything(c[0], c[1]) // quadratic work would run into the test's time-out
	}
}

// everything calls the whole package.
func everything(p, s string) {
	Compare(p, s).Word()
	Mark(p, s)
	Visible(p)
	Oddities(p)
	Oddities(s)
	Distance(p, s)
	Similarity(p, s)
}

func FuzzCompare(f *testing.F) {
	for _, c := range differences {
		f.Add(c.primary, c.second)
	}
	f.Fuzz(func(t *testing.T, p, s string) {
		d, back := Compare(p, s), Compare(s, p)
		if d.Same != (norm.NFC.String(p) == norm.NFC.String(s)) {
			t.Errorf("same is %v for %q and %q", d.Same, p, s)
		}
		d.Notes, back.Notes = nil, nil
		assert.Equal(t, d, back, "the other way round: %q and %q", p, s)
		checkScript(t, p, s)
		everything(p, s)
		if x := Similarity(p, s); x < 0 || x > 1 || x != Similarity(s, p) {
			t.Errorf("similarity of %q and %q is %v", p, s, x)
		}
	})
}
