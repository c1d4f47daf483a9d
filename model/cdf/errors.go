package cdf

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Error says in one line what is wrong with an export, where, and what would be
// right.
type Error struct {
	File string
	// Line is counted from 1; 0 where the fault has no line.
	Line int
	// Element is the element, attribute or thing at fault; it may be empty.
	Element string
	Fault   string
	Remedy  string
	// Err is the cause, if there is one (ErrNoStyles, ErrWhichElection, an error
	// of the file system or of a library). Fault already says it.
	Err error
}

// ErrNoStyles marks an export without ballot styles: it cannot be compared.
var ErrNoStyles = errors.New("no ballot styles")

// ErrPartMissing marks a report of which not all parts were given.
var ErrPartMissing = errors.New("a part of the report is missing")

// ErrWhichElection marks an export of several elections of which none was asked
// for, or one that it does not hold.
var ErrWhichElection = errors.New("which election is not clear")

func (e *Error) Error() string {
	var b strings.Builder
	b.WriteString(printable(e.File, 1000))
	if e.Line > 0 {
		fmt.Fprintf(&b, ", line %d", e.Line)
	}
	if e.Element != "" {
		b.WriteString(", " + printable(e.Element, 100))
	}
	b.WriteString(": " + printable(e.Fault, 1000))
	if e.Remedy != "" {
		b.WriteString("; " + printable(e.Remedy, 1000))
	}
	return b.String()
}

func (e *Error) Unwrap() error { return e.Err }

// quote shows a value of the file in a message.
func quote(s string) string {
	return `"` + printable(strings.ReplaceAll(s, `"`, `\"`), 60) + `"`
}

// printable keeps what comes from a file on one line of at most so many bytes, and
// escapes everything that a terminal might obey.
func printable(s string, most int) string {
	cut := len(s) > most
	if cut {
		n := most
		for n > 0 && !utf8.RuneStart(s[n]) {
			n--
		}
		s = s[:n]
	}
	var b strings.Builder
	for _, r := range s {
		if unicode.IsPrint(r) {
			b.WriteRune(r)
		} else {
			fmt.Fprintf(&b, "\\u%04x", r)
		}
	}
	if cut {
		b.WriteString("…")
	}
	return b.String()
}

func decimal(n int) string { return strconv.Itoa(n) }
