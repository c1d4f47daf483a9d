package planted

import (
	"slices"

	"counterproof/model"
)

// clone returns a deep copy.
func (s *Side) clone() *Side {
	k := s.Keys
	k.Parties, k.Districts, k.Precincts = slices.Clone(k.Parties), slices.Clone(k.Districts), slices.Clone(k.Precincts)
	k.Contests, k.Styles, k.Sites, k.Units = slices.Clone(k.Contests), slices.Clone(k.Styles), slices.Clone(k.Sites),
		slices.Clone(k.Units)
	k.Choices = slices.Clone(k.Choices)
	for i := range k.Choices {
		k.Choices[i] = slices.Clone(k.Choices[i])
	}
	return &Side{Election: s.Election.Clone(), Keys: k}
}

// Clone returns a deep copy of the county.
func (c *County) Clone() *County {
	return &County{Seed: c.Seed, Shape: c.Shape, Primary: c.Primary.clone(), Second: c.Second.clone()}
}

func (s *Side) contest(key string) int  { return slices.Index(s.Keys.Contests, key) }
func (s *Side) precinct(key string) int { return slices.Index(s.Keys.Precincts, key) }
func (s *Side) unit(key string) int     { return slices.Index(s.Keys.Units, key) }
func (s *Side) site(key string) int     { return slices.Index(s.Keys.Sites, key) }
func (s *Side) party(key string) int    { return slices.Index(s.Keys.Parties, key) }
func (s *Side) choice(contest int, key string) int {
	return slices.Index(s.Keys.Choices[contest], key)
}

// precinctKeys are the keys of a list of precincts.
func (s *Side) precinctKeys(list []int) []string {
	keys := make([]string, len(list))
	for i, p := range list {
		keys[i] = s.Keys.Precincts[p]
	}
	return keys
}

