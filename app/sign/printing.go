package sign

import "io"

// Print returns the report, to be printed.
func (p *Place) Print() (name string, write func(io.Writer) error) {
	if p.made == nil {
		return "", nil
	}
	return "report.pdf", p.made.PDF
}
