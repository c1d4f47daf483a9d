package wording

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// Fold returns a key for searching and pairing: compatibility forms resolved
// (NFKD), small letters, accents and strokes taken off, apostrophes, full stops
// and what cannot be seen left out, every other run of punctuation and spaces one
// space, none at the ends. Between digits a full stop parts and a comma does not: "1.5"
// gives "1 5", "1,500" gives "1500".
//
// It is not what is compared. Wordings with equal keys may well differ: use Compare.
func Fold(s string) string {
	for i := 0; i < len(s); i++ {
		if s[i] >= utf8.RuneSelf {
			s = norm.NFKD.String(s)
			break
		}
	}
	b := make([]byte, 0, len(s))
	apart := false
	for i := 0; i < len(s); {
		r, n := decode(s[i:])
		switch classify(r) {
		case space:
			apart = true
		case mark:
			inNumber := i > 0 && isDigit(s[i-1]) && i+1 < len(s) && isDigit(s[i+1])
			switch {
			case isApostrophe(r), r == '.' && !inNumber, r == ',' && inNumber:
			default:
				apart = true
			}
		case letter:
			if apart && len(b) > 0 {
				b = append(b, ' ')
			}
			apart = false
			switch l := lower(r); {
			case r >= invalid:
				b = append(b, s[i])
			case l < utf8.RuneSelf:
				b = append(b, byte(l))
			case plain[l] != "":
				b = append(b, plain[l]...)
			case l == 'æ':
				b = append(b, "ae"...)
			case l == 'œ':
				b = append(b, "oe"...)
			case l == 'ı':
				b = append(b, 'i')
			default:
				b = utf8.AppendRune(b, l)
			}
		}
		i += n
	}
	return string(b)
}

func isDigit(b byte) bool { return '0' <= b && b <= '9' }

func isApostrophe(r rune) bool {
	return strings.ContainsRune("'’‘‛`´ʹʻʼʽˈ′‵Ꞌꞌ＇｀", r)
}

// Prepared is a wording made ready for Similarity: prepare once what is compared
// with many.
type Prepared struct {
	nfc     string
	key     string
	whole   []rune // the key without its spaces
	words   []word
	weight  float64 // of all words
	numbers string  // the words that hold digits
}

type word struct {
	letters []rune
	number  bool    // it holds a digit
	weight  float64 // 1; half for an initial
}

// Prepare makes a wording ready for Similarity.
func Prepare(s string) Prepared {
	p := Prepared{nfc: Normal(s), key: Fold(s)}
	var numbers strings.Builder
	for _, f := range strings.Fields(p.key) {
		w := word{letters: []rune(f), number: strings.IndexFunc(f, unicode.IsDigit) >= 0, weight: 1}
		if w.number {
			numbers.WriteString(f + " ")
		} else if len(w.letters) == 1 {
			w.weight = 0.5
		}
		p.words = append(p.words, w)
		p.weight += w.weight
		p.whole = append(p.whole, w.letters...)
	}
	p.numbers = numbers.String()
	return p
}

// Similarity says, from 0 to 1, how likely two wordings are one name or title with a
// difference. It is for pairing what does not agree, not for comparing, and it is our
// own measure: the greater of two, both on folded wordings (see Fold).
//
//   - Words: each word is paired with the most similar one (at least 0.6 of its letters,
//     an initial with its name 0.7, numbers only with themselves). It is the weight of
//     what is paired in the weight of all, initials counting half, reduced by the
//     share that is unpaired on both sides. So "Replacement Governor" goes with
//     "Governor" (nothing of the second is left over), and "Ann Lee" not with "Ann Fox".
//   - Letters: 1 - 1.6 d/n, where d is the Distance without spaces and n the length of
//     the longer: one letter in ten costs 0.16. It joins "MacDonald" and "Mac Donald",
//     "Jr." and "Sr.". It does not count where the words leave two rests of three letters and
//     more that are not alike by it (0.4): the rest is another name, as in "Christopher Lee"
//     and "Christopher Fox".
//
// Where the numbers in them differ ("District 1", "District 2") the result is 0.7 of
// that. 1 means the same wording (equal in NFC), 0.99 equal once folded; everything else is
// at most 0.98. As a guide: above 0.6 they are probably one thing, below 0.5 probably
// not.
//
// Wordings of more than 256 letters or 64 words are measured by the words that they
// share alone, in linear time.
func Similarity(a, b string) float64 { return Prepare(a).Similarity(Prepare(b)) }

const (
	longLetters = 256
	longWords   = 64
)

