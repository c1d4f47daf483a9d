package main

import (
	"io"
	"os"

	"golang.org/x/term"
)

// page is the layout for the current output.
type page struct {
	// Width is the number of columns to wrap at.
	Width int
	// Colour allows escape sequences for colour.
	Colour bool
}

// plainWidth is used if the output is not a terminal.
const plainWidth = 80

// The narrowest and widest layouts. In a narrower one the columns do not fit; in a wider one the
// eye loses the line.
const (
	leastWidth = 40
	mostWidth  = 120
)

// pageFor returns the layout for w. For a terminal it is the terminal's width, with color unless
// NO_COLOR is set (no-color.org: set and not empty) or the terminal is a "dumb" one. For anything
// else it is 80 columns without color.
func pageFor(w io.Writer, getenv func(string) string) page {
	file, ok := w.(*os.File)
	if !ok || !term.IsTerminal(int(file.Fd())) {
		return page{Width: plainWidth}
	}
	p := page{Width: plainWidth, Colour: getenv("NO_COLOR") == "" && getenv("TERM") != "dumb" && obeysEscapes(file)}
	if width, _, err := term.GetSize(int(file.Fd())); err == nil && width > 0 {
		p.Width = min(max(width, leastWidth), mostWidth)
	}
	return p
}

// obeysEscapes reports whether a terminal obeys escape sequences, after asking it to.
func obeysEscapes(terminal *os.File) bool { return enableEscapes(terminal.Fd()) == nil }

// isTerminal reports whether w is a terminal.
func isTerminal(w io.Writer) bool {
	file, ok := w.(*os.File)
	return ok && term.IsTerminal(int(file.Fd()))
}

// The colors, by meaning. A color only repeats what the words say.
const (
	colourMustFix = "\x1b[1;31m"
	colourConfirm = "\x1b[1;33m"
	colourNote    = "\x1b[1;36m"
	colourHeading = "\x1b[1m"
	colourFaint   = "\x1b[2m"
	colourOff     = "\x1b[0m"
)

// paint colors text if the page allows it.
func (p page) paint(colour, text string) string {
	if !p.Colour || text == "" {
		return text
	}
	return colour + text + colourOff
}
