package report

import (
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
			"differ are underlined."), body})
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
		for _, f := range x.Changes {
			was, now := sides(true, f.Was, f.Now, "(not keyed)")
			rows = append(rows, fact{label: "Changed", lines: []words{say(finding.Capital(f.What)), append(say("was "), was...),
				append(say("is now "), now...)}})
		}
		c.add(entry{title: fmt.Sprintf("Entry %d", x.Entry), rows: append(rows, act(x.Document, x.Reason, x.By, x.At)...)})
	}
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
		c.add(entry{title: fmt.Sprintf("Entry %d", x.Entry), rows: append(rows, act(x.Document, x.Reason, x.By, x.At)...)})
	}
}

// laidDown composes the settings and mappings that the pair signed for the comparison.
func (c *composer) laidDown() {
	if len(c.Mappings)+len(c.Compared) > 0 {
		c.add(heading{"What the pair laid down", true})
	}
	for _, x := range c.Mappings {
		c.add(entry{title: fmt.Sprintf("Entry %d: one %s under two names", x.Entry, x.Kind), rows: append([]fact{
			{label: "Export", lines: []words{quote(x.Primary)}}, {label: "Second entry", lines: []words{quote(x.Second)}}},
			act("", x.Reason, x.By, x.At)...)})
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
			rows: append(rows, act("", x.Reason, x.By, x.At)...)})
	}
}

func (c *composer) exports() {
	c.add(heading{"Exports in sequence", true})
	for i, x := range c.Exports {
		rows := []fact{{label: "Files", lines: filesWords(x.Files, x.Cards)}}
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
		rows := []fact{{label: "Files", lines: filesWords(x.Files, nil)}}
		c.add(entry{title: fmt.Sprintf("Entry %d", x.Entry), rows: append(rows, act("", x.Reason, x.By, x.At)...)})
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
	e := entry{number: strconv.Itoa(f.Number), title: finding.Capital(strings.ReplaceAll(f.Check, "-", " ")),
		word: status.Words(),
		cell: CellOpen}
	switch status {
	case review.StatusSettled, review.StatusCleared:
		e.cell = CellSettled
	case review.StatusNoted:
		e.cell = CellAgreed
	}
	var where []string
	for _, x := range []string{f.Contest, f.Choice, f.Style, f.Unit, f.Site} {
		if x != "" {
			where = append(where, x)
		}
	}
	if f.Party != "" {
		where = append(where, f.Party)
	}
	if len(where) > 0 {
		e.title += ": " + strings.Join(where, ", ")
	}
	if f.Message != "" {
		e.message = say(f.Message)
	}
	p, s := sides(checks.Of(finding.Code(f.Check)).Wordings, f.Primary, f.Second, "(nothing)")
	e.rows = append(e.rows, fact{label: "Export", lines: []words{p}}, fact{label: "Second entry", lines: []words{s}})
	if len(f.Precincts) > 0 {
		text := counted(f.Precincts)
		if len(f.Precincts) > 3 && len(f.Precincts) == c.Counts.Precincts {
			text = "all " + count(len(f.Precincts))
		}
		e.rows = append(e.rows, fact{label: "Precincts", lines: []words{say(text)}})
	}
	e.rows = append(e.rows, fact{label: "Grade", lines: []words{{{f.Grade + "  ", plain}, {f.ID, digits}}}})
	for _, d := range f.Decisions {
		lines := []words{stress(outcome(d.Outcome))}
		if d.Correction > 0 {
			lines[0] = append(lines[0], run{fmt.Sprintf(" (correction: entry %d)", d.Correction), plain})
		}
		if d.Reason != "" {
			lines = append(lines, say("Reason: "+d.Reason))
		}
		if d.Document != "" {
			lines = append(lines, say("Document: "+d.Document))
		}
		lines = append(lines, say(names(d.By)), say(moment(d.At)))
		e.rows = append(e.rows, fact{label: "Decision", lines: lines})
	}
	return e
}

func outcome(o string) string {
	switch casefile.Outcome(o) {
	case casefile.OutcomeKeyingSlip:
		return "Keying slip: the second entry was corrected"
	case casefile.OutcomeFixConfiguration:
		return "The configuration is to be fixed"
	case casefile.OutcomeAsCertified:
		return "Stays as certified"
	case casefile.OutcomeRefer:
		return "Referred to the supervisor"
	}
	return o
}
