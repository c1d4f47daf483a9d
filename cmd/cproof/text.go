package main

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/checks/wording"
)

// cautions are shown at the end of every result (design, "Cautions that the product shows").
var cautions = []string{
	"This checks a configuration; it does not certify one.",
	"It takes the place of no test that law or a board's procedure requires: ballot proofing, logic and accuracy " +
		"testing and sealing still have to be done. Local law and your board's own procedures come first.",
	"It cannot see target positions, timing marks, audio or touch screens, nor whether the proof itself agrees with the " +
		"certified documents where only the proof was keyed. The proof and the export usually come from one database: " +
		"there, agreement proves printing, not set-up.",
	"It is no certified component of a voting system and claims no legal status for its signatures.",
	"It has no network access and never reads or writes a memory card or an election management system.",
}

// mostNotKeyed limits the list of what was not keyed; the JSON has all of it.
const mostNotKeyed = 40

// writeText writes a comparison as text: the result in one sentence, what was compared, the
// findings by cause with the worst first, what was not keyed, and what this check cannot see.
func writeText(w io.Writer, p page, both entries, result checks.Result) error {
	s := &sheet{page: p}
	s.paragraph(verdict(result))
	if both.note != "" {
		s.paragraph(both.note)
	}
	s.line("")
	s.inputs(both.inputs)
	s.hanging("Compared      ", "", holds(result.Summary))
	everywhere := map[string]bool{}
	for _, precinct := range result.Coverage.Precincts {
		everywhere[precinct.Name] = true
	}
	s.findings(result.Findings, result.Causes, everywhere)
	s.coverage(result.Coverage)
	s.notes(both.notes)
	s.cautions()
	_, err := io.WriteString(w, s.text.String())
	return err
}

// verdict states the result in one sentence.
func verdict(result checks.Result) string {
	sum := result.Summary
	notes := ""
	if sum.Note > 0 {
		notes = " (" + english.Plural(sum.Note, "note", "") + " below)"
	}
	switch {
	case sum.MustFix > 0 && sum.Confirm > 0:
		return fmt.Sprintf("The entries differ: %s to fix and %d to confirm before the memory cards are used%s.",
			english.Plural(sum.MustFix, "finding", ""), sum.Confirm, notes)
	case sum.MustFix > 0:
		return fmt.Sprintf("The entries differ: %s to fix before the memory cards are used%s.",
			english.Plural(sum.MustFix, "finding", ""), notes)
	case sum.Confirm > 0:
		return fmt.Sprintf("The entries differ in small things: %s to confirm before the memory cards are used%s.",
			english.Plural(sum.Confirm, "finding", ""), notes)
	case result.Coverage.KeyedFields == 0:
		return "Nothing was keyed that could be compared: this result proves nothing" + notes + "."
	default:
		return fmt.Sprintf("The entries agree in everything that was keyed%s.", notes)
	}
}

func holds(sum checks.Summary) string {
	return english.OxfordWordSeries([]string{
		english.Plural(sum.Precincts, "precinct", ""),
		english.Plural(sum.Contests, "contest", ""),
		english.Plural(sum.Units, "voting unit", ""),
	}, "and") + " of the export"
}

// inputs names the files that were read, so that anyone can check that it was these files.
func (s *sheet) inputs(inputs []input) {
	for _, in := range inputs {
		label := roleLabels[in.Role]
		s.hanging(fmt.Sprintf("%-14s", label), "", in.Path)
		digest := "  sha256      "
		if in.head {
			digest = "  head        "
		}
		s.line(digest + in.SHA256)
	}
}

var roleLabels = map[role]string{
	rolePrimary: "Export",
	roleUnits:   "Card list",
	roleWitness: "Certified",
	roleMapping: "Mapping",
	roleSecond:  "Second entry",
	roleExport:  "Export",
	roleDeck:    "Deck",
	roleKey:     "Answer key",
	roleResults: "Results",
}

// group is one cause with the findings that it explains; a finding without a cause is a group of
// its own.
type group struct {
	cause    string
	findings []finding.Finding
}

