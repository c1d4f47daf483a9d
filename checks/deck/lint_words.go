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
	if len(b.Precincts) == 1 {
		return "This precinct has no ballot in the deck: whether its ballots count for it is not tested."
	}
	return "These precincts have no ballot in the deck. Exchanging two of them does not show. Give each one ballot."
}

func (b *Blind) positions(e *model.Election) string {
	title := contestTitle(e, b.Contests[0])
	const remedy = "Give each its own total."
	shift := ""
	if b.All {
		shift = ", nor does a shift by one, the last to the first"
	}
	switch {
	case b.Together:
		return fmt.Sprintf("%s: %s have the same total over all styles. Exchanging two of them on every ballot shows only "+
			"in the counts by precinct. %s", title, b.choices(e, "and"), remedy)
	case b.Grade == finding.MustFix:
		return fmt.Sprintf("%s: %s have the same votes. Exchanging two of them does not show%s. %s", title,
			b.choices(e, "and"), shift, remedy)
	}
	return fmt.Sprintf("%s: %s have the same total. Exchanging two of them %s. %s", title, b.choices(e, "and"), b.shows(),
		remedy)
}

func (b *Blind) otherVoteFor(e *model.Election) string {
	c := b.Contests[0]
	n := voteFor(&e.Contests[c])
	others := make([]string, len(b.VoteFor))
	fewer, more := false, false
	for i, other := range b.VoteFor {
		others[i] = fmt.Sprint(other)
		fewer, more = fewer || other < n, more || other > n
	}
	text := fmt.Sprintf("%s is for %s. A card that says %s gives everybody the same votes", contestTitle(e, c),
		english.Plural(n, "vote", ""), english.OxfordWordSeries(others, "or"))
	if b.Grade == finding.Note {
		return text + ". No ballot can show it: there are no more people to mark."
	}
	text += "; only overvotes and undervotes show it."
	if more {
		text += fmt.Sprintf(" Mark %d on one ballot.", n+1)
	}
	if fewer {
		text += fmt.Sprintf(" Mark %d on one ballot.", n)
	}
	return text
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
