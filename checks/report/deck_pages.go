package report

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"maps"
	"slices"
	"strconv"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/deck"
	"counterproof/checks/natural"
	"counterproof/checks/review"
	"counterproof/model"
	"counterproof/model/casefile"
)

// DeckPages are the printed pages of a test deck: what is marked, and what must be counted.
type DeckPages struct {
	// Election is what the case calls the election, Deck the name of the deck.
	Election casefile.Election
	Deck     string
	// Made is the time of the deck, as RFC 3339. Foot stands at the foot of each page.
	Made, Foot string
	// Ballots is the second entry, in terms of which the deck is.
	Ballots *model.Election
}

// MarkingSheets writes one sheet for each ballot of a deck, as PDF: the face as it was keyed with the
// targets to fill. A list of all ballots comes first.
func (p *DeckPages) MarkingSheets(w io.Writer, d deck.Deck) error {
	return writePDF(context.Background(), w, p.Made, func() (*document, error) {
		out := p.document("Marking sheets")
		add := func(b ...block) { out.blocks = append(out.blocks, b...) }
		add(paragraph{say("Each sheet shows one ballot of the test deck as it was keyed. Take a ballot of the style that " +
			"the sheet names, write the number of the sheet on its back, and fill the targets that are black here, and no " +
			"others. A number in a target is the rank, or the number of votes, to be marked. Where the targets of the real " +
			"ballot stand, these sheets cannot show: go by the words beside them."), body})
		add(bullets{[]words{say("Have a second person, of another party, read each ballot back against its sheet."),
			say("Feed the ballots in any order. A ballot that is fed twice, or not at all, shows in the totals.")}, false})
		list := table{"All ballots of the deck: contests by their number on the sheet, and the positions that are marked",
			[]string{"Ballot", "Precinct", "Style", "Marked"}, nil}
		for i := range d.Ballots {
			list.rows = append(list.rows, p.listed(&d.Ballots[i]))
		}
		add(heading{english.Plural(len(d.Ballots), "ballot", ""), true}, list)
		for i := range d.Ballots {
			add(p.sheet(&d.Ballots[i], len(d.Ballots))...)
		}
		return out, nil
	})
}

func (p *DeckPages) document(kind string) *document {
	d := &document{title: strings.Join([]string{kind, p.Deck, p.Election.Jurisdiction, p.Election.Name}, " · "),
		foot: p.Foot}
	d.blocks = append(d.blocks, cover{kind + ": " + p.Deck, p.Election.Jurisdiction, p.Election.Name,
		day(p.Election.Date)})
	return d
}

// marksOf are the marks of a ballot, by contest and choice.
func marksOf(b *deck.Ballot) map[[2]int]int {
	out := map[[2]int]int{}
	for _, m := range b.Marks {
		out[[2]int{m.Contest, m.Choice}] = m.Votes
	}
	return out
}

// orderOn returns the choices of a contest in the order of one ballot.
func orderOn(c *model.Contest, place *model.Placement) []int {
	if order := place.Order.Value; place.Order.Known && len(order) == len(c.Choices) {
		return order
	}
	all := make([]int, len(c.Choices))
	for i := range all {
		all[i] = i
	}
	return all
}

// listed is a ballot's row of the list: each contest with its marked positions as the ballot prints them.
func (p *DeckPages) listed(b *deck.Ballot) []words {
	marks := marksOf(b)
	var parts []string
	for n, place := range p.Ballots.Styles[b.Style].Content {
		var at []string
		for i, choice := range orderOn(&p.Ballots.Contests[place.Contest], &place) {
			switch votes := marks[[2]int{place.Contest, choice}]; votes {
			case 0:
			case 1:
				at = append(at, strconv.Itoa(i+1))
			default:
				at = append(at, fmt.Sprintf("%d (%d)", i+1, votes))
			}
		}
		if len(at) > 0 {
			parts = append(parts, fmt.Sprintf("%d: %s", n+1, strings.Join(at, ", ")))
		}
	}
	return []words{stress(strconv.Itoa(b.Number)), say(p.precinct(b.Precinct)), say(p.style(b.Style)),
		say(cmp.Or(strings.Join(parts, " · "), "nothing: a blank ballot"))}
}

func (p *DeckPages) precinct(i int) string { return p.Ballots.Precincts[i].Name.In("") }

// style is the label of a style, with the parties of a closed primary.
func (p *DeckPages) style(i int) string {
	s := &p.Ballots.Styles[i]
	var parties []string
	for _, party := range s.Parties {
		parties = append(parties, partyWord(p.Ballots, party))
	}
	return strings.Join(append([]string{cmp.Or(s.Label.Value, "–")}, parties...), ", ")
}

