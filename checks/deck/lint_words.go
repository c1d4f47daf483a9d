package deck

import (
	"fmt"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/finding"
	"counterproof/model"
)

// Words say in sentences what the deck cannot see, why, and what would show it.
func (b *Blind) Words(e *model.Election) string {
	switch b.Kind {
	case BlindUncounted:
		return fmt.Sprintf("%s is not counted: %s.", contestTitle(e, b.Contests[0]), b.Why)
	case BlindNoBallot:
		return b.noBallot(e)
	case BlindNoVote:
		if b.All {
			return contestTitle(e, b.Contests[0]) + ": no ballot has a vote in it. Vote for each position."
		}
		return fmt.Sprintf("%s: no ballot votes for %s. Vote for each position.", contestTitle(e, b.Contests[0]),
			b.choices(e, "or"))
	case BlindPositions:
		return b.positions(e)
	case BlindContests:
		return fmt.Sprintf("%s have the same votes, position by position. Exchanging two of them %s. Mark one ballot "+
			"differently.", english.OxfordWordSeries(b.titles(e), "and"), b.shows())
	case BlindPrecincts:
		on := ""
		if len(b.Styles) > 0 {
			on = " on " + styleWords(e, b.Styles)
		}
		return fmt.Sprintf("%s count the same%s. Exchanging two of them %s. Mark one ballot differently.",
			english.PluralWord(len(b.Precincts), "This precinct", "These precincts"), on, b.shows())
	}
	return b.otherVoteFor(e)
}

// shows is who sees it, to follow what is done.
func (b *Blind) shows() string {
	if b.Grade == finding.MustFix {
		return "does not show"
	}
	return "shows only in the counts by precinct, or in overvotes and undervotes"
}

func (b *Blind) noBallot(e *model.Election) string {
	if len(b.Styles) > 0 {
		return fmt.Sprintf("No ballot of the deck is of %s: nothing of it is tested.", styleWords(e, b.Styles))
	}
	of := ""
	if b.Why != "" {
		of = b.Why + " "
	}
	if len(b.Precincts) == 1 {
		return "This precinct has no " + of + "ballot in the deck: whether its ballots count for it is not tested."
	}
	return "These precincts have no " + of + "ballot in the deck. Exchanging two of them does not show. Give each one " +
		"ballot."
}

func (b *Blind) positions(e *model.Election) string {
	title := contestTitle(e, b.Contests[0])
	const remedy = "Give each its own total."
	shift := ""
	if b.All {
		shift = ", nor does a shift by one, the last to the first"
	}
	switch {
	case b.Marks:
		return fmt.Sprintf("%s: taking the marks for two of %s for each other's %s, though they have other totals. Mark one "+
			"of them on one ballot more.", title, b.choices(e, "and"), b.shows())
	case b.Totals:
		where := ""
		if b.Grade != finding.MustFix {
			where = " but by precinct"
		}
		return fmt.Sprintf("%s: %s have the same total. Results in which two of them are exchanged do not show it%s. %s",
			title, b.choices(e, "and"), where, remedy)
	case b.Together:
		return fmt.Sprintf("%s: %s have the same total over all styles. Exchanging two of them on every ballot shows "+
			"only in the counts by precinct. %s", title, b.choices(e, "and"), remedy)
	case b.Grade == finding.MustFix:
		return fmt.Sprintf("%s: %s have the same votes. Exchanging two of them does not show%s. %s", title,
			b.choices(e, "and"), shift, remedy)
	}
	return fmt.Sprintf("%s: %s have the same total. Exchanging two of them %s. %s", title, b.choices(e, "and"), b.shows(),
		remedy)
}

func (b *Blind) otherVoteFor(e *model.Election) string {
	list := make([]string, len(b.Contests))
	for i, title := range b.titles(e) {
		list[i] = fmt.Sprintf("%s (vote for %d)", title, voteFor(&e.Contests[b.Contests[i]]))
	}
	more, why := "more", "no ballot has one mark too many there. Mark one too many on one ballot"
	if b.Kind == BlindLower {
		more, why = "fewer", "no ballot is marked in full there. Mark one in full"
	}
	if b.Grade == finding.Note {
		why = "there are no more people to mark"
	}
	shows := "shows only in overvotes and undervotes"
	if b.Grade == finding.MustFix {
		shows = "does not show"
	}
	return fmt.Sprintf("A card that lets people vote for %s %s in %s: %s.", more, shows, strings.Join(list, "; "), why)
}

func (b *Blind) titles(e *model.Election) []string {
	titles := make([]string, len(b.Contests))
	for i, c := range b.Contests {
		titles[i] = contestTitle(e, c)
	}
	return titles
}

// choices are the names of the choices, as a list.
func (b *Blind) choices(e *model.Election, conjunction string) string {
	names := choiceNames(e, b.Contests[0])
	at := positions(e, b.Contests[0])
	many := map[string]int{}
	for _, n := range names {
		many[n]++
	}
	list := make([]string, len(b.Choices))
	for i, j := range b.Choices {
		if list[i] = names[j]; many[names[j]] > 1 || names[j] == "" {
			list[i] = strings.TrimSpace(fmt.Sprintf("%s (position %d)", names[j], at[j]))
		}
	}
	return english.OxfordWordSeries(list, conjunction)
}

// styleWords names styles by their labels, else by their parties; several of one name once.
func styleWords(e *model.Election, styles []int) string {
	var names []string
	seen := map[string]bool{}
	for _, s := range styles {
		name := e.Styles[s].Label.Value
		if name == "" {
			name = partyCodes(e, e.Styles[s].Parties)
		}
		if name != "" && !seen[name] {
			seen[name] = true
			names = append(names, name)
		}
	}
	if len(names) == 0 {
		return english.PluralWord(len(styles), "this style", "these styles")
	}
	return english.PluralWord(len(names), "style ", "styles ") + finding.ShortList(names)
}

// PrecinctNames are the precincts as the sheets call them.
func (b *Blind) PrecinctNames(e *model.Election) []string {
	names := make([]string, len(b.Precincts))
	for i, p := range b.Precincts {
		names[i] = precinctLabel(e, p)
	}
	return names
}

// Positions are the positions of the choices.
func (b *Blind) Positions(e *model.Election) []int {
	out := make([]int, len(b.Choices))
	for i, j := range b.Choices {
		out[i] = positions(e, b.Contests[0])[j]
	}
	return out
}
