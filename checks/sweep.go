package checks

import (
	"fmt"
	"github.com/google/go-cmp/cmp"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model"
)

const codeUnclassified finding.Code = "unclassified"

var unclassified = &Check{Check: finding.Check{
	Code:    codeUnclassified,
	Purpose: "a difference that no other check names",
	Doc: `After all checks each paired contest, ballot face, party, precinct and unit is compared
field by field. A difference that no finding accounts for is reported here, so that none
is lost. Graded must-fix.`,
	Example:  `"County Clerk": the field Variation differs: "rcv" in the primary, "n-of-m" as keyed`,
	Headline: "other entry",
	Mark:     finding.MarkSpelling,
	Sentence: sayUnclassified,
},
	find: sweep,
}

// sweep compares everything that is paired, field by field, after the checks,
// and reports what no finding claims. It works on whole model values, so a field
// added to the model is compared from the day it is added; what the checks know
// is brought into one frame first (numbers of the pairs instead of indexes).
func sweep(ds *difference.Differences, r *reporter) {
	reportVersions(ds, r)
	sweepFacts(ds, r)
	for i, j := range ds.Parties.ToSecond {
		if j >= 0 {
			a, b := ds.Primary.Parties[i], ds.Second.Parties[j]
			a.Name, a.Abbreviation = ds.Primary.Reduce(a.Name), ds.Primary.Reduce(a.Abbreviation)
			b.Name, b.Abbreviation = ds.Second.Reduce(b.Name), ds.Second.Reduce(b.Abbreviation)
			sweepOne(ds, r, whole("party", i, finding.RefTo(finding.Party, i, j)), a, b, finding.Finding{}, "party", ds.Second.PartyName[j])
		}
	}
	for k, m := range ds.Contests.Pairs {
		a, b := aligned(ds, r, k)
		sweepOne(ds, r, sweptContest(ds, r, k), a, b, ds.About(finding.Finding{}, m.Primary, m.Second), ds.ContestSubject(m.Primary, m.Second)...)
	}
	sweepFaces(ds, r)
	sweepPrecincts(ds, r)
	for i, j := range ds.Units.ToSecond {
		if j >= 0 {
			a, b := ds.Primary.Units[i], ds.Second.Units[j]
			a.Name, b.Name = "", ""
			sweepOne(ds, r, whole("unit", i, finding.RefTo(finding.Unit, i, j)), a, b, ds.AboutUnit(finding.Finding{}, i, j), ds.UnitSubject(i, j))
		}
	}
}

// swept is a thing that the sweep compares.
type swept struct {
	thing string // for people
	index int    // of the pair
	// claim is what a path of the compared values stands for.
	claim func(path string) finding.Claim
}

// whole is a thing whose fields are claimed under the first name of their path.
func whole(thing string, index int, ref finding.Ref) swept {
	return swept{thing, index, func(path string) finding.Claim {
		return finding.Claim{Ref: ref, Field: fieldOf(path)}
	}}
}

// fieldOf is the field that a path begins with.
func fieldOf(path string) finding.Field {
	path = strings.TrimPrefix(path, ".")
	if cut := strings.IndexAny(path, ".["); cut >= 0 {
		path = path[:cut]
	}
	return finding.Field(path)
}

// sweptContest is a pair of contests in the form that aligned gives it.
func sweptContest(ds *difference.Differences, r *reporter, k int) swept {
	m := ds.Contests.Pairs[k]
	s := whole("contest", k, contestRef(m))
	ofContest := s.claim
	s.claim = func(path string) finding.Claim {
		rest, ok := strings.CutPrefix(path, "Choices[")
		if !ok {
			return ofContest(path)
		}
		number, path, _ := strings.Cut(rest, "]")
		at, _ := strconv.Atoi(number)
		ref := choiceRef(m, finding.None, at)
		if n := len(m.Choices.ToPrimary); at < n {
			ref.PrimaryPart = m.Choices.ToPrimary[at]
		} else {
			ref = choiceRef(m, unclaimedExtras(r, m)[at-n], finding.None)
		}
		return finding.Claim{Ref: ref, Field: fieldOf(path)}
	}
	return s
}

// unclaimedExtras are the choices that only the primary has and no finding claims.
func unclaimedExtras(r *reporter, m pairing.ContestPair) []int {
	var out []int
	for i, j := range m.Choices.ToSecond {
		if j < 0 && !r.claims.has(choiceRef(m, i, finding.None), finding.Whole) {
			out = append(out, i)
		}
	}
	return out
}

func sweepPrecincts(ds *difference.Differences, r *reporter) {
	for i, j := range ds.Precincts.ToSecond {
		if j >= 0 {
			// Names and members serve to find the counterpart; they are not compared.
			a, b := ds.Primary.Precincts[i], ds.Second.Precincts[j]
			for _, p := range []*model.Precinct{&a, &b} {
				p.Name, p.Number, p.Kind, p.Members, p.Sites = nil, "", "", nil, model.Stated[[]model.SiteUse]{}
			}
			sweepOne(ds, r, whole("precinct", i, finding.RefTo(finding.Precinct, i, j)), a, b, finding.Finding{Precincts: []string{ds.Second.PrecinctName[j]}}, "precinct", ds.Second.PrecinctName[j])
		}
	}
}

