package loading

import (
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"

	"counterproof/checks/finding"
	"counterproof/checks/natural"
	"counterproof/checks/wording"
	"counterproof/model"
)

// Changes says for each unit of the plan, by its name, why a card that was made from an earlier export
// is no longer good: what that export says otherwise of the election, of the unit's site, use and header, and of all
// that the ballots of its precincts hold. A unit that is not listed keeps its card. Identifiers are
// not compared, and neither is what no ballot of the unit holds. Both are as they were received.
func (p *Plan) Changes(earlier, approved *model.Election) map[string][]string {
	was, now := newContent(earlier), newContent(approved)
	out := map[string][]string{}
	ballots := map[int]string{} // by precinct of the plan: its key in the memory of differences
	differ := map[string][]string{}
	whole := factChanges(&earlier.Facts, &approved.Facts)
	for i := range p.Units {
		u := &p.Units[i]
		why := append(slices.Clone(whole), p.unitChanges(u, was, now)...)
		precincts := map[string][]string{} // by difference
		var order []string
		for _, at := range u.header {
			for _, leaf := range append(p.leaves(at), at) {
				key, known := ballots[leaf]
				if !known {
					key = p.ballotsKey(leaf, was, now)
					ballots[leaf] = key
				}
				list, known := differ[key]
				if !known {
					list = p.ballotChanges(leaf, was, now)
					differ[key] = list
				}
				for _, words := range list {
					if precincts[words] == nil {
						order = append(order, words)
					}
					precincts[words] = append(precincts[words], p.precincts[leaf].name)
				}
			}
		}
		for _, words := range order {
			why = append(why, fmt.Sprintf("%s (%s)", words, finding.PrecinctList(natural.Sorted(precincts[words]), -1)))
		}
		if len(why) > 0 {
			out[u.Name] = why
		}
	}
	return out
}

// factChanges are the differences of what every screen and ballot says of the election.
func factChanges(was, now *model.Facts) (why []string) {
	if a, b := was.Name.Value.In(""), now.Name.Value.In(""); a != b {
		why = append(why, fmt.Sprintf("the election is %s instead of %s", finding.Quote(b), finding.Quote(a)))
	}
	if a, b := was.Date.Value, now.Date.Value; a != b {
		why = append(why, fmt.Sprintf("the date of the election is %s instead of %s", orNone(b), orNone(a)))
	}
	if a, b := was.Jurisdiction.Value.In(""), now.Jurisdiction.Value.In(""); a != b {
		why = append(why, fmt.Sprintf("the jurisdiction is %s instead of %s", finding.Quote(b), finding.Quote(a)))
	}
	return why
}

// unitChanges are the differences of site, use and header.
func (p *Plan) unitChanges(u *Unit, was, now *content) (why []string) {
	if u.old < 0 {
		return nil // the export states no units
	}
	old := was.unit(now.of.Units[u.old].Name, now.of.Origins.Unit(u.old).ID)
	if old < 0 {
		return []string{"it has no such unit"}
	}
	a, b := &was.of.Units[old], &now.of.Units[u.old]
	if x, y := was.site(a), now.site(b); x != y {
		why = append(why, fmt.Sprintf("site %s instead of %s", orNone(y), orNone(x)))
	}
	if a.Use != b.Use {
		why = append(why, fmt.Sprintf("use %s instead of %s", orNone(string(b.Use.Value)), orNone(string(a.Use.Value))))
	}
	x, y := was.header(a), now.header(b)
	if lost := without(x, y); len(lost) > 0 {
		why = append(why, "the header no longer names "+strings.Join(lost, ", "))
	}
	if more := without(y, x); len(more) > 0 {
		why = append(why, "the header names "+strings.Join(more, ", ")+" too")
	}
	return why
}

func orNone(words string) string {
	if words == "" {
		return "none"
	}
	return words
}

// without is what a list holds more often than another.
func without(list, other []string) []string {
	count := map[string]int{}
	for _, s := range other {
		count[s]++
	}
	return slices.DeleteFunc(slices.Clone(list), func(s string) bool {
		count[s]--
		return count[s] >= 0
	})
}

