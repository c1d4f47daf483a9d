package cdf

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"counterproof/model"
)

// What an export says and no check compares is held beside the thing that says it
// (model.Held), so that a change in it between two exports is seen. Identifiers are none
// of it: a reference is held as what people call its target.

// isReference reports whether a member holds identifiers of other things. In both standards
// their names end in Id or Ids.
func isReference(name string) bool {
	return name != "VendorApplicationId" && (strings.HasSuffix(name, "Id") || strings.HasSuffix(name, "Ids"))
}

// words are what a member says, for people: its text, or its parts in an order of their
// own, since lists of the standard that nobody uses have none. The targets of references are
// left out where resolve is false: they may lead round in circles.
func (w *whole) words(h *held, resolve bool) string {
	if h.name == inOrder {
		return w.layoutWords(h.text, resolve)
	}
	if len(h.parts) == 0 {
		text := h.text
		if name := h.name[strings.LastIndexByte(h.name, '.')+1:]; isReference(name) {
			var to []string
			for _, id := range strings.FieldsFunc(text, func(c rune) bool { return strings.ContainsRune(xmlSpace, c) }) {
				if resolve {
					to = append(to, w.called(id))
				}
			}
			text = strings.Join(w.sorted(to), ", ")
		}
		if h.language != "" {
			text = "[" + h.language + "] " + text
		}
		return text
	}
	parts := make([]string, 0, len(h.parts)+1)
	for i := range h.parts {
		said := w.words(&h.parts[i], resolve)
		if h.parts[i].language == "" {
			said = h.parts[i].name + " " + said
		}
		parts = append(parts, said)
	}
	if h.text != "" {
		parts = append(parts, h.text)
	}
	return strings.Join(w.sorted(parts), "; ")
}

// sorted puts words in order by what people read: a party by its name, so that an export
// with its parties in another order says the same.
func (w *whole) sorted(list []string) []string {
	slices.SortFunc(list, func(a, b string) int {
		return strings.Compare(model.EachParty(a, w.partyName), model.EachParty(b, w.partyName))
	})
	return list
}

func (w *whole) partyName(i int) string {
	if i < 0 || i >= len(w.report.parties) {
		return "" // a file may hold anything
	}
	p := &w.report.parties[i]
	return cmp.Or(p.name.text.In(""), p.abbreviation.text.In(""))
}

// called is what people call the thing of an identifier, the identifier itself where nothing
// has it. It is worked out once for each, however often a file refers to it.
func (w *whole) called(id string) string {
	if name, known := w.names[id]; known {
		return name
	}
	if w.names == nil {
		w.names = map[string]string{}
	}
	name := w.nameOf(id)
	w.names[id] = name
	return name
}

// calledPlainly is called without the class of the thing.
func (w *whole) calledPlainly(id string) string {
	name := w.called(id)
	if t, ok := w.ids[id]; ok {
		name = strings.TrimPrefix(name, t.class+" ")
	}
	return name
}

func (w *whole) nameOf(id string) string {
	t, ok := w.ids[id]
	if !ok {
		return shortened(id)
	}
	name := ""
	switch t.is {
	case isUnit:
		u := &w.report.units[t.index]
		name = cmp.Or(u.name.text.In(""), u.number.v, u.serial.v, strings.Join(u.codes.values(), " "))
	case isParty:
		return model.PartyMark + strconv.Itoa(t.index) + model.PartyMark
	case isHeader:
		name = w.report.headers[t.index].name.text.In("")
	case isCandidate:
		name = w.report.elections[t.election].candidates[t.index].name.text.In("")
	case isContest:
		c := &w.report.elections[t.election].contests[t.index]
		name = cmp.Or(c.title.text.In(""), c.name.v)
		for _, id := range c.primaryParties.list() { // whose contests of one office have one name
			name += " " + w.called(id)
		}
	case isSelection:
		s := &w.report.elections[t.election].contests[t.index].selections[t.sub]
		if name = s.wording.text.In(""); name == "" {
			var names []string
			for _, id := range slices.Concat(s.candidates.list(), s.parties.list()) {
				if to, ok := w.ids[id]; ok && (to.is == isCandidate || to.is == isParty) {
					names = append(names, w.called(id))
				}
			}
			name = strings.Join(names, ", ")
		}
	case isOther:
		name = w.objectName(&w.others[t.index].says)
	}
	return shortened(strings.TrimSpace(t.class + " " + name))
}

