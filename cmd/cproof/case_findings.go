package main

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// findingsCommand is "cproof findings".
type findingsCommand struct {
	onCase
	Status []string `placeholder:"STATUS" help:"Only those of this status: open (to be decided; includes reopened and referred), reopened, referred, waiting, settled, noted, cleared. Several are joined by commas."`
	Check  []string `placeholder:"CODE" help:"Only those of this check. Several are joined by commas."`
	Format string   `enum:"text,json,csv" default:"text" placeholder:"text|json|csv" help:"How to write them: text for reading, json for programs, csv for a spreadsheet."`
	Out    string   `placeholder:"FILE" help:"Write them to this file, all at once, instead of to the screen."`
	replacing
}

// Help is shown by "cproof findings --help".
func (findingsCommand) Help() string {
	return `Says how the case stands: each finding, what the pair made of it, and what is left to do. Nothing is
shown before the ballots are sealed, and nothing of the units before these are.

Exit status: 0 nothing of what is shown is left to do; 1 something is; 2 nothing can be shown yet.

    cproof findings tarnwick.counterproof --status open`
}

// statuses maps the values of --status to the statuses that each selects.
var statuses = map[string][]review.Status{
	"open":     {review.StatusOpen, review.StatusReopened, review.StatusReferred},
	"reopened": {review.StatusReopened}, "referred": {review.StatusReferred}, "waiting": {review.StatusWaiting},
	"settled": {review.StatusSettled}, "noted": {review.StatusNoted}, "cleared": {review.StatusCleared},
}

// Run shows the findings of a case.
func (c *findingsCommand) Run(s *session) error {
	show := map[review.Status]bool{}
	for _, word := range c.Status {
		list, known := statuses[strings.ToLower(strings.TrimSpace(word))]
		if !known {
			return fmt.Errorf("--status: there is no status %q; it is open, reopened, referred, waiting, settled, noted or "+
				"cleared", word)
		}
		for _, status := range list {
			show[status] = true
		}
	}
	for _, code := range c.Check {
		if checks.Find(finding.Code(code)) == nil {
			return fmt.Errorf("--check: there is no check %q; %s", code, nearest(code, checks.All()))
		}
	}
	to, err := c.place(c.Out, c.Case)
	if err != nil {
		return err
	}
	shown := startProgress(s.err, isTerminal(s.err), "comparing")
	defer shown.finish()
	return reading(c.Case, func(of *casefile.Case) error {
		standing, err := review.New(of).Now()
		if err != nil {
			return fmt.Errorf("%s: %w", c.Case, err)
		}
		wanted := func(i review.Item) bool {
			return (len(c.Check) == 0 || slices.Contains(c.Check, string(i.Check))) && (len(show) == 0 || show[i.Status])
		}
		var items []review.Item
		for _, i := range standing.Items {
			if wanted(i) {
				items = append(items, i)
				s.found = s.found || i.Status.Open()
			}
		}
		// Cleared findings are listed separately; the text only counts them unless they were
		// requested.
		var cleared []review.Item
		for _, i := range standing.Cleared {
			if wanted(i) {
				cleared = append(cleared, i)
			}
		}
		view := caseView{path: c.Case, standing: standing, items: items, cleared: cleared, all: len(show) == 0 &&
			len(c.Check) == 0, asked: show[review.StatusCleared]}
		return s.deliver(to, shown, func(w io.Writer, p page) error {
			switch c.Format {
			case "json":
				return writeJSON(w, view.json())
			case "csv":
				return view.csv(w)
			default:
				return view.text(w, p)
			}
		})
	})
}

// caseView is the part of a case to show.
type caseView struct {
	path     string
	standing *review.Snapshot
	// items and cleared are the findings to show.
	items, cleared []review.Item
	// all is set if nothing was left out, asked if cleared findings were requested.
	all, asked bool
}

func (v *caseView) inputs() []input {
	var list []input
	for _, x := range v.standing.Latest.Files {
		list = append(list, inputsOf(x)...)
	}
	for _, x := range cardsOf(v.standing.Latest) {
		list = append(list, input{Role: roleUnits, Path: x.Name, SHA256: x.Digest.String()})
	}
	for _, w := range v.standing.State.CurrentWitnesses() {
		list = append(list, input{Role: roleWitness, Path: w.Terms.Name, SHA256: w.Terms.SHA256.String()})
	}
	return append(list, caseInput(v.path, v.standing.State))
}

// findingObject is the JSON of a finding of a case: as in a comparison, with its decisions.
type findingObject struct {
	finding.Finding
	Status    string           `json:"status"`
	Decisions []decisionObject `json:"decisions"`
}

