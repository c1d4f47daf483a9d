package checks

import (
	"fmt"
	"github.com/google/go-cmp/cmp"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"sync"

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
	Example:  `"County Clerk": the field Variation differs: "rcv" in the export, "n-of-m" as keyed`,
	Mark:     finding.MarkSpelling,
	Sentence: sayUnclassified,
},
	find: sweep, further: true,
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
			sweepOne(r, a, b, func() swept {
				return whole("party", finding.RefTo(finding.Party, i, j), finding.Finding{}, "party", ds.Second.PartyName[j])
			})
		}
	}
	district := districtKeys(ds)
	for k, m := range ds.Contests.Pairs {
		a, b := aligned(ds, r, k, district)
		sweepOne(r, a, b, func() swept { return sweptContest(ds, r, m) })
	}
	sweepFaces(ds, r)
	sweepPrecincts(ds, r)
	for i, j := range ds.Units.ToSecond {
		if j >= 0 {
			a, b := ds.Primary.Units[i], ds.Second.Units[j]
			a.Name, b.Name = "", ""
			sweepOne(r, a, b, func() swept {
				return whole("unit", finding.RefTo(finding.Unit, i, j), ds.AboutUnit(finding.Finding{}, i, j), ds.UnitSubject(i, j))
			})
		}
	}
}

// swept is a thing that the sweep found unlike.
type swept struct {
	thing string // for people
	// claim is what a path of the compared values stands for.
	claim func(path string) finding.Claim
	// finding says where the thing is; subject is what its identity has beside that.
	finding finding.Finding
	subject []string
}

// whole is a thing whose fields are claimed under the first name of their path.
func whole(thing string, ref finding.Ref, f finding.Finding, subject ...string) swept {
	return swept{thing, func(path string) finding.Claim {
		return finding.Claim{Ref: ref, Field: fieldOf(path)}
	}, f, subject}
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
func sweptContest(ds *difference.Differences, r *reporter, m pairing.ContestPair) swept {
	s := whole("contest", contestRef(m), ds.About(finding.Finding{}, m.Primary, m.Second),
		ds.ContestSubject(m.Primary, m.Second)...)
	ofContest := s.claim
	extras := sync.OnceValue(func() []int { return unclaimedExtras(r, m) })
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
			ref = choiceRef(m, extras()[at-n], finding.None)
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
			sweepOne(r, a, b, func() swept {
				name := ds.Second.PrecinctName[j]
				return whole("precinct", finding.RefTo(finding.Precinct, i, j), finding.Finding{Precincts: []string{name}},
					"precinct", name)
			})
		}
	}
}

func sweepFacts(ds *difference.Differences, r *reporter) {
	a, b := ds.Primary.Facts, ds.Second.Facts
	a.Name, a.Jurisdiction = ds.Primary.Reduce(a.Name), ds.Primary.Reduce(a.Jurisdiction)
	b.Name, b.Jurisdiction = ds.Second.Reduce(b.Name), ds.Second.Reduce(b.Jurisdiction)
	sweepOne(r, a, b, func() swept {
		return whole("facts", finding.RefTo(finding.Election, 0, 0), finding.Finding{}, "facts")
	})
}