func sweepFacts(ds *difference.Differences, r *reporter) {
	a, b := ds.Primary.Facts, ds.Second.Facts
	a.Name, a.Jurisdiction = ds.Primary.Reduce(a.Name), ds.Primary.Reduce(a.Jurisdiction)
	b.Name, b.Jurisdiction = ds.Second.Reduce(b.Name), ds.Second.Reduce(b.Jurisdiction)
	sweepOne(ds, r, whole("facts", 0, finding.RefTo(finding.Election, 0, 0)), a, b, finding.Finding{}, "facts")
}

// aligned returns both contests of a pair in one frame: choice j of the second
// entry and its counterpart stand at j; what only the primary has follows. Party
// lines and people are numbered alike.
func aligned(ds *difference.Differences, r *reporter, k int) (a, b model.Contest) {
	m := ds.Contests.Pairs[k]
	a, b = ds.Primary.Compared[m.Primary], ds.Second.Compared[m.Second]
	a.PrimaryParties.Value, b.PrimaryParties.Value = ds.PartyKeys(ds.Primary, a.PrimaryParties.Value), ds.PartyKeys(ds.Second, b.PrimaryParties.Value)
	a.District, b.District = districtKey(ds, ds.Primary, a.District), districtKey(ds, ds.Second, b.District)
	frame := func(c model.Choice, v *pairing.Side) model.Choice {
		c.Lines.Value = ds.PartyKeys(v, c.Lines.Value)
		if c.WriteIn {
			c.Name = model.Stated[model.Text]{} // design: the name of a write-in is not compared
			c.Lines = model.Stated[[]int]{}
		}
		return c
	}
	n := len(b.Choices)
	as, bs := make([]model.Choice, n), make([]model.Choice, n)
	for j := range n {
		if i := m.Choices.ToPrimary[j]; i >= 0 {
			as[j], bs[j] = frame(a.Choices[i], ds.Primary), frame(b.Choices[j], ds.Second)
		} else if !r.claims.has(choiceRef(m, finding.None, j), finding.Whole) {
			bs[j] = frame(b.Choices[j], ds.Second)
		}
	}
	for _, i := range unclaimedExtras(r, m) {
		as = append(as, frame(a.Choices[i], ds.Primary))
	}
	// The write-in position that an export holds as a candidate stands for one.
	for _, j := range ds.Positions[k].NamedWriteIn {
		as[j] = bs[j]
	}
	// Who is claimed at one position does not tell the others of the group apart.
	for j := range n {
		if r.claims.has(choiceRef(m, m.Choices.ToPrimary[j], j), finding.Person) {
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
func districtKey(ds *difference.Differences, v *pairing.Side, d model.Stated[int]) model.Stated[int] {
	if !d.Known || v == ds.Primary {
		return d
	}
	name := v.Words(v.Districts[d.Value].Name)
	for i := range ds.Primary.Districts {
		if ds.Primary.Words(ds.Primary.Districts[i].Name) == name {
			return model.Say(i)
		}
	}
	return model.Say(len(ds.Primary.Districts) + d.Value)
}

// sweepFaces compares the ballots. What an equal ballot needs is little: most of
// a county's are equal.
func sweepFaces(ds *difference.Differences, r *reporter) {
	var as, bs []model.Placement
	for fi := range ds.Ballots.Faces {
		fc := &ds.Ballots.Faces[fi]
		if fc.WrongStyle || len(fc.Primary) != 1 || len(fc.Second) != 1 {
			continue
		}
		a, b := ds.Primary.Styles[fc.Primary[0]], ds.Second.Styles[fc.Second[0]]
		as, bs = sweptContent(ds, as[:0], ds.Primary, fc, a.Content), sweptContent(ds, bs[:0], ds.Second, fc, b.Content)
		if fc.Moved {
			byContest := func(x, y model.Placement) int { return x.Contest - y.Contest }
			slices.SortStableFunc(as, byContest)
			slices.SortStableFunc(bs, byContest)
		}
		headings := r.claims.has(finding.RefTo(finding.Ballot, fc.Primary[0], fc.Second[0]), finding.Headings) || len(as) != len(a.Content) || len(bs) != len(b.Content) || fc.Moved
		if len(as) == len(bs) {
			for i := range as {
				sweptPlacement(ds, &as[i], &bs[i], headings)
			}
		}
		a.Content, b.Content = as, bs
		if fc.Bare {
			a.Content, b.Content = nil, nil // style-conflict tells of all that is not there
		}
		a.Precincts, b.Precincts = nil, nil
		a.Parties, b.Parties = nil, nil // reported as primary-party where they differ
		a.Label, b.Label = model.Stated[string]{}, model.Stated[string]{}
		if headings || !a.Closing.Known || !b.Closing.Known || sameHeadings(ds, a.Closing.Value, b.Closing.Value) {
			a.Closing, b.Closing = model.Stated[[]model.Text]{}, model.Stated[[]model.Text]{}
		}
		name := pairing.StyleName(ds.Second, fc.Second[0])
		sweepOne(ds, r, whole("face", fi, finding.RefTo(finding.Ballot, fc.Primary[0], fc.Second[0])), a, b, finding.Finding{Style: name, Precincts: ds.AreaNames(fc.Areas[:min(len(fc.Areas), 1)])}, "style", name)
	}
}

// sweptContent lists the placements of a face by joint number, without those
// that a finding says are missing, extra or printed twice.
func sweptContent(ds *difference.Differences, out []model.Placement, v *pairing.Side, fc *difference.Face, content []model.Placement) []model.Placement {
	joint := ds.ContestKeys(v)
	for _, pl := range content {
		j := joint[pl.Contest]
		if len(ds.Content.Missing) > 0 && slices.Contains(ds.Content.Missing[j], fc.Areas[0]) || len(ds.Content.Extra) > 0 && slices.Contains(ds.Content.Extra[j], fc.Areas[0]) {
			continue
		}
		if t := ds.Content.Twice[j]; t != nil && slices.ContainsFunc(out, func(o model.Placement) bool { return o.Contest == j }) {
			continue
		}
		pl.Contest = j
		out = append(out, pl)
	}
	return out
}

// sweptPlacement clears what two placements of one contest agree in, or what is
// claimed, so that only what is left unexplained differs.
func sweptPlacement(ds *difference.Differences, a, b *model.Placement, headings bool) {
	if a.Contest != b.Contest {
		return
	}
	if headings || !a.Headings.Known || !b.Headings.Known || sameHeadings(ds, a.Headings.Value, b.Headings.Value) {
		a.Headings, b.Headings = model.Stated[[]model.Text]{}, model.Stated[[]model.Text]{}
	}
	// The order of choices was compared where the contests meet; a difference is
	// claimed there.
	a.Order, b.Order = model.Stated[[]int]{}, model.Stated[[]int]{}
}

func sameHeadings(ds *difference.Differences, a, b []model.Text) bool {
	return slices.EqualFunc(a, b, func(x, y model.Text) bool { return ds.Primary.Words(x) == ds.Second.Words(y) })
}

// sweepOne reports what differs between two values of one type and is not
// claimed. A panic in the comparison becomes a finding, never an end.
func sweepOne(ds *difference.Differences, r *reporter, of swept, a, b any, f finding.Finding, subject ...string) {
	f.Grade = finding.MustFix
	defer func() {
		if fault := recover(); fault != nil {
			f.Facts = sweptField{thing: of.thing, fault: fmt.Sprint(fault)}
			r.report(f, subject...)
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
	var diffs fieldDifferences
	cmp.Equal(x.Interface(), y.Interface(), cmp.Reporter(&diffs))
	var claims []finding.Claim // made at the end: of one field several parts may differ
	for _, d := range diffs.found {
		claim := of.claim(d.path)
		if r.claimed(claim) {
			continue
		}
		claims = append(claims, claim)
		g := f
		g.Primary, g.Second = d.primary, d.second
		g.Facts = sweptField{thing: of.thing, path: d.path}
		one := r.report(g, append(slices.Clone(subject), d.path)...)
		one.Claims = []finding.Claim{claim}
		if m, ok := setSwept(ds, of.thing, of.index, d.path, &g); ok {
			one.mend(m)
		}
	}
	r.claims.add(claims...)
}

// sweptField is what the sweep found unlike: a field of a thing, or a thing that it could
// not compare for a fault.
type sweptField struct{ thing, path, fault string }

func sayUnclassified(f *finding.Finding) string {
	x := f.Facts.(sweptField)
	if x.fault != "" {
		return fmt.Sprintf("This %s could not be compared field by field (%s); compare it by eye.", x.thing, x.fault)
	}
	words := fmt.Sprintf("his %s differs in its field %s: %s in the primary, %s in the second entry.", x.thing, x.path, nothing(f.Primary), nothing(f.Second))
	if f.Contest != "" {
		return finding.Quote(f.Contest) + ": t" + words
	}
	return "T" + words
}

func nothing(s string) string {
	if s == "" {
		return "nothing"
	}
	return finding.Quote(s)
}

// claimed is true where the field of a path, or the thing that it is a field of, is
// claimed.
func (r *reporter) claimed(c finding.Claim) bool {
	return r.claims.has(c.Ref, c.Field) || r.claims.has(c.Ref, finding.Whole)
}

// fieldDifferences collects the paths at which two values differ, in the words of
// claims: "Choices[2].Lines". The fields of a Stated are left out of the path.
type fieldDifferences struct {
	path  cmp.Path
	found []fieldDifference
	seen  map[string]bool
}

type fieldDifference struct{ path, primary, second string }

func (d *fieldDifferences) PushStep(s cmp.PathStep) { d.path = append(d.path, s) }

func (d *fieldDifferences) PopStep() { d.path = d.path[:len(d.path)-1] }

func (d *fieldDifferences) Report(r cmp.Result) {
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
	d.found = append(d.found, fieldDifference{path, show(x), show(y)})
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
