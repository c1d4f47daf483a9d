package main

import (
	"bufio"
	"fmt"
	"io"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"counterproof/checks"
	"counterproof/checks/finding"
)

// The names of the JSON formats. A key may be added to a format, but never renamed or removed; a
// change of meaning gets a new number.
const (
	resultFormat  = "counterproof-result/1"
	inspectFormat = "counterproof-inspect/1"
)

// resultObject is the JSON of a comparison.
type resultObject struct {
	Format   string            `json:"format"`
	Inputs   []input           `json:"inputs"`
	Options  optionsObject     `json:"options"`
	Summary  checks.Summary    `json:"summary"`
	Findings []finding.Finding `json:"findings"`
	Causes   []checks.Cause    `json:"causes"`
	Coverage checks.Coverage   `json:"coverage"`
	Cautions []string          `json:"cautions"`
	// Notes say what a person should know of how tables were read.
	Notes []string `json:"notes"`
}

// optionsObject repeats the options of the comparison: two results are comparable only if these are
// equal.
type optionsObject struct {
	Elections []string `json:"elections"`
	Language  string   `json:"language"`
	UnitLimit int      `json:"unit_limit"`
}

// writeJSON writes the value as one indented JSON object and a line feed. Every key is written, an
// empty list as [], and equal values give equal bytes. Characters that could control a terminal or
// are invisible are written as \u escapes, which does not change the meaning of the JSON.
func writeJSON(w io.Writer, value any) error {
	escaped := newEscaper(w)
	err := json.MarshalWrite(escaped, value,
		jsontext.WithIndent(" "), json.Deterministic(true), jsontext.AllowInvalidUTF8(true))
	if err != nil {
		return err
	}
	if err := escaped.to.WriteByte('\n'); err != nil {
		return err
	}
	return escaped.to.Flush()
}

// escaper replaces non-ASCII characters without a visible shape by their JSON escapes. In JSON they
// can occur only inside a string.
type escaper struct {
	to *bufio.Writer
	// rest holds the first bytes of a character that the last write split.
	rest []byte
}

func newEscaper(w io.Writer) *escaper { return &escaper{to: bufio.NewWriterSize(w, 1<<16)} }

func (e *escaper) Write(data []byte) (int, error) {
	length := len(data)
	if len(e.rest) > 0 {
		data = append(e.rest, data...)
		e.rest = nil
	}
	plain := 0
	for i := 0; i < len(data); {
		if data[i] < utf8.RuneSelf && data[i] != 0x7f {
			i++
			continue
		}
		if !utf8.FullRune(data[i:]) {
			e.rest = append([]byte(nil), data[i:]...)
			data = data[:i]
			break
		}
		r, size := utf8.DecodeRune(data[i:])
		if !unseen(r) {
			i += size
			continue
		}
		if _, err := e.to.Write(data[plain:i]); err != nil {
			return 0, err
		}
		for _, unit := range utf16.Encode([]rune{r}) {
			if _, err := fmt.Fprintf(e.to, `\u%04x`, unit); err != nil {
				return 0, err
			}
		}
		i += size
		plain = i
	}
	if _, err := e.to.Write(data[plain:]); err != nil {
		return 0, err
	}
	return length, nil
}

// unseen reports whether a character is not drawn or changes how others are drawn: controls, format
// characters (bidirectional controls, zero-width characters, tags), line and paragraph separators,
// variation selectors.
func unseen(r rune) bool {
	return unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp, unicode.Variation_Selector)
}
