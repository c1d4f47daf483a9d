package planted

import (
	"fmt"
	"slices"
	"strings"

	"golang.org/x/text/unicode/norm"

	"counterproof/model"
)

// normal is what an election says, after the design's normalisation, without the
// lists that it is spread over: each precinct's ballots with all that is printed
// on them. It is written apart from the checks, so that the two can be held
// against each other.
type normal struct {
	Name, Date, Jurisdiction string
	Parties                  []string
	// Ballots are by precinct and the parties whose voters get them.
	Ballots map[string][]normalBallot
	Sites   map[string][]string // by precinct: site and use
	Units   map[string]normalUnit
}

type normalBallot struct {
	Label    string
	Contests []normalContest
}

type normalContest struct {
	Headings    []string
	Title, Text string
	Kind        model.Kind
	VoteFor     int
	Parties     []string
	Choices     []normalChoice // as printed
}

type normalChoice struct {
	Name    string
	WriteIn bool
	Lines   []string
	// Person is the place of the first position of the same person.
	Person int
}

type normalUnit struct {
	Site, Use string
	Precincts []string
}

// normalise reduces a fully keyed side. called names a precinct.
func normalise(e *model.Election, called func(int) string) normal {
	words := func(t model.Text) string { return norm.NFC.String(t.In("")) }
	party := func(i int) string { return words(e.Parties[i].Abbreviation.Value) }
	parties := func(list []int) []string {
		var out []string
		for _, p := range list {
			out = append(out, party(p))
		}
		slices.Sort(out)
		return out
	}
	n := normal{Name: words(e.Facts.Name.Value), Date: e.Facts.Date.Value, Jurisdiction: words(e.Facts.Jurisdiction.Value),
		Ballots: map[string][]normalBallot{}, Sites: map[string][]string{}, Units: map[string]normalUnit{}}
	for i, p := range e.Parties {
		n.Parties = append(n.Parties, party(i)+" "+words(p.Name.Value))
	}
	slices.Sort(n.Parties)
	contest := func(place model.Placement) normalContest {
		c := e.Contests[place.Contest]
		out := normalContest{Kind: c.Kind.Value, Parties: parties(c.PrimaryParties.Value), Text: words(c.Text.Value)}
		out.Title = words(c.Title.Value)
		if !c.Title.Known {
			out.Title = words(c.Name.Value)
		}
		if s := words(c.Subtitle.Value); s != "" {
			out.Title += " " + s
		}
		if out.Kind == model.KindCandidate { // others have no place for it in an export
			out.VoteFor = c.VoteFor.Value
		}
		for _, h := range place.Headings.Value {
			out.Headings = append(out.Headings, words(h))
		}
		order := place.Order.Value
		if !place.Order.Known {
			order = identity(len(c.Choices))
		}
		people := map[string]int{}
		for at, j := range order {
			ch := c.Choices[j]
			choice := normalChoice{WriteIn: ch.WriteIn, Person: -1}
			if !ch.WriteIn {
				choice.Name, choice.Lines = words(ch.Name.Value), parties(ch.Lines.Value)
				// A dash agrees with the contest's own primary party.
				if slices.Equal(choice.Lines, out.Parties) {
					choice.Lines = nil
				}
				if ch.Person != "" && out.Kind == model.KindCandidate {
					if _, ok := people[ch.Person]; !ok {
						people[ch.Person] = at
					}
					choice.Person = people[ch.Person]
				}
			}
			out.Choices = append(out.Choices, choice)
		}
		return out
	}
	for _, st := range e.Styles {
		ballot := normalBallot{Label: st.Label.Value}
		for _, place := range st.Content {
			ballot.Contests = append(ballot.Contests, contest(place))
		}
		for _, p := range st.Precincts {
			key := called(p) + " " + strings.Join(parties(st.Parties), " ")
			n.Ballots[key] = append(n.Ballots[key], ballot)
			for _, at := range e.Precincts[p].Sites.Value {
				site := fmt.Sprint(words(e.Sites[at.Site].Name), " ", at.Use)
				if !slices.Contains(n.Sites[called(p)], site) {
					n.Sites[called(p)] = append(n.Sites[called(p)], site)
				}
			}
		}
	}
	for _, list := range n.Sites {
		slices.Sort(list)
	}
	for _, u := range e.Units {
		out := normalUnit{Use: string(u.Use.Value)}
		if !u.Use.Known {
			out.Use = string(model.UseElectionDay)
		}
		if u.Site.Known {
			out.Site = words(e.Sites[u.Site.Value].Name)
		}
		for _, p := range u.Precincts.Value {
			out.Precincts = append(out.Precincts, called(p))
		}
		slices.Sort(out.Precincts)
		n.Units[u.Name] = out
	}
	return n
}

// normalPrimary and normalSecond call each precinct as the second entry does.
func (c *County) normalPrimary() normal {
	return normalise(c.Primary.Election, func(i int) string {
		p := c.Primary.Precincts[i]
		switch c.Shape.PrecinctBy {
		case ByNumber:
			return p.Number
		case ByName:
			return p.Name.In("")
		}
		return c.Primary.Origins.Precinct(i).Codes[0]
	})
}

func (c *County) normalSecond() normal {
	return normalise(c.Second.Election, func(i int) string { return c.Second.Precincts[i].Name.In("") })
}