// objectName is the name of an object that the reader does not use, or what it says where it
// has none.
func (w *whole) objectName(h *held) string {
	for _, name := range []string{"FullName", "Name", "LastName", "Label", "ExternalIdentifier"} {
		if i := slices.IndexFunc(h.parts, func(p held) bool { return p.name == name }); i >= 0 {
			return shortened(w.words(&h.parts[i], false))
		}
	}
	return shortened(w.words(h, false))
}

// maxHeldWords is how long the words of a member may be, in bytes; of longer ones their
// beginning and their digest are held.
const maxHeldWords = 200

func shortened(s string) string {
	if len(s) <= maxHeldWords || strings.Contains(s, model.PartyMark) && len(s) <= 10*maxHeldWords {
		return s
	}
	sum := sha256.Sum256([]byte(s))
	cut := maxHeldWords / 2
	for cut > 0 && !utf8.RuneStart(s[cut]) {
		cut--
	}
	return fmt.Sprintf("%s… (%d bytes, SHA-256 %s…)", s[:cut], len(s), hex.EncodeToString(sum[:8]))
}

// held makes what a thing is left with of what its node holds, and of further texts, each
// with the name of its member; empty texts are nothing.
func (b *builder) held(list []held, codes codes, further ...string) []model.Held {
	if !b.hold {
		return nil
	}
	var out []model.Held
	for i := range list {
		h := &list[i]
		one := model.Held{Member: h.name, Words: shortened(b.w.words(h, true))}
		if h.id != "" && one.Words == "" {
			continue // an object that says nothing but its identifier
		}
		if h.id != "" {
			one.Of = b.w.objectName(h)
		}
		if h.on != "" {
			one.Of = b.w.calledPlainly(h.on)
		}
		out = append(out, one)
	}
	for _, c := range codes {
		words := c.value.v
		for _, s := range []str{c.kind, c.otherKind, c.label} {
			if s.given() {
				words += ", " + s.v
			}
		}
		out = append(out, model.Held{Member: "ExternalIdentifier", Words: shortened(words)})
	}
	for i := 0; i < len(further); i += 2 {
		if further[i+1] != "" {
			out = append(out, model.Held{Member: further[i], Words: shortened(further[i+1])})
		}
	}
	sortHeld(out)
	return out
}

func sortHeld(list []model.Held) {
	slices.SortFunc(list, func(x, y model.Held) int {
		return cmp.Or(strings.Compare(x.Member, y.Member), strings.Compare(x.Of, y.Of), strings.Compare(x.Words, y.Words))
	})
}

