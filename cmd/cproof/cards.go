package main

import (
	"encoding/csv"
	"fmt"
	"io"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/finding"
	"counterproof/checks/loading"
	"counterproof/checks/report"
	"counterproof/checks/review"
	"counterproof/model/cards"
	"counterproof/model/casefile"
	"counterproof/model/files"
	"counterproof/model/sheets"
)

// cardsCommand is "cproof cards".
type cardsCommand struct {
	Rules    cardsRulesCommand    `cmd:"" help:"Say once what the machines are: time zone, keys, seals, counters."`
	Plan     cardsPlanCommand     `cmd:"" help:"Say what each unit must have, in the order of work."`
	Ledger   cardsLedgerCommand   `cmd:"" help:"Enter the cards that were made, from a CSV file."`
	At       cardsAtCommand       `cmd:"" help:"Record what a unit shows, then say what agrees."`
	Sign     cardsSignCommand     `cmd:"" help:"Sign that units are done; two of different parties sign."`
	Seals    cardsSealsCommand    `cmd:"" help:"Say which seal is on record at each place."`
	Findings cardsFindingsCommand `cmd:"" help:"Say what is wrong at the units, and how far it is."`
	Decide   cardsDecideCommand   `cmd:"" help:"Record what two of different parties make of findings at units."`
	Team     cardsTeamCommand     `cmd:"" help:"Make a team's copy of the case, limited to its units."`
	Join     cardsJoinCommand     `cmd:"" help:"Bring in what a team recorded in its copy."`
}

// Help is shown by "cproof cards --help".
func (cardsCommand) Help() string {
	return `Cards at the machine: two of different parties go from unit to unit, one reads the screen aloud, the other
keys it, and only then is it said what agrees. It never reads or writes a card, and it takes the place of no test or
seal log that law or your board's procedure requires. Compare this computer's clock with another one first.`
}

// cardsRulesCommand is "cproof cards rules".
type cardsRulesCommand struct {
	onCaseToWrite
	Zone          string   `required:"" placeholder:"ZONE" help:"The county's time zone as the tz database names it, such as America/New_York."`
	ChangesItself bool     `required:"" negatable:"" help:"The machines change to and from daylight saving time by themselves; or --no-changes-itself."`
	Key           []string `sep:"none" placeholder:"NAME" help:"A key that is tried at each unit. Give it for each."`
	Seal          []string `sep:"none" placeholder:"PLACE" help:"A place that is sealed when a unit is done. Give it for each."`
	Counter       []string `sep:"none" placeholder:"NAME" help:"A counter that is read. Give it for each."`
	signed
}

// Run records the rules.
func (c *cardsRulesCommand) Run(s *session) error {
	return writing(s, c.onCaseToWrite, strings.Join(c.SignedBy, ","), func(of *casefile.Case) error {
		rules := cards.Rules{Zone: c.Zone, ChangesItself: c.ChangesItself, Keys: append([]string{}, c.Key...),
			Seals: append([]string{}, c.Seal...), Counters: append([]string{}, c.Counter...)}
		clock, err := loading.ClockOf(rules, of.State().Election.Date)
		if err != nil {
			return err
		}
		people, err := c.unlock(s, of)
		if err != nil {
			return err
		}
		if err := review.New(of).SetMachineRules(rules, people...); err != nil {
			return err
		}
		return s.say(func(out *sheet) {
			out.paragraph(fmt.Sprintf("Signed by %s, in entry %d.", namesIn(of.State(), people), of.State().Seq))
			out.clock(clock, time.Now())
		})
	})
}

// clock says what the clocks of machines must show now.
func (s *sheet) clock(c *loading.Clock, at time.Time) {
	must := c.Must(at)
	s.paragraph("County time is " + must.Now.Format(cards.ClockLayout) + ".")
	if must.Change == 0 {
		s.paragraph("No clock changes between now and election morning: every machine must show that.")
		return
	}
	s.paragraph(fmt.Sprintf("Daylight saving time %s before election morning. A machine that changes by itself must show "+
		"%s; one that does not must show %s.", map[bool]string{true: "begins", false: "ends"}[must.Change > 0],
		must.Itself.Format(cards.ClockLayout), must.Fixed.Format(cards.ClockLayout)))
}

// cardsPlanCommand is "cproof cards plan".
type cardsPlanCommand struct {
	onCase
	Format string `enum:"text,csv,sheets,labels" default:"text" placeholder:"text|csv|sheets|labels" help:"How to write it: text for reading, csv for a spreadsheet, sheets for load sheets as PDF, labels for labels of the cards as PDF."`
	Out    string `placeholder:"FILE" help:"Write it to this file instead of to the screen; a PDF needs one."`
	replacing
}

// Help is shown by "cproof cards plan --help".
func (cardsPlanCommand) Help() string {
	return `Lists the voting units by site, at a site those with most districts first, because loading takes longer with
each. The headers are those of the last export: whoever keys what a unit shows does not look at them before.

    cproof cards plan tarnwick.counterproof
    cproof cards plan tarnwick.counterproof --format sheets --out sheets.pdf`
}

