package loading

import (
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"counterproof/checks/natural"
	"counterproof/checks/wording"
	"counterproof/model"
)

// content is what an export's ballots say: each contest and each style by the digest of words that
// name no identifier.
type content struct {
	of      *model.Election
	contest []string
	choice  [][]string // by contest
	style   []string
	styles  [][]int // by precinct
	byLabel map[string][]int
	byUnit  map[string][]int
}

func newContent(e *model.Election) *content {
	c := &content{of: e, styles: make([][]int, len(e.Precincts)), byLabel: map[string][]int{}, byUnit: map[string][]int{}}
	for i := range e.Contests {
		choices := make([]string, len(e.Contests[i].Choices))
		for k := range choices {
			choices[k] = c.choiceWords(&e.Contests[i], k)
		}
		c.choice = append(c.choice, choices)
		c.contest = append(c.contest, c.contestWords(&e.Contests[i], choices))
	}
	for i := range e.Styles {
		c.style = append(c.style, c.styleWords(&e.Styles[i]))
		for _, at := range e.Styles[i].Precincts {
			c.styles[at] = append(c.styles[at], i)
		}
	}
	note := func(m map[string][]int, i int, names ...string) {
		for _, n := range names {
			if key := label(n); key != "" && !slices.Contains(m[key], i) {
				m[key] = append(m[key], i)
			}
		}
	}
	for i := range e.Precincts {
		note(c.byLabel, i, precinctLabels(e, i)...)
	}
	for i := range e.Units {
		note(c.byUnit, i, e.Units[i].Name)
	}
	return c
}

func precinctLabels(e *model.Election, i int) (out []string) {
	if n := e.Precincts[i].Number; n != "" {
		out = append(out, n)
	}
	for _, ph := range e.Precincts[i].Name {
		out = append(out, ph.Words)
	}
	if len(out) == 0 {
		out = append(out, e.Origins.Precinct(i).ID)
	}
	return out
}

// precinct finds another export's precinct here: by number, else by name.
func (c *content) precinct(e *model.Election, i int) int {
	for _, name := range precinctLabels(e, i) {
		if list := c.byLabel[label(name)]; len(list) == 1 {
			return list[0]
		}
	}
	return -1
}

func (c *content) unit(name, id string) int {
	list := c.byUnit[label(name)]
	if len(list) == 1 {
		return list[0]
	}
	for _, i := range list {
		if c.of.Origins.Unit(i).ID == id {
			return i
		}
	}
	return -1
}

func (c *content) site(u *model.Unit) string {
	if !u.Site.Known || u.Site.Value < 0 || u.Site.Value >= len(c.of.Sites) {
		return ""
	}
	return wording.Normal(c.of.Sites[u.Site.Value].Name.In(""))
}

func (c *content) header(u *model.Unit) (out []string) {
	for _, at := range u.Precincts.Value {
		out = append(out, precinctLabels(c.of, at)[0])
	}
	return natural.Sorted(append(out, u.Unknown...))
}

// ballots are the ballots of a precinct as words, in an order of their own.
func (c *content) ballots(precinct int) (out []string) {
	if precinct < 0 {
		return nil
	}
	for _, s := range c.styles[precinct] {
		out = append(out, c.style[s])
	}
	slices.Sort(out)
	return out
}

// placed are the contests on the ballots of a precinct as they stand there, by their words.
func (c *content) placed(precinct int) map[string]model.Placement {
	out := map[string]model.Placement{}
	for _, s := range c.styles[precinct] {
		for _, pl := range c.of.Styles[s].Content {
			out[c.placementWords(pl)] = pl
		}
	}
	return out
}

func (c *content) title(pl model.Placement) string {
	of := &c.of.Contests[pl.Contest]
	for _, t := range []model.Text{of.Title.Value, of.Name.Value} {
		if words := wording.Normal(t.In("")); words != "" {
			return words
		}
	}
	return "a contest without a title"
}

// order is the order in which a ballot prints the choices of a contest.
func (c *content) order(pl model.Placement) []int {
	if pl.Order.Known {
		return pl.Order.Value
	}
	var out []int
	for i := range c.of.Contests[pl.Contest].Choices {
		out = append(out, i)
	}
	return out
}

func (c *content) names(pl model.Placement) (out []string) {
	for _, i := range c.order(pl) {
		out = append(out, wording.Normal(c.of.Contests[pl.Contest].Choices[i].Name.Value.In("")))
	}
	return out
}

func (c *content) parties(list []int) (out []string) {
	for _, i := range list {
		out = append(out, asWords(c.of.Parties[i]))
	}
	slices.Sort(out)
	return out
}

// asWords writes plain data of the model as words, the same for the same data.
func asWords(v any) string {
	b, err := json.Marshal(v)
	if err != nil {
		return err.Error()
	}
	return string(b)
}

func digest(list []string) string {
	sum := sha256.Sum256([]byte(strings.Join(list, "\x00")))
	return string(sum[:])
}

func (c *content) contestWords(of *model.Contest, choices []string) string {
	one := *of
	one.PrimaryParties, one.District, one.Choices = model.Stated[[]int]{}, model.Stated[int]{}, nil
	list := []string{asWords(one), fmt.Sprint(of.PrimaryParties.Known), asWords(c.parties(of.PrimaryParties.Value))}
	// The order of choices is the ballot's.
	return digest(append(list, slices.Sorted(slices.Values(choices))...))
}

// choiceWords are a voting position, and which others are of the same person.
func (c *content) choiceWords(of *model.Contest, i int) string {
	position := func(choice *model.Choice) string {
		rest := *choice
		rest.Lines.Value, rest.Person = nil, ""
		return asWords(rest) + asWords(c.parties(choice.Lines.Value))
	}
	list := []string{position(&of.Choices[i])}
	if person := of.Choices[i].Person; person != "" {
		var same []string
		for k := range of.Choices {
			if k != i && of.Choices[k].Person == person {
				same = append(same, position(&of.Choices[k]))
			}
		}
		slices.Sort(same)
		list = append(list, same...)
	}
	return digest(list)
}

// placementWords are a contest as it stands on one ballot.
func (c *content) placementWords(pl model.Placement) string {
	rest := pl
	rest.Contest, rest.Order = 0, model.Stated[[]int]{}
	list := []string{c.contest[pl.Contest], asWords(rest)}
	for _, i := range c.order(pl) {
		list = append(list, c.choice[pl.Contest][i])
	}
	return digest(list)
}

func (c *content) styleWords(st *model.Style) string {
	rest := *st
	rest.Parties, rest.Precincts, rest.Content = nil, nil, nil
	list := []string{asWords(c.parties(st.Parties)), asWords(rest)}
	for _, pl := range st.Content {
		list = append(list, c.placementWords(pl))
	}
	return digest(list)
}