// ballotsKey tells the pairs of ballots of two exports apart: precincts of one key differ alike.
func (p *Plan) ballotsKey(leaf int, was, now *content) string {
	a, b := p.in(was, now, leaf), p.precincts[leaf].index
	return fmt.Sprint(a < 0, b < 0) + strings.Join(was.ballots(a), "") + "|" + strings.Join(now.ballots(b), "")
}

// in finds a precinct of the plan in the earlier export, -1 for none.
func (p *Plan) in(was, now *content, leaf int) int {
	if i := p.precincts[leaf].index; i >= 0 {
		return was.precinct(now.of, i)
	}
	return -1
}

// ballotChanges are the differences of what the ballots of a precinct hold, without its name.
func (p *Plan) ballotChanges(leaf int, was, now *content) (why []string) {
	old, is := p.in(was, now, leaf), p.precincts[leaf].index
	if is < 0 {
		return nil // only the second entry has the precinct: no card says anything of it
	}
	if old < 0 {
		return []string{"it has no such precinct"}
	}
	if slices.Equal(was.ballots(old), now.ballots(is)) {
		return nil
	}
	a, b := was.placed(old), now.placed(is)
	gone, come := map[string][]model.Placement{}, map[string][]model.Placement{}
	for key, pl := range a {
		if _, both := b[key]; !both {
			gone[was.title(pl)] = append(gone[was.title(pl)], pl)
		}
	}
	for key, pl := range b {
		if _, both := a[key]; !both {
			come[now.title(pl)] = append(come[now.title(pl)], pl)
		}
	}
	titles := slices.Concat(slices.Collect(maps.Keys(gone)), slices.Collect(maps.Keys(come)))
	for _, t := range natural.Sorted(titles) {
		why = append(why, contestChange(t, was, gone[t], now, come[t]))
	}
	if len(why) == 0 {
		why = append(why, "the order of contests, the label or the voters of its ballot")
	}
	return why
}

// contestChange says in a few words how a contest changed.
func contestChange(title string, was *content, gone []model.Placement, now *content, come []model.Placement) string {
	name := finding.Quote(title)
	switch {
	case len(gone) == 0:
		return name + " is new on the ballot"
	case len(come) == 0:
		return name + " is no longer on the ballot"
	case len(gone) > 1 || len(come) > 1:
		return name + " is not the same"
	}
	a, b := &was.of.Contests[gone[0].Contest], &now.of.Contests[come[0].Contest]
	if a.VoteFor != b.VoteFor {
		return fmt.Sprintf("%s: vote for %d instead of %d", name, b.VoteFor.Value, a.VoteFor.Value)
	}
	x, y := was.names(gone[0]), now.names(come[0])
	if lost, more := without(x, y), without(y, x); len(lost) > 0 || len(more) > 0 {
		switch {
		case len(lost) == 0:
			return fmt.Sprintf("%s: %s is new", name, finding.ShortList(more))
		case len(more) == 0:
			return fmt.Sprintf("%s: without %s", name, finding.ShortList(lost))
		}
		return fmt.Sprintf("%s: %s instead of %s", name, finding.ShortList(more), finding.ShortList(lost))
	}
	if !slices.Equal(x, y) {
		return name + ": its choices are in another order"
	}
	return name + " is not the same"
}

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
		p := c.of.Parties[i]
		out = append(out, asWords(p.Name)+asWords(p.Abbreviation))
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
		return asWords(choice.Name) + fmt.Sprint(choice.WriteIn, choice.Lines.Known) + asWords(c.parties(choice.Lines.Value))
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
	list := []string{c.contest[pl.Contest], asWords(pl.Headings)}
	for _, i := range c.order(pl) {
		list = append(list, c.choice[pl.Contest][i])
	}
	return digest(list)
}

func (c *content) styleWords(st *model.Style) string {
	list := []string{asWords(c.parties(st.Parties)), asWords(st.Closing), asWords(st.Label)}
	for _, pl := range st.Content {
		list = append(list, c.placementWords(pl))
	}
	return digest(list)
}