// on returns the precincts whose ballots carry the contest, ascending.
func (s *Side) on(contest int) []int {
	var list []int
	for _, st := range s.Styles {
		if slices.ContainsFunc(st.Content, func(p model.Placement) bool { return p.Contest == contest }) {
			list = append(list, st.Precincts...)
		}
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// stylesWith returns the styles that carry the contest.
func (s *Side) stylesWith(contest int) []int {
	var list []int
	for i, st := range s.Styles {
		if placed(st, contest) >= 0 {
			list = append(list, i)
		}
	}
	return list
}

// placed is where a contest stands in a style, or -1.
func placed(s model.Style, contest int) int {
	return slices.IndexFunc(s.Content, func(p model.Placement) bool { return p.Contest == contest })
}

// stylesOf returns the styles of a precinct.
func (s *Side) stylesOf(precinct int) []int {
	var list []int
	for i, st := range s.Styles {
		if slices.Contains(st.Precincts, precinct) {
			list = append(list, i)
		}
	}
	return list
}

// part gives some precincts of a style a style of their own with the same label
// and content, and returns its index: the style itself where they are all of its
// precincts.
func (s *Side) part(style int, precincts []int) int {
	st := &s.Styles[style]
	if len(precincts) == len(st.Precincts) {
		return style
	}
	own := st.Clone()
	own.Precincts = slices.Clone(precincts)
	slices.Sort(own.Precincts)
	st.Precincts = slices.DeleteFunc(st.Precincts, func(p int) bool { return slices.Contains(precincts, p) })
	return s.addStyle(own)
}

func (s *Side) addStyle(st model.Style) int {
	i := len(s.Styles)
	s.Styles = append(s.Styles, st)
	s.Keys.Styles = append(s.Keys.Styles, s.Keys.Styles[0]+"+")
	s.Origins.Styles = append(s.Origins.Styles, model.Origin{ID: "new-style"})
	return i
}

func (s *Side) removeStyle(i int) {
	s.Styles = slices.Delete(s.Styles, i, i+1)
	s.Keys.Styles = slices.Delete(s.Keys.Styles, i, i+1)
	s.Origins.Styles = slices.Delete(s.Origins.Styles, i, i+1)
}

// drop takes a contest off a style. What was printed above it stays and now
// stands above the next contest, unless that has a heading of its own.
func (s *Side) drop(style, at int) {
	st := &s.Styles[style]
	gone := st.Content[at]
	st.Content = slices.Delete(st.Content, at, at+1)
	if len(gone.Headings.Value) > 0 && at < len(st.Content) && len(st.Content[at].Headings.Value) == 0 {
		st.Content[at].Headings = gone.Headings
	}
}

// insert puts a contest on a style, under the heading that it finds there.
func (s *Side) insert(style, at, contest int) {
	st := &s.Styles[style]
	place := model.Placement{Contest: contest, Headings: model.Stated[[]model.Text]{Known: anyHeadings(*st)}}
	if from := s.stylesWith(contest); len(from) > 0 {
		other := s.Styles[from[0]]
		place.Order = other.Content[placed(other, contest)].Order
		place.Order.Value = slices.Clone(place.Order.Value)
	}
	st.Content = slices.Insert(st.Content, at, place)
}

func anyHeadings(st model.Style) bool {
	return slices.ContainsFunc(st.Content, func(p model.Placement) bool { return p.Headings.Known })
}

// removeContest takes a contest off every ballot and out of the list.
func (s *Side) removeContest(c int) {
	for i := range s.Styles {
		for at := placed(s.Styles[i], c); at >= 0; at = placed(s.Styles[i], c) {
			s.drop(i, at)
		}
		for j := range s.Styles[i].Content {
			if p := &s.Styles[i].Content[j]; p.Contest > c {
				p.Contest--
			}
		}
	}
	s.Contests = slices.Delete(s.Contests, c, c+1)
	s.Keys.Contests = slices.Delete(s.Keys.Contests, c, c+1)
	s.Keys.Choices = slices.Delete(s.Keys.Choices, c, c+1)
	s.Origins.Contests = slices.Delete(s.Origins.Contests, c, c+1)
}

func (s *Side) addContest(key string, c model.Contest, choices []string, id string) int {
	i := len(s.Contests)
	s.Contests = append(s.Contests, c)
	s.Keys.Contests = append(s.Keys.Contests, key)
	s.Keys.Choices = append(s.Keys.Choices, choices)
	s.Origins.Contests = append(s.Origins.Contests, model.ContestOrigin{Origin: model.Origin{ID: id},
		Choices: make([]model.ChoiceOrigin, len(c.Choices))})
	return i
}

// copyContest adds a contest that says the same as c, under another key.
func (s *Side) copyContest(c int, key, id string) int {
	var choices []string
	for _, k := range s.Keys.Choices[c] {
		choices = append(choices, k+"+")
	}
	i := s.addContest(key, s.Contests[c].Clone(), choices, id)
	copy(s.Origins.Contests[i].Choices, s.Origins.Contests[c].Choices)
	return i
}

// removeChoice takes a voting position out of a contest and of all ballots.
func (s *Side) removeChoice(c, j int) {
	s.Contests[c].Choices = slices.Delete(s.Contests[c].Choices, j, j+1)
	s.Keys.Choices[c] = slices.Delete(s.Keys.Choices[c], j, j+1)
	s.Origins.Contests[c].Choices = slices.Delete(s.Origins.Contests[c].Choices, j, j+1)
	s.eachOrder(c, func(order []int) []int {
		var kept []int
		for _, k := range order {
			if k > j {
				kept = append(kept, k-1)
			} else if k < j {
				kept = append(kept, k)
			}
		}
		return kept
	})
}

// addChoice adds a voting position; ballots print it at the place given, counted
// from 0.
func (s *Side) addChoice(c, at int, key string, choice model.Choice) {
	stated := false
	j := len(s.Contests[c].Choices)
	s.eachOrder(c, func(order []int) []int {
		stated = true
		return slices.Insert(order, at, j)
	})
	if !stated { // the order of the file is that of the ballot
		j = at
	}
	s.Contests[c].Choices = slices.Insert(s.Contests[c].Choices, j, choice)
	s.Keys.Choices[c] = slices.Insert(s.Keys.Choices[c], j, key)
	s.Origins.Contests[c].Choices = slices.Insert(s.Origins.Contests[c].Choices, j, model.ChoiceOrigin{})
}

// eachOrder changes the order of choices wherever a style states one.
func (s *Side) eachOrder(c int, change func([]int) []int) {
	for i := range s.Styles {
		for k := range s.Styles[i].Content {
			if p := &s.Styles[i].Content[k]; p.Contest == c && p.Order.Known {
				p.Order = model.Say(change(slices.Clone(p.Order.Value)))
			}
		}
	}
}

// printed is the order in which a placement prints the choices of its contest.
func (s *Side) printed(p model.Placement) []int {
	if p.Order.Known {
		return p.Order.Value
	}
	order := make([]int, len(s.Contests[p.Contest].Choices))
	for i := range order {
		order[i] = i
	}
	return order
}

// removePrecinct takes a precinct off everything that names it.
func (s *Side) removePrecinct(gone int) {
	without := func(list []int) []int {
		var kept []int
		for _, p := range list {
			if p > gone {
				kept = append(kept, p-1)
			} else if p < gone {
				kept = append(kept, p)
			}
		}
		return kept
	}
	for i := range s.Districts {
		s.Districts[i].Precincts = without(s.Districts[i].Precincts)
	}
	for i := range s.Precincts {
		s.Precincts[i].Members = without(s.Precincts[i].Members)
	}
	for i := range s.Styles {
		s.Styles[i].Precincts = without(s.Styles[i].Precincts)
	}
	for i := range s.Units {
		s.Units[i].Precincts.Value = without(s.Units[i].Precincts.Value)
	}
	s.Precincts = slices.Delete(s.Precincts, gone, gone+1)
	s.Keys.Precincts = slices.Delete(s.Keys.Precincts, gone, gone+1)
	if gone < len(s.Origins.Precincts) {
		s.Origins.Precincts = slices.Delete(s.Origins.Precincts, gone, gone+1)
	}
}

func (s *Side) removeUnit(i int) {
	s.Units = slices.Delete(s.Units, i, i+1)
	s.Keys.Units = slices.Delete(s.Keys.Units, i, i+1)
	if i < len(s.Origins.Units) {
		s.Origins.Units = slices.Delete(s.Origins.Units, i, i+1)
	}
}
