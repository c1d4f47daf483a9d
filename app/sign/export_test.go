package sign

import (
	"counterproof/checks/report"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// What the tests of the place in the window see of its inside.

func (p *Place) Ready() bool                           { return p.ready() }
func (p *Place) Missing() []review.Missing             { return p.missing }
func (p *Place) Excepted() map[string]string           { return p.excepted }
func (p *Place) Make()                                 { p.make() }
func (p *Place) Way(m review.Missing) (string, func()) { return p.way(m) }
func (p *Place) Past() []*report.Report                { return p.past }
func (p *Place) Ask(r *report.Report, form string)     { p.ask(r, form) }
func (p *Place) Snapshot() *review.Snapshot            { return p.snapshot }

// ShowDigest shows a digest in the place of the report's own.
func (p *Place) ShowDigest(d casefile.Digest) {
	p.digest = d
	p.show()
}