// looseHeld is what is held of the report as a whole: what belongs to nothing that is compared.
func (b *builder) looseHeld() []model.Held {
	w, r := b.w, &b.w.report
	out := b.held(r.held, nil, "Status", r.status.v, "IsTest", r.isTest.v, "Format", r.format.v)
	for n, e := range r.elections {
		chosen := slices.Contains(b.chosen, n)
		if !chosen {
			out = append(out, model.Held{Member: "Election that is not compared",
				Words: shortened(textWords(e.name.text) + "; " + digestOf(e.contests, e.candidates, e.styles))})
			continue
		}
		out = append(out, b.held(e.held, nil, "Election.Type", orOther(e.kind, e.otherKind), "Election.EndDate",
			differing(e.end, e.start))...)
		standing := map[string]bool{}
		for i := range e.contests {
			for j := range e.contests[i].selections {
				for _, id := range e.contests[i].selections[j].candidates.list() {
					standing[id] = true
				}
			}
		}
		for i := range e.candidates {
			if c := &e.candidates[i]; !standing[c.id.v] {
				out = append(out, model.Held{Member: "Candidate in no contest", Words: shortened(textWords(c.name.text) +
					heldWords(b.candidateHeld(c)))})
			}
		}
	}
	for i := range r.units {
		u := &r.units[i]
		if b.precinctOf[i] >= 0 || u.device || u.isSite() || b.isDistrict(i) {
			continue
		}
		var inside []string
		for _, id := range u.composing.list() {
			inside = append(inside, w.called(id))
		}
		out = append(out, model.Held{Member: "GpUnit that nothing uses", Words: shortened(textWords(u.name.text) + "; " +
			u.number.v + "; " + orOther(u.kind, u.otherKind) + "; " + strings.Join(w.sorted(inside), ", ") +
			heldWords(b.held(u.held, u.codes)))})
	}
	for i := range r.headers {
		h := &r.headers[i]
		for _, one := range b.held(h.held, nil) {
			if one.Of == "" {
				one.Of = shortened(h.name.text.In(""))
			}
			out = append(out, one)
		}
		if !b.usedHeaders[i] {
			out = append(out, model.Held{Member: "Header that no ballot has", Words: shortened(textWords(h.name.text))})
		}
	}
	if w.rest != "" {
		out = append(out, model.Held{Member: "What is beyond 64 MB", Words: w.rest})
	}
	return out
}

// madeHeld says who made the report with what, when, and in how many parts: what changes with
// each export and says nothing of the election.
func (b *builder) madeHeld() []model.Held {
	r := &b.w.report
	return b.held(nil, nil, "GeneratedDate", r.generated.v, "Issuer", r.issuer.v, "IssuerAbbreviation",
		r.issuerAbbreviation.v, "SequenceEnd", r.sequenceEnd.v, "VendorApplicationId", r.vendor.v)
}

// digestOf is the digest of all that nodes hold, identifiers included, but not of where it
// stands in the file.
func digestOf(nodes ...any) string {
	sum := sha256.New()
	var write func(v reflect.Value)
	write = func(v reflect.Value) {
		switch {
		case v.Type() == posType:
		case v.Kind() == reflect.Pointer:
			if !v.IsNil() {
				write(v.Elem())
			}
		case v.Kind() == reflect.Struct:
			for i := range v.NumField() {
				write(v.Field(i))
			}
		case v.Kind() == reflect.Slice:
			fmt.Fprintf(sum, "[%d]", v.Len())
			for i := range v.Len() {
				write(v.Index(i))
			}
		default:
			fmt.Fprintf(sum, "%q", fmt.Sprint(v))
		}
	}
	for _, n := range nodes {
		write(reflect.ValueOf(n))
	}
	return "SHA-256 " + hex.EncodeToString(sum.Sum(nil)[:8])
}

// textWords is a text in all its languages.
func textWords(text model.Text) string {
	out := make([]string, len(text))
	for i, p := range text {
		out[i] = "[" + p.Language + "] " + p.Words
	}
	slices.Sort(out)
	return strings.Join(out, "; ")
}

// differing is a text that says something else than another.
func differing(s, from str) string {
	if s.word() == from.word() {
		return ""
	}
	return s.v
}

func heldWords(list []model.Held) string {
	var words strings.Builder
	for _, h := range list {
		words.WriteString("; " + h.Member + " " + h.Words)
	}
	return words.String()
}

func (b *builder) isDistrict(unit int) bool {
	_, is := b.districtOf[unit]
	return is
}

// nameOf is what people call the target of a reference, empty where there is none.
func (b *builder) nameOf(s str) string {
	if !s.given() {
		return ""
	}
	if t, ok := b.w.ids[s.word()]; ok && t.is == isOther && b.w.objectName(&b.w.others[t.index].says) == "" {
		return "" // of a thing that says nothing, only that it is the same says something
	}
	return b.w.called(s.word())
}

