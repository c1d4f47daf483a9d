package units

import "counterproof/app/desk/findings"

// Rows is what the tests of the place in the window see of its inside.
func (p *Place) Rows() []*findings.Unit { return p.rows }
