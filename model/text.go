package model

import "strings"

// Text is wording as it stands on a ballot, in one or more languages
// (SP 1500-100, InternationalizedText). An empty Text says nothing in any
// language. The order is that of the source; the first language is the one that
// is compared unless another is asked for.
type Text []Phrase

// Phrase is the wording of a Text in one language.
type Phrase struct {
	// Language is an ISO 639 tag as the source wrote it ("en", "es-US"); empty
	// where the source names none, as in the second entry.
	Language string
	// Words is the wording, exactly as the source has it.
	Words string
}

// Plain returns wording for which no language is named, the way the second
// entry states it. Plain("") is an empty Text.
func Plain(words string) Text {
	if words == "" {
		return nil
	}
	return Text{{Words: words}}
}

// In returns the wording in the language asked for, compared without regard to
// case; where that language is missing, or language is empty, the first wording
// there is. It returns "" for an empty Text.
func (t Text) In(language string) string {
	if len(t) == 0 {
		return ""
	}
	if language != "" {
		for _, p := range t {
			if strings.EqualFold(p.Language, language) {
				return p.Words
			}
		}
	}
	return t[0].Words
}

// Has reports whether the text has wording marked with the language.
func (t Text) Has(language string) bool {
	for _, p := range t {
		if strings.EqualFold(p.Language, language) {
			return true
		}
	}
	return false
}
