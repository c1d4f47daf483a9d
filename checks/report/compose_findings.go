package report

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// findings composes every finding and decision, and the other recorded acts.
func (c *composer) findings() {
	c.add(section{"Findings"})
	if len(c.Findings) == 0 {
		c.add(paragraph{say("There is no finding, and there was none."), body})
	} else {
		c.add(paragraph{say("Every difference and fault that was found, those that are cleared included. Letters that " +
			"differ are underlined. Polling sites are those of the last export."), body})
	}
	number := make(map[string]int, len(c.Findings))
	for _, f := range c.Findings {
		number[f.ID] = f.Number
	}
	for _, x := range c.Causes {
		c.add(paragraph{words{{"One cause: ", strong}, {x.Message, plain},
			{" (" + numbered(number, x.Findings) + ")", plain}}, body})
	}
	var shown finding.Shown
	for i := range c.Findings {
		if shown.Shows(finding.Code(c.Findings[i].Check)) {
			c.add(c.finding(&c.Findings[i]))
		}
	}
	for _, words := range shown.Rest() {
		c.add(paragraph{say(finding.Capital(words) + " The report's data holds all, and they are signed with it."), body})
	}
	c.corrections()
	c.amendments()
	c.laidDown()
	c.exports()
	c.withdrawn()
}

func (c *composer) corrections() {
	c.add(heading{"Corrections of the second entry", true})
	if len(c.Corrections) == 0 {
		c.add(paragraph{say("None."), body})
	}
	for _, x := range c.Corrections {
		rows := []fact{}
		for i := 0; i < len(x.Changes); {
			n := i + 1
			for n < len(x.Changes) && rowOf(x.Changes[n]) == rowOf(x.Changes[i]) {
				n++
			}
			rows = append(rows, changed(x.Changes[i:n])...)
			i = n
		}
		c.add(entry{title: fmt.Sprintf("Entry %d", x.Entry), rows: append(rows, c.act(x.Document, x.Reason, x.By, x.At)...)})
	}
}

// rowOf is the row of the second entry that a changed field stands in.
func rowOf(f Change) string { return f.Field[:strings.LastIndexByte("/"+f.Field, '/')] }

// changed composes the changes of one row: the fields of a row that was put in or taken away under one
// heading, else each field for itself.
func changed(fields []Change) (rows []fact) {
	whole := func(empty func(f Change) string) bool {
		return len(fields) > 1 && !slices.ContainsFunc(fields, func(f Change) bool { return empty(f) != "" })
	}
	label := ""
	switch {
	case whole(func(f Change) string { return f.Was }):
		label = "Put in"
	case whole(func(f Change) string { return f.Now }):
		label = "Taken away"
	default:
		for _, f := range fields {
			was, now := sides(true, f.Was, f.Now, "(not keyed)")
			rows = append(rows, fact{label: "Changed", lines: []words{say(finding.Capital(f.What)), append(say("was "), was...),
				append(say("is now "), now...)}})
		}
		return rows
	}
	_, name, _ := strings.Cut(fields[0].What, " of ")
	lines := []words{say(finding.Capital(name))}
	for _, f := range fields {
		column, _, _ := strings.Cut(f.What, " of ")
		lines = append(lines, append(say(column+": "), stress(f.Was+f.Now)...))
	}
	return []fact{{label: label, lines: lines}}
}

func (c *composer) amendments() {
	c.add(heading{"Amendments", true})
	if len(c.Amendments) == 0 {
		c.add(paragraph{say("None."), body})
	}
	for _, x := range c.Amendments {
		rows := []fact{{label: "Reopened", lines: none(each(x.Contests))},
			{label: "Ordered on", lines: []words{say(day(x.Date))}}}
		if x.MailedStand {
			rows = append(rows, fact{label: "Mailed ballots",
				lines: []words{say("stay valid, so that two versions of a style may stand")}})
		}
		c.add(entry{title: fmt.Sprintf("Entry %d", x.Entry), rows: append(rows, c.act(x.Document, x.Reason, x.By, x.At)...)})
	}
}

