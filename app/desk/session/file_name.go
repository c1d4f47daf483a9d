package session

import (
	"strings"
	"unicode"
)

// FileName makes of a name, such as that of an election, one that a file can have on every system.
func FileName(s string) string {
	s = strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) || strings.ContainsRune(" -_.", r) {
			return r
		}
		return '-'
	}, strings.TrimSpace(s))
	if s = strings.Trim(s, ". "); s == "" {
		return "election"
	}
	return s
}
