package report

import (
	"cmp"
	"strconv"
	"strings"

	"github.com/dustin/go-humanize/english"
)

// ballots composes the voting units with their card headers, and each ballot style.
func (c *composer) ballots() {
	c.add(section{"Ballot styles and voting units"})
	c.add(paragraph{say("As the last export has them. Hold these pages beside the machine when cards are loaded."), body})
	if len(c.Units) > 0 {
		c.add(heading{"Voting units", true}, c.cards())
	}
	on := c.unitsOn()
	for i := range c.Styles {
		c.add(deferred(func() block { return c.ballot(&c.Styles[i], on) }))
	}
}

// cards composes the table of the units. It has a column for their use if any unit states one.
func (c *composer) cards() table {
	used := false
	for _, u := range c.Units {
		used = used || u.Use != ""
	}
	t := table{caption: "Voting units and their card headers", heads: []string{"Unit", "Polling site"}}
	if used {
		t.heads = append(t.heads, "Use")
	}
	t.heads = append(t.heads, "Precincts in the card header")
	for _, u := range c.Units {
		row := []words{stress(u.Name), quote(cmp.Or(u.Site, "–"))}
		if used {
			row = append(row, say(cmp.Or(u.Use, "–")))
		}
		t.rows = append(t.rows, append(row, say(cmp.Or(ranges(u.Precincts), "–"))))
	}
	return t
}

// unitsOn lists, for each precinct, the units whose card header names it.
func (c *composer) unitsOn() map[string][]string {
	on := map[string][]string{}
	for _, u := range c.Units {
		for _, p := range u.Precincts {
			on[p] = append(on[p], u.Name)
		}
	}
	return on
}

func (c *composer) ballot(s *Style, on map[string][]string) ballot {
	b := ballot{title: s.Label}
	if len(s.Parties) > 0 {
		b.under = append(b.under, fact{label: english.PluralWord(len(s.Parties), "Party", "Parties"),
			lines: []words{say(strings.Join(s.Parties, ", "))}})
	}
	precincts := "none"
	if len(s.Precincts) > 0 {
		precincts = counted(s.Precincts)
	}
	b.under = append(b.under, fact{label: "Precincts", lines: []words{say(precincts)}})
	var units []string
	known := map[string]bool{}
	for _, p := range s.Precincts {
		for _, u := range on[p] {
			if !known[u] {
				known[u] = true
				units = append(units, u)
			}
		}
	}
	if len(units) > 0 {
		b.under = append(b.under, fact{label: "Voting units", lines: []words{say(counted(units))}})
	}
	if len(s.Findings) > 0 {
		var list []string
		for _, n := range s.Findings {
			list = append(list, strconv.Itoa(n))
		}
		b.notes = append(b.notes, stress("The two entries differ on this ballot: see "+
			english.PluralWord(len(list), "finding", "")+" "+strings.Join(list, ", ")+"."))
	}
	for _, p := range s.Places {
		x := &c.Contests[p.Contest]
		k := ballotContest{same: same(p), headings: p.Headings, title: contestTitle(x), text: x.Text}
		var info []string
		if x.VoteFor != "" {
			info = append(info, "vote for "+x.VoteFor)
		}
		if len(x.Parties) > 0 {
			info = append(info, strings.Join(x.Parties, ", ")+" primary")
		}
		k.info = strings.Join(info, " · ")
		order := p.Order
		if len(order) == 0 {
			for j := range x.Choices {
				order = append(order, j)
			}
		}
		for _, j := range order {
			ch := &x.Choices[j]
			name := ch.Name
			if ch.WriteIn {
				name = "Write-in"
			}
			k.choices = append(k.choices, [2]string{name, strings.Join(ch.Lines, ", ")})
		}
		b.contests = append(b.contests, k)
	}
	if len(s.Closing) > 0 {
		b.contests = append(b.contests, ballotContest{headings: s.Closing})
	}
	return b
}

func contestTitle(c *Contest) string {
	return strings.TrimSpace(c.Title + " " + c.Subtitle)
}

func contestName(c *Contest) string {
	n := contestTitle(c)
	if len(c.Parties) > 0 {
		n += " (" + strings.Join(c.Parties, ", ") + ")"
	}
	return n
}

// same is equal for contests that look the same on several ballots, so that a page can lay them out
// once. It covers the contest, its headings and the order of its choices.
func same(p Place) string {
	key := strconv.AppendInt(nil, int64(p.Contest), 10)
	for _, x := range p.Order {
		key = strconv.AppendInt(append(key, ' '), int64(x), 10)
	}
	for _, x := range p.Headings {
		key = append(append(key, 0), x...)
	}
	return string(key)
}
