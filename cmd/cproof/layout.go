package main

import (
	"strings"
	"unicode/utf8"

	"github.com/clipperhouse/displaywidth"

	"counterproof/checks/finding"
	"counterproof/checks/wording"
)

// sheet collects text for a page layout.
type sheet struct {
	page page
	text strings.Builder
	// after, if set, writes more below each finding.
	after func(finding.Finding)
}

// line writes a line unchanged.
func (s *sheet) line(text string) {
	s.text.WriteString(strings.TrimRight(text, " "))
	s.text.WriteByte('\n')
}

// paragraph writes text wrapped to the page.
func (s *sheet) paragraph(text string) { s.hanging("", "", text) }

// hanging writes lead and then the text, with further lines aligned under the first. It colors the
// lead, if a color is given. Text from an export can neither control a terminal here nor hide on
// it.
func (s *sheet) hanging(lead, colour, text string) {
	margin := displaywidth.String(lead)
	for i, line := range wrap(harmless(text), s.page.Width-margin) {
		if i == 0 {
			s.line(s.page.paint(colour, lead) + line)
		} else {
			s.line(strings.Repeat(" ", margin) + line)
		}
	}
}

// harmless removes the effect of characters that control a terminal or are invisible. It does not
// change text that was already made visible, such as parts of checks' messages.
func harmless(text string) string {
	if strings.ContainsFunc(text, unseen) || !utf8.ValidString(text) {
		return wording.Visible(text)
	}
	return text
}

// rule writes a heading followed by a line across the page.
func (s *sheet) rule(title, colour string) {
	dashes := max(s.page.Width-displaywidth.String(title)-1, 3)
	s.line(s.page.paint(colour, title) + " " + s.page.paint(colourFaint, strings.Repeat("-", dashes)))
}

// narrowest is the minimum width for text.
const narrowest = 16

// wrap breaks text into lines of at most the given number of terminal columns, at spaces if
// possible, and between characters if a word is longer than a line. It never splits a character
// that is drawn as one.
func wrap(text string, width int) []string {
	width = max(width, narrowest)
	var lines []string
	for text != "" {
		end, next := lineEnd(text, width)
		lines = append(lines, text[:end])
		text = text[next:]
	}
	return lines
}

// lineEnd returns where the first line of text ends, and where the next line begins.
func lineEnd(text string, width int) (end, next int) {
	used, at := 0, 0
	space := -1 // the last space at which the line can end
	for graphemes := displaywidth.StringGraphemes(text); graphemes.Next(); {
		value := graphemes.Value()
		if value == " " && at > 0 {
			space = at
		}
		used += graphemes.Width()
		if used > width && at > 0 {
			if space > 0 {
				return space, space + 1
			}
			return at, at
		}
		at += len(value)
	}
	return len(text), len(text)
}
