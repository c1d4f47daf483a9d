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
	unnamed    bool     // before the first of them stands a wording that names none
	spoken     map[string]bool
	uncompared map[string]int
	holder     holder
	rest       string // the digest of what was not held, in hexadecimal digits
}

func newFragment() *fragment {
	f := &fragment{spoken: map[string]bool{}, uncompared: map[string]int{}}
	f.holder.into = &f.report.held
	return f
}

// renameRoot counts under the name of the root what was counted before the file said which it is.
func (f *fragment) renameRoot() {
	for name, count := range f.uncompared {
		if member, of := strings.CutPrefix(name, results.root+"."); of && f.report.is != results {
			delete(f.uncompared, name)
			f.uncompared[f.report.is.root+"."+member] += count
		}
	}
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
		f.unnamed = f.unnamed || len(w.text) > 0 && w.text[0].Language == "" && language == f.languages[0]
	}
	w.text = append(w.text, model.Phrase{Language: language, Words: text})
	return nil
}

const undetermined = "und"

// pool holds equal strings once. Ballots repeat each other, so what followed a string
// last time is looked at first.
type pool struct {
	held map[string]*pooled
	last *pooled
}

type pooled struct {
	v    string
	next *pooled // what was asked for after it, the last time
}

func newPool() *pool { return &pool{held: map[string]*pooled{}, last: &pooled{}} }

func (p *pool) bytes(b []byte) string {
	next := p.last.next
	if next == nil || next.v != string(b) {
		if next = p.held[string(b)]; next == nil {
			next = &pooled{v: string(b)}
			p.held[next.v] = next
		}
		p.last.next = next
	}
	p.last = next
	return next.v
}

func (p *pool) string(v string) string {
	if have := p.held[v]; have != nil {
		return have.v
	}
	p.held[v] = &pooled{v: v}
	return v
}
