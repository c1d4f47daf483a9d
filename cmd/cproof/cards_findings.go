package main

import (
	"context"
	"fmt"
	"io"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/checks/review"
	"counterproof/model/cards"
	"counterproof/model/casefile"
	"counterproof/model/files"
)

// cardsFindingsCommand is "cproof cards findings".
type cardsFindingsCommand struct {
	onCase
	Format string `enum:"text,json" default:"text" placeholder:"text|json" help:"How to write them: text for reading, json for programs."`
	All    bool   `help:"Also those that are settled or cleared."`
	Out    string `placeholder:"FILE" help:"Write them to this file instead of to the screen."`
	replacing
}

// Help is shown by "cproof cards findings --help".
func (cardsFindingsCommand) Help() string {
	return `Says what is wrong with cards and machines, unit by unit. Exit status: 0 nothing is left to do; 1 something is.

    cproof cards findings tarnwick.counterproof`
}

// unitFindingObject is the JSON of a finding at a unit.
type unitFindingObject struct {
	ID        string               `json:"id"`
	Check     string               `json:"check"`
	Grade     string               `json:"grade"`
	Unit      string               `json:"unit"`
	Site      string               `json:"site"`
	Precincts []string             `json:"precincts"`
	Shown     string               `json:"shown"`
	Expected  string               `json:"expected"`
	Message   string               `json:"message"`
	Status    string               `json:"status"`
	Past      bool                 `json:"past"`
	Decisions []unitDecisionObject `json:"decisions"`
}

type unitDecisionObject struct {
	At       string   `json:"at"`
	Outcome  string   `json:"outcome"`
	Reason   string   `json:"reason"`
	SignedBy []string `json:"signed_by"`
}

// unitFindings is the JSON of "cproof cards findings".
type unitFindings struct {
	Format   string `json:"format"`
	Case     string `json:"case"`
	Approved string `json:"approved"`
	Units    int    `json:"units"`
	// NotInExport are units that are recorded and that the last export does not have.
	NotInExport []string            `json:"not_in_export"`
	Findings    []unitFindingObject `json:"findings"`
}

// Run shows the findings.
func (c *cardsFindingsCommand) Run(s *session) error {
	to, err := c.place(c.Out, c.Case)
	if err != nil {
		return err
	}
	return readingMachines(c.Case, func(m *review.Machines) error {
		var items []*review.UnitItem
		for i := range m.Items {
			item := &m.Items[i]
			s.found = s.found || item.Status.Open()
			if c.All || item.Status.Open() {
				items = append(items, item)
			}
		}
		return s.deliver(to, startProgress(s.err, false, ""), func(w io.Writer, p page) error {
			if c.Format == "json" {
				return writeJSON(w, unitFindingsOf(m, items))
			}
			text := &sheet{page: p}
			text.unitFindings(m, items)
			_, err := io.WriteString(w, text.text.String())
			return err
		})
	})
}

func (s *sheet) unitFindings(m *review.Machines, items []*review.UnitItem) {
	if len(m.State.MachineRules) == 0 {
		s.paragraph(`The office has not said yet what its machines are ("cproof cards rules"): nothing is judged.`)
		return
	}
	s.paragraph(fmt.Sprintf("%s by %s; %s.", english.Plural(len(m.Units()), "voting unit", ""), m.Approved.Name(),
		english.Plural(len(items), "finding", "")))
	unit, advised := "", map[finding.Code]bool{}
	for _, item := range items {
		if item.Unit != unit {
			unit = item.Unit
			s.line("")
			s.rule("Unit "+unit, "")
		}
		s.hanging("  - ", "", fmt.Sprintf("%s [%s] %s", item.Message, item.ID, item.StatusWords()))
		if advice := checks.Of(item.Check).Advice; item.Status.Open() && advice != "" && !advised[item.Check] {
			advised[item.Check] = true // the same words at every unit hide the findings
			s.hanging("    ", "", advice)
		}
	}
	s.elsewhere(m.Warehouse)
}

func unitFindingsOf(m *review.Machines, items []*review.UnitItem) unitFindings {
	out := unitFindings{Format: "counterproof-units/1", Case: m.State.ID, Approved: m.Approved.Name(),
		Units: len(m.Units()), NotInExport: m.Warehouse.Elsewhere(), Findings: []unitFindingObject{}}
	for _, item := range items {
		one := unitFindingObject{ID: item.ID, Check: string(item.Check), Grade: string(item.Grade), Unit: item.Unit,
			Site: item.Site, Precincts: item.Precincts, Shown: item.Primary, Expected: item.Second, Message: item.Message,
			Status: string(item.Status), Past: item.Past, Decisions: []unitDecisionObject{}}
		for _, d := range item.Decisions {
			by := []string{}
			for _, id := range d.Signers() {
				by = append(by, nameIn(m.State, id))
			}
			one.Decisions = append(one.Decisions, unitDecisionObject{d.At, string(d.Terms.Outcome), d.Terms.Reason, by})
		}
		out.Findings = append(out.Findings, one)
	}
	return out
}

