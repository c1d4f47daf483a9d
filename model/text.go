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

// Only returns the wording marked with the language, compared without regard to case, and
// whether there is one. Unlike In it never returns the wording of another language.
func (t Text) Only(language string) (words string, ok bool) {
	for _, p := range t {
		if strings.EqualFold(p.Language, language) {
			return p.Words, true
		}
	}
	return "", false
}

// Has reports whether the text has wording marked with the language.
func (t Text) Has(language string) bool {
	_, ok := t.Only(language)
	return ok
}

// LanguageTag returns a tag of BCP 47 (RFC 5646, section 2.1.1) as the RFC writes it:
// "es", "zh-Hant", "es-US". It is false for what is no such tag: two or three letters,
// then parts of at most eight letters and digits, at most 35 characters (section 4.4.1).
// Whether the language exists is not looked up.
func LanguageTag(written string) (tag string, ok bool) {
	if len(written) > 35 {
		return "", false
	}
	parts := strings.Split(strings.ToLower(written), "-")
	for i, p := range parts {
		letters := strings.Trim(p, "abcdefghijklmnopqrstuvwxyz") == ""
		switch {
		case i == 0 && (!letters || len(p) < 2 || len(p) > 3):
			return "", false
		case p == "" || len(p) > 8 || strings.Trim(p, "abcdefghijklmnopqrstuvwxyz0123456789") != "":
			return "", false
		case i > 0 && len(p) == 2 && len(parts[i-1]) > 1:
			parts[i] = strings.ToUpper(p)
		case i > 0 && len(p) == 4 && letters && len(parts[i-1]) > 1:
			parts[i] = strings.ToUpper(p[:1]) + p[1:]
		}
	}
	return strings.Join(parts, "-"), true
}
