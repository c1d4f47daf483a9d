package cdf

import (
	"fmt"
	"io"
)

// lineReader counts lines for the decoder's offsets, and keeps the decoder from
// holding an endless string.
type lineReader struct {
	in    io.Reader
	limit int64        // bytes of the whole file
	read  func() int64 // how much the decoder has passed

	got  int64
	ends []int64 // offsets of line ends not yet passed
	line int     // of the place asked for last
}

func (l *lineReader) Read(p []byte) (int, error) {
	switch passed := l.read(); {
	case l.got-passed > maxText:
		return 0, &Error{Line: l.at(passed), Fault: fmt.Sprintf("a value longer than %d MiB", maxText>>20), Remedy: absurd}
	case l.got > l.limit:
		return 0, &Error{Line: l.at(passed), Fault: larger(l.limit), Remedy: tooLarge}
	}
	n, err := l.in.Read(p)
	for i, b := range p[:n] {
		if b == '\n' {
			l.ends = append(l.ends, l.got+int64(i))
		}
	}
	l.got += int64(n)
	return n, err
}

// at returns the line of an offset that is not before the one asked for last.
func (l *lineReader) at(offset int64) int {
	passed := 0
	for passed < len(l.ends) && l.ends[passed] < offset {
		passed++
	}
	l.ends = l.ends[passed:]
	l.line += passed
	return l.line
}
