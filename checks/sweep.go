package checks

import (
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"github.com/google/go-cmp/cmp"

	"counterproof/model"
)

// sweep compares everything that is paired, field by field, after the checks,
// and reports what no finding claims. It works on whole model values, so a field
// added to the model is compared from the day it is added; what the checks know
// is brought into one frame first (numbers of the pairs instead of indexes).
func sweep(ps *pass) {
	ps.reportHeldTwice()
	ps.sweepFacts()
	for i, j := range ps.parties.toSecond {
		if j >= 0 {
			a, b := ps.p.Parties[i], ps.s.Parties[j]
			a.Name, a.Abbreviation = ps.p.reduce(a.Name), ps.p.reduce(a.Abbreviation)
			b.Name, b.Abbreviation = ps.s.reduce(b.Name), ps.s.reduce(b.Abbreviation)
			ps.sweepOne("party", i, a, b, Finding{}, "party", ps.s.partyName[j])
		}
	}
	ps.eachPair(func(k int, m contestPair, _, _ *model.Contest) {
		a, b := ps.aligned(k)
		ps.sweepOne("contest", k, a, b, ps.about(Finding{}, m.primary, m.second), ps.contestSubject(m.primary, m.second)...)
	})
	ps.sweepFaces()
	ps.sweepPrecincts()
	for i, j := range ps.units.toSecond {
		if j >= 0 {
			a, b := ps.p.Units[i], ps.s.Units[j]
			a.Name, b.Name = "", ""
			ps.sweepOne("unit", i, a, b, ps.aboutUnit(Finding{}, i, j), ps.unitSubject(i, j))
		}
	}
}

func (ps *pass) sweepPrecincts() {
	for i, j := range ps.precincts.toSecond {
		if j >= 0 {
			// Names and members serve to find the counterpart; they are not compared.
			a, b := ps.p.Precincts[i], ps.s.Precincts[j]
			for _, p := range []*model.Precinct{&a, &b} {
				p.Name, p.Number, p.Kind, p.Members, p.Sites = nil, "", "", nil, model.Stated[[]model.SiteUse]{}
			}
			ps.sweepOne("precinct", i, a, b, Finding{Precincts: []string{ps.s.precinctName[j]}}, "precinct", ps.s.precinctName[j])
		}
	}
}

func (ps *pass) sweepFacts() {
	a, b := ps.p.Facts, ps.s.Facts
	a.Name, a.Jurisdiction = ps.p.reduce(a.Name), ps.p.reduce(a.Jurisdiction)
	b.Name, b.Jurisdiction = ps.s.reduce(b.Name), ps.s.reduce(b.Jurisdiction)
	ps.sweepOne("facts", 0, a, b, Finding{}, "facts")
}

// aligned returns both contests of a pair in one frame: choice j of the second
// entry and its counterpart stand at j; what only the primary has follows. Party
// lines and people are numbered alike.
func (ps *pass) aligned(k int) (a, b model.Contest) {
	m := ps.contests.pairs[k]
	a, b = ps.p.contests[m.primary], ps.s.contests[m.second]
	a.PrimaryParties.Value, b.PrimaryParties.Value = ps.jointLines(ps.p, a.PrimaryParties.Value), ps.jointLines(ps.s, b.PrimaryParties.Value)
	a.District, b.District = ps.jointDistrict(ps.p, a.District), ps.jointDistrict(ps.s, b.District)
	frame := func(c model.Choice, v *view) model.Choice {
		c.Lines.Value = ps.jointLines(v, c.Lines.Value)
		if c.WriteIn {
			c.Name = model.Stated[model.Text]{} // design: the name of a write-in is not compared
			c.Lines = model.Stated[[]int]{}
		}
		return c
	}
	n := len(b.Choices)
	as, bs := make([]model.Choice, n), make([]model.Choice, n)
	for j := range n {
		if i := m.choices.toPrimary[j]; i >= 0 {
			as[j], bs[j] = frame(a.Choices[i], ps.p), frame(b.Choices[j], ps.s)
		} else if !ps.claims.has("contest", k, choicePath(j, "")) {
			bs[j] = frame(b.Choices[j], ps.s)
		}
	}
	for i := range a.Choices {
		if m.choices.toSecond[i] < 0 && !ps.claims.has("contest", k, extraPath(&b, i)) {
			as = append(as, frame(a.Choices[i], ps.p))
		}
	}
	// The write-in position that an export holds as a candidate stands for one.
	for _, j := range ps.positions[k].namedWriteIn {
		as[j] = bs[j]
	}
	// Who is claimed at one position does not tell the others of the group apart.
	for j := range n {
		if ps.claims.has("contest", k, choicePath(j, "Person")) {
			as[j].Person, bs[j].Person = "", ""
		}
	}
	numberPeople(as)
	numberPeople(bs)
	a.Choices, b.Choices = as, bs
	return a, b
}

