package checks

import (
	"fmt"
	"slices"
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
the contest is missing or extra. In a closed primary, the exchange of two parties' ballots
is one finding. Graded must-fix.`,
	Example:  `1-06: carries the ballot of style 3; style 2 is meant for it`,
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
	exchanged := map[int]bool{}
	for _, x := range ds.Content.Exchanges {
		reportPartyExchange(ds, r, x)
		for _, k := range x.Wrong {
			exchanged[k] = true
		}
	}
	for k, w := range ds.Content.Wrong {
		if exchanged[k] {
			continue
		}
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

// exchangedParties are two parties whose voters get each other's ballot.
type exchangedParties struct {
	parties [2]string
	exact   bool
}

func reportPartyExchange(ds *difference.Differences, r *reporter, x difference.PartyExchange) {
	names := natural.Sorted(ds.AreaNames(x.Areas))
	facts := exchangedParties{exact: x.Exact}
	for k, style := range [2]int{x.First, x.Second} {
		facts.parties[k] = ds.Second.PartyList(ds.Second.Styles[style].Parties)
	}
	slices.SortFunc(facts.parties[:], natural.Compare)
	one, other := facts.parties[0], facts.parties[1]
	f := finding.Finding{Grade: finding.MustFix, Precincts: names, Party: one + " | " + other, Facts: facts,
		Primary: fmt.Sprintf("%s voters get the ballot of %s voters, and the other way round", one, other),
		Second:  "voters of each party get their own ballot",
		Places: finding.Places{Primary: ds.PlaceOfStyle(x.Areas[0]), Second: pairing.Place("style",
			ds.Second.Origins.Style(x.First))}}
	r.report(f, "parties exchanged", strings.Join(names, "\x01")).claim(precinctClaims(ds, x.Areas, finding.Style)...)
}

func (x exchangedParties) sentence(f *finding.Finding) string {
	how := "exactly"
	if !x.exact {
		how = "most nearly"
	}
	return fmt.Sprintf("The ballots of %s and %s voters are exchanged in %s: compared with the second entry, the export "+
		"gives the voters of each party %s the ballot of the other.", finding.Quote(x.parties[0]),
		finding.Quote(x.parties[1]), finding.CountPrecincts(f.Precincts), how)
}

func sayWrongStyle(f *finding.Finding) string {
	if x, ok := f.Facts.(exchangedParties); ok {
		return x.sentence(f)
	}
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
	if f.Party != "" {
		words = fmt.Sprintf("On the ballots of %s voters: %s", f.Party, words)
	}
	if x.Single {
		words += " One contest left off or added on this ballot alone would look the same."
	}
	return words
}