func partyWord(e *model.Election, i int) string {
	return cmp.Or(e.Parties[i].Abbreviation.Value.In(""), e.Parties[i].Name.Value.In(""))
}

// sheet is the page of one ballot.
func (p *DeckPages) sheet(b *deck.Ballot, of int) []block {
	style := &p.Ballots.Styles[b.Style]
	under := "Precinct " + p.precinct(b.Precinct)
	if s := p.style(b.Style); s != "–" {
		under += ", style " + s
	}
	blocks := []block{sheet{title: "Ballot " + strconv.Itoa(b.Number),
		of: fmt.Sprintf("of %s", english.Plural(of, "ballot", "")), under: under}}
	if len(b.Marks) == 0 {
		blocks = append(blocks, paragraph{stress("A blank ballot: fill nothing."), body})
	}
	marks := marksOf(b)
	var list contestList
	for n := range style.Content {
		place := &style.Content[n]
		list.contests = append(list.contests, p.contest(n, place, marks))
	}
	return append(blocks, list)
}

func (p *DeckPages) contest(n int, place *model.Placement, marks map[[2]int]int) ballotContest {
	c := &p.Ballots.Contests[place.Contest]
	out := ballotContest{number: strconv.Itoa(n + 1), title: review.KeyedTitle(p.Ballots, place.Contest),
		marks: []string{}}
	for _, h := range place.Headings.Value {
		out.headings = append(out.headings, h.In(""))
	}
	if c.VoteFor.Known {
		out.info = fmt.Sprintf("Vote for %d", c.VoteFor.Value)
	}
	for _, i := range orderOn(c, place) {
		choice := &c.Choices[i]
		out.choices = append(out.choices, [2]string{choiceWord(choice), linesOf(p.Ballots, choice)})
		mark := ""
		if votes := marks[[2]int{place.Contest, i}]; votes > 0 {
			mark = strconv.Itoa(votes)
		}
		out.marks = append(out.marks, mark)
	}
	return out
}

func choiceWord(c *model.Choice) string {
	if c.WriteIn {
		return cmp.Or(c.Name.Value.In(""), "Write-in")
	}
	return c.Name.Value.In("")
}

// linesOf are the party lines of a choice in a few letters.
func linesOf(e *model.Election, c *model.Choice) string {
	var lines []string
	for _, party := range c.Lines.Value {
		lines = append(lines, partyWord(e, party))
	}
	return strings.Join(lines, ", ")
}

// Key writes the answer key as PDF: for each voting unit each contest in ballot order, with a column for
// each precinct and their total. Tallies without a unit are the deck as a whole.
func (p *DeckPages) Key(w io.Writer, key *deck.Key) error {
	return writePDF(context.Background(), w, p.Made, func() (*document, error) {
		out := p.document("Answer key")
		add := func(b ...block) { out.blocks = append(out.blocks, b...) }
		add(paragraph{say("What the machines must count of the test deck, from the sealed second entry alone. Keep these " +
			"pages from whoever reads the machine's totals until the totals are recorded."), body})
		if len(key.Left) > 0 {
			var left []words
			for _, l := range key.Left {
				left = append(left, say(fmt.Sprintf("%s: %s.", review.KeyedTitle(p.Ballots, l.Contest), l.Why)))
			}
			add(heading{"Not counted, so nothing to hold the machine's totals against", false}, bullets{left, false})
		}
		byUnit := map[int][]deck.Tally{}
		for _, t := range key.Tallies {
			byUnit[t.Unit] = append(byUnit[t.Unit], t)
		}
		for _, unit := range slices.SortedFunc(maps.Keys(byUnit), func(a, b int) int {
			return natural.Compare(p.unit(a), p.unit(b))
		}) {
			add(section{cmp.Or(p.unit(unit), "The deck as a whole")})
			add(p.keyTables(byUnit[unit])...)
		}
		return out, nil
	})
}

func (p *DeckPages) unit(i int) string {
	if i < 0 {
		return ""
	}
	return p.Ballots.Units[i].Name
}

// columnsOfKey is how many precincts stand side by side.
const columnsOfKey = 7

