package checks

import (
	"fmt"
	"slices"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/checks/wording"
	"counterproof/model"
)

const codeMeasureText finding.Code = "measure-text"

var measureText = &Check{Check: finding.Check{
	Code:    codeMeasureText,
	Purpose: "the text of a measure differs",
	Doc: `The text that was keyed is compared with the full text and the summary that the export
holds; it must agree with one of them. Graded by how they differ. The texts of two measures
exchanged are one finding.`,
	Example:  `Proposition Two: "ten million" in the export, "one million" as keyed`,
	Mark:     finding.MarkSpelling,
	Field:    "the text",
	Wordings: true,
	Keyed:    []finding.Thing{finding.Contest},
	Sentence: sayMeasureText,
},
	find: findMeasureText, further: true,

	pattern: spelling, exchange: exchanged,
}

// textCase is textLost where the primary has lost the text of a measure.
type textCase int

const textLost textCase = 1

func findMeasureText(ds *difference.Differences, r *reporter) {
	ds.EachContestPair(func(k int, m pairing.ContestPair, a, b *model.Contest) {
		r.agree(contestRef(m).Claims(finding.Summary)...)
		aTexts, bTexts := textsOf(a), textsOf(b)
		switch {
		case len(aTexts) == 0 && len(bTexts) == 0, len(bTexts) == 0, len(aTexts) == 0 && !ds.Primary.AnyText:
			return
		case len(aTexts) == 0 && bTexts[0] == "":
			return // nothing is printed, as keyed
		case len(aTexts) == 0:
			// Other measures of the export have their text; this one has lost it.
			f := ds.About(finding.Finding{Grade: finding.MustFix, Facts: textLost, Second: bTexts[0],
				Precincts: ds.PairNames(m)}, m.Primary, m.Second)
			r.reportPair(m, f, "text").claim(contestRef(m).Claims(finding.Text)...)
			return
		}
		for _, x := range aTexts {
			for _, y := range bTexts {
				if x == y {
					r.agree(contestRef(m).Claims(finding.Text)...)
					return
				}
			}
		}
		if wentWithTitle(ds, k, finding.Text) {
			return // as contest-title says
		}
		if other, ok := exchangedWith(ds, k, sameText); ok {
			if k < other {
				reportExchange(ds, r, k, other, finding.Text, func(c *model.Contest) string { return textsOf(c)[0] })
			}
			return
		}
		x, y := aTexts[0], bTexts[0]
		if len(aTexts) > 1 && wording.Similarity(aTexts[1], y) > wording.Similarity(x, y) {
			x = aTexts[1]
		}
		f, _ := wordingFinding(x, y)
		f = ds.About(f, m.Primary, m.Second)
		f.Precincts = ds.PairNames(m)
		r.reportPair(m, f, "text").claim(contestRef(m).Claims(finding.Text)...)
	})
}

// textsOf lists the texts that a ballot may print for a contest: the full text,
// the summary.
func textsOf(c *model.Contest) []string {
	var out []string
	for _, t := range []model.Stated[model.Text]{c.Text, c.Summary} {
		if t.Known {
			out = append(out, pairing.Plain(t))
		}
	}
	return out
}

// sameText reports whether a text of one contest is a text of the other.
func sameText(a, b *model.Contest) bool {
	keyed := textsOf(b)
	return slices.ContainsFunc(textsOf(a), func(x string) bool { return slices.Contains(keyed, x) })
}

func sayMeasureText(f *finding.Finding) string {
	if x, ok := f.Facts.(exchangedContests); ok {
		return fmt.Sprintf("The texts of %s and %s are exchanged in the export.", finding.Quote(x.titles[0]),
			finding.Quote(x.titles[1]))
	}
	if f.Facts == textLost {
		return fmt.Sprintf("The export holds no text for %s, and one was keyed.", finding.Quote(f.Contest))
	}
	return fmt.Sprintf("The text of %s differs in the export, %s.", finding.Quote(f.Contest),
		finding.DifferenceIn(f.Primary, f.Second))
}