// groups groups findings by cause. A group takes the position of its worst finding; otherwise the
// order of the result is kept.
func groups(findings []finding.Finding, causes []checks.Cause) []group {
	messages := map[string]string{}
	for _, c := range causes {
		messages[c.ID] = c.Message
	}
	var list []group
	at := map[string]int{}
	for _, grade := range grades {
		for _, f := range findings {
			if f.Grade != grade {
				continue
			}
			i, known := at[f.Cause]
			if f.Cause == "" || !known {
				i = len(list)
				at[f.Cause] = i
				list = append(list, group{cause: messages[f.Cause]})
			}
			list[i].findings = append(list[i].findings, f)
		}
	}
	return list
}

// grades from worst to least.
var grades = []finding.Grade{finding.MustFix, finding.Confirm, finding.Note}

var gradeHeadings = map[finding.Grade]string{
	finding.MustFix: "MUST FIX",
	finding.Confirm: "TO CONFIRM",
	finding.Note:    "NOTES",
}

var gradeColours = map[finding.Grade]string{
	finding.MustFix: colourMustFix,
	finding.Confirm: colourConfirm,
	finding.Note:    colourNote,
}

// findings writes all findings, numbered consecutively. everywhere has the names of all precincts,
// if they are known.
func (s *sheet) findings(findings []finding.Finding, causes []checks.Cause, everywhere map[string]bool) {
	number := 0
	var current finding.Grade
	var shown finding.Shown
	for _, g := range groups(findings, causes) {
		grade := g.findings[0].Grade
		kept := g.findings[:0]
		var numbers []int
		for _, f := range g.findings {
			if number++; shown.Shows(f.Check) {
				kept, numbers = append(kept, f), append(numbers, number)
			}
		}
		if len(kept) == 0 {
			continue
		}
		if grade != current {
			current = grade
			s.line("")
			s.rule(gradeHeadings[grade], gradeColours[grade])
		}
		if g.cause != "" {
			s.line("")
			s.hanging("Perhaps one cause: ", colourHeading, g.cause)
		}
		for k, f := range kept {
			s.line("")
			s.finding(numbers[k], f, grade, everywhere)
		}
	}
	for _, words := range shown.Rest() {
		s.line("")
		s.paragraph(words + " --format json and --format csv write all.")
	}
}

// finding writes one finding: the sentence with the check's code, its place, and both sides, one
// below the other. It does not repeat what the sentence already names.
func (s *sheet) finding(number int, f finding.Finding, heading finding.Grade, everywhere map[string]bool) {
	lead := fmt.Sprintf("%3d  ", number)
	code := " [" + string(f.Check) + "]"
	if f.Grade != heading {
		code = " [" + string(f.Check) + ", " + string(f.Grade) + "]"
	}
	s.hanging(lead, gradeColours[f.Grade], f.Message+code)
	named := func(label, text string) {
		if !strings.Contains(f.Message, text) {
			s.field(label, text)
		}
	}
	named("contest", f.Contest)
	if f.Contest != "" {
		named("primary of", f.Party)
	}
	named("choice", f.Choice)
	named("style", f.Style)
	named("unit", f.Unit)
	named("site", f.Site)
	s.field("precincts", precinctList(f.Precincts, everywhere))
	if strings.HasSuffix(string(f.Check), "-missing") || strings.HasSuffix(string(f.Check), "-extra") {
		// Both sides are the program's own words here, so there is nothing to mark.
		s.field("export", wording.Visible(f.Primary))
		s.field("second", wording.Visible(f.Second))
	} else {
		s.sides(f.Primary, f.Second)
	}
	s.field("look at", f.Places.Primary)
	s.field("keyed at", f.Places.Second)
	if s.after != nil {
		s.after(f)
	}
}

// field writes one labelled line of a finding, unless the text is empty.
func (s *sheet) field(label, text string) {
	if text != "" {
		s.hanging(fmt.Sprintf("     %-10s", label), colourFaint, text)
	}
}

