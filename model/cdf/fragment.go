package cdf

import (
	"strings"

	"counterproof/model"
)

// fragment is what one piece holds.
type fragment struct {
	report report
	// continued says that the first election began in an earlier piece.
	continued  bool
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
		return &Error{Line: int(at.line), Element: "InternationalizedText", Fault: "more than " + decimal(maxPhrases) + " texts in one", Remedy: absurd}
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

// join appends the fragment of the piece that follows.
func (f *fragment) join(next *fragment) *Error {
	r, n := &f.report, &next.report
	if fault := joinSingles(r, r.singles(), n.singles()); fault != nil {
		return fault
	}
	more := n.elections
	if next.continued && len(more) > 0 && len(r.elections) > 0 {
		into, from := r.elections[len(r.elections)-1], more[0]
		more = more[1:]
		if fault := joinSingles(into, into.singles(), from.singles()); fault != nil {
			return fault
		}
		if from.name.at.line > 0 {
			if into.name.at.line > 0 {
				return twice(into, "Name", into.name.at.line, from.name.at.line)
			}
			into.name = from.name
		}
		into.styles = append(into.styles, from.styles...)
		into.contests = append(into.contests, from.contests...)
		into.candidates = append(into.candidates, from.candidates...)
	}
	r.elections = append(r.elections, more...)
	r.units = append(r.units, n.units...)
	r.parties = append(r.parties, n.parties...)
	r.headers = append(r.headers, n.headers...)
	f.others = append(f.others, next.others...)
	for _, l := range next.languages {
		f.language(l)
	}
	for what, count := range next.uncompared {
		f.uncompared[what] += count
	}
	return nil
}

func joinSingles(n node, into, from []single) *Error {
	for i, s := range from {
		if !s.in.given() {
			continue
		}
		if into[i].in.given() {
			return twice(n, s.name, into[i].in.at.line, s.in.at.line)
		}
		*into[i].in = *s.in
	}
	return nil
}

// shared holds equal strings once.
type shared map[string]string

func (s shared) string(v string) string {
	if have, ok := s[v]; ok {
		return have
	}
	s[v] = v
	return v
}

func (s shared) bytes(b []byte) string {
	if have, ok := s[string(b)]; ok {
		return have
	}
	v := string(b)
	s[v] = v
	return v
}