// laidDown composes the settings and mappings that the pair signed for the comparison.
func (c *composer) laidDown() {
	if len(c.Mappings)+len(c.Compared)+len(c.TablesMappings) > 0 {
		c.add(heading{"What the pair laid down", true})
	}
	for _, x := range c.Mappings {
		c.add(entry{title: fmt.Sprintf("Entry %d: one %s under two names", x.Entry, x.Kind), rows: append([]fact{
			{label: "Export", lines: []words{quote(x.Primary)}}, {label: "Second entry", lines: []words{quote(x.Second)}}},
			c.act("", x.Reason, x.By, x.At)...)})
	}
	for _, x := range c.Compared {
		rows := []fact{}
		if len(x.Elections) > 0 {
			rows = append(rows, fact{label: "Elections", lines: each(x.Elections)})
		}
		if x.Language != "" {
			rows = append(rows, fact{label: "Language", lines: []words{say(x.Language)}})
		}
		if x.UnitLimit > 0 {
			rows = append(rows, fact{label: "Unit limit", lines: []words{say(strconv.Itoa(x.UnitLimit))}})
		}
		c.add(entry{title: fmt.Sprintf("Entry %d: how exports are compared", x.Entry),
			rows: append(rows, c.act("", x.Reason, x.By, x.At)...)})
	}
	c.tablesMappings()
}

func (c *composer) exports() {
	c.add(heading{"Exports in sequence", true})
	for i, x := range c.Exports {
		rows := []fact{{label: "Files", lines: c.filesWords(x.Files, x.Cards)}}
		if i > 0 {
			rows = append(rows,
				fact{label: "Changed, asked for", lines: none(each(x.Asked)), listed: len(x.Asked) > 0},
				fact{label: "Changed, unasked", lines: none(each(x.Unasked)), listed: len(x.Unasked) > 0})
		}
		c.add(entry{number: strconv.Itoa(i + 1), title: x.Name, rows: rows})
	}
}

// withdrawn composes the exports that the pair withdrew.
func (c *composer) withdrawn() {
	if len(c.Withdrawn) > 0 {
		c.add(heading{"Exports withdrawn: they were compared with nothing", true})
	}
	for _, x := range c.Withdrawn {
		rows := []fact{{label: "Files", lines: c.filesWords(x.Files, nil)}}
		c.add(entry{title: fmt.Sprintf("Entry %d", x.Entry), rows: append(rows, c.act("", x.Reason, x.By, x.At)...)})
	}
}

// mostNumbered is the largest number of findings of a cause that are listed by number.
const mostNumbered = 500

// numbered lists the findings of a cause by their numbers.
func numbered(number map[string]int, ids []string) string {
	var numbers []int
	for _, id := range ids {
		if n, ok := number[id]; ok {
			numbers = append(numbers, n)
		}
	}
	slices.Sort(numbers)
	var list []string
	for _, n := range numbers[:min(len(numbers), mostNumbered)] {
		list = append(list, strconv.Itoa(n))
	}
	words := english.PluralWord(len(numbers), "finding", "") + " " + strings.Join(list, ", ")
	if rest := len(numbers) - len(list); rest > 0 {
		words += fmt.Sprintf(" and %d more", rest)
	}
	return words
}