// sides writes both sides, one below the other. If they are similar, brackets mark the differences,
// and long texts are shown only there. If they have the same elements in a different order, each
// element gets a line, and the elements that moved get an arrow.
func (s *sheet) sides(primary, second string) {
	if a, b, ok := reordered(primary, second); ok {
		s.list("export", a, b)
		s.list("second", b, a)
		return
	}
	a, b := primary, second
	if primary != second && primary != "" && second != "" && wording.Similarity(primary, second) >= alike {
		a, b = wording.Mark(excerpts(primary, second))
	} else {
		a, b = wording.Visible(primary), wording.Visible(second)
	}
	s.field("export", wording.Cut(a, primary))
	s.field("second", wording.Cut(b, second))
}

// alike is the similarity above which two wordings are compared letter by letter; below it the
// marks would only be noise.
const alike = 0.6

// listed is the separator of lists in a finding.
const listed = "; "

// reordered reports whether two sides list the same elements in a different order.
func reordered(primary, second string) (a, b []string, ok bool) {
	a, b = strings.Split(primary, listed), strings.Split(second, listed)
	if len(a) < 2 || primary == second || !slices.Equal(slices.Sorted(slices.Values(a)), slices.Sorted(slices.Values(b))) {
		return nil, nil, false
	}
	return a, b, true
}

// list writes one side's list line by line, with an arrow where the other side has something else
// at the same position.
func (s *sheet) list(label string, list, other []string) {
	for i, text := range list {
		mark := "  "
		if text != other[i] {
			mark = "> "
		}
		s.hanging(fmt.Sprintf("     %-10s%s%2d ", label, mark, i+1), colourFaint, text)
		label = ""
	}
}

// coverage writes what was keyed and what was not.
func (s *sheet) coverage(c checks.Coverage) {
	s.line("")
	s.rule("COVERAGE", colourHeading)
	s.line("")
	defer s.documents(c.Contests)
	if c.NotKeyedFields == 0 && len(c.NotKeyed) == 0 {
		s.paragraph(fmt.Sprintf("All %s of the export that this check compares were keyed independently.",
			english.Plural(c.KeyedFields, "field", "")))
		return
	}
	s.paragraph(fmt.Sprintf("%s of the export %s keyed independently, %d %s not. What was not keyed is not proved; it "+
		"is never counted as agreeing:",
		english.Plural(c.KeyedFields, "field", ""), was(c.KeyedFields), c.NotKeyedFields, was(c.NotKeyedFields)))
	for i, text := range c.NotKeyed {
		if i == mostNotKeyed {
			s.hanging("  - ", "", fmt.Sprintf("and %d more (--format json lists them all)", len(c.NotKeyed)-i))
			break
		}
		s.hanging("  - ", "", text)
	}
}

// mostDocuments is the maximum number of documents that the coverage lists.
const mostDocuments = 20

// documents lists the documents from which the contests were keyed. Keying from the proof alone
// proves that the print and the export agree, and nothing about the certified documents.
func (s *sheet) documents(contests []checks.Covered) {
	count := map[string]int{}
	var names []string
	for _, c := range contests {
		if len(c.Keyed) == 0 {
			continue
		}
		if count[c.Source]++; count[c.Source] == 1 {
			names = append(names, c.Source)
		}
	}
	if len(names) == 0 {
		return
	}
	slices.SortFunc(names, func(a, b string) int { return cmp.Or(cmp.Compare(count[b], count[a]), cmp.Compare(a, b)) })
	s.line("")
	s.paragraph("The contests were keyed from these documents. Where only the ballot proof was keyed, print and export " +
		"are proved to agree, not that either is as certified:")
	for i, name := range names {
		if i == mostDocuments {
			s.hanging("  - ", "", fmt.Sprintf("and %d more (--format json lists them all)", len(names)-i))
			break
		}
		words := name
		if name == "" {
			words = "no document was named"
		}
		s.hanging("  - ", "", fmt.Sprintf("%s: %s", words, english.Plural(count[name], "contest", "")))
	}
}

func was(n int) string {
	if n == 1 {
		return "was"
	}
	return "were"
}

// cautions writes what this check does not prove.
func (s *sheet) cautions() {
	s.line("")
	s.rule("WHAT THIS CHECK CANNOT SEE", colourHeading)
	s.line("")
	for _, text := range cautions {
		s.hanging("  - ", "", text)
	}
}
