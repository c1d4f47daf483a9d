package main

import (
	"strings"
	"unicode/utf8"

	"counterproof/checks/wording"
)

// A text longer than longText characters, such as a measure's, is shown only around its
// differences, with up to roundabout characters on either side: nobody finds one changed word in
// two pages. The JSON and the CSV have the whole text.
const (
	longText   = 400
	roundabout = 80
)

// cutMark replaces text that both sides share and that is not shown.
const cutMark = "(…)"

// excerpts returns two texts without the long stretches that they share. Short texts are returned
// unchanged. Differences are never cut, and a cut is made on both sides.
func excerpts(primary, second string) (string, string) {
	if max(utf8.RuneCountInString(primary), utf8.RuneCountInString(second)) <= longText {
		return primary, second
	}
	var a, b strings.Builder
	steps := wording.Readable(primary, second)
	for i, step := range steps {
		switch step.Op {
		case wording.Keep:
			text := shortened(step.Text, i > 0, i < len(steps)-1)
			a.WriteString(text)
			b.WriteString(text)
		case wording.Drop:
			a.WriteString(step.Text)
		case wording.Add:
			b.WriteString(step.Text)
		}
	}
	return a.String(), b.String()
}

// shortened cuts shared text down to the words beside a difference: its first words if a difference
// is before it, its last words if one follows.
func shortened(text string, before, after bool) string {
	head, tail := "", ""
	if before {
		head = firstWords(text)
	}
	if after {
		tail = lastWords(text)
	}
	if len(head)+len(tail)+len(cutMark)+2 >= len(text) {
		return text
	}
	if head != "" {
		head += " "
	}
	if tail != "" {
		tail = " " + tail
	}
	return head + cutMark + tail
}

// firstWords returns the whole words at the start of text that fit into roundabout characters, and
// lastWords those at its end. Text is cut only at spaces, so no character is cut in two; a longer
// word is shown whole.
func firstWords(text string) string {
	end := 0
	for at, r := range text {
		if r != ' ' {
			continue
		}
		if end > 0 && utf8.RuneCountInString(text[:at]) > roundabout {
			return text[:end]
		}
		if at > 0 {
			end = at
		}
	}
	if end == 0 {
		return text
	}
	return text[:end]
}

func lastWords(text string) string {
	start := len(text)
	for at := len(text) - 1; at >= 0; at-- {
		if text[at] != ' ' {
			continue
		}
		if start < len(text) && utf8.RuneCountInString(text[at+1:]) > roundabout {
			return text[start:]
		}
		if at+1 < len(text) {
			start = at + 1
		}
	}
	if start == len(text) {
		return text
	}
	return text[start:]
}
