package cdf

import (
	"slices"

	"counterproof/model"
)

// thing is what an identifier stands for.
type thing struct {
	is       thingKind
	class    string // "Party", "CandidateContest"
	election int32  // of contests, selections and candidates
	index    int    // in the list of its kind
	sub      int    // of a selection, within its contest
	at       pos
}

type thingKind uint8

const (
	isUnit thingKind = iota + 1
	isParty
	isHeader
	isCandidate
	isContest
	isSelection
	isOther
)

// index notes what every identifier stands for. One that stands for two things
// makes every reference to it uncertain: that is an error.
func (w *whole) index() *Error {
	r := &w.report
	n := len(r.units) + len(r.parties) + len(r.headers) + len(w.others)
	for _, e := range r.elections {
		n += len(e.contests)*5 + len(e.candidates)
	}
	w.ids = make(map[string]thing, n)
	var fault *Error
	add := func(id str, t thing) {
		if id.v == "" || fault != nil {
			return
		}
		t.at = id.at
		if have, ok := w.ids[id.v]; ok {
			first, second := have, t
			if second.at.part == first.at.part && second.at.line < first.at.line {
				first, second = second, first
			}
			fault = w.fault(second.at, second.class, "the identifier "+quote(id.v)+" is used twice, first for a "+first.class+
				" at "+w.place(first.at, second.at),
				"identifiers must differ: correct it in the system and export again")
			return
		}
		w.ids[id.v] = t
	}
	for i := range r.units {
		add(r.units[i].id, thing{is: isUnit, class: r.units[i].class(), index: i})
	}
	for i := range r.parties {
		add(r.parties[i].id, thing{is: isParty, class: r.parties[i].class(), index: i})
	}
	for i := range r.headers {
		add(r.headers[i].id, thing{is: isHeader, class: "Header", index: i})
	}
	for n, e := range r.elections {
		for i := range e.candidates {
			add(e.candidates[i].id, thing{is: isCandidate, class: "Candidate", election: int32(n), index: i})
		}
		for i := range e.contests {
			c := &e.contests[i]
			add(c.id, thing{is: isContest, class: c.as, election: int32(n), index: i})
			for j := range c.selections {
				add(c.selections[j].id, thing{is: isSelection, class: c.selections[j].as, election: int32(n), index: i, sub: j})
			}
		}
	}
	for i, o := range w.others {
		add(str{o.id, o.at}, thing{is: isOther, class: o.kind, index: i})
	}
	return fault
}

// referrer is the thing that a reference stands in.
type referrer struct{ class, name string }

func (r referrer) String() string {
	if r.name == "" {
		return r.class
	}
	return r.class + " " + r.name
}

// refer looks an identifier up. One that stands for nothing, or for something
// that fits does not accept, is noted as dangling.
func (b *builder) refer(from referrer, field, id string, at pos, fits func(thing) bool) (thing, bool) {
	t, ok := b.w.ids[id]
	if ok && fits(t) {
		return t, true
	}
	found := ""
	if ok {
		found = t.class
		if t.class == "" {
			found = "something else"
		}
	}
	b.dangle(from, field, str{id, at}, found)
	return thing{}, false
}

// missing is what references that lead nowhere have in common; see model.Dangling. Those
// of polling sites are apart, because they count only once the voting units are proved.
type missing struct {
	class     string
	ofSite    bool
	field, to string
	found     string
}

// lostKinds are the kinds of what the fields refer to.
var lostKinds = map[string]model.LostKind{
	"CandidateIds": model.LostCandidate, "PersonId": model.LostPerson, "PartyId": model.LostParty,
	"EndorsementPartyIds": model.LostParty, "PartyIds": model.LostParty, "PrimaryPartyIds": model.LostParty,
	"ContestId": model.LostContest, "OrderedContestSelectionIds": model.LostChoice,
	"OrderedContestOptionIds": model.LostChoice, "HeaderId": model.LostHeading,
	"GpUnitIds": model.LostPrecinct,
}

// takeLost returns the targets that were looked for in vain since it was called last.
func (b *builder) takeLost() []model.Lost {
	lost := b.lost
	b.lost = nil
	return lost
}

// dangle notes a reference that leads nowhere.
func (b *builder) dangle(from referrer, field string, to str, found string) {
	l := model.Lost{Kind: lostKinds[field], To: to.word()}
	if len(b.lost) < model.MaxLost && !slices.Contains(b.lost, l) {
		b.lost = append(b.lost, l)
	}
	k := missing{class: from.class, field: field, to: to.word(), found: found}
	if t, ok := b.w.ids[from.name]; ok && from.class == "ReportingUnit" && t.is == isUnit {
		k.ofSite = b.w.report.units[t.index].isSite()
	}
	file, line := b.w.file(to.at.part), int(to.at.line)
	list := &b.out.Origins.Dangling
	if i, ok := b.missing[k]; ok {
		(*list)[i].Add(model.Referrer{From: from.String(), File: file, Line: line})
		return
	}
	b.missing[k] = len(*list)
	*list = append(*list, model.Dangling{From: from.String(), Field: field, To: k.to, Found: found, File: file,
		Line: line})
}

func fits(kind thingKind) func(thing) bool {
	return func(t thing) bool { return t.is == kind }
}

func (b *builder) origin(id str, codes codes, held []model.Held) model.Origin {
	return model.Origin{Held: held, ID: id.v, Codes: codes.values(), File: b.w.file(id.at.part), Line: int(id.at.line)}
}