// aligned returns both contests of a pair in one frame: choice j of the second
// entry and its counterpart stand at j; what only the primary has follows. Party
// lines and people are numbered alike.
func aligned(ds *difference.Differences, r *reporter, k int, district func(model.Stated[int]) model.Stated[int]) (a,
	b model.Contest) {
	m := ds.Contests.Pairs[k]
	a, b = ds.Primary.Wordings[m.Primary], ds.Second.Wordings[m.Second]
	a.PrimaryParties.Value, b.PrimaryParties.Value = ds.PartyKeys(ds.Primary,
		a.PrimaryParties.Value), ds.PartyKeys(ds.Second, b.PrimaryParties.Value)
	b.District = district(b.District)
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

// districtKeys number the second entry's districts by what the primary calls them.
func districtKeys(ds *difference.Differences) func(model.Stated[int]) model.Stated[int] {
	first := sync.OnceValue(func() map[string]int { // many elections state none
		out := make(map[string]int, len(ds.Primary.Districts))
		for i := range ds.Primary.Districts {
			name := ds.Primary.Words(ds.Primary.Districts[i].Name)
			if _, ok := out[name]; !ok {
				out[name] = i
			}
		}
		return out
	})
	return func(d model.Stated[int]) model.Stated[int] {
		if !d.Known {
			return d
		}
		if i, ok := first()[ds.Second.Words(ds.Second.Districts[d.Value].Name)]; ok {
			return model.Say(i)
		}
		return model.Say(len(ds.Primary.Districts) + d.Value)
	}
}

// sweepFaces compares the ballots. What an equal ballot needs is little: most of
// a county's are equal.
func sweepFaces(ds *difference.Differences, r *reporter) {
	var as, bs []model.Placement
	reported := reportedContents(ds)
	for fi := range ds.Ballots.Faces {
		fc := &ds.Ballots.Faces[fi]
		if fc.WrongStyle || len(fc.Primary) != 1 || len(fc.Second) != 1 {
			continue
		}
		a, b := ds.Primary.Styles[fc.Primary[0]], ds.Second.Styles[fc.Second[0]]
		as, bs = sweptContent(ds, as[:0], ds.Primary, fc, a.Content, reported),
			sweptContent(ds, bs[:0], ds.Second, fc, b.Content, reported)
		if fc.Moved {
			byContest := func(x, y model.Placement) int { return x.Contest - y.Contest }
			slices.SortStableFunc(as, byContest)
			slices.SortStableFunc(bs, byContest)
		}
		headings := r.claims.has(finding.RefTo(finding.Ballot, fc.Primary[0], fc.Second[0]), finding.Headings) ||
			len(as) != len(a.Content) || len(bs) != len(b.Content) || fc.Moved ||
			!difference.StatesHeadings(ds.Primary, fc.Primary) || !difference.StatesHeadings(ds.Second, fc.Second)
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
		if nothingLeft(&a) && nothingLeft(&b) && sameContests(a.Content, b.Content) {
			continue
		}
		sweepOne(r, a, b, func() swept {
			name := pairing.StyleName(ds.Second, fc.Second[0])
			return whole("face", finding.RefTo(finding.Ballot, fc.Primary[0], fc.Second[0]),
				finding.Finding{Style: name, Precincts: ds.AreaNames(fc.Areas[:min(len(fc.Areas), 1)])}, "style", name)
		})
	}
}

// nothingLeft is true for a swept style that has only its contests left, and of these
// only which they are. With sameContests it tells equal ballots without reflection; both
// name every field of the two types, as a test makes sure.
func nothingLeft(st *model.Style) bool {
	if st.Label.Known || st.Label.Value != "" || st.Parties != nil || st.Precincts != nil || st.Closing.Known ||
		st.Closing.Value != nil {
		return false
	}
	for i := range st.Content {
		if pl := &st.Content[i]; pl.Headings.Known || pl.Headings.Value != nil || pl.Order.Known || pl.Order.Value != nil {
			return false
		}
	}
	return true
}

func sameContests(a, b []model.Placement) bool {
	return slices.EqualFunc(a, b, func(x, y model.Placement) bool { return x.Contest == y.Contest })
}

// contentAt is a contest, by key, on the ballots of an area.
type contentAt struct{ contest, area int }

// reportedContents are the contests that findings say are missing or extra, and where.
func reportedContents(ds *difference.Differences) map[contentAt]bool {
	out := map[contentAt]bool{}
	for _, list := range []map[int][]int{ds.Content.Missing, ds.Content.Extra} {
		for j, areas := range list {
			for _, a := range areas {
				out[contentAt{j, a}] = true
			}
		}
	}
	return out
}

// sweptContent lists the placements of a face by key, without those
// that a finding says are missing, extra or printed twice.
func sweptContent(ds *difference.Differences, out []model.Placement, v *pairing.Side, fc *difference.Face,
	content []model.Placement, reported map[contentAt]bool) []model.Placement {
	keys := ds.ContestKeys(v)
	var twice map[int]bool // contests that stand on the ballot twice, once they were met
	for _, pl := range content {
		j := keys[pl.Contest]
		if len(reported) > 0 && reported[contentAt{j, fc.Areas[0]}] {
			continue
		}
		if ds.Content.Twice[j] != nil {
			if twice[j] {
				continue
			}
			if twice == nil {
				twice = map[int]bool{}
			}
			twice[j] = true
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
func sweepOne(r *reporter, a, b any, what func() swept) {
	defer func() {
		if fault := recover(); fault != nil {
			of := what()
			of.finding.Grade, of.finding.Facts = finding.MustFix, sweptField{Thing: of.thing, Fault: fmt.Sprint(fault)}
			r.report(of.finding, of.subject...)
		}
	}()
	if agree(reflect.ValueOf(a), reflect.ValueOf(b)) {
		return
	}
	of := what()
	x, y := copyOf(a), copyOf(b)
	forgetUnstated(x, y)
	var diffs fieldDifferences
	cmp.Equal(x.Interface(), y.Interface(), cmp.Reporter(&diffs))
	var claims []finding.Claim // made at the end: of one field several parts may differ
	for _, d := range diffs.found {
		claim := of.claim(d.path)
		if r.claimed(claim) {
			continue
		}
		claims = append(claims, claim)
		f := of.finding
		f.Grade, f.Primary, f.Second = finding.MustFix, d.primary, d.second
		f.Facts = sweptField{Thing: of.thing, Path: d.path}
		one := r.report(f, append(slices.Clone(of.subject), d.path)...)
		one.Claims = []finding.Claim{claim}
	}
	r.claims.add(claims...)
}

func sayUnclassified(f *finding.Finding) string {
	x := f.Facts.(sweptField)
	if x.Fault != "" {
		return fmt.Sprintf("This %s could not be compared field by field (%s); compare it by eye.", x.Thing, x.Fault)
	}
	words := fmt.Sprintf("his %s differs in its field %s: %s in the export, %s in the second entry.", x.Thing, x.Path,
		nothing(f.Primary), nothing(f.Second))
	if f.Contest != "" {
		return finding.Quote(f.Contest) + ": t" + words
	}
	return "T" + words
}

// claimed is true where the field of a path, or the thing that it is a field of, is
// claimed.
func (r *reporter) claimed(c finding.Claim) bool {
	return r.claims.has(c.Ref, c.Field) || r.claims.has(c.Ref, finding.Whole)
}
