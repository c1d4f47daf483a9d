package checks

import (
	"fmt"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/checks/wording"
	"counterproof/model"
)

const codeContestTitle finding.Code = "contest-title"

var contestTitle = &Check{Check: finding.Check{
	Code:    codeContestTitle,
	Purpose: "the wording of a contest differs",
	Doc: `The title of a contest, with its subtitle, is compared as printed. Where only capitals,
spacing, punctuation or accents differ it is graded confirm, else must-fix. An export
that gives only the contest's working name, which need not be as printed (SP 1500-100,
Contest.Name), gives a note for capitals, spacing and punctuation. Two titles exchanged, or
the choices below them, are one finding.`,
	Example:  `"Member of Council, District 3": the export has "District 8"`,
	Mark:     finding.MarkSpelling,
	Field:    "the title",
	Wordings: true,
	Keyed:    []finding.Thing{finding.Contest},
	Sentence: sayContestTitle,
},
	find: findContestTitle, further: true,

	pattern: spelling, exchange: exchanged,
}

func findContestTitle(ds *difference.Differences, r *reporter) {
	ds.EachContestPair(func(k int, m pairing.ContestPair, a, b *model.Contest) {
		if !b.Title.Known {
			return
		}
		f, differs := wordingFinding(pairing.Plain(a.Title), pairing.Plain(b.Title))
		if !differs {
			return
		}
		if other, ok := exchangedWith(ds, k, sameTitle); ok {
			if k < other {
				reportExchange(ds, r, k, other, finding.Title, func(c *model.Contest) string { return pairing.Plain(c.Title) })
			}
			return
		}
		f = ds.About(f, m.Primary, m.Second)
		f.Precincts = ds.PairNames(m)
		if d := wording.Compare(f.Primary, f.Second); (ds.Primary.WorkingName[m.Primary] ||
			ds.Second.WorkingName[m.Second]) && d.Minor && !d.Accents {
			f.Grade = finding.Note
		}
		r.reportPair(m, f, "title").claim(contestRef(m).Claims(finding.Title)...)
	})
}

func sayContestTitle(f *finding.Finding) string {
	if x, ok := f.Facts.(exchangedContests); ok {
		return x.titlesSentence()
	}
	switch {
	case f.Language != "" && f.Primary == "":
		return fmt.Sprintf("The export holds no title for %s, and %s was keyed.", finding.Quote(f.Contest),
			finding.Quote(f.Second))
	case f.Language != "":
		return fmt.Sprintf("The title of %s, keyed as %s, is %s in the export; it differs %s.", finding.Quote(f.Contest),
			finding.Quote(f.Second), finding.Quote(f.Primary), finding.DiffersIn(f.Primary, f.Second))
	case f.Grade == finding.Note:
		return fmt.Sprintf("The export gives only a working name for %s (%s); what differs from the printed title is %s.",
			finding.Quote(f.Second), finding.Quote(f.Primary), wording.Compare(f.Primary, f.Second).Word())
	case f.Primary == "":
		return fmt.Sprintf("The export holds no title for %s.", finding.Quote(f.Second))
	}
	return fmt.Sprintf("The title of %s differs in the export, %s.", finding.Quote(f.Second),
		finding.DiffersIn(f.Primary, f.Second))
}
