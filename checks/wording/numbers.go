package wording

import (
	"slices"
	"strconv"
	"strings"
	"unicode"
)

// Numbers are what a wording says in numbers, to hold two languages against each other.
type Numbers struct {
	// digits are the numbers written in digits of any script, words those written in words, months
	// the months by name: only of a language whose words are known.
	digits, words, months []string
	// known is set where the words of the language are known.
	known bool
	// written is how the wording writes each number.
	written map[string]string
	// maybe are words that may mean a number and something else: one and an article, May and the
	// verb. The other language may have such a number or not.
	maybe []string
}

// numberWords and monthNames are those of English and Spanish. "un" and "una" are articles too, and
// so is what they stand for.
var (
	numberWords = map[string]map[string]int{
		"en": {"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10,
			"eleven": 11, "twelve": 12},
		"es": {"uno": 1, "dos": 2, "tres": 3, "cuatro": 4, "cinco": 5, "seis": 6, "siete": 7, "ocho": 8, "nueve": 9,
			"diez": 10, "once": 11, "doce": 12},
	}
	monthNames = map[string]map[string]int{
		"en": {"january": 1, "february": 2, "march": 3, "april": 4, "june": 6, "july": 7, "august": 8,
			"september": 9, "october": 10, "november": 11, "december": 12},
		"es": {"enero": 1, "febrero": 2, "marzo": 3, "abril": 4, "mayo": 5, "junio": 6, "julio": 7, "agosto": 8,
			"septiembre": 9, "setiembre": 9, "octubre": 10, "noviembre": 11, "diciembre": 12},
	}
)

// NumbersOf reads the numbers of a wording in a language (BCP 47).
func NumbersOf(words, language string) Numbers {
	base, _, _ := strings.Cut(strings.ToLower(language), "-")
	n := Numbers{known: numberWords[base] != nil, written: map[string]string{}}
	note := func(list *[]string, number, written string) {
		*list, n.written[number] = append(*list, number), written
	}
	noLetter := func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsMark(r) }
	for _, w := range strings.FieldsFunc(strings.ToLower(words), noLetter) {
		switch {
		case numberWords[base][w] > 1:
			note(&n.words, strconv.Itoa(numberWords[base][w]), w)
		case numberWords[base][w] == 1, base == "es" && (w == "un" || w == "una"):
			note(&n.maybe, "1", w)
		case w == "may":
			note(&n.maybe, "5", w)
		case monthNames[base][w] > 0:
			note(&n.months, strconv.Itoa(monthNames[base][w]), w)
		}
	}
	for _, number := range digitNumbers(words) {
		note(&n.digits, number.value, number.written)
	}
	slices.Sort(n.digits)
	slices.Sort(n.words)
	slices.Sort(n.months)
	return n
}

type number struct{ value, written string }

// digitNumbers lists the numbers written in digits, without what only groups digits: 1,000
// and 1.000 and 1 000 are one number, 2.5 and 2,5 are two.
func digitNumbers(words string) []number {
	var out []number
	runes := []rune(words)
	for i := 0; i < len(runes); {
		if digitOf(runes[i]) < 0 {
			i++
			continue
		}
		var groups []string
		var between rune // the first mark between groups of digits
		begin := i
		for {
			var b strings.Builder
			for ; i < len(runes) && digitOf(runes[i]) >= 0; i++ {
				b.WriteByte(byte('0' + digitOf(runes[i])))
			}
			groups = append(groups, b.String())
			if i+1 >= len(runes) || !strings.ContainsRune(".,'’\u00a0\u202f ", runes[i]) || digitOf(runes[i+1]) < 0 {
				break
			}
			if between == 0 {
				between = runes[i]
			}
			i++
		}
		grouped := len(groups) > 1 && len(groups[0]) <= 3 &&
			!slices.ContainsFunc(groups[1:], func(g string) bool { return len(g) != 3 })
		if grouped {
			groups = []string{strings.Join(groups, "")}
		} else if len(groups) == 2 && strings.ContainsRune(".,", between) {
			groups = []string{strings.Join(groups, ".")} // a decimal
		}
		for _, g := range groups {
			if g = strings.TrimLeft(g, "0"); g == "" {
				g = "0"
			}
			out = append(out, number{g, string(runes[begin:i])})
		}
	}
	return out
}

// digitOf is the value of a decimal digit of any script, -1 for other characters. The ranges of
// Unicode's category Nd hold the digits of each script in order, from zero.
func digitOf(r rune) int {
	if r < 0x80 {
		if r >= '0' && r <= '9' {
			return int(r - '0')
		}
		return -1
	}
	for _, in := range unicode.Nd.R16 {
		if r >= rune(in.Lo) && r <= rune(in.Hi) {
			return int(r-rune(in.Lo)) % 10
		}
	}
	for _, in := range unicode.Nd.R32 {
		if r >= rune(in.Lo) && r <= rune(in.Hi) {
			return int(r-rune(in.Lo)) % 10
		}
	}
	return -1
}

// SameNumbers reports whether two wordings of one thing in two languages say the same in numbers,
// as far as their words are known: the same digits, and the same words for numbers and months, each
// of which may also stand in digits on the other side.
func SameNumbers(a, b Numbers) bool {
	if len(a.digits) == len(b.digits) && !slices.Equal(a.digits, b.digits) && len(a.words)+len(a.months) == 0 &&
		len(b.words)+len(b.months) == 0 {
		return false // 10, 12, 10 and 10, 12, 12 have the same members
	}
	return a.within(b) && b.within(a)
}

// within reports whether the other wording has all that n has.
func (n Numbers) within(other Numbers) bool { return len(n.Beyond(other)) == 0 }

// Beyond lists, as the wording writes them, the numbers that the other wording lacks: digits as such
// or in words, words and months where the other language's are known.
func (n Numbers) Beyond(other Numbers) (out []string) {
	has := set(other.digits, other.words, other.months, other.maybe)
	list := n.digits
	if other.known {
		list = slices.Concat(n.digits, n.words, n.months)
	}
	for _, number := range list {
		if w := n.written[number]; !has[number] && !slices.Contains(out, w) {
			out = append(out, w)
		}
	}
	return out
}

func set(lists ...[]string) map[string]bool {
	out := map[string]bool{}
	for _, x := range slices.Concat(lists...) {
		out[x] = true
	}
	return out
}
