package planted

import (
	"math/rand/v2"
	"slices"
	"strings"

	"counterproof/checks/finding"
	"counterproof/model"
)

// contestKinds are mistakes in what a contest says of itself.
var contestKinds = join(
	onEither("contest title misspelt", "", "contest-title", finding.MustFix, titled(misspell)),
	onEither("contest title in other capitals", "", "contest-title", finding.Confirm, titled(capitals)),
	onEither("contest title with other spaces", "", "contest-title", finding.Confirm, titled(spaces)),
	onEither("contest title with other punctuation", "", "contest-title", finding.Confirm, titled(punctuation)),
	onEither("contest title with a look-alike letter", "", "lookalike", finding.MustFix, titled(lookalikes)),
	[]*Kind{
		{Name: "working name in other capitals", Code: "contest-title", Grade: finding.Note, Side: "primary",
			Doc: "The export gives only a name, which need not be as printed.", plant: workingName(capitals)},
		{Name: "working name misspelt", Code: "contest-title", Grade: finding.MustFix, Side: "primary",
			plant: workingName(misspell)},
		{Name: "contest title of an earlier election", Code: "contest-title", Grade: finding.MustFix, Side: "primary",
			Doc: "The rest is right, so it is one contest with another title.", plant: titled(replacement)},
		{Name: "contest title with its neighbour's district number", Code: "contest-title", Grade: finding.MustFix,
			Side:  "primary",
			plant: neighbourTitle},
		{Name: "subtitle of another town", Code: "contest-title", Grade: finding.MustFix, Side: "primary", plant: subtitled},
		{Name: "late change of a title on some styles only", Code: "contest-title", Grade: finding.MustFix, Side: "primary",
			Doc: "The export holds the old and the new version; some styles still carry the old one.", plant: late(lateTitle)},
		{Name: "late change of vote-for on some styles only", Code: "vote-for", Grade: finding.MustFix, Side: "primary",
			plant: late(lateVoteFor)},
		{Name: "late change of a name on some styles only", Code: "choice-name", Grade: finding.MustFix, Side: "primary",
			plant: late(lateName)},
		{Name: "retention question entered as a measure", Code: "contest-kind", Grade: finding.MustFix, Side: "primary",
			plant: kinded(model.KindRetention, model.KindMeasure)},
		{Name: "measure keyed as a retention question", Code: "contest-kind", Grade: finding.MustFix, Side: "second",
			plant: kinded(model.KindMeasure, model.KindRetention)},
		{Name: "contest of another party's primary", Code: "primary-party", Grade: finding.MustFix, Side: "primary",
			plant: primaryOf},
		{Name: "vote-for copied from the contest above", Code: "vote-for", Grade: finding.MustFix, Side: "primary",
			plant: voteFor(true)},
		{Name: "vote-for of zero", Code: "vote-for", Grade: finding.MustFix, Side: "primary",
			Doc: "Out of range too, but the other side says what it should be.", plant: voteForZero},
	},
	onEither("measure's title cut to its number", "2 for Proposition Number 2.", "contest-title", finding.MustFix,
		measured(numberAlone)),
	onEither("measure's title with its question", "Proposition Number 2: Shall the …", "contest-title", finding.MustFix,
		measured(withQuestion)),
	onEither("vote-for wrong", "", "vote-for", finding.MustFix, voteFor(false)),
	onEither("way of counting wrong", "Ranked where choices are marked, or marked where they are ranked.",
		"unclassified", finding.MustFix, wayOfCounting),
	onEither("a word of a measure's text missing", "", "measure-text", finding.MustFix, texted(wording)),
	onEither("a number in a measure's text wrong", "", "measure-text", finding.MustFix, texted(number)),
	onEither("punctuation of a measure's text", "", "measure-text", finding.Confirm, texted(punctuation)),
)

