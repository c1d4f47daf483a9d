package witness_test

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"counterproof/checks/internal/planted"
	"counterproof/model"
)

// candidate draws a candidate of a contest; which says which will do.
func candidate(r *rand.Rand, l *truth, which func(c *listedContest, i int) bool) (*listedContest, int) {
	for range 200 {
		c := l.contests[r.IntN(len(l.contests))]
		if i := r.IntN(len(c.choices)); len(c.choices) > 1 && alone(c, i) && which(c, i) {
			return c, i
		}
	}
	return nil, 0
}

// alone is true for a candidate with one position.
func alone(c *listedContest, i int) bool {
	for j := range c.choices {
		if i != j && c.choices[i].name == c.choices[j].name {
			return false
		}
	}
	return true
}

func anyone(*listedContest, int) bool { return true }

func (l *truth) contest(key string) *listedContest {
	return l.contests[slices.IndexFunc(l.contests, func(c *listedContest) bool { return c.key == key })]
}

// choiceOf finds a choice of an entry by its keys.
func choiceOf(s *planted.Side, contest, choice string) (i, j int) {
	i = slices.Index(s.Keys.Contests, contest)
	return i, slices.Index(s.Keys.Choices[i], choice)
}

// named makes a mistake of a name.
func named(c *listedContest, i int, name func(was string, version int) string) *mistake {
	key, was := c.choices[i].key, c.choices[i].name
	return &mistake{versions: 2, entry: func(s *planted.Side, version int) {
		ci, j := choiceOf(s, c.key, key)
		choice := &s.Contests[ci].Choices[j]
		words := slices.Clone(choice.Name.Value)
		for n := range words {
			words[n].Words = name(was, version)
		}
		choice.Name = model.Say(words)
	}, document: func(l *truth, version int) {
		l.contest(c.key).choices[i].name = name(was, version)
	}}
}

func misspelt(r *rand.Rand, _ *planted.County, l *truth) *mistake {
	c, i := candidate(r, l, anyone)
	return named(c, i, func(was string, version int) string {
		letters := []rune(was)
		at := len(letters) - 2
		return string(letters[:at]) + []string{"", "q", "ww"}[version] + string(letters[at:])
	})
}

func otherPerson(r *rand.Rand, _ *planted.County, l *truth) *mistake {
	c, i := candidate(r, l, anyone)
	return named(c, i, func(_ string, version int) string {
		return []string{"", "Zebulon Xanthippe", "Yngve Quorn"}[version]
	})
}

func votes(r *rand.Rand, _ *planted.County, l *truth) *mistake {
	c := l.contests[r.IntN(len(l.contests))]
	was := c.voteFor
	return &mistake{versions: 2, entry: func(s *planted.Side, version int) {
		s.Contests[slices.Index(s.Keys.Contests, c.key)].VoteFor = model.Say(was + version)
	}, document: func(l *truth, version int) { l.contest(c.key).voteFor = was + version }}
}

// title misspells the first word of a title.
func title(r *rand.Rand, _ *planted.County, l *truth) *mistake {
	c := l.contests[r.IntN(len(l.contests))]
	letter := []string{"", "x", "kk"}
	was := c.title
	return &mistake{versions: 2, entry: func(s *planted.Side, version int) {
		contest := &s.Contests[slices.Index(s.Keys.Contests, c.key)]
		for _, t := range []*model.Stated[model.Text]{&contest.Title, &contest.Name} {
			if !t.Known || t == &contest.Name && contest.Title.Known {
				continue
			}
			words := slices.Clone(t.Value)
			for i := range words {
				words[i].Words = words[i].Words[:3] + letter[version] + words[i].Words[3:]
			}
			*t = model.Say(words)
		}
	}, document: func(l *truth, version int) {
		l.contest(c.key).title = was[:3] + letter[version] + was[3:]
	}}
}

// line puts a candidate on the lines of another party, which stands nowhere in the contest.
func line(r *rand.Rand, county *planted.County, l *truth) *mistake {
	var others []string // keys of parties
	c, i := candidate(r, l, func(c *listedContest, i int) bool {
		others = nil
		taken := []string{c.party}
		for _, choice := range c.choices {
			taken = append(taken, choice.lines...)
		}
		for p, key := range county.Second.Keys.Parties {
			if !slices.Contains(taken, county.Second.Parties[p].Abbreviation.Value.In("")) {
				others = append(others, key)
			}
		}
		return len(c.choices[i].lines) == 1 && len(others) > 0
	})
	if c == nil {
		return nil
	}
	key := c.choices[i].key
	return &mistake{versions: min(2, len(others)), entry: func(s *planted.Side, version int) {
		ci, j := choiceOf(s, c.key, key)
		s.Contests[ci].Choices[j].Lines = model.Say([]int{slices.Index(s.Keys.Parties, others[version-1])})
	}, document: func(l *truth, version int) {
		s := county.Second
		l.contest(c.key).choices[i].lines = []string{s.Parties[slices.Index(s.Keys.Parties,
			others[version-1])].Abbreviation.Value.In("")}
	}}
}