type decisionObject struct {
	Entry      int64          `json:"entry"`
	At         string         `json:"at"`
	Outcome    string         `json:"outcome"`
	Reason     string         `json:"reason"`
	Document   string         `json:"document"`
	Correction int64          `json:"correction"`
	SignedBy   []personObject `json:"signed_by"`
}

type personObject struct {
	Person string `json:"person"`
	Name   string `json:"name"`
	Party  string `json:"party"`
	Seat   string `json:"seat"`
}

// caseObject is the JSON of a case: the result object of a comparison, with more keys.
type caseObject struct {
	Format   string          `json:"format"`
	Inputs   []input         `json:"inputs"`
	Options  optionsObject   `json:"options"`
	Summary  checks.Summary  `json:"summary"`
	Findings []findingObject `json:"findings"`
	Causes   []checks.Cause  `json:"causes"`
	Coverage checks.Coverage `json:"coverage"`
	Cautions []string        `json:"cautions"`
	Cleared  []findingObject `json:"cleared"`
	Counts   countsObject    `json:"counts"`
	Sealed   []string        `json:"sealed"`
	// Seals are all seals of the case, in order.
	Seals []sealObject `json:"seals"`
}

// sealObject is a seal with the programmer's countersignature: Countersigned is the
// countersignature's entry, 0 for none, and InTime means that no export came in between.
type sealObject struct {
	Entry         int64  `json:"entry"`
	At            string `json:"at"`
	Scope         string `json:"scope"`
	Head          string `json:"head"`
	Countersigned int64  `json:"countersigned"`
	InTime        bool   `json:"in_time"`
}

type countsObject struct {
	Open    int `json:"open"`
	Waiting int `json:"waiting"`
	Settled int `json:"settled"`
	Noted   int `json:"noted"`
	Cleared int `json:"cleared"`
}

func (v *caseView) json() caseObject {
	s := v.standing
	object := caseObject{
		Format: resultFormat, Inputs: v.inputs(), Summary: s.Result.Summary, Causes: s.Result.Causes,
		Coverage: s.Result.Coverage, Cautions: cautions,
		Options:  optionsObject{Language: s.Options.Language, UnitLimit: s.Options.UnitLimit},
		Findings: v.objects(v.items), Cleared: v.objects(v.cleared), Counts: countsObject(s.Counts()),
	}
	if n := len(s.State.ComparedAs); n > 0 {
		object.Options.Elections = s.State.ComparedAs[n-1].Terms.Elections
	}
	for _, seal := range s.State.Sealings() {
		one := sealObject{Entry: seal.Seq, At: seal.At, Scope: string(seal.Terms.Scope), Head: seal.Sealed.String(),
			InTime: seal.InTime()}
		if seal.Countersigned != nil {
			one.Countersigned = seal.Countersigned.Seq
		}
		object.Seals = append(object.Seals, one)
	}
	for _, scope := range []casefile.Scope{casefile.ScopeBallots, casefile.ScopeUnits} {
		if s.State.Sealed(scope) {
			object.Sealed = append(object.Sealed, string(scope))
		}
	}
	return object
}

func (v *caseView) objects(items []review.Item) []findingObject {
	list := []findingObject{}
	for _, i := range items {
		object := findingObject{Finding: i.Finding, Status: string(i.Status), Decisions: []decisionObject{}}
		for _, d := range i.Decisions {
			decided := decisionObject{
				Entry: d.Seq, At: d.At, Outcome: string(d.Terms.Outcome), Reason: d.Terms.Reason, Document: d.Terms.Document,
				Correction: d.Terms.Correction,
			}
			for _, id := range d.Signers() {
				p, _ := v.standing.State.Person(id)
				decided.SignedBy = append(decided.SignedBy, personObject{string(id), p.Name, p.Party, string(p.Seat)})
			}
			object.Decisions = append(object.Decisions, decided)
		}
		list = append(list, object)
	}
	return list
}