// reword changes a stated text by a slip, in its first language.
func reword(g *planter, t *model.Stated[model.Text], change slip) bool {
	if !t.Known || len(t.Value) == 0 {
		return false
	}
	words, ok := change(g.Rand, t.Value[0].Words)
	if !ok {
		return false
	}
	out := slices.Clone(t.Value)
	out[0].Words = words
	t.Value = out
	return true
}

// taken says that another contest of the side has this wording.
func (s *Side) taken(title string, except int) bool {
	for i, c := range s.Contests {
		if i != except && slices.Contains(titles(c), title) {
			return true
		}
	}
	return false
}

func titled(change slip) func(*planter) []Expect {
	return func(g *planter) []Expect {
		for _, b := range g.contests() {
			c := &g.mine.Contests[g.in(g.mine, b)]
			title := c.Title
			if g.Shape.NamesOnly || !reword(g, &title, change) || g.mine.taken(title.Value.In(""), g.in(g.mine, b)) ||
				!g.claim("contest/"+b.key+"/title") {
				continue
			}
			g.mark(b.key)
			c.Title = title
			return []Expect{{Contest: b.key, Everywhere: true}}
		}
		return nil
	}
}

// measured changes the title of a measure by itself.
func measured(change slip) func(*planter) []Expect {
	return func(g *planter) []Expect {
		want := g.want
		for _, b := range g.contests() {
			if g.kind(b) != model.KindMeasure {
				continue
			}
			g.want = b.key
			if out := titled(change)(g); out != nil {
				return out
			}
			g.want = want
		}
		return nil
	}
}

func numberAlone(_ *rand.Rand, s string) (string, bool) {
	return strings.CutPrefix(s, "Proposition Number ")
}

func withQuestion(_ *rand.Rand, s string) (string, bool) {
	return s + ": Shall the county borrow a sum of up to 3 million dollars, to be repaid over ten years?", true
}

func workingName(change slip) func(*planter) []Expect {
	return func(g *planter) []Expect {
		if !g.Shape.NamesOnly {
			return nil
		}
		b, ok := g.contest("/title", func(b both) bool {
			name := g.Primary.Contests[b.p].Name
			return reword(g, &name, change)
		})
		if !ok {
			return nil
		}
		for range 20 {
			name := g.Primary.Contests[b.p].Name
			if reword(g, &name, change) && !g.Primary.taken(name.Value.In(""), b.p) {
				g.Primary.Contests[b.p].Name = name
				return []Expect{{Contest: b.key, Everywhere: true}}
			}
		}
		return nil
	}
}

// candidates says that a contest is one of candidates, and has some on both sides.
func (g *planter) candidates(b both) bool {
	return g.kind(b) == model.KindCandidate && len(people(g.Primary.Contests[b.p])) > 0 &&
		len(people(g.Second.Contests[b.s])) > 0
}

func (g *planter) titledCandidates(b both) bool { return g.candidates(b) && !g.Shape.NamesOnly }

// replacement is what a title may have been at the election before.
func replacement(_ *rand.Rand, s string) (string, bool) { return "Replacement " + s, true }

func neighbourTitle(g *planter) []Expect {
	for _, b := range g.contests() {
		p := g.Primary
		title := p.Contests[b.p].Title.Value.In("")
		if !g.titledCandidates(b) || !strings.HasPrefix(title, "Member of Council") || !g.mine.has("Member of Council", b.p) {
			continue
		}
		var others []string
		for i, c := range p.Contests {
			if t := c.Title.Value.In(""); i != b.p && strings.HasPrefix(t, "Member of Council") && t != title {
				others = append(others, t)
			}
		}
		if len(others) == 0 || !g.claim("contest/"+b.key+"/title") {
			continue
		}
		g.mark(b.key)
		p.Contests[b.p].Title = retitled(p.Contests[b.p].Title, pick(g.Rand, others))
		return []Expect{{Contest: b.key, Everywhere: true}}
	}
	return nil
}

// has says that another contest's title begins so.
func (s *Side) has(prefix string, except int) bool {
	for i, c := range s.Contests {
		if i != except && strings.HasPrefix(c.Title.Value.In(""), prefix) {
			return true
		}
	}
	return false
}

