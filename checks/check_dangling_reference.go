package checks

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model"
)

const codeDanglingReference finding.Code = "dangling-reference"

var danglingReference = &Check{Check: finding.Check{
	Code:    codeDanglingReference,
	Purpose: "the export points at something it does not hold",
	Doc: `An identifier in the export leads nowhere, or to a thing of the wrong kind. What hangs
on it is lost in whatever reads the export: the names, party lines, contests, headings and
ballots that were keyed and that the export lacks for want of it are part of the finding.
All references to one target are one finding. Graded must-fix.`,
	Example: `Contest cc-7: CandidateIds names can-31, and there is no such candidate`,
	Mark:    finding.MarkMissing,
	Advice: `This is about the export alone: it points at something that it does not hold. Nothing that was keyed can ` +
		`mend it. Fix the configuration, or refer it.`,
	Inspects: true,
	Sentence: sayDanglingReference,
},
	find: findDanglingReference,
}

func findDanglingReference(ds *difference.Differences, r *reporter) {
	r.lost = findLosses(ds)
	type target struct{ to, found string }
	var targets []target
	byTarget := map[target][]model.Dangling{}
	for _, d := range ds.Primary.Origins.Dangling {
		k := target{d.To, d.Found}
		if byTarget[k] == nil {
			targets = append(targets, k)
		}
		same := func(o model.Dangling) bool { return o.From == d.From && o.Field == d.Field }
		if len(d.Others) > 0 || !slices.ContainsFunc(byTarget[k], same) {
			byTarget[k] = append(byTarget[k], d)
		}
	}
	for _, k := range targets {
		reportTarget(r, byTarget[k])
	}
}

// reportTarget reports the references to one target, with what the export lacks for want of it.
func reportTarget(r *reporter, list []model.Dangling) {
	x := danglingTarget{To: list[0].To, Found: list[0].Found}
	var places []string
	for _, d := range list {
		class, _, _ := strings.Cut(d.From, " ")
		x.References += d.More + 1
		x.Fields = append(x.Fields, [2]string{class, d.Field})
		x.From = append(x.From, d.From)
		places = append(places, pairing.Place("", model.Origin{File: d.File, Line: d.Line}))
		for _, o := range d.Others {
			x.From = append(x.From, o.From)
			places = append(places, pairing.Place("", model.Origin{File: o.File, Line: o.Line}))
		}
	}
	slices.SortFunc(x.Fields, func(a, b [2]string) int { return slices.Compare(a[:], b[:]) })
	x.Fields = slices.Compact(x.Fields)
	f := finding.Finding{Grade: finding.MustFix, Primary: x.To,
		Places: finding.Places{Primary: strings.Join(slices.Compact(places), "; ")}}
	lost := r.lost.of[x.To]
	if lost != nil {
		f.Precincts = slices.Collect(maps.Keys(lost.precincts))
		x.Lacks = slices.Collect(maps.Keys(lost.words))
	}
	f.Facts = x
	subject := []string{x.From[0]}
	if len(x.From) > 1 { // the classes stand for all of them: which is first says nothing
		subject = []string{x.classes()}
	}
	one := r.report(f, append(subject, x.fields(), x.To)...)
	if lost != nil {
		one.claim(lost.claims...)
	}
}

// danglingTarget is what references of the export lead to and the export does not hold.
type danglingTarget struct {
	To, Found  string      // the identifier; what there is in its place, if anything
	Fields     [][2]string // the references: class of the things that they are in, and field
	From       []string    // the first of those things
	References int
	Lacks      []string // what the export lacks for want of it
}

// Count is how many references lead there.
func (x danglingTarget) Count() int { return x.References }

func (x danglingTarget) classes() string { return x.joined(0) }
func (x danglingTarget) fields() string  { return x.joined(1) }

func (x danglingTarget) joined(part int) string {
	words := make([]string, len(x.Fields))
	for i, f := range x.Fields {
		words[i] = f[part]
	}
	return strings.Join(words, "; ")
}

func sayDanglingReference(f *finding.Finding) string {
	x := f.Facts.(danglingTarget)
	words := x.sentence()
	if len(x.Lacks) > 0 {
		words += " For want of it the export lacks " + finding.ShortList(x.Lacks) + "."
	}
	return words
}

// targetWords is what a reference of SP 1500-100 or SP 1500-20 leads to, for people.
func targetWords(field string) string {
	for end, words := range map[string]string{"ElectionDistrictId": "a district", "ElectionScopeId": "an area",
		"GpUnitId": "a precinct or other area", "GpUnitIds": "a precinct or other area", "PartyId": "a party",
		"PartyIds": "a party", "CandidateId": "a candidate", "CandidateIds": "a candidate", "ContestId": "a contest",
		"ContestIds": "a contest", "SelectionIds": "a choice", "OptionIds": "a choice", "HeaderId": "a heading",
		"PersonId": "a person"} {
		if strings.HasSuffix(field, end) {
			return words
		}
	}
	return "a thing"
}

func (x danglingTarget) sentence() string {
	what := targetWords(x.Fields[0][1]) + " that the export does not hold: " + finding.Quote(x.To)
	if x.Found != "" {
		what = targetWords(x.Fields[0][1]) + " by " + finding.Quote(x.To) + ", which is a " + x.Found
	}
	if len(x.From) == 1 {
		return fmt.Sprintf("%s names %s (%s).", x.From[0], what, x.fields())
	}
	first := "in "
	if len(x.From) < x.References {
		first = "the first in "
	}
	kinds := make([]string, len(x.Fields))
	for i, f := range x.Fields {
		kinds[i] = f[0] + ", " + f[1]
	}
	return fmt.Sprintf("%d places of the export name %s (%s): %s%s.", x.References, what, strings.Join(kinds, "; "), first,
		strings.Join(x.From, ", "))
}