// cardsDecideCommand is "cproof cards decide".
type cardsDecideCommand struct {
	onCaseToWrite
	Finding []string `arg:"" placeholder:"FINDING" help:"The findings, by their identity or as much of it as is clear."`
	Outcome string   `required:"" enum:"swap-card,remake-card,set-clock,replace-unit,accept" placeholder:"OUTCOME" help:"swap-card, remake-card, set-clock or replace-unit: it waits for a visit that shows it. accept: it stays as it is."`
	Reason  string   `required:"" placeholder:"TEXT" help:"Why."`
	signed
}

// Run records a decision.
func (c *cardsDecideCommand) Run(s *session) error {
	return writing(s, c.onCaseToWrite, strings.Join(c.SignedBy, ","), func(of *casefile.Case) error {
		r := review.New(of)
		m, err := r.Machines()
		if err != nil {
			return fmt.Errorf("%s: %w", c.Case, err)
		}
		ids, err := unitFindingsNamed(m, c.Finding)
		if err != nil {
			return err
		}
		people, err := c.unlock(s, of)
		if err != nil {
			return err
		}
		verdict := review.UnitVerdict{Findings: ids, Outcome: cards.Outcome(c.Outcome), Reason: c.Reason}
		if err := r.DecideUnit(verdict, people...); err != nil {
			return err
		}
		if m, err = r.Machines(); err != nil {
			return err
		}
		return s.say(func(out *sheet) {
			out.paragraph(fmt.Sprintf("Decided by %s: %s.", namesIn(of.State(), people), c.Outcome))
			for _, id := range ids {
				if item := m.Item(id); item != nil {
					out.hanging("  - ", "", id+": "+item.StatusWords())
				}
			}
		})
	})
}

// unitFindingsNamed finds findings by their identity or the beginning of it.
func unitFindingsNamed(m *review.Machines, words []string) (ids []string, err error) {
	for _, word := range words {
		var found []string
		for i := range m.Items {
			if id := m.Items[i].ID; id == word || strings.HasPrefix(id, word) && m.Items[i].Status != review.StatusCleared {
				found = append(found, id)
			}
		}
		switch len(found) {
		case 0:
			return nil, fmt.Errorf(`no finding at a unit is called %q; "cproof cards findings" lists them`, word)
		case 1:
			ids = append(ids, found[0])
		default:
			return nil, fmt.Errorf("%q is the beginning of %s; write more of it", word, strings.Join(found, ", "))
		}
	}
	return ids, nil
}

// cardsTeamCommand is "cproof cards team".
type cardsTeamCommand struct {
	onCaseToWrite
	by
	Name string   `arg:"" placeholder:"NAME" help:"What the team is called."`
	Unit []string `arg:"" placeholder:"UNIT" help:"The voting units that are its work."`
	Out  string   `required:"" placeholder:"TEAMCASE" help:"The team's copy of the case."`
}

// Help is shown by "cproof cards team --help".
func (cardsTeamCommand) Help() string {
	return `Makes a copy of the case in which a team does its units, and nothing else. Everybody who signs there has to be
enrolled before. Afterwards the copy is brought back with "cproof cards join".

    cproof cards team tarnwick.counterproof North 1042 1051 --by HV --out north.counterproof`
}

// Run forms a team.
func (c *cardsTeamCommand) Run(s *session) error {
	return writing(s, c.onCaseToWrite, c.By, func(of *casefile.Case) error {
		who, err := personIn(of.State(), c.By)
		if err != nil {
			return err
		}
		if !strings.HasSuffix(c.Out, casefile.Extension) {
			return fmt.Errorf("%s: the name of a case ends in %s; call it %s", c.Out, casefile.Extension,
				shellWord(c.Out+casefile.Extension))
		}
		to := files.Place{Path: c.Out, Inputs: []string{c.Case}, Private: true}
		team := cards.Team{Name: c.Name, Units: c.Unit}
		if err := review.New(of).FormTeam(context.Background(), who, team, to); err != nil {
			return err
		}
		return s.say(func(out *sheet) {
			out.paragraph(fmt.Sprintf("Team %s does %s in %s.", c.Name, english.Plural(len(c.Unit), "unit", ""), c.Out))
		})
	})
}

// cardsJoinCommand is "cproof cards join".
type cardsJoinCommand struct {
	onCaseToWrite
	by
	TeamCase string `arg:"" placeholder:"TEAMCASE" help:"The team's copy of the case."`
}

// Run joins a team's work.
func (c *cardsJoinCommand) Run(s *session) error {
	return writing(s, c.onCaseToWrite, c.By, func(of *casefile.Case) error {
		who, err := personIn(of.State(), c.By)
		if err != nil {
			return err
		}
		before := len(of.State().Read)
		team, err := of.JoinTeam(who, c.TeamCase)
		if err != nil {
			return err
		}
		return s.say(func(out *sheet) {
			out.paragraph(fmt.Sprintf("What team %s recorded is joined, in entry %d: %s.", team.Name, team.Joined,
				english.Plural(len(of.State().Read)-before, "reading", "")))
		})
	})
}
