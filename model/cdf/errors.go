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

// ErrWhichElection marks an export of several elections of which none was asked
// for, or one that it does not hold.
var ErrWhichElection = errors.New("which election is not clear")

func (e *Error) Error() string {
	var b strings.Builder
	b.WriteString(e.File)
	if e.Line > 0 {
		fmt.Fprintf(&b, ", line %d", e.Line)
	}
	if e.Element != "" {
		b.WriteString(", " + e.Element)
	}
	b.WriteString(": " + e.Fault)
	if e.Remedy != "" {
		b.WriteString("; " + e.Remedy)
	}
	return b.String()
}

func (e *Error) Unwrap() error { return e.Err }

// quote shows a value of the file in a message: shortened, on one line, with
// everything that a terminal might obey escaped.
func quote(s string) string {
	const most = 60
	cut := false
	if len(s) > most {
		n := most
		for n > 0 && !utf8.RuneStart(s[n]) {
			n--
		}
		s, cut = s[:n], true
	}
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case unicode.IsPrint(r):
			b.WriteRune(r)
		default:
			fmt.Fprintf(&b, "\\u%04x", r)
		}
	}
	if cut {
		b.WriteString("…")
	}
	b.WriteByte('"')
	return b.String()
}

func decimal(n int) string { return strconv.Itoa(n) }