// Run writes the plan.
func (c *cardsPlanCommand) Run(s *session) error {
	if c.Out == "" && (c.Format == "sheets" || c.Format == "labels") {
		return fmt.Errorf("a PDF is not written to the screen; name its file with --out")
	}
	to, err := c.place(c.Out, c.Case)
	if err != nil {
		return err
	}
	return readingMachines(c.Case, func(m *review.Machines) error {
		return s.deliver(to, startProgress(s.err, false, ""), func(w io.Writer, p page) error {
			switch c.Format {
			case "csv":
				return planCSV(w, m)
			case "sheets":
				return report.PagesOf(m, time.Now()).LoadSheets(w)
			case "labels":
				return report.PagesOf(m, time.Now()).CardLabels(w)
			}
			text := &sheet{page: p}
			text.plan(m)
			_, err := io.WriteString(w, text.text.String())
			return err
		})
	})
}

func readingMachines(path string, do func(*review.Machines) error) error {
	return reading(path, func(of *casefile.Case) error {
		m, err := review.New(of).Machines()
		if err != nil {
			return fmt.Errorf("%s: %w", path, err)
		}
		return do(m)
	})
}

func (s *sheet) plan(m *review.Machines) {
	w := m.Warehouse
	s.paragraph(fmt.Sprintf("%s by %s: %s.", english.Plural(len(m.Units()), "voting unit", ""), m.Approved.Name(),
		m.State.Election.Name))
	if w.Clock != nil {
		s.clock(w.Clock, time.Now())
	}
	took := w.LoadTimes()
	site := "\x00"
	for _, u := range m.Units() {
		if u.Site != site {
			site = u.Site
			s.line("")
			s.rule(orNoSite(site), "")
		}
		words := fmt.Sprintf("%s, %s: %s", u.Name, u.Use, finding.PrecinctList(u.Header, -1))
		if n := len(u.Districts); n > 0 {
			words += "; " + english.Plural(n, "district", "")
		}
		if c, known := w.Card(u.Name); known {
			words += "; card " + c.Label
		} else {
			words += "; no card yet"
		}
		if seconds, known := took[u.Name]; known {
			words += "; loaded in " + loading.TimeWords(seconds)
		}
		s.hanging("  ", "", words)
	}
	s.elsewhere(w)
}

// elsewhere names the units that are recorded and that the plan does not have.
func (s *sheet) elsewhere(w *loading.Warehouse) {
	if list := w.Elsewhere(); len(list) > 0 {
		s.line("")
		s.paragraph("Recorded, and not in the last export, so that nothing is judged there: " +
			strings.Join(list, ", ") + ".")
	}
}

func orNoSite(site string) string {
	if site == "" {
		return "No site"
	}
	return site
}

func planCSV(w io.Writer, m *review.Machines) error {
	out, err := beginCSV(w, []string{"unit", "site", "use", "header", "districts", "card", "load_seconds"})
	if err != nil {
		return err
	}
	took := m.Warehouse.LoadTimes()
	for _, u := range m.Units() {
		c, _ := m.Warehouse.Card(u.Name)
		seconds := ""
		if n, known := took[u.Name]; known {
			seconds = strconv.Itoa(n)
		}
		if err := writeCells(out, u.Name, u.Site, string(u.Use), strings.Join(u.Header, "|"),
			strings.Join(u.Districts, "|"), c.Label, seconds); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

func writeCells(out *csv.Writer, cells ...string) error {
	for i := range cells {
		cells[i] = cellText(cells[i])
	}
	return out.Write(cells)
}

// cardsLedgerCommand is "cproof cards ledger".
type cardsLedgerCommand struct {
	onCaseToWrite
	by
	File string `arg:"" placeholder:"FILE" help:"CSV with the columns label, unit, export, made and by."`
}

// Help is shown by "cproof cards ledger --help".
func (cardsLedgerCommand) Help() string {
	return `Enters the cards that were made. "export" is the digest of the export that a card was made from, or the name of
an export of this case where no other has it; "made" is YYYY-MM-DD or YYYY-MM-DD HH:MM. A later card of a label, or of a
unit, takes the place of an earlier one.

    cproof cards ledger tarnwick.counterproof --by HV cards.csv`
}

// Run enters cards.
func (c *cardsLedgerCommand) Run(s *session) error {
	return writing(s, c.onCaseToWrite, c.By, func(of *casefile.Case) error {
		data, err := files.Read(c.File, sheets.MaxFileSize)
		if err != nil {
			return err
		}
		list, err := cards.ReadLedger(filepath.Base(c.File), data)
		if err != nil {
			return err
		}
		who, err := personIn(of.State(), c.By)
		if err != nil {
			return err
		}
		if list, err = review.NameExports(of.State(), list); err != nil {
			return fmt.Errorf("%s: %w", c.File, err)
		}
		if err := review.New(of).MakeCards(who, list...); err != nil {
			return fmt.Errorf("%s: %w", c.File, err)
		}
		return s.say(func(out *sheet) {
			out.paragraph(fmt.Sprintf("%s entered by %s, in entry %d.", english.Plural(len(list), "card", ""),
				nameIn(of.State(), who), of.State().Seq))
		})
	})
}