// numberPeople replaces people by the place of their first position. Who has one
// position only is nobody in particular: a person tells which votes are added.
func numberPeople(list []model.Choice) {
	first, count := map[string]string{}, map[string]int{}
	for j := range list {
		p := list[j].Person
		if _, ok := first[p]; !ok {
			first[p] = strconv.Itoa(j)
		}
		count[p]++
	}
	for j := range list {
		if p := list[j].Person; p == "" || count[p] < 2 {
			list[j].Person = ""
		} else {
			list[j].Person = first[p]
		}
	}
}

// jointDistrict numbers districts by what they are called.
func (ps *pass) jointDistrict(v *view, d model.Stated[int]) model.Stated[int] {
	if !d.Known || v == ps.p {
		return d
	}
	name := v.words(v.Districts[d.Value].Name)
	for i := range ps.p.Districts {
		if ps.p.words(ps.p.Districts[i].Name) == name {
			return model.Say(i)
		}
	}
	return model.Say(len(ps.p.Districts) + d.Value)
}

// sweepFaces compares the ballots. What an equal ballot needs is little: most of
// a county's are equal.
func (ps *pass) sweepFaces() {
	var as, bs []model.Placement
	for fi := range ps.ballots.faces {
		fc := &ps.ballots.faces[fi]
		if fc.wrongStyle || len(fc.primary) != 1 || len(fc.second) != 1 {
			continue
		}
		a, b := ps.p.Styles[fc.primary[0]], ps.s.Styles[fc.second[0]]
		as, bs = ps.sweptContent(as[:0], ps.p, fc, a.Content), ps.sweptContent(bs[:0], ps.s, fc, b.Content)
		if fc.moved {
			byContest := func(x, y model.Placement) int { return x.Contest - y.Contest }
			slices.SortStableFunc(as, byContest)
			slices.SortStableFunc(bs, byContest)
		}
		headings := ps.claims.has("face", fi, "Headings") || len(as) != len(a.Content) || len(bs) != len(b.Content) || fc.moved
		if len(as) == len(bs) {
			for i := range as {
				ps.sweptPlacement(&as[i], &bs[i], headings)
			}
		}
		a.Content, b.Content = as, bs
		if fc.bare {
			a.Content, b.Content = nil, nil // style-conflict tells of all that is not there
		}
		a.Precincts, b.Precincts = nil, nil
		a.Parties, b.Parties = nil, nil // reported as primary-party where they differ
		a.Label, b.Label = model.Stated[string]{}, model.Stated[string]{}
		if headings || !a.Closing.Known || !b.Closing.Known || sameHeadings(ps, a.Closing.Value, b.Closing.Value) {
			a.Closing, b.Closing = model.Stated[[]model.Text]{}, model.Stated[[]model.Text]{}
		}
		name := styleName(ps.s, fc.second[0])
		ps.sweepOne("face", fi, a, b, Finding{Style: name, Precincts: ps.areaNames(fc.areas[:min(len(fc.areas), 1)])}, "style", name)
	}
}

// sweptContent lists the placements of a face by joint number, without those
// that a finding says are missing, extra or printed twice.
func (ps *pass) sweptContent(out []model.Placement, v *view, fc *face, content []model.Placement) []model.Placement {
	joint := ps.joint(v)
	for _, pl := range content {
		j := joint[pl.Contest]
		if len(ps.content.missing) > 0 && slices.Contains(ps.content.missing[j], fc.areas[0]) || len(ps.content.extra) > 0 && slices.Contains(ps.content.extra[j], fc.areas[0]) {
			continue
		}
		if t := ps.content.twice[j]; t != nil && slices.ContainsFunc(out, func(o model.Placement) bool { return o.Contest == j }) {
			continue
		}
		pl.Contest = j
		out = append(out, pl)
	}
	return out
}

// sweptPlacement clears what two placements of one contest agree in, or what is
// claimed, so that only what is left unexplained differs.
func (ps *pass) sweptPlacement(a, b *model.Placement, headings bool) {
	if a.Contest != b.Contest {
		return
	}
	if headings || !a.Headings.Known || !b.Headings.Known || sameHeadings(ps, a.Headings.Value, b.Headings.Value) {
		a.Headings, b.Headings = model.Stated[[]model.Text]{}, model.Stated[[]model.Text]{}
	}
	// The order of choices was compared where the contests meet; a difference is
	// claimed there.
	a.Order, b.Order = model.Stated[[]int]{}, model.Stated[[]int]{}
}

func sameHeadings(ps *pass, a, b []model.Text) bool {
	return slices.EqualFunc(a, b, func(x, y model.Text) bool { return ps.p.words(x) == ps.s.words(y) })
}