// keyTables are the tables of one unit: a table for each contest, and several side by side where its
// precincts are many. What stands on several styles of a precinct is added.
func (p *DeckPages) keyTables(tallies []deck.Tally) []block {
	byContest := map[int]map[int][]int{}
	for i := range tallies {
		t := &tallies[i]
		if byContest[t.Contest] == nil {
			byContest[t.Contest] = map[int][]int{}
		}
		column, counts := byContest[t.Contest][t.Precinct], countsOf(t)
		for k := range column {
			counts[k] += column[k]
		}
		byContest[t.Contest][t.Precinct] = counts
	}
	var blocks []block
	for _, c := range BallotOrder(p.Ballots) {
		columns := byContest[c]
		precincts := slices.SortedFunc(maps.Keys(columns), func(a, b int) int {
			return natural.Compare(p.precinct(a), p.precinct(b))
		})
		for first := 0; first < len(precincts); first += columnsOfKey {
			last := min(first+columnsOfKey, len(precincts))
			blocks = append(blocks, p.keyTable(c, columns, precincts[first:last], last == len(precincts)))
		}
	}
	return blocks
}

// countsOf are all counts of a tally, in the order of keyRows.
func countsOf(t *deck.Tally) []int {
	all := slices.Clone(t.Votes)
	for _, votes := range t.Ranks {
		all = append(all, votes...)
	}
	return append(all, t.Ballots, t.Undervotes, t.Overvotes, t.UndervotedBallots, t.OvervotedBallots)
}

// keyTable is the table of a contest with columns for some precincts, and for the total of all.
func (p *DeckPages) keyTable(c int, columns map[int][]int, some []int, total bool) table {
	t := table{caption: review.KeyedTitle(p.Ballots, c), heads: []string{"Choice"}}
	for _, precinct := range some {
		t.heads = append(t.heads, p.precinct(precinct))
	}
	if total {
		t.heads = append(t.heads, "Total")
	}
	for i, name := range p.keyRows(c, len(columns[some[0]])) {
		row := []words{name}
		for _, precinct := range some {
			row = append(row, say(count(columns[precinct][i])))
		}
		if total {
			sum := 0
			for _, column := range columns {
				sum += column[i]
			}
			row = append(row, stress(count(sum)))
		}
		t.rows = append(t.rows, row)
	}
	return t
}

// otherCounts are the words for what is counted besides votes, as countsOf has them.
var otherCounts = []string{"Ballots with this contest", "Undervotes", "Overvotes", "Ballots with undervotes",
	"Ballots with overvotes"}

// keyRows names the rows of a contest of which so many are counted.
func (p *DeckPages) keyRows(c, rows int) (names []words) {
	choices := p.Ballots.Contests[c].Choices
	for i := range rows - len(otherCounts) {
		choice := &choices[i%len(choices)]
		name := choiceWord(choice)
		if lines := linesOf(p.Ballots, choice); lines != "" {
			name += ", " + lines
		}
		if rank := i/len(choices) + 1; rank > 1 {
			name = fmt.Sprintf("%s: rank %d", name, rank)
		}
		names = append(names, quote(name))
	}
	return append(names, each(otherCounts)...)
}

// Results writes what machines counted of a deck, unit by unit, with the differences and what was decided,
// as PDF, with room for the signatures by hand of these people.
func (p *DeckPages) Results(w io.Writer, d *review.TestDeck, signers []casefile.Person) error {
	return writePDF(context.Background(), w, p.Made, func() (*document, error) {
		out := p.document("Results")
		add := func(b ...block) { out.blocks = append(out.blocks, b...) }
		add(paragraph{say(d.Sentence()), lead}, paragraph{say(deckCaution), small})
		t := table{"", []string{"Voting unit", "Results", "Held", "In totals alone", "Not stated", "Differences"}, nil}
		var units []DeckUnit
		m := &maker{state: &casefile.State{}}
		for i := range d.Units {
			units = append(units, m.deckUnit(&d.Units[i]))
			t.rows = append(t.rows, deckRow(&units[i]))
		}
		add(t)
		for _, u := range units {
			for _, r := range u.Results {
				for _, x := range r.Differences {
					rows := []fact{}
					if len(x.Causes) > 0 {
						rows = append(rows, fact{label: "Likely cause", lines: each(x.Causes)})
					}
					for _, a := range x.Decisions {
						rows = append(rows, fact{label: "Decided", lines: []words{say(fmt.Sprintf("entry %d: %s. %s %s", a.Entry,
							review.DeckOutcomeWords(casefile.DeckOutcome(a.Outcome)), a.Reason, a.Document))}})
					}
					add(entry{title: wholeDeck(u.Unit) + " differs", word: x.Status, message: say(x.Message), rows: rows})
				}
			}
		}
		sign := panel{}
		for _, person := range signers {
			sign.rows = append(sign.rows, panelRow{name: person.Name,
				seat: seatWord(string(person.Seat)) + ", " + person.Party, digital: words{}})
		}
		add(heading{"Signed by hand", false}, sign)
		return out, nil
	})
}
