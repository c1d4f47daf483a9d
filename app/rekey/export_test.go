package rekey

import "counterproof/app/desk"

// What the tests of the place in the window see of its inside.

func (p *Place) Desk() *desk.Keying     { return p.desk }
func (p *Place) SetDesk(k *desk.Keying) { p.desk = k }
func (p *Place) Screen() *Screen        { return p.r }