// sweepOne reports what differs between two values of one type and is not
// claimed. A panic in the comparison becomes a finding, never an end.
func (ps *pass) sweepOne(thing string, index int, a, b any, f Finding, subject ...string) {
	f.Check, f.Grade = "unclassified", MustFix
	defer func() {
		if r := recover(); r != nil {
			f.Message = fmt.Sprintf("This %s could not be compared field by field (%v); compare it by eye.", thing, r)
			ps.report(f, subject...)
		}
	}()
	if reflect.DeepEqual(a, b) {
		return
	}
	x, y := copyOf(a), copyOf(b)
	forgetUnstated(x, y)
	if reflect.DeepEqual(x.Interface(), y.Interface()) {
		return
	}
	var diffs differences
	cmp.Equal(x.Interface(), y.Interface(), cmp.Reporter(&diffs))
	for _, d := range diffs.found {
		if ps.claimed(thing, index, d.path) {
			continue
		}
		g := f
		g.Primary, g.Second = d.primary, d.second
		g.Message = fmt.Sprintf("This %s differs in its field %s: %s in the primary, %s in the second entry.", thing, d.path, nothing(d.primary), nothing(d.second))
		if g.Contest != "" {
			g.Message = quote(g.Contest) + ": " + strings.ToLower(g.Message[:1]) + g.Message[1:]
		}
		r := ps.report(g, append(slices.Clone(subject), d.path)...)
		if m, ok := setSwept(ps, thing, index, d.path, &g); ok {
			r.mend(m)
		}
	}
}

func nothing(s string) string {
	if s == "" {
		return "nothing"
	}
	return quote(s)
}

// claimed is true where the path, or something that holds it, is claimed.
func (ps *pass) claimed(thing string, index int, path string) bool {
	for p := path; p != ""; {
		if ps.claims.has(thing, index, p) {
			return true
		}
		cut := strings.LastIndexAny(p, ".[")
		if cut < 0 {
			return false
		}
		p = p[:cut]
	}
	return false
}

// differences collects the paths at which two values differ, in the words of
// claims: "Choices[2].Lines". The fields of a Stated are left out of the path.
type differences struct {
	path  cmp.Path
	found []difference
	seen  map[string]bool
}

type difference struct{ path, primary, second string }

func (d *differences) PushStep(s cmp.PathStep) { d.path = append(d.path, s) }
func (d *differences) PopStep()                { d.path = d.path[:len(d.path)-1] }

func (d *differences) Report(r cmp.Result) {
	if r.Equal() {
		return
	}
	var b strings.Builder
	for i, s := range d.path {
		switch s := s.(type) {
		case cmp.StructField:
			if isStated(d.path[i-1].Type()) {
				continue
			}
			if b.Len() > 0 {
				b.WriteByte('.')
			}
			b.WriteString(s.Name())
		case cmp.SliceIndex:
			x, y := s.SplitKeys()
			fmt.Fprintf(&b, "[%d]", max(x, y))
		}
	}
	path := b.String()
	if d.seen == nil {
		d.seen = map[string]bool{}
	}
	if d.seen[path] {
		return
	}
	d.seen[path] = true
	x, y := d.path.Last().Values()
	d.found = append(d.found, difference{path, show(x), show(y)})
}

func show(v reflect.Value) string {
	if !v.IsValid() {
		return ""
	}
	s := fmt.Sprint(v)
	if len(s) > 200 {
		s = s[:200] + "…"
	}
	return s
}

func isStated(t reflect.Type) bool {
	if t == nil || t.Kind() != reflect.Struct || t.NumField() != 2 {
		return false
	}
	return t.Field(0).Name == "Value" && t.Field(1).Name == "Known"
}

// forgetUnstated clears, in both values, every Stated that either leaves
// unstated: what one side did not say is not compared.
func forgetUnstated(a, b reflect.Value) {
	switch a.Kind() {
	case reflect.Struct:
		if isStated(a.Type()) {
			if !a.Field(1).Bool() || !b.Field(1).Bool() {
				a.SetZero()
				b.SetZero()
			}
			return
		}
		for i := range a.NumField() {
			forgetUnstated(a.Field(i), b.Field(i))
		}
	case reflect.Slice, reflect.Array:
		for i := range min(a.Len(), b.Len()) {
			forgetUnstated(a.Index(i), b.Index(i))
		}
	}
}

// copyOf returns a copy of a value that shares no slices with it.
func copyOf(v any) reflect.Value {
	out := reflect.New(reflect.TypeOf(v)).Elem()
	deepCopy(out, reflect.ValueOf(v))
	return out
}

func deepCopy(to, from reflect.Value) {
	switch from.Kind() {
	case reflect.Struct:
		for i := range from.NumField() {
			deepCopy(to.Field(i), from.Field(i))
		}
	case reflect.Slice:
		if from.Len() == 0 {
			return // nil and empty say the same
		}
		to.Set(reflect.MakeSlice(from.Type(), from.Len(), from.Len()))
		for i := range from.Len() {
			deepCopy(to.Index(i), from.Index(i))
		}
	default:
		to.Set(from)
	}
}
