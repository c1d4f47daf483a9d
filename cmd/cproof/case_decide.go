package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// decideCommand is "cproof decide".
type decideCommand struct {
	onCaseToWrite
	Finding   []string `arg:"" placeholder:"FINDING" help:"The findings, by their identity or as much of it as is clear."`
	Outcome   string   `required:"" enum:"keying-slip,fix-configuration,as-certified,refer" placeholder:"OUTCOME" help:"keying-slip: the second entry is wrong, and is corrected. fix-configuration: the export is wrong; it stays open until an export clears it. as-certified: both looked at the certified document, and it stays as it is. refer: the supervisor is to decide."`
	Reason    string   `required:"" placeholder:"TEXT" help:"Why."`
	Document  string   `placeholder:"TEXT" help:"What the two looked at, with its version or date; all but refer need it."`
	Set       []string `sep:"none" placeholder:"FIELD=VALUE" help:"For a keying slip: what the second entry should say (see correct). Give it for each field."`
	AsPrimary bool     `help:"For a keying slip: the second entry should say what the export says. The correction is shown before the passphrases are asked for."`
	Mended    int64    `placeholder:"ENTRY" help:"For a keying slip that an earlier correction mended: the number of that entry (log shows it)."`
	signed
}

// Help is shown by "cproof decide --help".
func (decideCommand) Help() string {
	return `Records what the pair makes of findings of one cause. Both sign; a pair that disagrees refers with one
signature, and where a finding was referred, the supervisor signs its decision too. A keying slip is only taken if its correction ends the difference. A decision
holds for what both sides said: when that changes, it is open again.

    cproof decide tarnwick.counterproof vote-for-2cc1942822fa --outcome fix-configuration --reason "the certified list has two seats" --document "Certified list, 1 October" --signed-by HV,IT
    cproof decide tarnwick.counterproof vote-for-10e657e2e51b --outcome keying-slip --as-primary --reason misread --document "ballot proof, 8 October" --signed-by HV,IT
    cproof decide tarnwick.counterproof vote-for-2cc1942822fa --outcome refer --reason "we read the list differently" --signed-by IT`
}

// Run records a decision.
func (c *decideCommand) Run(s *session) error {
	ways := 0
	for _, given := range []bool{len(c.Set) > 0, c.AsPrimary, c.Mended != 0} {
		if given {
			ways++
		}
	}
	slip := casefile.Outcome(c.Outcome) == casefile.OutcomeKeyingSlip
	switch {
	case slip && ways != 1:
		return errors.New("decide: a keying slip comes with the correction that mends it; give one of --set FIELD=VALUE, " +
			"--as-primary and --mended ENTRY")
	case !slip && ways > 0:
		return fmt.Errorf("decide: --set, --as-primary and --mended correct the second entry, which only a keying slip "+
			"does; leave them out or say --outcome %s", casefile.OutcomeKeyingSlip)
	}
	return writing(s, c.onCaseToWrite, strings.Join(c.SignedBy, ","), func(of *casefile.Case) error {
		r := review.New(of)
		shown := startProgress(s.err, isTerminal(s.err), "comparing")
		snapshot, err := r.Now()
		shown.finish()
		if err != nil {
			return fmt.Errorf("%s: %w", c.Case, err)
		}
		findings, err := findingsNamed(snapshot, c.Finding)
		if err != nil {
			return err
		}
		changes, err := parseChanges(of.ShownRows, c.Set)
		if err != nil {
			return err
		}
		if c.AsPrimary {
			if changes, err = proposals(r, findings); err != nil {
				return err
			}
		}
		if len(changes) > 0 {
			if err := of.MayCorrect(changes); err != nil {
				return err
			}
			if err := s.showChanges(of, changes); err != nil {
				return err
			}
		}
		people, err := c.unlock(s, of)
		if err != nil {
			return err
		}
		verdict := review.Verdict{
			Findings: findings, Outcome: casefile.Outcome(c.Outcome), Reason: c.Reason, Document: c.Document,
			Correction: changes, Mended: c.Mended,
		}
		shown = startProgress(s.err, isTerminal(s.err), "recording the decision")
		defer shown.finish()
		if err := r.Decide(verdict, people...); err != nil {
			return err
		}
		now, err := r.Now()
		if err != nil {
			return err
		}
		shown.finish()
		return s.say(func(out *sheet) {
			out.paragraph(fmt.Sprintf("Decided by %s: %s.", namesIn(of.State(), people), c.Outcome))
			out.newRound(of.State())
			for _, id := range findings {
				if item := now.Item(id); item != nil {
					out.hanging("  - ", "", fmt.Sprintf("%s: %s", id, item.Status.Words()))
				} else if was := snapshot.Item(id); was != nil {
					out.hanging("  - ", "", fmt.Sprintf("%s: gone", id))
				}
			}
			out.paragraph(countWords(now.Counts()))
		})
	})
}

