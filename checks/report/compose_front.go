package report

import (
	"fmt"
	"slices"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/finding"
	"counterproof/model/casefile"
)

// front composes the front page: the result, what was compared, who signs, and what the report does
// not cover.
func (c *composer) front() {
	c.add(cover{"Comparison report", c.Election.Jurisdiction, c.Election.Name, day(c.Election.Date)})
	if c.Superseded != "" {
		c.add(paragraph{stress("Superseded. " + c.Superseded + " It stays valid for what it covered."), warning})
	}
	c.add(paragraph{say(c.Result), lead})
	if c.Limit != "" {
		c.add(paragraph{say(c.Limit), body})
	}
	c.add(c.tally())
	var exceptions, left []words
	for _, m := range c.Missing {
		if m.Exception != "" {
			exceptions = append(exceptions, words{{m.Words + " ", plain}, {"Signed in spite of it: " + m.Exception, strong}})
		} else {
			left = append(left, say(m.Words))
		}
	}
	if len(exceptions) > 0 {
		c.add(heading{"Exceptions", false}, bullets{exceptions, true})
	}
	c.add(heading{"What was compared", false}, facts{c.compared(), small})
	c.add(heading{"Signatures", false}, paragraph{say(c.binding()), small}, c.panel())
	c.add(beside{
		[2]string{"Cautions", "What this check cannot see"},
		[2][]words{each(c.Cautions), each(c.CannotSee)},
	})
	if len(left) > 0 {
		c.add(section{"Not finished: what is left to do"}, bullets{left[:min(len(left), mostLeft)], true})
		if rest := len(left) - mostLeft; rest > 0 {
			c.add(paragraph{say(fmt.Sprintf("And %s. Each finding below says whether it is open.",
				english.Plural(rest, "more thing", "more things"))), body})
		}
	}
}

// mostLeft is how much of what is left to do is listed: a report with more is not about to be
// signed.
const mostLeft = 24

func (c *composer) tally() tally {
	n := c.Counts
	t := tally{[]number{
		{count(n.Precincts), english.PluralWord(n.Precincts, "precinct", "")},
		{count(n.Contests), english.PluralWord(n.Contests, "contest", "")},
		{count(n.Styles), english.PluralWord(n.Styles, "ballot style", "")},
		{count(n.Units), english.PluralWord(n.Units, "voting unit", "")},
		{count(n.Findings), english.PluralWord(n.Findings, "finding", "")}, {count(n.Cleared), "cleared"},
		{count(n.Settled), english.PluralWord(n.Settled, "stays as certified", "stay as certified")}, {count(n.Open), "open"},
	}}
	if n.Waiting > 0 {
		t.numbers = append(t.numbers, number{count(n.Waiting), "to be fixed"})
	}
	return tally{append(t.numbers, number{count(n.Noted), english.PluralWord(n.Noted, "note", "")})}
}

// compared composes the facts of the front page.
func (c *composer) compared() []fact {
	rows := []fact{{label: "Export compared", lines: c.filesWords(c.Primary.Files, c.Primary.Cards)}}
	if c.Primary.Other != "" {
		rows = append(rows, fact{label: "Look at this first", lines: []words{say(c.Primary.Other)}})
	}
	label, under := "Second entry", "Entered under the name of "
	if c.Rendering < 4 {
		label, under = "Second entry keyed by", ""
	}
	var entered []words
	for _, w := range c.Second.Keyers {
		entered = append(entered, words{{under, plain}, {w.Name, strong}, {", " + w.Party, plain}})
	}
	entered = append(entered, c.enteredWords()...)
	for _, s := range c.Second.Seals {
		entered = append(entered, say(fmt.Sprintf("%s sealed %s by %s", finding.Capital(s.Scope), c.Clock.moment(s.At),
			plainNames(s.By))))
	}
	rows = append(rows, fact{label: label, lines: entered})
	rows = slices.Concat(rows, c.blindness(), c.certifiedFront(), c.deckFront(), c.loadingFront())
	for _, seat := range casefile.Seats {
		var who []words
		for _, p := range c.People {
			// The signers are listed with the signatures.
			signs := c.Rendering >= 4 && slices.Contains(c.Signers, p.ID)
			if p.Seat == string(seat) && p.Until == 0 && !signs {
				who = append(who, words{{p.Name, strong}, {", " + p.Party, plain}})
			}
		}
		if len(who) > 0 {
			label := seatWord(string(seat))
			if seat == casefile.SeatProgrammer {
				label = "Programmed by"
			}
			rows = append(rows, fact{label: label, lines: who})
		}
	}
	rows = append(rows,
		fact{label: "Case", lines: []words{
			{{c.Case, digits}, {fmt.Sprintf(", %s, the last on %s", english.Plural(int(c.Entries), "entry", "entries"),
				c.Clock.moment(c.Made)), plain}},
		}},
		fact{label: "SHA-256 of report.json", lines: []words{code(c.digest.Groups())}},
	)

	rows = append(rows, c.since()...)
	for _, e := range c.Earlier {
		label := "Stands beside"
		if e.Superseded != "" {
			label = "Supersedes"
		}
		rows = append(rows,
			fact{label: label, lines: []words{say("the report signed on " + c.Clock.moment(e.At) + " by " + names(e.By)),
				code(groups(e.SHA256))}})
	}
	return rows
}

