package cdf

import (
	"strings"

	"counterproof/model"
)

// fragment is what one part holds.
type fragment struct {
	report     report
	others     []other
	languages  []string // in order of first use
	spoken     map[string]bool
	uncompared map[string]int
}

func newFragment() *fragment {
	return &fragment{spoken: map[string]bool{}, uncompared: map[string]int{}}
}

func (f *fragment) language(l string) {
	if !f.spoken[l] {
		f.spoken[l] = true
		f.languages = append(f.languages, l)
	}
}

// add appends a phrase. "und", the tag for an undetermined language (BCP 47), is
// the same as none.
func (w *words) add(language, text string, f *fragment, at pos) *Error {
	if len(w.text) == maxPhrases {
		return &Error{Line: int(at.line), Element: "InternationalizedText", Fault: "more than " + decimal(maxPhrases) +
			" texts in one", Remedy: absurd}
	}
	if strings.EqualFold(language, undetermined) {
		language = ""
	}
	if language != "" {
		f.language(language)
	}
	w.text = append(w.text, model.Phrase{Language: language, Words: text})
	return nil
}

const undetermined = "und"

// pool holds equal strings once.
type pool map[string]string

func (p pool) string(v string) string {
	if have, ok := p[v]; ok {
		return have
	}
	p[v] = v
	return v
}

func (p pool) bytes(b []byte) string {
	if have, ok := p[string(b)]; ok {
		return have
	}
	v := string(b)
	p[v] = v
	return v
}
