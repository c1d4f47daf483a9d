package main

import (
	"fmt"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// withdrawCommand is "cproof withdraw".
type withdrawCommand struct {
	onCaseToWrite
	Export string `arg:"" placeholder:"EXPORT" help:"The export: its file's name, the entry by which it came in, or the beginning of its digest."`
	Reason string `required:"" placeholder:"TEXT" help:"Why: what it is, and how it came in."`
	signed
}

// Help is shown by "cproof withdraw --help".
func (withdrawCommand) Help() string {
	return `Withdraws an export that came in by mistake: another election's, another county's. All its files go,
and its card list. The bytes stay in the case and the report names it, but it is compared with nothing from then
on. Both of the pair sign it. An export on which a decision or a signed report rests cannot be withdrawn.

    cproof withdraw tarnwick.counterproof spring.xml --reason "the export of the spring election" --signed-by HV,IT`
}

// Run records a withdrawal.
func (c *withdrawCommand) Run(s *session) error {
	return writing(s, c.onCaseToWrite, strings.Join(c.SignedBy, ","), func(of *casefile.Case) error {
		r := review.New(of)
		entries, err := r.Exported(c.Export)
		if err == nil {
			err = of.State().MayWithdraw(entries)
		}
		if err != nil {
			return fmt.Errorf("%s: %w", c.Case, err)
		}
		people, err := c.unlock(s, of)
		if err != nil {
			return err
		}
		if err := of.Withdraw(casefile.Withdrawal{Exports: entries, Reason: c.Reason}, people...); err != nil {
			return err
		}
		list := make([]string, len(entries))
		for i, seq := range entries {
			list[i] = fmt.Sprint(seq)
		}
		return s.say(func(out *sheet) {
			out.paragraph(fmt.Sprintf("Withdrawn by %s: %s (%s %s), in entry %d.", namesIn(of.State(), people), c.Export,
				english.PluralWord(len(entries), "entry", "entries"), english.WordSeries(list, "and"), of.State().Seq))
			if now, err := r.Now(); err == nil {
				out.paragraph(fmt.Sprintf("Compared now: %s. %s", now.Latest.Name(), countWords(now.Counts())))
			} else {
				out.paragraph("No export stands in this case now; bring in the right one.")
			}
		})
	})
}