// proposals returns the corrections that the review proposes for findings.
func proposals(r *review.Review, findings []string) ([]casefile.Change, error) {
	var all []casefile.Change
	seen := map[casefile.Field]bool{}
	for _, id := range findings {
		changes, err := r.Slip(id)
		if err != nil {
			return nil, err
		}
		if len(changes) == 0 {
			return nil, fmt.Errorf("%s: no change of single fields makes the second entry say what the export says; say the "+
				"correction with --set FIELD=VALUE", id)
		}
		for _, change := range changes {
			if !seen[change.Field] {
				seen[change.Field] = true
				all = append(all, change)
			}
		}
	}
	return all, nil
}

// showChanges shows what a correction would change, before anybody signs it.
func (s *session) showChanges(of *casefile.Case, changes []casefile.Change) error {
	return s.say(func(out *sheet) {
		out.paragraph("The correction:")
		for _, change := range changes {
			out.hanging("  - ", "", changeWords(of, change))
		}
	})
}

// correctCommand is "cproof correct".
type correctCommand struct {
	onCaseToWrite
	Set      []string `required:"" sep:"none" placeholder:"FIELD=VALUE" help:"What the second entry should say. Give it for each field."`
	Document string   `required:"" placeholder:"TEXT" help:"What the two looked at, with its version or date."`
	Reason   string   `required:"" placeholder:"TEXT" help:"Why."`
	signed
}

// Help is shown by "cproof correct --help".
func (correctCommand) Help() string {
	return `Changes a sealed value of the second entry. The pair signs it; what stood there before stays visible.
(A finding that is a keying slip is corrected by decide, in one act.)

FIELD is TABLE/ROW/COLUMN. The row goes by its name or its number: contest/judge/vote_for, choice/judge:2/name
(position 2 of the contest), unit/TW-1101/site, precinct/1-01/site, party/MER/name, face/BS-01/style,
facts/1/name. In the first joined case it begins with "1:". An empty value takes a field back to "not keyed".

    cproof correct tarnwick.counterproof --set contest/judge/source="Certified list, 1 October" --document "Certified list, 1 October" --reason "the list was named wrongly" --signed-by HV,IT`
}

// Run records a correction.
func (c *correctCommand) Run(s *session) error {
	return writing(s, c.onCaseToWrite, strings.Join(c.SignedBy, ","), func(of *casefile.Case) error {
		changes, err := parseChanges(of.ShownRows, c.Set)
		if err != nil {
			return err
		}
		if err := of.MayCorrect(changes); err != nil {
			return err
		}
		if open := of.State().OpenAmendments(); len(open) > 0 {
			return fmt.Errorf("%s: the amendment of entry %d is open, and what is keyed for it is blind; correct when the "+
				"ballots are sealed again", c.Case, open[0].Seq)
		}
		if err := readableWith(of, changes); err != nil {
			return err
		}
		if err := s.showChanges(of, changes); err != nil {
			return err
		}
		people, err := c.unlock(s, of)
		if err != nil {
			return err
		}
		if err := of.Correct(c.Document, c.Reason, changes, people...); err != nil {
			return err
		}
		return s.say(func(out *sheet) {
			out.paragraph(fmt.Sprintf("Corrected by %s, in entry %d.", namesIn(of.State(), people), of.State().Seq))
			out.newRound(of.State())
		})
	})
}

// readableWith refuses changes that would make the second entry unreadable as sheets, because it
// could then not be compared.
func readableWith(of *casefile.Case, changes []casefile.Change) error {
	var asked []int
	for _, c := range changes {
		if slices.Contains(asked, c.Source) {
			continue
		}
		asked = append(asked, c.Source)
		was, err := of.Sheets(c.Source)
		if err != nil {
			return err
		}
		sh, err := of.SheetsWith(c.Source, changes)
		if err != nil {
			return err
		}
		if !of.State().Sealed(casefile.ScopeUnits) {
			review.WithoutUnits(was)
			review.WithoutUnits(sh)
		}
		if _, err := was.Election(); err != nil {
			continue // it was unreadable before
		}
		if _, err := sh.Election(); err != nil {
			return fmt.Errorf("nothing is corrected: after it the second entry could not be read (%w); correct what belongs "+
				"together in one step", err)
		}
	}
	return nil
}