// csv writes the columns of a comparison, and the decisions on each finding. Cleared findings
// follow.
func (v *caseView) csv(w io.Writer) error {
	out, err := beginCSV(w, append(slices.Clone(csvColumns), "status", "outcome", "reason", "document", "decided",
		"signed_by"))
	if err != nil {
		return err
	}
	for _, i := range slices.Concat(v.items, v.cleared) {
		row := append(csvRow(&i.Finding), string(i.Status), "", "", "", "", "")
		if d := i.Last(); d != nil {
			more := row[len(csvColumns)+1:]
			more[0], more[1], more[2] = string(d.Terms.Outcome), d.Terms.Reason, d.Terms.Document
			more[3], more[4] = d.At, namesIn(v.standing.State, d.Signers())
		}
		for n := range row {
			row[n] = cellText(row[n])
		}
		if err := out.Write(row); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// text writes the case as text.
func (v *caseView) text(w io.Writer, p page) error {
	s := &sheet{page: p}
	counts := v.standing.Counts()
	state := v.standing.State
	s.paragraph(fmt.Sprintf("%s, %s, %s: %s", state.Election.Name, state.Election.Date, state.Election.Jurisdiction,
		countWords(counts)))
	if !state.Sealed(casefile.ScopeUnits) {
		s.paragraph(unitsUnsealed)
	}
	if n := len(state.Collected); n > 0 {
		s.paragraph("On the window's list to be signed: " + english.Plural(n, "decision", "") + ". Nobody has signed " +
			"yet, and nothing is settled.")
	}
	s.newRound(state)
	s.otherElection(v.standing)
	for _, words := range v.standing.Witnessed.Sentences() {
		s.paragraph(words)
	}
	for _, words := range countersignedWords(state) {
		s.paragraph(words)
	}
	s.line("")
	s.inputs(v.inputs())
	s.hanging("Compared      ", "", holds(v.standing.Result.Summary))
	if len(v.items) == 0 && !v.asked {
		s.line("")
		if v.all {
			s.paragraph("The entries agree in everything that was keyed.")
		} else {
			s.paragraph("There is no such finding.")
		}
	}
	byID := map[string]*review.Item{}
	var findings []finding.Finding
	for n := range v.items {
		byID[v.items[n].ID] = &v.items[n]
		findings = append(findings, v.items[n].Finding)
	}
	everywhere := map[string]bool{}
	for _, precinct := range v.standing.Result.Coverage.Precincts {
		everywhere[precinct.Name] = true
	}
	s.after = func(f finding.Finding) { s.status(byID[f.ID], state) }
	s.findings(findings, v.standing.Result.Causes, everywhere)
	if v.asked || v.all && len(v.cleared) > 0 {
		s.line("")
		s.rule("CLEARED", colourHeading)
		for n := range v.cleared {
			s.line("")
			s.cleared(&v.cleared[n], state)
		}
	}
	if v.all {
		s.coverage(v.standing.Result.Coverage)
		s.cautions()
	}
	_, err := io.WriteString(w, s.text.String())
	return err
}

// status writes the status of a finding below it.
func (s *sheet) status(i *review.Item, state *casefile.State) {
	if i == nil {
		return
	}
	s.field("id", i.ID)
	s.field("status", i.Status.Words())
	for _, d := range i.Decisions {
		s.field("decided", decisionWords(d, state))
	}
}

// cleared writes a cleared finding, as its decision recorded it.
func (s *sheet) cleared(i *review.Item, state *casefile.State) {
	s.hanging("     ", "", i.Message)
	s.field("contest", i.Contest)
	s.field("choice", i.Choice)
	s.field("unit", i.Unit)
	s.field("precincts", precinctList(i.Precincts, nil))
	s.field("export", i.Primary)
	s.field("second", i.Second)
	s.status(i, state)
}

// decisionWords describes a decision in one sentence.
func decisionWords(d casefile.Act[casefile.Decision], state *casefile.State) string {
	words := string(d.Terms.Outcome) + ": " + d.Terms.Reason
	if d.Terms.Document != "" {
		words += "; looked at: " + d.Terms.Document
	}
	if d.Terms.Correction > 0 {
		words += "; corrected in entry " + strconv.FormatInt(d.Terms.Correction, 10)
	}
	return fmt.Sprintf("%s (entry %d, %s, %s)", words, d.Seq, d.At, namesIn(state, d.Signers()))
}

// findingsNamed finds the findings that a user names, by the identity or an unambiguous beginning
// of it.
func findingsNamed(standing *review.Snapshot, words []string) ([]string, error) {
	var list []string
	for _, word := range words {
		if item := standing.Item(word); item != nil {
			list = append(list, word)
			continue
		}
		var found []string
		for _, i := range standing.Items {
			if strings.HasPrefix(i.ID, word) {
				found = append(found, i.ID)
			}
		}
		switch len(found) {
		case 1:
			list = append(list, found[0])
		case 0:
			return nil,
				fmt.Errorf("there is no finding %q in this case now; \"cproof findings\" lists them with their identities", word)
		default:
			return nil, fmt.Errorf("%q may be %s; name it in full", word, english.OxfordWordSeries(found, "or"))
		}
	}
	slices.Sort(list)
	return slices.Compact(list), nil
}
