package deck

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/natural"
	"counterproof/model"
)

// What a comparison found in words, for terminal, desk and report.

// Place says where a count is: "precinct “1-01”", "all precincts".
func (c *Cell) Place(e *model.Election) string {
	var parts []string
	if c.Unit >= 0 {
		parts = append(parts, "unit “"+e.Units[c.Unit].Name+"”")
	}
	switch n := len(c.Precincts); {
	case c.Precincts == nil && c.Unit < 0:
		parts = append(parts, "all precincts")
	case c.Precincts == nil:
	case n == 0:
		parts = append(parts, "the total, less what its precincts count")
	case c.Rest && n > 1:
		parts = append(parts, "what the total leaves to precincts "+precinctWords(e, c.Precincts))
	default:
		parts = append(parts, english.PluralWord(n, "precinct", "precincts")+" "+precinctWords(e, c.Precincts))
	}
	for i, s := range c.Styles {
		if i == 0 {
			parts = append(parts, "style “"+cmp.Or(e.Styles[s].Label.Value, partyCodes(e, e.Styles[s].Parties))+"”")
		}
	}
	return strings.Join(parts, ", ")
}

// mostNames is how many precincts are named before the rest is counted.
const mostNames = 8

func precinctWords(e *model.Election, precincts []int) string {
	names := make([]string, len(precincts))
	for i, p := range precincts {
		names[i] = precinctLabel(e, p)
	}
	return series(natural.Sorted(names), mostNames)
}

// series lists names for people. Of more than most the rest is counted.
func series(names []string, most int) string {
	if n := len(names); n > most {
		names = append(names[:most:most], fmt.Sprintf("%d more", n-most))
	}
	return english.WordSeries(names, "and")
}

// What says what is counted: a choice's name, with its rank, or "overvotes".
func (c *Cell) What(e *model.Election) string {
	if c.Other != "" {
		return strings.ReplaceAll(c.Other, "-", " ")
	}
	name := choiceNames(e, c.Contest)[c.Choice]
	if c.Rank > 1 {
		name += fmt.Sprintf(" at rank %d", c.Rank)
	}
	return name
}

// Title is the contest of a count, with the party whose primary it is.
func (c *Cell) Title(e *model.Election) string { return contestTitle(e, c.Contest) }

// CauseWords say what may have gone wrong.
func (d *Difference) CauseWords() []string {
	var out []string
	causes := d.Causes
	for len(causes) > 0 && causes[0].Kind == NotAddingUp {
		out = append(out, "Likely cause: "+causes[0].Text)
		causes = causes[1:]
	}
	switch {
	case len(d.Cells) == 0:
		out = append(out, "No total that was compared shows it: single records credit something else than the deck gives.")
	case len(causes) > 1:
		out = append(out, "Each of these causes gives exactly these counts:")
		for _, c := range causes {
			out = append(out, "- "+c.Text)
		}
	case len(causes) == 1 && len(d.Causes) > 1:
		out = append(out, "Else: "+causes[0].Text)
	case len(causes) == 1:
		out = append(out, "Likely cause: "+causes[0].Text)
	case len(d.Causes) == 0:
		out = append(out, "Cause: none of those that were tried gives these counts.")
	}
	if d.More {
		out = append(out, "- and more.")
	}
	if len(d.Ballots) > 0 {
		numbers := make([]string, len(d.Ballots))
		for i, n := range d.Ballots {
			numbers[i] = strconv.Itoa(n)
		}
		out = append(out, "Ballots whose records show it: "+series(numbers, 3*mostNames)+".")
	}
	return out
}

// Words say what is counted in the results and not in the key.
func (s *Stray) Words() string {
	out := s.What
	if s.File != "" {
		out += " (" + s.File + ")"
	}
	return out + ": " + english.Plural(s.Votes, "vote", "") + " not compared"
}

// Words say what a ballot or a record has otherwise.
func (b *BallotDiffers) Words(e *model.Election) string {
	record := fmt.Sprintf("record of %s, line %d", b.File, b.Line)
	switch {
	case b.File == "":
		return fmt.Sprintf("Ballot %d has no record.", b.Number)
	case b.Number == 0:
		return fmt.Sprintf("The %s is of no ballot of the deck.", record)
	case b.Contests == nil:
		return fmt.Sprintf("Ballot %d was read again: %s.", b.Number, record)
	}
	titles := make([]string, len(b.Contests))
	for i, c := range b.Contests {
		titles[i] = "“" + contestTitle(e, c) + "”"
	}
	return fmt.Sprintf("Ballot %d is recorded otherwise in %s: %s.", b.Number, series(titles, mostNames), record)
}

// LeftOutWords say in how many contests the ballots were not compared; empty if in none.
func (b *BallotsCompared) LeftOutWords() string {
	if len(b.LeftOut) == 0 {
		return ""
	}
	return "NOT COMPARED ballot by ballot: " + english.Plural(len(b.LeftOut), "contest", "") +
		" that no contest of the records pairs with."
}

// Agree reports whether all counts that were compared are the same, and nothing is counted beside them.
// It says nothing of what was not compared.
func (c *Compared) Agree() bool {
	stray := 0
	for i := range c.Stray {
		stray += c.Stray[i].Votes + c.Stray[i].Others
	}
	return len(c.Differences) == 0 && stray == 0 && (c.Ballots == nil || len(c.Ballots.Differ) == 0)
}

// Summary says in sentences how much was compared and how much was not.
func (c *Compared) Summary(e *model.Election) []string {
	out := []string{english.Plural(c.Held, "count", "") + " of the key compared with the results."}
	if c.InTotals > 0 {
		out = append(out, english.Plural(c.InTotals, "count", "")+" compared in totals of several precincts alone.")
	}
	if c.NotStated > 0 {
		out = append(out, fmt.Sprintf("NOT COMPARED: %s of the key, which the results do not state.",
			english.Plural(c.NotStated, "count", "")))
	}
	for i, s := range c.Silent {
		if i == mostNames {
			out = append(out, fmt.Sprintf("NOT COMPARED: %d more contests.", len(c.Silent)-i))
			break
		}
		out = append(out, "NOT COMPARED: the results state nothing of “"+contestTitle(e, s)+"”.")
	}
	if c.CutShort {
		out = append(out, "There were too many differences to try every cause on each.")
	}
	if b := c.Ballots; b != nil {
		if b.Note != "" {
			return append(out, b.Note)
		}
		by := "by precinct and votes"
		if b.ByNumber {
			by = "by number"
		}
		out = append(out, fmt.Sprintf("%d of %s recorded exactly as the deck gives (records matched %s).",
			b.Same, english.Plural(b.Ballots, "ballot", ""), by))
		if words := b.LeftOutWords(); words != "" {
			out = append(out, words)
		}
	}
	return out
}