// contested says that a contest has several candidates. Of one candidate alone
// nobody could say whether the title is wrong or the candidate.
func contested(c model.Contest) bool {
	people := map[string]bool{}
	for _, ch := range c.Choices {
		people[ch.Person] = true
	}
	delete(people, "")
	return len(people) > 1
}

func subtitled(g *planter) []Expect {
	b, ok := g.contest("/title", func(b both) bool {
		return g.titledCandidates(b) && strings.HasPrefix(g.Primary.Contests[b.p].Subtitle.Value.In(""), "Town of ")
	})
	if !ok {
		return nil
	}
	c := &g.Primary.Contests[b.p]
	gone := c.Subtitle.Value.In("")
	for _, other := range townNames {
		words := "Town of " + other
		if words != gone && g.Primary.hasSubtitle(words) && !g.carries(words, gone) {
			c.Subtitle = retitled(c.Subtitle, words)
			return []Expect{{Contest: b.key, Everywhere: true}}
		}
	}
	return nil
}

// carries reports whether a contest that was keyed with one subtitle already carries the other: with one
// more of these the two contests would be exchanged, which is one mistake (exchangeKinds).
func (g *planter) carries(keyed, exported string) bool {
	return slices.ContainsFunc(g.Second.Keys.Contests, func(key string) bool {
		p, s := g.Primary.contest(key), g.Second.contest(key)
		return p >= 0 && g.Second.Contests[s].Subtitle.Value.In("") == keyed &&
			g.Primary.Contests[p].Subtitle.Value.In("") == exported
	})
}

func (s *Side) hasSubtitle(words string) bool {
	return slices.ContainsFunc(s.Contests, func(c model.Contest) bool { return c.Subtitle.Value.In("") == words })
}

// late leaves some styles with the old version of a contest. change makes the
// old version out of a copy and says which choice it is about, if any.
func late(change func(*planter, both, *model.Contest) (choice string, ok bool)) func(*planter) []Expect {
	return func(g *planter) []Expect {
		p := g.Primary
		for _, b := range g.contests() {
			styles := p.stylesWith(b.p)
			if len(styles) < 3 || !g.candidates(b) {
				continue
			}
			styles = shuffled(g.Rand, styles)[:1+g.IntN(len(styles)/3)]
			var keys []string
			for _, s := range styles {
				keys = append(keys, p.precinctKeys(p.Styles[s].Precincts)...)
			}
			slices.Sort(keys)
			old := p.Contests[b.p].Clone()
			choice, ok := change(g, b, &old)
			if !ok || !g.claims.free("contest/"+b.key) || !g.place(b.key, keys) || !g.claim("contest/"+b.key) {
				continue
			}
			g.mark(b.key)
			c := p.copyContest(b.p, b.key+"-old", "contest-old-version")
			p.Contests[c] = old
			for _, s := range styles {
				p.Styles[s].Content[placed(p.Styles[s], b.p)].Contest = c
			}
			return []Expect{{Contest: b.key, Choice: choice, Precincts: keys}}
		}
		return nil
	}
}

func lateTitle(g *planter, b both, old *model.Contest) (string, bool) {
	t := &old.Title
	if g.Shape.NamesOnly {
		t = &old.Name
	}
	return "", reword(g, t, misspell)
}

func lateVoteFor(_ *planter, _ both, old *model.Contest) (string, bool) {
	old.VoteFor.Value++
	return "", len(old.Choices) > old.VoteFor.Value
}

func lateName(g *planter, b both, old *model.Contest) (string, bool) {
	for _, j := range g.Perm(len(old.Choices)) {
		ch := &old.Choices[j]
		if ch.WriteIn || g.Primary.positionsOf(b.p, ch.Person) > 1 || !reword(g, &ch.Name, misspell) {
			continue
		}
		return g.Primary.Keys.Choices[b.p][j], true
	}
	return "", false
}

