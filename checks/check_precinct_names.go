package checks

import (
	"fmt"
	"slices"
	"strings"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/natural"
	"counterproof/checks/pairing"
	"counterproof/model/harm"
)

const codePrecinctNames finding.Code = "precinct-names"

var precinctNames = &Check{Check: finding.Check{
	Code:    codePrecinctNames,
	Purpose: "the labels of precincts differ by one rule throughout",
	Doc: `The labels of a whole roster differ in one way: other punctuation (1-01 and 1.01),
leading zeros (1-01 and 001-001), or a word before or after each of them (1-01 and
Precinct 1-01). Where that rule pairs the precincts that nothing else pairs, one to one,
it is one finding, and their ballots are compared. Fewer than three such labels are single
slips: they stay unpaired, as does what the rule does not fit. Graded confirm.`,
	Example:  `78 precincts: "001-001" in the export is keyed as "1-01", and so on`,
	Mark:     finding.MarkSpelling,
	Field:    "the labels",
	Keyed:    []finding.Thing{finding.Precinct},
	Sentence: sayPrecinctNames,
},
	find: findPrecinctNames,
}

// labelsByRule are the labels that differ by one rule.
type labelsByRule struct {
	*pairing.LabelRule
	harm harm.Kind // what a spreadsheet did to the keyed labels, if that explains all of them
}

func findPrecinctNames(ds *difference.Differences, r *reporter) {
	rule := ds.Precincts.Rule
	if rule == nil {
		return
	}
	pairs := slices.SortedStableFunc(slices.Values(rule.Pairs), func(a, b pairing.LabelPair) int {
		return natural.Compare(a.SecondLabel, b.SecondLabel)
	})
	facts := labelsByRule{LabelRule: rule, harm: harm.Of(pairs[0].SecondLabel, pairs[0].PrimaryLabel)}
	f := finding.Finding{Grade: finding.Confirm, Places: finding.Places{
		Primary: pairing.Place("GpUnit", ds.Primary.Origins.Precinct(pairs[0].Primary)),
		Second:  pairing.Place("precinct", ds.Second.Origins.Precinct(pairs[0].Second))}}
	var claims []finding.Claim
	for _, m := range pairs {
		if harm.Of(m.SecondLabel, m.PrimaryLabel) != facts.harm {
			facts.harm = harm.None
		}
		f.Values[0].List = append(f.Values[0].List, m.PrimaryLabel)
		f.Values[1].List = append(f.Values[1].List, m.SecondLabel)
		f.Precincts = append(f.Precincts, ds.Second.PrecinctName[m.Second])
		claims = append(claims, finding.RefTo(finding.Precinct, m.Primary, m.Second).Claims(finding.Name)...)
	}
	f.Primary, f.Second = finding.ShortList(f.Values[0].List), finding.ShortList(f.Values[1].List)
	f.Facts = facts
	r.report(f, "rule").claim(claims...)
}

func sayPrecinctNames(f *finding.Finding) string {
	x := f.Facts.(labelsByRule)
	var examples []string
	for k := range min(2, len(f.Precincts)) {
		examples = append(examples, fmt.Sprintf("%s in the export is keyed as %s",
			finding.Quote(f.Values[0].List[k]), finding.Quote(f.Values[1].List[k])))
	}
	words := fmt.Sprintf("The labels of %d precincts differ %s: %s, and so on. The precincts were paired by this rule "+
		"and their ballots compared.", len(f.Precincts), x.words(f), strings.Join(examples, ", "))
	if x.harm != harm.None {
		words += fmt.Sprintf(" %s. %s.", finding.Capital(x.harm.Words()), finding.Capital(harm.Remedy))
	}
	return words
}

// words says in what the labels differ, to follow "differ".
func (x labelsByRule) words(f *finding.Finding) string {
	var added []string
	for _, a := range []struct{ words, where string }{{x.Before, "before"}, {x.After, "after"}} {
		if a.words != "" {
			added = append(added, fmt.Sprintf("%s %s each of them", finding.Quote(x.printed(f, a.words)), a.where))
		}
	}
	switch {
	case x.Words:
		return "throughout in the words before their numbers"
	case len(added) > 0 && x.InPrimary:
		return "throughout: the export has " + strings.Join(added, " and ")
	case len(added) > 0:
		return "throughout: the second entry has " + strings.Join(added, " and ")
	case x.Zeros && x.Punctuation:
		return "throughout in leading zeros and in spaces or punctuation"
	case x.Zeros:
		return "throughout in leading zeros"
	case x.Punctuation:
		return "throughout in spaces or punctuation"
	}
	return "throughout in the form of their letters"
}

// printed returns what a rule adds, in the capitals of the first label.
func (x labelsByRule) printed(f *finding.Finding, added string) string {
	side := 1
	if x.InPrimary {
		side = 0
	}
	label := f.Values[side].List[0]
	if at := strings.Index(strings.ToLower(label), added); at >= 0 && at+len(added) <= len(label) {
		return label[at : at+len(added)]
	}
	return added
}
