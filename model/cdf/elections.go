package cdf

import (
	"slices"
	"strings"

	"counterproof/model"
)

// choose finds the elections asked for by name, in any of the languages in which
// the report names them.
func (w *whole) choose(names []string) ([]int, *Error) {
	all := w.report.elections
	which := func(fault, remedy string) *Error {
		e := &Error{File: w.parts[0].Name, Element: "Election", Fault: fault, Remedy: remedy, Err: ErrWhichElection}
		if len(all) > 0 {
			e.Line = int(all[0].at.line)
		}
		return e
	}
	switch {
	case len(all) == 0:
		return nil, &Error{File: w.parts[0].Name, Element: w.report.class(), Fault: "the report holds no Election",
			Remedy: "export the election definition"}
	case len(names) == 0 && len(all) == 1:
		return []int{0}, nil
	case len(names) == 0:
		return nil, which("the report holds "+decimal(len(all))+" elections: "+w.list(),
			"say which to read by its name (several, in the order in which they share the ballot)")
	}
	var out []int
	for _, name := range names {
		var found []int
		for i, e := range all {
			if slices.ContainsFunc(e.name.text, func(p model.Phrase) bool { return p.Words == name }) {
				found = append(found, i)
			}
		}
		if len(found) == 0 {
			for i, e := range all {
				if slices.ContainsFunc(e.name.text, func(p model.Phrase) bool {
					return strings.EqualFold(strings.Join(strings.Fields(p.Words), " "), strings.Join(strings.Fields(name), " "))
				}) {
					found = append(found, i)
				}
			}
		}
		switch {
		case len(found) == 0:
			return nil, which("the report holds no election named "+quote(name), "it holds "+w.list())
		case len(found) > 1:
			return nil, which("the report holds "+decimal(len(found))+" elections named "+quote(name),
				"export each in a report of its own")
		case slices.Contains(out, found[0]):
			return nil, which("the election "+quote(name)+" is asked for twice", "ask for each once")
		}
		out = append(out, found[0])
	}
	return out, nil
}

// list names the elections of the report for a message.
func (w *whole) list() string {
	var names []string
	for i, e := range w.report.elections {
		if i == 10 {
			names = append(names, "…")
			break
		}
		names = append(names, quote(e.name.text.In("")))
	}
	return strings.Join(names, ", ")
}

// uniteElections puts the ballots of two elections that share the ballot
// together: a precinct's ballot is the content of the first followed by that of
// the second. Where either has several ballots for a precinct, those for the same
// voters are joined: a ballot for all voters goes with that of each party. A
// ballot that has no counterpart stays as it is. It gives up, and says so, where
// that would make ballots without number.
func uniteElections(first []model.Style, firstFrom []model.Origin, second []model.Style, secondFrom []model.Origin,
	precincts int) (styles []model.Style, origins []model.Origin, ok bool) {
	type pair struct{ a, b int } // -1 where only one of the elections has a ballot
	get := make(map[pair][]int)
	size := 0
	byPrecinct := func(styles []model.Style) [][]int {
		out := make([][]int, precincts)
		for i, s := range styles {
			for _, p := range s.Precincts {
				out[p] = append(out[p], i)
			}
		}
		return out
	}
	as, bs := byPrecinct(first), byPrecinct(second)
	for p := range precincts {
		met := map[int]bool{}
		for _, a := range as[p] {
			alone := true
			for _, b := range bs[p] {
				if _, ok := sharedParties(first[a].Parties, second[b].Parties); ok {
					if _, have := get[pair{a, b}]; !have {
						size += len(first[a].Content) + len(second[b].Content)
					}
					if size > maxContent || len(get) > maxUnited {
						return nil, nil, false
					}
					get[pair{a, b}] = append(get[pair{a, b}], p)
					alone, met[b] = false, true
				}
			}
			if alone {
				get[pair{a, -1}] = append(get[pair{a, -1}], p)
			}
		}
		for _, b := range bs[p] {
			if !met[b] {
				get[pair{-1, b}] = append(get[pair{-1, b}], p)
			}
		}
	}
	for i, s := range first {
		if len(s.Precincts) == 0 {
			get[pair{i, -1}] = nil
		}
	}
	for i, s := range second {
		if len(s.Precincts) == 0 {
			get[pair{-1, i}] = nil
		}
	}
	pairs := make([]pair, 0, len(get))
	for p := range get {
		pairs = append(pairs, p)
	}
	slices.SortFunc(pairs, func(x, y pair) int {
		if (x.a < 0) != (y.a < 0) {
			return y.a - x.a // what only the second has comes last
		}
		if x.a != y.a {
			return x.a - y.a
		}
		return x.b - y.b
	})
	for _, p := range pairs {
		switch {
		case p.b < 0:
			s := first[p.a]
			s.Precincts = get[p]
			styles, origins = append(styles, s), append(origins, firstFrom[p.a])
		case p.a < 0:
			s := second[p.b]
			s.Precincts = get[p]
			styles, origins = append(styles, s), append(origins, secondFrom[p.b])
		default:
			s := join(first[p.a], second[p.b])
			s.Precincts = get[p]
			o := firstFrom[p.a]
			o.Codes = slices.Concat(o.Codes, secondFrom[p.b].Codes)
			styles, origins = append(styles, s), append(origins, o)
		}
	}
	return styles, origins, true
}

// sharedParties are the parties whose voters get both ballots; false where no
// voter does. No parties stand for every voter.
func sharedParties(a, b []int) ([]int, bool) {
	switch {
	case len(a) == 0:
		return b, true
	case len(b) == 0:
		return a, true
	}
	var both []int
	for _, p := range a {
		if slices.Contains(b, p) {
			both = append(both, p)
		}
	}
	return both, len(both) > 0
}

// join puts a ballot of one election after that of another.
func join(a, b model.Style) model.Style {
	s := a
	s.Parties, _ = sharedParties(a.Parties, b.Parties)
	switch {
	case !a.Label.Known:
		s.Label = b.Label
	case b.Label.Known && b.Label.Value != a.Label.Value:
		s.Label = model.Say(a.Label.Value + " / " + b.Label.Value)
	}
	s.Content = slices.Clone(a.Content)
	rest := slices.Clone(b.Content)
	s.Closing = b.Closing
	// What closes the first ballot now stands between the two.
	if len(a.Closing.Value) > 0 {
		if len(rest) > 0 {
			rest[0].Headings = model.Say(slices.Concat(a.Closing.Value, rest[0].Headings.Value))
		} else {
			s.Closing = model.Say(slices.Concat(a.Closing.Value, b.Closing.Value))
		}
	}
	s.Content = append(s.Content, rest...)
	return s
}