// positionsOf counts the positions of a person.
func (s *Side) positionsOf(contest int, person string) int {
	n := 0
	for _, c := range s.Contests[contest].Choices {
		if c.Person == person && !c.WriteIn {
			n++
		}
	}
	return n
}

func kinded(from, to model.Kind) func(*planter) []Expect {
	return func(g *planter) []Expect {
		b, ok := g.contest("/kind", func(b both) bool { return g.kind(b) == from })
		if !ok {
			return nil
		}
		g.mine.Contests[g.in(g.mine, b)].Kind = model.Say(to)
		return []Expect{{Contest: b.key, Everywhere: true}}
	}
}

func primaryOf(g *planter) []Expect {
	b, ok := g.contest("/party", func(b both) bool {
		return len(g.Primary.Contests[b.p].PrimaryParties.Value) == 1 && g.Second.Contests[b.s].PrimaryParties.Known
	})
	if !ok {
		return nil
	}
	c := &g.Primary.Contests[b.p]
	c.PrimaryParties = model.Say([]int{(c.PrimaryParties.Value[0] + 1) % 3})
	return []Expect{{Contest: b.key, Everywhere: true}}
}

// voteFor changes the number of votes; copied makes it that of the contest above.
func voteFor(copied bool) func(*planter) []Expect {
	return func(g *planter) []Expect {
		for _, b := range g.contests() {
			i := g.in(g.mine, b)
			c := &g.mine.Contests[i]
			if !g.candidates(b) || !c.VoteFor.Known || !g.claims.free("contest/"+b.key+"/votefor") {
				continue
			}
			votes := c.VoteFor.Value + 1
			if votes > 2 && g.IntN(2) == 0 {
				votes = c.VoteFor.Value - 1
			}
			if copied {
				st := g.mine.Styles[pick(g.Rand, g.mine.stylesWith(i))]
				at := placed(st, i)
				if at == 0 || !g.mine.Contests[st.Content[at-1].Contest].VoteFor.Known {
					continue
				}
				votes = g.mine.Contests[st.Content[at-1].Contest].VoteFor.Value
			}
			if votes == c.VoteFor.Value || votes > len(c.Choices) || !g.claim("contest/"+b.key+"/votefor") {
				continue
			}
			g.mark(b.key)
			c.VoteFor = model.Say(votes)
			return []Expect{{Contest: b.key, Everywhere: true}}
		}
		return nil
	}
}

func wayOfCounting(g *planter) []Expect {
	b, ok := g.contest("/variation", func(b both) bool {
		return g.candidates(b) && g.Primary.Contests[b.p].Variation.Known && g.Second.Contests[b.s].Variation.Known
	})
	if !ok {
		return nil
	}
	c := &g.mine.Contests[g.in(g.mine, b)]
	was := c.Variation.Value
	c.Variation = model.Say("rcv")
	if was == "rcv" {
		c.Variation = model.Say("n-of-m")
	}
	return []Expect{{Contest: b.key}}
}

func voteForZero(g *planter) []Expect {
	b, ok := g.contest("/votefor", g.candidates)
	if !ok {
		return nil
	}
	g.Primary.Contests[b.p].VoteFor = model.Say(0)
	return []Expect{{Contest: b.key, Everywhere: true}}
}

func texted(change slip) func(*planter) []Expect {
	return func(g *planter) []Expect {
		for _, b := range g.contests() {
			if !g.Shape.Texts || !g.Primary.Contests[b.p].Text.Known || !g.Second.Contests[b.s].Text.Known {
				continue
			}
			text := g.mine.Contests[g.in(g.mine, b)].Text
			if !reword(g, &text, change) || !g.claim("contest/"+b.key+"/text") {
				continue
			}
			g.mark(b.key)
			g.mine.Contests[g.in(g.mine, b)].Text = text
			return []Expect{{Contest: b.key, Everywhere: true}}
		}
		return nil
	}
}
