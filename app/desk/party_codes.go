package desk

import (
	"regexp"
	"slices"
	"strings"

	"counterproof/checks/wording"
	"counterproof/model/casefile"
)

// The codes of party lines at the end of a line of a certified list.
var (
	// codesApart stand apart from the name: after two blanks, a tab, a dash, or in brackets.
	codesApart = regexp.MustCompile(
		`^(.*?\S)(?:\s{2,}|\t\s*|\s*[(\[]\s*|\s+[–—-]\s+)([\p{L}\p{N}]{1,8}(?:\s*[,|/]\s*[\p{L}\p{N}]{1,8})*)\s*[)\]]?$`)
	// wordAtEnd is the last word after one blank, a comma or a stroke.
	wordAtEnd = regexp.MustCompile(`^(.*\S)\s*[\s,/|]\s*([\p{L}\p{N}]+)$`)
	// partyNamed is what stands in brackets or after a comma.
	partyNamed = regexp.MustCompile(`^(.*?\S)\s*(?:[(\[]\s*([^()\[\]]+?)\s*[)\]]|,\s*([^,]+))$`)
	codeLike   = regexp.MustCompile(`^\p{Lu}{2,5}$`)
	// suffixes end a name and are no parties.
	suffixes = []string{"II", "III", "IV", "VI", "VII", "JR", "SR", "MD", "DO", "ESQ", "PHD", "RN", "DDS", "CPA", "USA",
		"NO", "YES"}
)

// linesAtEnd takes the codes of party lines off the end of a line; lines are joined by "|", empty if
// there are none. A code in capitals is taken where it stands apart; behind a single blank only one
// that was keyed before, or capitals that a name in small letters goes before. A party's name as keyed
// stands for its code. It is sure of codes that stand apart or are known.
func (k *Keying) linesAtEnd(line string) (name, lines string, sure bool) {
	if m := partyNamed.FindStringSubmatch(line); m != nil {
		if code := k.codeOf(m[2] + m[3]); code != "" {
			return trim(m[1]), code, true
		}
	}
	if m := codesApart.FindStringSubmatch(line); m != nil {
		if list := splitCodes(m[2]); k.areCodes(list, m[2]) {
			for i := range list {
				list[i] = k.ownCode(list[i])
			}
			return trim(m[1]), strings.Join(list, "|"), true
		}
	}
	name = line
	var list []string
	for {
		m := wordAtEnd.FindStringSubmatch(name)
		if m == nil || !k.isCode(m[2], m[1]) {
			break
		}
		name = strings.TrimRight(m[1], ",/| ")
		list = slices.Insert(list, 0, m[2])
	}
	known := k.ownCodes()
	sure = len(list) > 0 && !slices.ContainsFunc(list, func(code string) bool { return !slices.Contains(known, code) })
	return trim(name), strings.Join(list, "|"), sure
}

func splitCodes(list string) []string {
	return strings.FieldsFunc(list, func(r rune) bool { return strings.ContainsRune(",|/ \t", r) })
}

// areCodes reports whether words that stand apart are codes: "Town of  Brightwater" has no party
// line; codes are in capitals, or known.
func (k *Keying) areCodes(list []string, typed string) bool {
	if strings.ToUpper(typed) == typed && strings.ToLower(typed) != typed {
		return true
	}
	known := k.ownCodes()
	return !slices.ContainsFunc(list, func(code string) bool { return !slices.Contains(known, k.ownCode(code)) })
}

// isCode reports whether the last word of a line is a party's code.
func (k *Keying) isCode(word, before string) bool {
	if slices.Contains(k.ownCodes(), word) {
		return true
	}
	return codeLike.MatchString(word) && !slices.Contains(suffixes, word) && strings.ToUpper(before) != before
}

// codeOf returns the code of the party of that name, as keyed.
func (k *Keying) codeOf(name string) (code string) {
	name = wording.Fold(name)
	k.e.Each(casefile.Parties, func(row int, _ []string) {
		full := wording.Fold(k.e.Value(casefile.Parties, row, "name"))
		if full != "" && (full == name || full == name+" party" || full+" party" == name) {
			code = k.e.Value(casefile.Parties, row, "party")
		}
	})
	return code
}
