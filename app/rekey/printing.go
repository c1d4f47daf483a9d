package rekey

import (
	"io"
)

// Print returns the open page, to be printed.
func (p *Place) Print() (name string, write func(io.Writer) error) {
	if p.r == nil {
		return "", nil
	}
	page := p.screen().d.Printed()
	return page.Title + ".html", page.Write
}