// Similarity is the function of the same name, for prepared wordings.
func (p Prepared) Similarity(q Prepared) float64 {
	if p.nfc == q.nfc {
		return 1
	}
	if len(p.whole) == 0 || len(q.whole) == 0 {
		return 0
	}
	if p.key == q.key {
		return 0.99
	}
	if p.key > q.key {
		p, q = q, p // ties among words are broken the same way for both orders
	}
	var score float64
	if n := max(len(p.whole), len(q.whole)); n > longLetters || len(p.words) > longWords || len(q.words) > longWords {
		score = p.shared(q)
	} else {
		var rests [2][]rune
		score, rests = p.byWords(q)
		// The difference in length is the least that the distance can be.
		least := n - min(len(p.whole), len(q.whole))
		if score < letters(least, n) && slips(rests[0], rests[1]) {
			score = max(score, letters(distance(p.whole, q.whole), n))
		}
	}
	if p.numbers != q.numbers {
		score *= 0.7
	}
	return min(score, 0.98)
}

// letters is the measure by letters of two texts, the longer of n letters, that are d
// edits apart.
func letters(d, n int) float64 { return max(0, 1-1.6*float64(d)/float64(n)) }

// slips reports whether what is left of two wordings, their words once paired, may
// be one thing keyed wrong, and not two names that stand beside one that both have.
func slips(a, b []rune) bool {
	if min(len(a), len(b)) <= 2 { // an initial, "Jr", or nothing
		return true
	}
	return letters(distance(a, b), max(len(a), len(b))) >= 0.4
}

// shared is the part of all words that both wordings have.
func (p Prepared) shared(q Prepared) float64 {
	count := map[string]int{}
	for _, w := range p.words {
		count[string(w.letters)]++
	}
	both := 0
	for _, w := range q.words {
		if k := string(w.letters); count[k] > 0 {
			count[k]--
			both++
		}
	}
	return 2 * float64(both) / float64(len(p.words)+len(q.words))
}

// byWords is the measure by words, which it pairs: the most similar first, the
// earliest among equals. It returns the letters of the words that are left, too.
func (p Prepared) byWords(q Prepared) (float64, [2][]rune) {
	var usedP, usedQ uint64
	var paired float64
	restP, restQ := p.weight, q.weight
	take := func(i, j int, alike float64) {
		usedP, usedQ = usedP|1<<i, usedQ|1<<j
		restP, restQ = restP-p.words[i].weight, restQ-q.words[j].weight
		paired += alike * (p.words[i].weight + q.words[j].weight)
	}
	for i, w := range p.words {
		for j, v := range q.words {
			if usedQ&(1<<j) == 0 && equal(w.letters, v.letters) {
				take(i, j, 1)
				break
			}
		}
	}
	type candidate struct {
		i, j  int
		alike float64
	}
	var room [16]candidate
	found := room[:0]
	for i, w := range p.words {
		for j, v := range q.words {
			if usedP&(1<<i) == 0 && usedQ&(1<<j) == 0 {
				if a := w.alike(v); a > 0 {
					found = append(found, candidate{i, j, a})
				}
			}
		}
	}
	for {
		best := -1
		for k, c := range found {
			if usedP&(1<<c.i) == 0 && usedQ&(1<<c.j) == 0 && (best < 0 || c.alike > found[best].alike) {
				best = k
			}
		}
		if best < 0 {
			break
		}
		take(found[best].i, found[best].j, found[best].alike)
	}
	score := paired / (p.weight + q.weight) * (1 - min(restP, restQ)/min(p.weight, q.weight))
	if restP == 0 || restQ == 0 {
		return score, [2][]rune{}
	}
	return score, [2][]rune{p.left(usedP), q.left(usedQ)}
}

// left is the letters of the words that are not used.
func (p Prepared) left(used uint64) []rune {
	if used == 0 {
		return p.whole
	}
	var out []rune
	for i, w := range p.words {
		if used&(1<<i) == 0 {
			out = append(out, w.letters...)
		}
	}
	return out
}

func equal(a, b []rune) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

// alike says, from 0 to 1, how much two words that are not equal are alike.
func (w word) alike(v word) float64 {
	short, long := min(len(w.letters), len(v.letters)), max(len(w.letters), len(v.letters))
	switch {
	case w.number || v.number:
		return 0
	case short == 1:
		if w.letters[0] == v.letters[0] {
			return 0.7
		}
		return 0
	case short*5 < long*3:
		return 0
	}
	a := 1 - float64(distance(w.letters, v.letters))/float64(long)
	if a < 0.6 {
		return 0
	}
	return a
}
