package machines

import "counterproof/app/desk/machines"

// Work is what the tests of the place in the window see of its inside.
func (p *Place) Work() *machines.Work { return p.work }
