package witness

import (
	"fmt"
	"slices"
	"strings"

	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/model"
)

// testify says of each finding of a comparison what the documents say of it, and adds the findings that
// they lead to.
func (x *examiner) testify(findings []finding.Finding) []finding.Finding {
	if len(x.verdicts)+len(x.table.expects)+len(x.found) == 0 {
		return findings
	}
	byName := x.areasByName()
	out := make([]finding.Finding, 0, len(findings)+len(x.found))
	for _, f := range findings {
		if x.saidByTable(&f, byName) {
			continue
		}
		if f.Certified = x.certified(x.testimonies(&f, byName)); f.Certified.Words != "" {
			f.Message = f.Certified.Words + " " + f.Message
		}
		out = append(out, f)
	}
	return append(out, x.found...)
}

// areasByName are the areas by the names under which findings list their precincts.
func (x *examiner) areasByName() map[string][]int {
	out := map[string][]int{}
	for a, area := range x.pg.Precincts.Areas {
		names := []string{x.pg.Second.PrecinctName[area.Second]}
		if name := x.pg.Primary.PrecinctName[area.Primary]; name != names[0] {
			names = append(names, name)
		}
		for _, name := range names {
			out[name] = append(out[name], a)
		}
	}
	return out
}

// saidByTable reports whether a finding about the districts that the export draws tells of nothing but
// what a district table says too: one cause is one finding.
func (x *examiner) saidByTable(f *finding.Finding, byName map[string][]int) bool {
	precincts, ok := checks.InDistricts(f)
	if !ok || len(x.table.found) == 0 {
		return false
	}
	type subject struct {
		contest, party string
		at             finding.Places
	}
	if x.table.keys == nil {
		x.table.keys = map[any]int{}
		for _, u := range x.units {
			about := x.pg.About(finding.Finding{}, u.pi, u.si)
			x.table.keys[subject{about.Contest, about.Party, about.Places}] = u.key
		}
	}
	key, ok := x.table.keys[subject{f.Contest, f.Party, f.Places}]
	return ok && !slices.ContainsFunc(precincts, func(name string) bool {
		return !slices.ContainsFunc(byName[name], func(a int) bool { return x.table.found[onArea(key, a)] })
	})
}

// testimonies are what the documents say of the fields that a finding accounts for.
func (x *examiner) testimonies(f *finding.Finding, byName map[string][]int) (out []testimony) {
	if f.Language != "" {
		return nil // a list is of the first language
	}
	var areas []int
	for _, name := range f.Precincts {
		areas = append(areas, byName[name]...)
	}
	contents, orders, styles := map[int]bool{}, map[about]bool{}, false
	for _, c := range f.Claims {
		a := about{c.Thing, c.Primary, c.Second, c.PrimaryPart, c.SecondPart, c.Field}
		switch {
		case c.Thing == finding.Ballot && c.Field == finding.Content:
			if key := x.keyOf(c.PrimaryPart, c.SecondPart); key >= 0 {
				contents[key] = true
			}
		case c.Thing == finding.Ballot && c.Field == finding.Order && f.Choice == "":
			orders[about{finding.Contest, c.PrimaryPart, c.SecondPart, -1, -1, finding.Order}] = true
		case c.Thing == finding.Precinct && c.Field == finding.Style:
			styles = true
		case c.Thing == finding.Contest && c.Field == finding.Whole:
			a.field = finding.Content
			out = append(out, x.verdicts[a]...)
			if key := x.keyOf(c.Primary, c.Second); key >= 0 {
				contents[key] = true
			}
		default:
			out = append(out, x.verdicts[a]...)
		}
	}
	for a := range orders {
		out = append(out, x.verdicts[a]...)
	}
	for key := range contents {
		for _, n := range x.ofKey[key] {
			u := x.units[n]
			out = append(out, x.verdicts[about{finding.Contest, u.pi, u.si, -1, -1, finding.Content}]...)
		}
	}
	return append(out, x.ofBallots(areas, contents, styles)...)
}

func (x *examiner) keyOf(pi, si int) int {
	switch {
	case si >= 0:
		return x.pg.Contests.SecondKey[si]
	case pi >= 0:
		return x.pg.Contests.PrimaryKey[pi]
	}
	return -1
}

// ofBallots are what the district tables say of the contests of a finding on the ballots of areas; with
// whole, of all contests in which these ballots differ.
func (x *examiner) ofBallots(areas []int, contents map[int]bool, whole bool) (out []testimony) {
	if len(x.table.expects) == 0 || len(areas) == 0 || len(contents) == 0 && !whole {
		return nil
	}
	p, s := &x.table.sets[0], &x.table.sets[1]
	for i := range x.table.expects {
		e := &x.table.expects[i]
		if !whole && !contents[e.key] {
			continue
		}
		for _, a := range areas {
			e1, s1 := p.any[e.key].Has(a), s.any[e.key].Has(a)
			if e1 == s1 || !e.inside.Has(a) && !e.outside.Has(a) {
				continue
			}
			v := ExportAlone
			if e1 == e.inside.Has(a) {
				v = SecondAlone
			}
			out = append(out, testimony{e.document, v, ""})
		}
	}
	return out
}

// certified makes sentences of testimonies, one for each document.
func (x *examiner) certified(list []testimony) (c finding.Certified) {
	if len(list) == 0 {
		return c
	}
	var documents []*Document
	by := map[*Document][]testimony{}
	for _, t := range list {
		if by[t.document] == nil {
			documents = append(documents, t.document)
		}
		by[t.document] = append(by[t.document], t)
		c.Entry = max(c.Entry, t.document.Entry)
	}
	slices.SortFunc(documents, func(a, b *Document) int {
		if n := slices.Index(model.WitnessKinds, a.Kind) - slices.Index(model.WitnessKinds, b.Kind); n != 0 {
			return n
		}
		return int(a.Entry - b.Entry)
	})
	c.AgreesPrimary, c.AgreesSecond = true, true
	var words []string
	for _, d := range documents {
		n := map[Verdict]int{}
		for _, t := range by[d] {
			n[t.verdict]++
			c.AgreesPrimary = c.AgreesPrimary && t.verdict == SecondAlone
			c.AgreesSecond = c.AgreesSecond && t.verdict == ExportAlone
		}
		words = append(words, finding.Capital(x.called(d))+" "+said(n, by[d])+".")
	}
	c.Words = strings.Join(words, " ")
	return c
}

// said words the verdicts of one document on one finding.
func said(n map[Verdict]int, list []testimony) string {
	switch len(list) {
	case n[ExportAlone]:
		return "agrees with the second entry"
	case n[SecondAlone]:
		return "agrees with the export"
	case n[ListAlone] + n[AllDiffer]:
		if len(list) == 1 && list[0].listed != "" {
			return "agrees with neither: it has " + list[0].listed
		}
		return "agrees with neither"
	case n[AllAgree] + n[CannotTell]:
		return "does not tell the two apart, as it is read"
	}
	var parts []string
	for _, p := range []struct {
		n    int
		with string
	}{{n[ExportAlone], "the second entry"}, {n[SecondAlone], "the export"}, {n[ListAlone] + n[AllDiffer], "neither"}} {
		if p.n > 0 {
			parts = append(parts, fmt.Sprintf("%s in %d", p.with, p.n))
		}
	}
	if rest := n[AllAgree] + n[CannotTell]; rest > 0 {
		parts = append(parts, fmt.Sprintf("both in %d", rest))
	}
	return fmt.Sprintf("agrees with %s of %d places", strings.Join(parts, ", with "), len(list))
}
