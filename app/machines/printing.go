package machines

import (
	"io"
	"time"

	"counterproof/checks/report"
)

// pages are the pages that are printed; nil where nothing is known yet.
func (p *Place) pages() *report.LoadingPages {
	m := p.work.Machines()
	if m == nil {
		return nil
	}
	return report.PagesOf(m, time.Now())
}

// Print returns the load sheets, to be printed.
func (p *Place) Print() (name string, write func(io.Writer) error) {
	if pages := p.pages(); pages != nil {
		return "load sheets.pdf", pages.LoadSheets
	}
	return "", nil
}

// printLabels prints the labels of the cards.
func (p *Place) printLabels() {
	if pages := p.pages(); pages != nil {
		p.w.PrintPages("labels for cards.pdf", pages.CardLabels)
	}
}