func (c *composer) finding(f *Finding) entry {
	status := review.Status(f.Status)
	e := entry{number: strconv.Itoa(f.Number), title: finding.Capital(finding.Code(f.Check).Title()),
		word: status.Graded(finding.Grade(f.Grade)),
		cell: CellOpen}
	switch status {
	case review.StatusSettled, review.StatusCleared:
		e.cell = CellSettled
	case review.StatusNoted:
		e.cell = CellAgreed
	}
	var where []string
	for _, x := range []string{f.Contest, f.Style, f.Unit, f.Site} { // the choice is in the sentence
		if x != "" {
			where = append(where, x)
		}
	}
	if f.Party != "" {
		where = append(where, c.party(f.Party))
	}
	if len(where) > 0 {
		e.title += ": " + strings.Join(where, ", ")
	}
	e.message = code(f.ID)
	if f.Message != "" {
		e.message = words{{f.Message + "  ", plain}, {f.ID, digits}}
	}
	check := checks.Of(finding.Code(f.Check))
	p, s := sides(check.Wordings, f.Primary, f.Second, "(nothing)")
	e.rows = append(e.rows, fact{label: "Export", lines: []words{p}}, fact{label: "Second entry", lines: []words{s}})
	if codes := c.codesIn(f); len(codes) > 0 && slices.Contains(check.Keyed, finding.Party) {
		e.rows = append(e.rows, fact{label: english.PluralWord(len(codes), "Party", "Parties"),
			lines: []words{say(strings.Join(c.partyNames(codes), ", "))}, fine: true})
	}
	if len(f.Precincts) > 0 {
		text := finding.PrecinctList(f.Precincts, c.Counts.Precincts)
		e.rows = append(e.rows, fact{label: "Precincts", lines: []words{say(text + atSites(f.Sites))}, fine: true})
	}
	for _, d := range f.Decisions {
		e.rows = append(e.rows, fact{label: "Decision", lines: []words{c.decision(f, &d)}, fine: true})
	}
	if status == review.StatusCleared && len(f.Decisions) > 0 {
		e.rows = append(e.rows, fact{label: "Cleared", lines: []words{say(c.clearedBy(f))}, fine: true})
	}
	return e
}

// atSites names the polling sites of a finding's precincts.
func atSites(sites []Site) string {
	var list []string
	for _, x := range sites {
		name := cmp.Or(x.Name, "–")
		if len(sites) > 1 {
			name += " (" + ranges(x.Precincts) + ")"
		}
		list = append(list, name)
	}
	if len(list) == 0 {
		return ""
	}
	return ", voting at " + english.WordSeries(list, "and")
}

// decision is what was decided on a finding. An act that decided several findings is shown in full
// with the first of them.
func (c *composer) decision(f *Finding, d *Decision) words {
	w := stress(OutcomeWords(casefile.Outcome(d.Outcome)) + ".")
	if d.Correction > 0 {
		w = append(w, run{fmt.Sprintf(" The correction is entry %d.", d.Correction), plain})
	}
	if with := c.decided[d.Entry]; with != 0 && with != f.Number {
		return append(w, run{fmt.Sprintf(" Decided together with finding %d (entry %d).", with, d.Entry), plain})
	}
	c.decided[d.Entry] = f.Number
	text := ""
	if d.Reason != "" {
		text += " Reason: " + d.Reason + "."
	}
	if d.Document != "" {
		text += " Document: " + d.Document + "."
	}
	return append(w, run{fmt.Sprintf("%s By %s, %s (entry %d).", text, names(d.By), c.Clock.moment(d.At), d.Entry), plain})
}

// clearedBy says what ended a finding.
func (c *composer) clearedBy(f *Finding) string {
	last := f.Decisions[len(f.Decisions)-1]
	switch {
	case last.Correction > 0:
		return fmt.Sprintf("by the correction of the second entry, entry %d", last.Correction)
	case f.ClearedBy > 0 && f.ClearedBy <= len(c.Exports):
		return fmt.Sprintf("by export %d in sequence, “%s”", f.ClearedBy, c.Exports[f.ClearedBy-1].Name)
	}
	return "the two entries do not differ there any more; which act ended it is not recorded"
}

// codesIn returns the party codes that both sides of a finding consist of.
func (c *composer) codesIn(f *Finding) []string {
	var codes []string
	for _, side := range []string{f.Primary, f.Second} {
		for _, x := range strings.FieldsFunc(side, func(r rune) bool { return r == ',' || r == '|' || r == ';' }) {
			if x = strings.TrimSpace(x); c.party(x) != x && !slices.Contains(codes, x) {
				codes = append(codes, x)
			}
		}
	}
	return codes
}

// OutcomeWords says what was decided, as the report has it.
func OutcomeWords(o casefile.Outcome) string {
	switch o {
	case casefile.OutcomeKeyingSlip:
		return "Keying slip: the second entry was corrected"
	case casefile.OutcomeFixConfiguration:
		return "The configuration is to be fixed"
	case casefile.OutcomeAsCertified:
		return "Stays as certified"
	case casefile.OutcomeRefer:
		return "Referred to the supervisor"
	}
	return string(o)
}
