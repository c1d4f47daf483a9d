package checks

import (
	"fmt"

	"counterproof/checks/finding"
)

const codeListDiffers finding.Code = "list-differs"

var listDiffers = &Check{Check: finding.Check{
	Code:    codeListDiffers,
	Purpose: "a certified list disagrees with both entries",
	Doc: `A list that an authority certified, of candidates or of polling sites, says otherwise than
export and second entry, which agree: a name, a party line, the vote-for, the order, a candidate
or a site. The proof cannot show it, because it comes from the same database as the export. Where
only one of the two states the value, the list is held against that one. Names are read by the
rules of the list's mapping and never changed to fit. Needs a case with a certified list ("cproof
witness"). Graded must-fix; confirm where only capitals, spacing, punctuation or accents differ.`,
	Example: `"County Judge": vote for 1 in the export and the second entry, vote for 2 in the certified list`,
	Mark:    finding.MarkSpelling,
	Advice: `Export and second entry agree, and the certified list says otherwise. Look at the certified document. ` +
		`Where the list is right, have the configuration fixed, and correct the second entry by the list. Where the list ` +
		`is wrong or was read wrongly, decide “as certified”, with the document that says so, or bring in the right list.`,
	Sentence: sayListDiffers,
},
}

// Certified is what a certified document says of one thing otherwise than the entries: values as words
// that fit into a sentence.
type Certified struct {
	// Document names the document: "the certified list". Where names the entries that it is held against:
	// "the export and the second entry".
	Document, Where string
	// Entered is what they say, Listed what the document says, at its Place.
	Entered, Listed, Place string
}

// ListDiffers makes a finding of what a certified list says otherwise. about says where, and what each
// side says; subject tells it from others of the same contest and choice.
func ListDiffers(about finding.Finding, x Certified, subject ...string) finding.Finding {
	about.Facts = x
	about.Values = [2]finding.Value{{Words: about.Primary}, {Words: about.Second, List: []string{x.Listed}}}
	return completed(listDiffers, about, subject)
}

func sayListDiffers(f *finding.Finding) string {
	x := f.Facts.(Certified)
	about := ""
	switch {
	case f.Contest != "":
		about = finding.Quote(f.Contest) + ": "
	case len(f.Precincts) > 0:
		about = finding.Capital(finding.CountPrecincts(f.Precincts)) + ": "
	}
	place := ""
	if x.Place != "" {
		place = " (" + x.Place + ")"
	}
	return fmt.Sprintf("%s%s in %s, %s in %s%s.", about, x.Entered, x.Where, x.Listed, x.Document, place)
}

// completed is a finding that only a case can show, with its identity and its sentence.
func completed(check *Check, f finding.Finding, subject []string) finding.Finding {
	f.Check = check.Code
	if f.Precincts == nil {
		f.Precincts = []string{}
	}
	f.ID = identity(check.Code, append([]string{f.Contest, f.Party, f.Choice, f.Unit}, subject...))
	f.Message = check.Sentence(&f)
	return f
}

// OfDocument reports whether findings of a code come from a certified document: the second entry does
// not say what they ask for.
func OfDocument(code finding.Code) bool { return code == codeListDiffers || isDistrictTable(code) }
