package report

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/finding"
	"counterproof/checks/natural"
)

// composeAnnex lays the annex out as blocks.
func (r *Report) composeAnnex() (*document, error) {
	digest, err := r.Digest()
	if err != nil {
		return nil, err
	}
	if r.Annex == "" || r.annex == nil {
		return nil, errors.New("the report was read without its annex, or has none")
	}
	d := &document{title: title("Annex", r), foot: "SHA-256 of annex.json " + groups(r.Annex)}
	c := &composer{Report: r, digest: digest, d: d}
	c.add(cover{"Annex to the comparison report", c.Election.Jurisdiction, c.Election.Name, day(c.Election.Date)})
	c.add(paragraph{say("The ballots and the voting units as the last export has them. Hold these pages beside the " +
		"machine when cards are loaded. What was found, decided and signed is in the report; it names the digest of " +
		"annex.json, so that the signatures on the report cover the annex too."), body})
	c.add(facts{[]fact{
		{label: "SHA-256 of annex.json", lines: []words{code(groups(r.Annex))}},
		{label: "SHA-256 of report.json", lines: []words{code(digest.Groups())}},
		{label: "Case", lines: []words{code(c.Case)}},
	}, body})
	c.ballots(r.annex)
	return d, nil
}

// ballots composes the ballot styles, the contests, the polling sites and the voting units.
func (c *composer) ballots(a *Annex) {
	b := newBallots(a, c)
	c.add(section{"Ballot styles"}, paragraph{say("Styles with the same contents are one line. The numbers are those " +
		"of the contests below, in the order in which the ballot prints them; a letter means that this ballot prints " +
		"the choices in an order of its own: it stands below with the contest, with the choices counted as they are " +
		"listed there."), body}, b.styles())
	c.add(section{"Contests"}, b.contests())
	if len(a.Sites) > 0 {
		t := table{"Polling sites and their precincts", []string{"Polling site", "Precincts"}, nil}
		for _, s := range a.Sites {
			t.rows = append(t.rows, []words{quote(cmp.Or(s.Name, "–")), say(counted(s.Precincts))})
		}
		c.add(section{"Polling sites"}, t)
	}
	if len(a.Units) > 0 {
		c.add(section{"Voting units"}, cardHeaders(a.Units))
	}
}

// cardHeaders composes the table of the units. It has a column for their use if any unit states one.
func cardHeaders(units []Unit) table {
	used := slices.ContainsFunc(units, func(u Unit) bool { return u.Use != "" })
	t := table{caption: "Voting units and their card headers", heads: []string{"Unit", "Polling site"}}
	if used {
		t.heads = append(t.heads, "Use")
	}
	t.heads = append(t.heads, "Precincts in the card header")
	for _, u := range units {
		row := []words{stress(u.Name), quote(cmp.Or(u.Site, "–"))}
		if used {
			row = append(row, say(cmp.Or(u.Use, "–")))
		}
		t.rows = append(t.rows, append(row, say(cmp.Or(ranges(u.Precincts), "–"))))
	}
	return t
}

// ballots are the ballots of an annex, with what all places of a contest have in common.
type ballots struct {
	*Annex
	of *composer
	// headings are those above a contest, if they are the same on each ballot; else shared is false.
	headings [][]string
	shared   []bool
	// orders are the orders of a contest's choices that ballots have instead of the printed one, in
	// words; printed is that of all ballots, where they have one that is not the contest's own.
	orders    [][]string
	printed   [][]int
	precincts [][]string // by contest
	all       int        // how many precincts there are
}

func newBallots(a *Annex, of *composer) *ballots {
	n := len(a.Contests)
	b := &ballots{Annex: a, of: of, headings: make([][]string, n), shared: make([]bool, n),
		orders: make([][]string, n), printed: make([][]int, n)}
	known, on := make([]bool, n), make([][]string, n)
	var all []string
	for i := range a.Styles {
		for _, p := range a.Styles[i].Places {
			c := p.Contest
			if !known[c] {
				known[c], b.headings[c], b.shared[c], b.printed[c] = true, p.Headings, true, p.Order
			} else {
				b.shared[c] = b.shared[c] && slices.Equal(b.headings[c], p.Headings)
				if !slices.Equal(b.printed[c], p.Order) {
					b.printed[c] = nil
				}
			}
			if o := order(p.Order); o != "" && !slices.Contains(b.orders[c], o) {
				b.orders[c] = append(b.orders[c], o)
			}
			on[c] = append(on[c], a.Styles[i].Precincts...)
		}
		all = append(all, a.Styles[i].Precincts...)
	}
	for c, order := range b.printed {
		if len(order) > 0 && len(order) == len(a.Contests[c].Choices) {
			b.orders[c] = nil
		} else {
			b.printed[c] = nil
		}
	}
	for _, list := range on { // a precinct has a ballot for each party of a closed primary
		b.precincts = append(b.precincts, distinct(list))
	}
	b.all = len(distinct(all))
	return b
}

// distinct puts names in order, each once.
func distinct(names []string) []string {
	slices.Sort(names)
	names = slices.Compact(names)
	slices.SortStableFunc(names, natural.Compare)
	return names
}

// order writes the order of choices for people, who count from 1.
func order(list []int) string {
	var out []string
	for _, x := range list {
		out = append(out, strconv.Itoa(x+1))
	}
	return strings.Join(out, ", ")
}

// letter counts a, b … z, aa, ab …
func letter(n int) string {
	s := ""
	for n++; n > 0; n = (n - 1) / 26 {
		s = string(rune('a'+(n-1)%26)) + s
	}
	return s
}