// candidateHeld is what is held of a candidate, on the voting positions that they have.
func (b *builder) candidateHeld(c *candidate) []model.Held {
	if out, known := b.heldOf[c]; known {
		return out
	}
	out := b.held(c.held, nil, "PartyId", b.nameOf(c.party), "PersonId", b.nameOf(c.person))
	for i := range out {
		out[i].Member = "Candidate." + out[i].Member
	}
	if b.heldOf == nil {
		b.heldOf = map[*candidate][]model.Held{}
	}
	b.heldOf[c] = out
	return out
}

func (b *builder) contestHeld(c *contest) []model.Held {
	if !b.hold {
		return nil
	}
	// Of a ranked contest the ranks are compared, and not the votes (voteFor).
	votes, ranks := "", c.ranksAllowed.v
	if n, fault := b.w.integer(c.ranksAllowed, ""); fault == nil && c.ranksAllowed.given() && c.ranked(n) {
		votes, ranks = c.votesAllowed.v, ""
	}
	class := ""
	if onlyIn(c.as) != nil {
		class = c.as // it says more than the kind that is compared
	}
	further := []string{"class", class, "OtherVoteVariation", c.otherVariation.v, "CandidateId", b.nameOf(c.about),
		"VotesAllowed", votes, "RanksAllowed", ranks}
	for _, id := range c.controlled.list() { // each by itself: together they may be too long to show
		further = append(further, "ControlledContestIds", b.w.called(id))
	}
	return b.held(c.held, c.codes, further...)
}

// choiceHeld is what is held of a voting position and of its candidates.
func (b *builder) choiceHeld(s *selection) []model.Held {
	if !b.hold {
		return nil
	}
	var endorsing []string
	for _, id := range s.endorsements.list() {
		endorsing = append(endorsing, b.w.called(id))
	}
	out := b.held(s.held, s.codes, "EndorsementPartyIds", strings.Join(b.w.sorted(endorsing), ", "))
	list := s.candidates.list()
	for _, id := range list {
		t, ok := b.w.ids[id]
		if !ok || t.is != isCandidate {
			continue
		}
		c := &b.w.report.elections[t.election].candidates[t.index]
		for _, h := range b.candidateHeld(c) {
			if len(list) > 1 {
				h.Of = shortened(c.name.text.In(""))
			}
			out = append(out, h)
		}
	}
	sortHeld(out)
	return out
}

// styleHeld leaves out the first code, which is the style's label.
func (b *builder) styleHeld(s *style) []model.Held {
	out := b.held(s.held, s.codes[min(1, len(s.codes)):])
	if len(s.codes) > 0 {
		first := s.codes[0]
		out = append(out, b.held(nil, nil, "ExternalIdentifier.Type", first.kind.v, "ExternalIdentifier.OtherType",
			first.otherKind.v, "ExternalIdentifier.Label", first.label.v)...)
		sortHeld(out)
	}
	return out
}

// unitHeld is what is held of a unit: a precinct's number is compared, and a device's serial
// number is its name.
func (b *builder) unitHeld(u *unit, precinct bool) []model.Held {
	number, serial, other, name := u.number.v, u.serial.v, u.otherKind.v, ""
	switch {
	case u.device:
		if serial != "" { // that is its name
			name = textWords(u.name.text)
		}
		serial = ""
	case precinct:
		number = ""
	}
	// What is compared of these is the kind and the use, where they say it.
	if u.kind.word() == "other" || useOf(other) != "" {
		other = ""
	}
	class, otherClass := u.deviceOf.kind.v, u.deviceOf.otherKind.v
	if u.deviceOf.kind.word() == "opscan-central" || useOf(otherClass) != "" {
		class, otherClass = "", ""
	}
	return b.held(u.held, u.codes, "Number", number, "OtherType", other, "SerialNumber", serial, "DeviceClass.Type", class,
		"DeviceClass.OtherType", otherClass, "Name", name)
}
