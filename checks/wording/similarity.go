package wording

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// Fold returns a key for searching and pairing: small letters, accents
// stripped, punctuation and spaces collapsed to single spaces, invisible characters
// left out. It is not what is compared: wordings with equal keys may well differ.
func Fold(s string) string {
	for i := 0; i < len(s); i++ {
		if s[i] >= utf8.RuneSelf {
			s = norm.NFD.String(s)
			break
		}
	}
	b := make([]byte, 0, len(s))
	gap := false
	for i := 0; i < len(s); {
		r, n := decode(s[i:])
		switch classify(r) {
		case space:
			gap = true
		case mark:
			gap = gap || !isApostrophe(r)
		case letter:
			if gap && len(b) > 0 {
				b = append(b, ' ')
			}
			gap = false
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

func isApostrophe(r rune) bool {
	return strings.ContainsRune("'’‘‛`´ʹʻʼʽˈ′Ꞌꞌ＇.", r)
}

// Distance counts the edits that turn one wording into the other: letters
// (code points in NFC) inserted, deleted, replaced, or swapped with the neighbour
// (the optimal string alignment variant of Damerau-Levenshtein distance).
func Distance(a, b string) int {
	return distance([]rune(Normal(a)), []rune(Normal(b)))
}

func distance(a, b []rune) int {
	for len(a) > 0 && len(b) > 0 && a[0] == b[0] {
		a, b = a[1:], b[1:]
	}
	for len(a) > 0 && len(b) > 0 && a[len(a)-1] == b[len(b)-1] {
		a, b = a[:len(a)-1], b[:len(b)-1]
	}
	if len(a) == 0 || len(b) == 0 {
		return len(a) + len(b)
	}
	if len(a) > scriptLimit || len(b) > scriptLimit {
		return max(len(a), len(b))
	}
	var rows [3 * 64]int32
	m := len(b) + 1
	buf := rows[:]
	if 3*m > len(buf) {
		buf = make([]int32, 3*m)
	}
	older, old, row := buf[:m], buf[m:2*m], buf[2*m:3*m]
	for j := range old {
		old[j] = int32(j)
	}
	for i := range a {
		row[0] = int32(i + 1)
		for j := range b {
			cost := int32(1)
			if a[i] == b[j] {
				cost = 0
			}
			d := min(row[j]+1, old[j+1]+1, old[j]+cost)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				d = min(d, older[j-1]+1)
			}
			row[j+1] = d
		}
		older, old, row = old, row, older
	}
	return int(old[m-1])
}

// Prepared is a wording made ready for many comparisons.
type Prepared struct {
	key     string
	whole   []rune   // the key without spaces
	tokens  [][]rune // the words of the key
	numbers string   // its digits
}

// Prepare makes a wording ready for Similarity.
func Prepare(s string) Prepared {
	p := Prepared{key: Fold(s)}
	for _, t := range strings.Fields(p.key) {
		r := []rune(t)
		p.tokens = append(p.tokens, r)
		p.whole = append(p.whole, r...)
		if strings.IndexFunc(t, unicode.IsDigit) >= 0 {
			p.numbers += t + " "
		}
	}
	return p
}

// Similarity is a measure, from 0 to 1, of how likely two wordings are meant to
// be the same.
func Similarity(a, b string) float64 { return Prepare(a).Similarity(Prepare(b)) }

// Similarity is the function of the same name, for prepared wordings.
func (p Prepared) Similarity(q Prepared) float64 {
	if p.key == q.key {
		return 1
	}
	n := max(len(p.whole), len(q.whole))
	if len(p.whole) == 0 || len(q.whole) == 0 {
		return 0
	}
	score := max(0, 1-1.6*float64(distance(p.whole, q.whole))/float64(n))
	score = max(score, overlap(p.tokens, q.tokens))
	if p.numbers != q.numbers {
		score *= 0.7
	}
	return min(score, 0.99)
}

func weigh(t []rune) float64 {
	if len(t) == 1 && !unicode.IsDigit(t[0]) {
		return 0.5
	}
	return 1
}

func overlap(a, b [][]rune) float64 {
	if len(a) > 64 || len(b) > 64 {
		return 0
	}
	var used uint64
	var total, matched, restA, restB float64
	for _, t := range b {
		total += weigh(t)
	}
	restB = total
	sumA := 0.0
	for _, t := range a {
		w := weigh(t)
		sumA += w
		best, at := 0.0, -1
		for j, u := range b {
			if used&(1<<j) != 0 {
				continue
			}
			if s := alike(t, u); s > best {
				best, at = s, j
			}
		}
		if at < 0 {
			restA += w
			continue
		}
		used |= 1 << at
		v := weigh(b[at])
		matched += best * (w + v)
		restB -= v
	}
	score := matched / (sumA + total)
	return score * (1 - min(restA, restB)/min(sumA, total))
}

func alike(t, u []rune) float64 {
	n := max(len(t), len(u))
	if len(t) == 1 || len(u) == 1 {
		if t[0] == u[0] {
			if n == 1 {
				return 1
			}
			return 0.7
		}
		return 0
	}
	if min(len(t), len(u))*5 < n*3 {
		return 0
	}
	s := 1 - float64(distance(t, u))/float64(n)
	if s < 0.6 {
		return 0
	}
	return s
}
