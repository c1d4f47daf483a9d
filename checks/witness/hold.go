package witness

import (
	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/model"
)

// listedValue is one field as the export, the second entry and the document have it.
type listedValue struct {
	unit
	field          finding.Field
	pc, sc         int  // the choice on each side; -1 for the contest itself
	export, second bool // states it
	// same: the entries agree. withExport, withSecond: the document agrees with them.
	same, withExport, withSecond bool
	// values are what the entries say, says the same as words of a sentence, listed what the document says,
	// at its place.
	values, says  [2]string
	listed, place string
	grade         finding.Grade
}

// hold records who stands alone, and reports where the document does.
func (x *examiner) hold(s listedValue) {
	if !s.export && !s.second {
		return
	}
	if s.export && s.second {
		v := verdictOf(s.same, s.withExport, s.withSecond)
		thing := finding.Contest
		if s.pc >= 0 || s.sc >= 0 {
			thing = finding.Choice
		}
		of := about{thing, s.pi, s.si, s.pc, s.sc, s.field}
		x.say(v, s.listed, of)
		// Where the entries differ and agree by a rule of the comparison, no finding tells of it.
		if v != ListAlone && (v != AllDiffer || x.claimed[of]) {
			return
		}
	} else if s.export && s.withExport || s.second && s.withSecond {
		return
	}
	f := x.pg.AboutChoice(finding.Finding{Grade: s.grade}, s.pi, s.pc, s.si, s.sc)
	f.Precincts = x.precinctsOf(s.unit)
	entered := s.says[1]
	if !s.second {
		entered = s.says[0]
	}
	if s.export {
		f.Primary = s.values[0]
	}
	if s.second {
		f.Second = s.values[1]
	}
	ref := finding.RefTo(finding.Contest, s.pi, s.si)
	if s.pc >= 0 || s.sc >= 0 {
		ref = finding.RefTo(finding.Choice, s.pi, s.si).Part(s.pc, s.sc)
	}
	f.Claims = ref.Claims(s.field)
	if s.field == finding.Order {
		f.Claims = x.onBallots(s.unit, finding.Order)
	}
	x.differs(f, entered, s.listed, s.place, where(s.export, s.second), x.subject(s.unit, string(s.field))...)
}

// holdWording is hold for a wording; an empty one is not stated.
func (x *examiner) holdWording(u unit, pc, sc int, field finding.Field, words [2]string, n model.ListedName,
	place, what string) {
	entered := words[1]
	if entered == "" {
		entered = words[0]
	}
	grade := finding.MustFix
	if graded(n, entered).Minor {
		grade = finding.Confirm
	}
	x.hold(listedValue{unit: u, field: field, pc: pc, sc: sc, export: words[0] != "", second: words[1] != "",
		same: words[0] == words[1], withExport: agrees(n, words[0]), withSecond: agrees(n, words[1]),
		values: words, says: [2]string{what + finding.Quote(words[0]), what + finding.Quote(words[1])},
		listed: what + finding.Quote(n.Written), place: place, grade: grade})
}

// differs reports that the document says otherwise than the entries.
func (x *examiner) differs(f finding.Finding, entered, listed, place, in string, subject ...string) {
	x.report(checks.ListDiffers(f, checks.Certified{Document: x.called(x.document), Where: in, Entered: entered,
		Listed: listed, Place: place}, subject...))
}
