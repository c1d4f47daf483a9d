package checks

import (
	"fmt"
	"strings"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/natural"
	"counterproof/checks/pairing"
)

const codeWrongStyle finding.Code = "wrong-style"

var wrongStyle = &Check{Check: finding.Check{
	Code:    codeWrongStyle,
	Purpose: "the precinct carries another style's ballot",
	Doc: `The ballot that the export gives a precinct is exactly, or most nearly, that of a
style that the second entry means for other precincts, or the other way round. One
finding takes the place of the missing and extra contests that it explains. Look at the
assignment of styles to precincts in the export, and at the district table. Where only
one contest differs, it must be so both ways, or the label must be that style's too; else
the contest is missing or extra. Graded must-fix.`,
	Example:  `1-06: carries the ballot of style 3; style 2 is meant for it`,
	Headline: "wrong ballot",
	Mark:     finding.MarkPlace,
	Field:    "the ballot",
	BothWays: true,
	Keyed:    []finding.Thing{finding.Ballot},
	LeftOut:  finding.Content,
	Sentence: sayWrongStyle,
},
	find: findWrongStyle,

	exchange: exchanged,
}

// carriedStyle is what wrong-style says beside the precincts.
type carriedStyle struct {
	// carried is the second entry's style whose ballot the primary gives and meant the one
	// that it should give; or keyedAs is the primary's whose ballot was keyed, and own the
	// one that it gives.
	Carried, Meant, KeyedAs, Own finding.StyleName
	ByKeyed                      bool // known by keyedAs
	Exact                        bool
	Single                       bool // one contest left off or added would look the same
}

func findWrongStyle(ds *difference.Differences, r *reporter) {
	for _, w := range ds.Content.Wrong {
		meant := pairing.StyleName(ds.Second, w.Meant)
		names := natural.Sorted(ds.AreaNames(w.Areas))
		x := carriedStyle{Exact: w.Exact, Single: w.Single, Meant: pairing.NameOfStyle(ds.Second, w.Meant),
			Own: pairing.NameOfStyle(ds.Primary, w.Own)}
		f := finding.Finding{Grade: finding.MustFix, Precincts: names, Style: meant,
			Party: ds.Second.PartyList(ds.Second.Styles[w.Meant].Parties),
			Places: finding.Places{Primary: ds.PlaceOfStyle(w.Areas[0]), Second: pairing.Place("style",
				ds.Second.Origins.Style(w.Meant))}}
		if w.Carried >= 0 {
			x.Carried = pairing.NameOfStyle(ds.Second, w.Carried)
			f.Primary, f.Second = x.Carried.String(), meant
		} else {
			x.KeyedAs, x.ByKeyed = pairing.NameOfStyle(ds.Primary, w.KeyedAs), true
			f.Primary, f.Second = x.Own.String(), x.KeyedAs.String()
		}
		f.Facts = x
		r.report(f, "style", meant, strings.Join(names, "\x01")).claim(precinctClaims(ds, w.Areas,
			finding.Style)...)
	}
}

func sayWrongStyle(f *finding.Finding) string {
	x := f.Facts.(carriedStyle)
	how := "exactly"
	if !x.Exact {
		how = "most nearly"
	}
	words := fmt.Sprintf("In the export %s %s %s %s; the second entry gives %s.",
		finding.CountPrecincts(f.Precincts), finding.Verb(f.Precincts, "carries",
			"carry"), how, x.Carried.Ballot(), x.Meant.Words())
	if x.ByKeyed {
		gives := "has another there"
		if x.Own.Label != "" {
			gives = "gives " + x.Own.Words()
		}
		words = fmt.Sprintf("The second entry gives %s %s the ballot that the export has for %s; the export %s.",
			finding.CountPrecincts(f.Precincts), how, x.KeyedAs.Owner(), gives)
	}
	if x.Single {
		words += " One contest left off or added on this ballot alone would look the same."
	}
	return words
}