func leftOut(r *rand.Rand, _ *planted.County, l *truth) *mistake {
	c, i := candidate(r, l, anyone)
	key := c.choices[i].key
	return &mistake{entry: func(s *planted.Side, _ int) {
		ci, j := choiceOf(s, c.key, key)
		s.Contests[ci].Choices = slices.Delete(slices.Clone(s.Contests[ci].Choices), j, j+1)
		s.Keys.Choices[ci] = slices.Delete(slices.Clone(s.Keys.Choices[ci]), j, j+1)
		if ci < len(s.Origins.Contests) {
			s.Origins.Contests[ci].Choices = slices.Delete(slices.Clone(s.Origins.Contests[ci].Choices), j, j+1)
		}
		orders(s, ci, func(order []int) []int {
			order = slices.DeleteFunc(order, func(n int) bool { return n == j })
			for n := range order {
				if order[n] > j {
					order[n]--
				}
			}
			return order
		})
	}, document: func(l *truth, _ int) {
		of := l.contest(c.key)
		of.choices = slices.Delete(of.choices, i, i+1)
	}}
}

// orders changes the orders that styles state of a contest.
func orders(s *planted.Side, contest int, change func([]int) []int) {
	for i := range s.Styles {
		s.Styles[i].Content = slices.Clone(s.Styles[i].Content)
		for k := range s.Styles[i].Content {
			if p := &s.Styles[i].Content[k]; p.Contest == contest && p.Order.Known {
				p.Order = model.Say(change(slices.Clone(p.Order.Value)))
			}
		}
	}
}

// swapped exchanges a candidate with the next, in a contest that prints one order.
func swapped(r *rand.Rand, county *planted.County, l *truth) *mistake {
	c, i := candidate(r, l, func(c *listedContest, i int) bool {
		e := county.Primary
		return i+1 < len(c.choices) && alone(c, i+1) && !e.Contests[slices.Index(e.Keys.Contests, c.key)].Rotates.Value
	})
	if c == nil {
		return nil
	}
	one, other := c.choices[i].key, c.choices[i+1].key
	return &mistake{entry: func(s *planted.Side, _ int) {
		ci, a := choiceOf(s, c.key, one)
		_, b := choiceOf(s, c.key, other)
		stated := false
		orders(s, ci, func(order []int) []int {
			stated = true
			for n := range order {
				switch order[n] {
				case a:
					order[n] = b
				case b:
					order[n] = a
				}
			}
			return order
		})
		if !stated {
			choices := slices.Clone(s.Contests[ci].Choices)
			choices[a], choices[b] = choices[b], choices[a]
			s.Contests[ci].Choices = choices
		}
	}, document: func(l *truth, _ int) {
		of := l.contest(c.key).choices
		of[i], of[i+1] = of[i+1], of[i]
	}}
}

// outOfDistrict takes a precinct out of a district: its ballots lose all contests of it.
func outOfDistrict(r *rand.Rand, county *planted.County, l *truth) *mistake {
	e := county.Primary
	for range 200 {
		precinct := l.precincts[r.IntN(len(l.precincts))]
		in := l.districts[precinct]
		if len(in) < 2 {
			continue
		}
		district := in[r.IntN(len(in))]
		var gone []string // contests
		for i, key := range e.Keys.Contests {
			if e.Keys.Districts[e.Contests[i].District.Value] == district {
				gone = append(gone, key)
			}
		}
		inside := 0
		for _, list := range l.districts {
			if slices.Contains(list, district) {
				inside++
			}
		}
		if len(gone) == 0 || inside < 3 || !leaves(e, precinct, gone) {
			continue
		}
		return &mistake{entry: func(s *planted.Side, _ int) { strip(s, precinct, gone) }, document: func(l *truth, _ int) {
			l.districts[precinct] = slices.DeleteFunc(slices.Clone(l.districts[precinct]),
				func(d string) bool { return d == district })
		}}
	}
	return nil
}