// since names the amendments that this report is the first to cover.
func (c *composer) since() (rows []fact) {
	var before int64
	if n := len(c.Earlier); n > 0 {
		before = c.Earlier[n-1].Entry
	}
	for _, x := range c.Amendments {
		if x.Entry < before {
			continue
		}
		lines := []words{say(x.Document + ", ordered on " + day(x.Date) + ": " + x.Reason)}
		if len(x.Contests) > 0 {
			lines = append(lines, say("Keyed again: "+strings.Join(x.Contests, "; ")))
		}
		rows = append(rows, fact{label: "Amendment", lines: lines})
	}
	return rows
}

// PutBack says what a seal leaves open that was not countersigned before an export came in.
const PutBack = "Only a head that was printed at the seal excludes that the case was put back, keyed with an export " +
	"in sight, and sealed again."

// blindness states the evidence that the second entry was keyed without a look at an export, and
// the evidence against it. Reports of rendering 1 do not record it.
func (c *composer) blindness() []fact {
	if c.Rendering < 2 {
		return nil
	}
	var rows []fact
	var signed, late []words
	var none []string
	open := false
	for _, s := range c.Second.Seals {
		scope := finding.Capital(s.Scope) + ": "
		if len(s.Countersigned) == 0 {
			open = true
			if c.Rendering >= 4 {
				none = append(none, s.Scope)
				continue
			}
			signed = append(signed, words{{scope, plain}, {"not countersigned by the programmer", strong}})
			continue
		}
		by := s.Countersigned[0]
		who := fmt.Sprintf("countersigned %s by %s", c.Clock.moment(by.At), names(by.By))
		if by.InTime {
			signed = append(signed, say(scope+who+", before an export came in"))
		} else {
			signed, open = append(signed, words{{scope + who + ", ", plain}, {"only after an export had come in", strong}}), true
		}
	}
	if len(none) > 0 {
		slices.Sort(none)
		signed = append(signed, words{{finding.Capital(english.WordSeries(slices.Compact(none), "and")) + ": ", plain},
			{"not countersigned by the programmer", strong}})
	}
	if open {
		signed = append(signed, say(PutBack))
	}
	rows = append(rows, fact{label: "Seals countersigned", lines: signed})
	for _, l := range c.Second.Late {
		line := fmt.Sprintf("%s, by %s, %s", finding.Capital(l.What), names(l.By), c.Clock.moment(l.At))
		if l.Last != l.Entry {
			line += " to " + c.Clock.moment(l.Until)
		}
		late = append(late, words{{line + ": ", plain}, {"an export was in the case file already, where it can be looked " +
			"at.", strong}})
	}
	if len(late) > 0 {
		rows = append(rows, fact{label: "Keyed after an export", lines: late})
	}
	return rows
}

// binding says which of the signatures binds.
func (c *composer) binding() string {
	supervisors := 0
	for _, id := range c.Signers {
		if p := c.person(id); p != nil && p.Seat == string(casefile.SeatSupervisor) {
			supervisors++
		}
	}
	which := "The signature that binds is the supervisor's digital signature"
	if supervisors > 1 {
		which = "The signatures that bind are the supervisors' digital signatures"
	}
	return which + " over report.json, whose digest is above. The others say that the pair made this comparison and " +
		"decided its findings. Ink signs this sheet of paper alone."
}

func (c *composer) panel() panel {
	var p panel
	for _, id := range c.Signers {
		x := c.person(id)
		if x == nil {
			continue
		}
		p.rows = append(p.rows, panelRow{x.Name, seatWord(x.Seat) + ", " + x.Party, c.digital(id)})
	}
	for _, s := range c.Signatures {
		if x := c.person(s.Person); x != nil && !slices.Contains(c.Signers, s.Person) {
			p.rows = append(p.rows, panelRow{x.Name, seatWord(x.Seat) + ", " + x.Party, c.digital(s.Person)})
		}
	}
	return p
}

func (c *composer) digital(id string) words {
	for _, s := range c.Signatures {
		if s.Person != id {
			continue
		}
		if !c.holds(s) {
			return stress("A digital signature is there and DOES NOT HOLD.")
		}
		text := "Signed digitally"
		if s.At != "" {
			text += " on " + c.Clock.moment(s.At)
		}
		return words{{text + ". Key ", plain}, {short(c.person(id).Fingerprint), digits}}
	}
	return say("Not signed digitally.")
}