// place is a contest on a ballot: its number, with a letter for the order of its choices, and the
// headings above it where they are not the same on all ballots.
func (b *ballots) place(p Place) (headings []string, number string) {
	number = strconv.Itoa(p.Contest + 1)
	if o := order(p.Order); o != "" && len(b.printed[p.Contest]) == 0 {
		number += letter(slices.Index(b.orders[p.Contest], o))
	}
	if !b.shared[p.Contest] {
		headings = p.Headings
	}
	return headings, number
}

// content writes the contests of a ballot in one line: "1 to 4, 7b, “Town of Dunmere” 12".
func (b *ballots) content(s *Style) words {
	var out words
	var first, last int // of a run of contests without anything to say; 0 is no run
	comma := func() {
		if len(out) > 0 {
			out = append(out, run{", ", plain})
		}
	}
	flush := func() {
		if first > 0 {
			comma()
			switch text := strconv.Itoa(first); {
			case last == first+1:
				out = append(out, run{fmt.Sprintf("%d, %d", first, last), plain})
			case last > first:
				out = append(out, run{fmt.Sprintf("%s to %d", text, last), plain})
			default:
				out = append(out, run{text, plain})
			}
		}
		first, last = 0, 0
	}
	for _, p := range s.Places {
		headings, number := b.place(p)
		n := p.Contest + 1
		if len(headings) == 0 && number == strconv.Itoa(n) {
			if first > 0 && n == last+1 {
				last = n
				continue
			}
			flush()
			first, last = n, n
			continue
		}
		flush()
		comma()
		for _, h := range headings {
			out = append(out, run{"“" + h + "” ", quoted})
		}
		out = append(out, run{number, plain})
	}
	flush()
	if len(s.Closing) > 0 {
		comma()
		out = append(out, run{"at the end “" + strings.Join(s.Closing, "” “") + "”", quoted})
	}
	if len(out) == 0 {
		return say("none")
	}
	return out
}

// styles composes a line for each distinct ballot.
func (b *ballots) styles() table {
	t := table{heads: []string{"Ballot style", "Precincts", "Contests, in order", "Findings"}}
	type group struct {
		labels, precincts []string
		findings          []int
		content           words
	}
	var groups []*group
	at := map[string]*group{}
	parties := slices.ContainsFunc(b.Styles, func(s Style) bool { return len(s.Parties) > 0 })
	for i := range b.Styles {
		s := &b.Styles[i]
		content := b.content(s)
		if len(s.Parties) > 0 {
			content = append(words{{strings.Join(b.of.partyNames(s.Parties), ", ") + ": ", strong}}, content...)
		} else if parties {
			content = append(words{{"no party: ", plain}}, content...)
		}
		key := same(s)
		g := at[key]
		if g == nil {
			g = &group{content: content}
			groups, at[key] = append(groups, g), g
		}
		g.labels, g.precincts = append(g.labels, s.Label), append(g.precincts, s.Precincts...)
		g.findings = append(g.findings, s.Findings...)
		slices.Sort(g.findings)
		g.findings = slices.Compact(g.findings)
	}
	for _, g := range groups {
		precincts := cmp.Or(counted(distinct(g.precincts)), "none")
		t.rows = append(t.rows, []words{stress(counted(g.labels)), say(precincts), g.content,
			say(cmp.Or(few(g.findings), "–"))})
	}
	return t
}

// same is equal for ballots that print the same.
func same(s *Style) string {
	b, _ := json.Marshal([]any{s.Parties, s.Places, s.Closing}) // strings and numbers alone: no error
	return string(b)
}

// mostFew is how many findings of a line are listed.
const mostFew = 12

// few lists the first few, and counts the rest.
func few(list []int) string {
	var out []string
	for _, n := range list[:min(len(list), mostFew)] {
		out = append(out, strconv.Itoa(n))
	}
	if rest := len(list) - len(out); rest > 0 {
		return fmt.Sprintf("%s and %s more", strings.Join(out, ", "), count(rest))
	}
	return strings.Join(out, ", ")
}

// contests composes each contest once, with its precincts.
func (b *ballots) contests() contestList {
	var list contestList
	for i := range b.Contests {
		x := &b.Contests[i]
		k := ballotContest{number: strconv.Itoa(i + 1), title: contestTitle(x), text: x.Text}
		if b.shared[i] {
			k.headings = b.headings[i]
		}
		var info []string
		if x.VoteFor != "" {
			info = append(info, "vote for "+x.VoteFor)
		}
		if len(x.Parties) > 0 {
			info = append(info, strings.Join(b.of.partyNames(x.Parties), ", ")+" primary")
		}
		switch on := b.precincts[i]; {
		case len(on) == 0:
			info = append(info, "on no ballot")
		case len(on) == b.all && b.all > 3:
			info = append(info, "all "+count(b.all)+" precincts")
		default:
			info = append(info, english.PluralWord(len(on), "precinct", "")+" "+counted(on))
		}
		k.info = finding.Capital(strings.Join(info, " · "))
		if x.Source != "" {
			k.notes = append(k.notes, "Keyed from: "+x.Source)
		}
		if len(x.NotKeyed) > 0 {
			k.notes = append(k.notes, "Not keyed: "+strings.Join(x.NotKeyed, "; "))
		}
		for j, o := range b.orders[i] {
			k.notes = append(k.notes, fmt.Sprintf("Choices of %d%s: %s", i+1, letter(j), o))
		}
		printed := b.printed[i]
		if len(printed) == 0 {
			for j := range x.Choices {
				printed = append(printed, j)
			}
		}
		for _, j := range printed {
			ch := &x.Choices[j]
			name := ch.Name
			if ch.WriteIn {
				name = "Write-in"
			}
			k.choices = append(k.choices, [2]string{name, strings.Join(b.of.partyNames(ch.Lines), ", ")})
		}
		list.contests = append(list.contests, k)
	}
	return list
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
