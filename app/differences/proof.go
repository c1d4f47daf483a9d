package differences

import (
	"counterproof/app/desk/findings"
	"counterproof/model/casefile"
)

// openProof opens the printed proof that shows the finding in view: the card headers for a voting
// unit, else the face that it is on.
func (p *Place) openProof() {
	i := p.item()
	if i == nil {
		return
	}
	if i.Unit != "" {
		p.w.OpenProof(casefile.ScopeUnits, "")
		return
	}
	p.w.OpenProof(casefile.ScopeBallots, findings.ProofStyle(p.list.Snapshot, i))
}
