package planted

import (
	"slices"
	"strings"

	"counterproof/checks/finding"
	"counterproof/checks/natural"
	"counterproof/model"
)

// exchangeKinds are contests of which something was exchanged: one mistake, and one finding that names
// both.
var exchangeKinds = join(
	onEither("titles of two contests exchanged", "", "contest-title", finding.MustFix, titlesExchanged),
	onEither("titles of two measures exchanged", "", "contest-title", finding.MustFix, measuresExchanged(exchangeTitles)),
	onEither("texts of two measures exchanged", "", "measure-text", finding.MustFix, measuresExchanged(exchangeTexts)),
	onEither("choices of two contests exchanged", "Each title stands where it should, with its own vote-for.",
		"contest-title", finding.MustFix, choicesExchanged),
	onEither("two contests exchanged on the ballots of their districts", "", "contest-missing", finding.MustFix,
		districtsExchanged),
)

// otherContests lists the contests that may be the second of two, also where the first is given.
func (g *planter) otherContests() []both {
	want := g.want
	g.want = ""
	defer func() { g.want = want }()
	return g.contests()
}

// exchange finds two contests that fit, and expects one finding that names the first by its title as
// keyed, and lists the precincts of both.
func (g *planter) exchange(fits func(a, b both) bool, make func(a, b int)) []Expect {
	for _, a := range g.contests() {
		for _, b := range g.otherContests() {
			s := g.mine
			ca, cb := &s.Contests[g.in(s, a)], &s.Contests[g.in(s, b)]
			if a.key == b.key || !slices.Equal(ca.PrimaryParties.Value, cb.PrimaryParties.Value) ||
				!fits(a, b) || !g.claims.free("contest/"+a.key) || !g.claim("contest/"+b.key, "contest/"+a.key) {
				continue
			}
			var keys []string
			for _, key := range append(s.precinctKeys(s.on(g.in(s, a))), s.precinctKeys(s.on(g.in(s, b)))...) {
				if !slices.Contains(keys, key) {
					keys = append(keys, key)
				}
			}
			g.mark(a.key)
			make(g.in(s, a), g.in(s, b))
			first := a
			if natural.Compare(titles(g.Second.Contests[b.s])[0], titles(g.Second.Contests[a.s])[0]) < 0 {
				first = b
			}
			return []Expect{{Contest: first.key, Precincts: keys, Apart: true}}
		}
	}
	return nil
}

func titlesExchanged(g *planter) []Expect {
	return g.exchange(g.likeSeats, g.exchangeTitles)
}

func (g *planter) exchangeTitles(a, b int) { exchangeTitles(&g.mine.Contests[a], &g.mine.Contests[b]) }

func exchangeTitles(a, b *model.Contest) { a.Title, b.Title = b.Title, a.Title }

func exchangeTexts(a, b *model.Contest) { a.Text, b.Text = b.Text, a.Text }

// likeSeats says that two contests have titles of their own, and several candidates each: these are
// what tells which contest is which.
func (g *planter) likeSeats(a, b both) bool {
	ca, cb := &g.mine.Contests[g.in(g.mine, a)], &g.mine.Contests[g.in(g.mine, b)]
	return g.titledCandidates(a) && g.titledCandidates(b) && ca.Title.Value.In("") != cb.Title.Value.In("") &&
		contested(*ca) && contested(*cb) && len(ca.Subtitle.Value) == 0 && len(cb.Subtitle.Value) == 0
}

// measuresExchanged exchanges a wording of two measures whose texts both sides state.
func measuresExchanged(change func(a, b *model.Contest)) func(*planter) []Expect {
	return func(g *planter) []Expect {
		fits := func(a, b both) bool {
			ca, cb := &g.mine.Contests[g.in(g.mine, a)], &g.mine.Contests[g.in(g.mine, b)]
			return g.kind(a) == model.KindMeasure && g.kind(b) == model.KindMeasure && g.Shape.Texts && !g.Shape.NamesOnly &&
				ca.Title.Value.In("") != cb.Title.Value.In("") && len(ca.Subtitle.Value) == 0 && len(cb.Subtitle.Value) == 0
		}
		return g.exchange(fits, func(a, b int) { change(&g.mine.Contests[a], &g.mine.Contests[b]) })
	}
}

// choicesExchanged exchanges the choices of two contests that stand on the same ballots. To move all
// else is the same, and leaves the orders of the choices as they are.
func choicesExchanged(g *planter) []Expect {
	fits := func(a, b both) bool {
		s := g.mine
		on := s.precinctKeys(s.on(g.in(s, a)))
		return g.likeSeats(a, b) && slices.Equal(s.stylesWith(g.in(s, a)), s.stylesWith(g.in(s, b))) &&
			g.place(a.key, on) && g.place(b.key, on)
	}
	return g.exchange(fits, func(a, b int) {
		g.exchangeTitles(a, b)
		s := g.mine
		s.Contests[a].VoteFor, s.Contests[b].VoteFor = s.Contests[b].VoteFor, s.Contests[a].VoteFor
		for _, st := range s.stylesWith(a) {
			content := s.Styles[st].Content
			x, y := &content[placed(s.Styles[st], a)], &content[placed(s.Styles[st], b)]
			*x, *y = *y, *x
			x.Headings, y.Headings = y.Headings, x.Headings
		}
	})
}

// districtsExchanged puts each of two contests of districts where the other stands, so that no ballot
// is that of another style.
func districtsExchanged(g *planter) []Expect {
	s := g.mine
	swapped := func(face []string, a, b string) []string {
		out := slices.Clone(face)
		for i, key := range out {
			switch key {
			case a:
				out[i] = b
			case b:
				out[i] = a
			}
		}
		return out
	}
	fits := func(a, b both) bool {
		x, y := g.in(s, a), g.in(s, b)
		if !g.candidates(a) || !g.candidates(b) || !strings.HasPrefix(titles(s.Contests[x])[0], "Member of") ||
			!strings.HasPrefix(titles(s.Contests[y])[0], "Member of") {
			return false
		}
		var keys []string
		for i := range s.Styles {
			face := s.face(i)
			onX, onY := slices.Contains(face, a.key), slices.Contains(face, b.key)
			if onX && onY {
				return false
			}
			if (onX || onY) && (g.other.nearest(swapped(face, a.key, b.key), s.partyKeys(s.Styles[i].Parties), nil) < 1 ||
				s.nearest(swapped(face, a.key, b.key), s.partyKeys(s.Styles[i].Parties), nil) < 1) {
				return false
			}
			if onX || onY {
				keys = append(keys, s.precinctKeys(s.Styles[i].Precincts)...)
			}
		}
		return g.ballots(keys...)
	}
	return g.exchange(fits, func(a, b int) {
		order := map[int]model.Stated[[]int]{}
		for _, c := range []int{a, b} {
			st := s.stylesWith(c)[0]
			order[c] = s.Styles[st].Content[placed(s.Styles[st], c)].Order
		}
		for i := range s.Styles {
			for k := range s.Styles[i].Content {
				pl := &s.Styles[i].Content[k]
				switch pl.Contest {
				case a:
					pl.Contest = b
				case b:
					pl.Contest = a
				default:
					continue
				}
				pl.Order = order[pl.Contest]
				pl.Order.Value = slices.Clone(pl.Order.Value)
			}
		}
	})
}
