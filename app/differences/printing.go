package differences

import (
	"io"

	"counterproof/app/desk/findings"
)

// Print returns the list of differences as the filter leaves it, to be printed.
func (p *Place) Print() (name string, write func(io.Writer) error) {
	if p.list == nil {
		return "", nil
	}
	return "differences.html", findings.Printed(p.rows, p.filter.Text).Write
}
