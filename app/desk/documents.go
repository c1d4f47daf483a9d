package desk

import (
	"cmp"
	"slices"
	"strings"
	"unicode"

	"counterproof/checks/wording"
	"counterproof/model/casefile"
)

// putOnDesk makes a document the one from which contests to come are keyed.
func (k *Keying) putOnDesk(document string) {
	if document == NothingMark {
		document = ""
	}
	if document == k.document {
		return
	}
	k.document = document
	if k.keep != nil && !k.Correcting() {
		k.keep(cmp.Or(document, NothingMark))
	}
}

// documents are those from which contests were keyed, and the one on the desk.
func (k *Keying) documents() []string {
	out := k.own(casefile.Contests, "source")
	if k.document != "" && !slices.Contains(out, k.document) {
		out = append(out, k.document)
	}
	return out
}

// sameDocument reports whether two names are spellings of one document: the same numbers, and the same
// words in any order but for a letter or two ("Ballot proof of October 8, 2027", "ballot proof, 8 October
// 2027").
func sameDocument(a, b string) bool {
	letters, numbers := documentWords(a)
	others, with := documentWords(b)
	return letters != "" && others != "" && slices.Equal(numbers, with) &&
		wording.Distance(letters, others) <= min(2, len(letters)/8)
}

func documentWords(name string) (words string, numbers []string) {
	list := strings.FieldsFunc(wording.Fold(name), func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r)
	})
	var letters []string
	for _, w := range list {
		switch {
		case strings.ContainsFunc(w, unicode.IsDigit):
			numbers = append(numbers, w)
		case w != "of" && w != "the":
			letters = append(letters, w)
		}
	}
	slices.Sort(letters)
	slices.Sort(numbers)
	return strings.Join(letters, " "), numbers
}