// intoDistrict puts a precinct into one more district: its ballots get all contests of it.
func intoDistrict(r *rand.Rand, county *planted.County, l *truth) *mistake {
	e := county.Primary
	for range 200 {
		precinct := l.precincts[r.IntN(len(l.precincts))]
		d := r.IntN(len(e.Districts))
		district := e.Keys.Districts[d]
		var more []string
		for i, key := range e.Keys.Contests {
			if e.Contests[i].District.Value == d {
				more = append(more, key)
			}
		}
		at := slices.Index(e.Keys.Precincts, precinct)
		party := slices.ContainsFunc(e.Styles, func(s model.Style) bool {
			return slices.Contains(s.Precincts, at) && len(s.Parties) > 0
		})
		if len(more) == 0 || party || slices.Contains(l.districts[precinct], district) {
			continue
		}
		return &mistake{entry: func(s *planted.Side, _ int) { give(s, precinct, more) }, document: func(l *truth, _ int) {
			l.districts[precinct] = append(slices.Clone(l.districts[precinct]), district)
		}}
	}
	return nil
}

// give gives a precinct ballots of its own with more contests, as they stand on other ballots.
func give(s *planted.Side, precinct string, more []string) {
	var placed []model.Placement
	for _, key := range more {
		contest := slices.Index(s.Keys.Contests, key)
		for _, style := range s.Styles {
			if k := slices.IndexFunc(style.Content, func(p model.Placement) bool { return p.Contest == contest }); k >= 0 {
				placed = append(placed, style.Content[k])
				break
			}
		}
	}
	ownBallots(s, precinct, func(content []model.Placement) []model.Placement { return append(content, placed...) })
}

// leaves is true where the ballots of a precinct hold something without some contests, and each of them
// holds one of these.
func leaves(s *planted.Side, precinct string, gone []string) bool {
	at, any := slices.Index(s.Keys.Precincts, precinct), false
	for _, style := range s.Styles {
		if !slices.Contains(style.Precincts, at) {
			continue
		}
		left := slices.DeleteFunc(slices.Clone(style.Content),
			func(p model.Placement) bool { return slices.Contains(gone, s.Keys.Contests[p.Contest]) })
		if len(left) == 0 || len(left) == len(style.Content) {
			return false
		}
		any = true
	}
	return any
}

// strip gives a precinct ballots of its own without some contests.
func strip(s *planted.Side, precinct string, gone []string) {
	ownBallots(s, precinct, func(content []model.Placement) []model.Placement {
		return slices.DeleteFunc(content,
			func(p model.Placement) bool { return slices.Contains(gone, s.Keys.Contests[p.Contest]) })
	})
}

// ownBallots gives a precinct ballots of its own, changed from what they were.
func ownBallots(s *planted.Side, precinct string, change func([]model.Placement) []model.Placement) {
	at := slices.Index(s.Keys.Precincts, precinct)
	for i := range slices.Clone(s.Styles) {
		style := &s.Styles[i]
		n := slices.Index(style.Precincts, at)
		if n < 0 {
			continue
		}
		own := *style
		own.Precincts = []int{at}
		own.Content = change(slices.Clone(style.Content))
		if len(style.Precincts) == 1 {
			*style = own
			continue
		}
		style.Precincts = slices.Delete(slices.Clone(style.Precincts), n, n+1)
		own.Label = model.Stated[string]{}
		s.Styles = append(s.Styles, own)
		s.Origins.Styles = append(s.Origins.Styles, model.Origin{ID: fmt.Sprintf("own-%d", len(s.Styles))})
		s.Keys.Styles = append(s.Keys.Styles, fmt.Sprintf("own-%d", len(s.Styles)))
	}
}

func otherSite(r *rand.Rand, county *planted.County, l *truth) *mistake {
	s := county.Second
	if len(s.Sites) < 3 {
		return nil
	}
	precinct := l.precincts[r.IntN(len(l.precincts))]
	is := l.sites[precinct+"\x00"+string(model.UseElectionDay)]
	var others []string
	for _, site := range s.Sites {
		if name := site.Name.In(""); name != is && is != "" {
			others = append(others, name)
		}
	}
	if is == "" || len(others) < 2 {
		return nil
	}
	return &mistake{versions: 2, entry: func(s *planted.Side, version int) {
		p := &s.Precincts[slices.Index(s.Keys.Precincts, precinct)]
		uses := slices.Clone(p.Sites.Value)
		for n := range uses {
			if uses[n].Use == model.UseElectionDay {
				uses[n].Site = slices.IndexFunc(s.Sites, func(x model.Site) bool { return x.Name.In("") == others[version-1] })
			}
		}
		p.Sites = model.Say(uses)
	}, document: func(l *truth, version int) {
		l.sites[precinct+"\x00"+string(model.UseElectionDay)] = others[version-1]
	}}
}