// mapCommand is "cproof map".
type mapCommand struct {
	onCaseToWrite
	Kind    string `required:"" enum:"precinct,contest,unit,party" placeholder:"KIND" help:"What is mapped: precinct, contest, unit or party."`
	Primary string `required:"" placeholder:"NAME" help:"What the export calls it. An empty name takes an earlier mapping back."`
	Second  string `required:"" placeholder:"NAME" help:"What the second entry calls it."`
	Reason  string `required:"" placeholder:"TEXT" help:"How the two know that it is the same."`
	signed
}

// Help is shown by "cproof map --help".
func (mapCommand) Help() string {
	return `Says that a thing of the export and a thing of the second entry are one, where neither name nor
content could pair them. Both of the pair sign it, because it decides what is held against what.

    cproof map tarnwick.counterproof --kind precinct --primary "Ward 4 Dist 2" --second 4-02 --reason "district table of 1 October" --signed-by HV,IT`
}

// Run records a mapping.
func (c *mapCommand) Run(s *session) error {
	return writing(s, c.onCaseToWrite, strings.Join(c.SignedBy, ","), func(of *casefile.Case) error {
		r := review.New(of)
		terms := casefile.Mapping{Kind: c.Kind, Primary: c.Primary, Second: c.Second, Reason: c.Reason}
		if err := r.MayMap(terms); err != nil {
			return fmt.Errorf("%s: %w", c.Case, err)
		}
		people, err := c.unlock(s, of)
		if err != nil {
			return err
		}
		if err := r.Map(terms, people...); err != nil {
			return err
		}
		return s.say(func(out *sheet) {
			out.paragraph(fmt.Sprintf("Mapped by %s: the %s %q of the export is %q of the second entry.",
				namesIn(of.State(), people), c.Kind, c.Primary, c.Second))
		})
	})
}

// amendCommand is "cproof amend".
type amendCommand struct {
	onCaseToWrite
	Document    string   `required:"" placeholder:"TEXT" help:"What orders the change: a court order, a withdrawal."`
	Date        string   `required:"" placeholder:"YYYY-MM-DD" help:"The day of the document."`
	Reason      string   `required:"" placeholder:"TEXT" help:"What it changes, in a few words."`
	Contest     []string `sep:"none" placeholder:"CONTEST" help:"A contest that is keyed again, by its code, title or number. Give it for each; leave it out where the document only adds a contest."`
	MailedStand bool     `help:"Ballots already mailed stay valid, so that two versions of a style may stand."`
	signed
}

// Help is shown by "cproof amend --help".
func (amendCommand) Help() string {
	return `Reopens sealed contests. The second party keys them again, blind: until the ballots are sealed again no
export comes in and no finding is shown. The changes that the amendment explains count as asked for.

    cproof amend tarnwick.counterproof --document "Order 12" --date 2027-10-15 --reason "one seat was abolished" --contest judge --signed-by HV,IT

Then change the sheets of the second entry as the document says (it may add contests, choices and ballots), and
bring the folder in again; or key single fields (key --set contest/judge/vote_for=1). Seal the ballots once
more.

    cproof key tarnwick.counterproof --by IT demo/second
    cproof seal tarnwick.counterproof ballots --by IT`
}

// Run records an amendment.
func (c *amendCommand) Run(s *session) error {
	return writing(s, c.onCaseToWrite, strings.Join(c.SignedBy, ","), func(of *casefile.Case) error {
		terms := casefile.Amendment{Document: c.Document, Date: c.Date, Reason: c.Reason, MailedStand: c.MailedStand}
		for _, name := range c.Contest {
			row, err := contestNamed(of, name)
			if err != nil {
				return err
			}
			terms.Contests = append(terms.Contests, row...)
		}
		people, err := c.unlock(s, of)
		if err != nil {
			return err
		}
		if err := of.Amend(terms, people...); err != nil {
			return err
		}
		return s.say(func(out *sheet) {
			out.paragraph(fmt.Sprintf("The amendment is recorded by %s, and %s open. Key the change again, then seal the "+
				"ballots; until then no export comes in.",
				namesIn(of.State(), people), english.Plural(len(terms.Contests), "contest is", "contests are")))
			out.newRound(of.State())
		})
	})
}

// contestNamed finds a contest of the second entry in every case that has it.
func contestNamed(of *casefile.Case, name string) ([]casefile.Row, error) {
	var list []casefile.Row
	var failed error
	for source := 0; source <= len(of.State().Joined); source++ {
		row, err := rowNamed(of.ShownRows, source, casefile.Contests, name)
		if err != nil {
			failed = err
			continue
		}
		list = append(list, casefile.Row{Source: source, Table: casefile.Contests, Row: row})
	}
	if len(list) == 0 {
		return nil, fmt.Errorf("--contest: %s", strings.TrimPrefix(failed.Error(), "--set: "))
	}
	return list, nil
}
