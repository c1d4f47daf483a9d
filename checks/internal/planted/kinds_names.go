package planted

import (
	"math/rand/v2"
	"slices"
	"strings"

	"counterproof/checks/finding"
	"counterproof/model"
)

// nameKinds are mistakes in the names of candidates.
var nameKinds = join(
	onEither("candidate's name misspelt", "", "choice-name", finding.MustFix, renamed(misspell)),
	onEither("candidate's suffix dropped or added", "", "choice-name", finding.MustFix, renamed(alone(suffix))),
	onEither("candidate taken for their father or child", "Jr. for Sr., III for II.", "choice-name", finding.MustFix,
		renamed(alone(generation))),
	onEither("candidate's name in other capitals", "", "choice-name", finding.Confirm, renamed(capitals)),
	onEither("accent dropped from a candidate's name", "", "choice-name", finding.Confirm, renamed(accents)),
	onEither("candidate's name with other spaces", "", "choice-name", finding.Confirm, renamed(spaces)),
	onEither("candidate's name with other punctuation", "", "choice-name", finding.Confirm, renamed(punctuation)),
	onEither("candidate's name with a look-alike letter", "", "lookalike", finding.MustFix, renamed(lookalikes)),
	[]*Kind{
		{Name: "candidate's middle initial wrong", Code: "choice-name", Grade: finding.MustFix, Side: "primary",
			plant: renamed(initial)},
		{Name: "candidate's given name that of a namesake", Code: "choice-name", Grade: finding.MustFix, Side: "primary",
			plant: renamed(alone(givenName))},
		{Name: "running mate's name misspelt", Code: "choice-name", Grade: finding.MustFix, Side: "primary",
			plant: renamed(mates(misspell))},
		{Name: "running mates in the other order", Code: "choice-name", Grade: finding.MustFix, Side: "primary",
			plant: renamed(matesTurned)},
		{Name: "r and n for m in a candidate's name", Code: "lookalike", Grade: finding.MustFix, Side: "primary",
			plant: renamed(ligature)},
		{Name: "invisible character in a candidate's name", Code: "lookalike", Grade: finding.MustFix, Side: "primary",
			plant: renamed(invisible)},
		{Name: "mark of writing direction in a candidate's name", Code: "lookalike", Grade: finding.MustFix, Side: "primary",
			plant: renamed(turned)},
	},
)

// renamed changes a candidate's name. In the export it is a candidate's, and so
// on all their lines; the keyer mistypes one row, which the sheets then take for
// somebody else's.
func renamed(change slip) func(*planter) []Expect {
	return func(g *planter) []Expect {
		s := g.mine
		for _, b := range g.contests() {
			i := g.in(s, b)
			if !g.candidates(b) {
				continue
			}
			for _, j := range g.named(s, i) {
				c := s.Contests[i].Choices[j]
				name := c.Name
				if !rewordName(g, &name, change) || s.hasChoice(i, name.Value.In("")) {
					continue
				}
				key := s.Keys.Choices[i][j]
				if g.other.choice(g.in(g.other, b), key) < 0 || !g.claim(who(b, key)) {
					continue
				}
				g.mark(b.key)
				for k := range s.Contests[i].Choices {
					other := &s.Contests[i].Choices[k]
					if k == j || s == g.Primary && other.Person == c.Person && !other.WriteIn {
						other.Name = name
						if s == g.Second {
							other.Person = name.Value.In("")
						}
					}
				}
				return []Expect{{Contest: b.key, Choice: key, Everywhere: true}}
			}
		}
		return nil
	}
}

// rewordName changes the name of a person, which is one in all languages.
func rewordName(g *planter, t *model.Stated[model.Text], change slip) bool {
	if !reword(g, t, change) {
		return false
	}
	for i := range t.Value {
		t.Value[i].Words = t.Value[0].Words
	}
	return true
}

func (s *Side) hasChoice(contest int, name string) bool {
	for _, c := range s.Contests[contest].Choices {
		if strings.TrimSpace(c.Name.Value.In("")) == strings.TrimSpace(name) && name == strings.TrimSpace(name) {
			return true
		}
	}
	return false
}

// alone makes a slip in names without running mates.
func alone(change slip) slip {
	return func(r *rand.Rand, s string) (string, bool) {
		if strings.Contains(s, " / ") {
			return s, false
		}
		return change(r, s)
	}
}

// mates makes a slip in the name of the second of two running mates.
func mates(change slip) slip {
	return func(r *rand.Rand, s string) (string, bool) {
		first, second, ok := strings.Cut(s, " / ")
		if !ok {
			return s, false
		}
		second, ok = change(r, second)
		return first + " / " + second, ok
	}
}

func matesTurned(_ *rand.Rand, s string) (string, bool) {
	first, second, ok := strings.Cut(s, " / ")
	return second + " / " + first, ok
}

func givenName(r *rand.Rand, s string) (string, bool) {
	first, rest, ok := strings.Cut(s, " ")
	var others []string // Anne for Anna, Jon for John
	for _, other := range givenNames {
		if len(first) != len([]rune(first)) {
			break // René and Rene differ by an accent alone
		}
		if oneLetter(first, other) || oneLetter(other, first) {
			others = append(others, other)
		}
	}
	if !ok || len(others) == 0 {
		return s, false
	}
	return pick(r, others) + " " + rest, true
}

// oneLetter says that b is a with one letter put in or exchanged.
func oneLetter(a, b string) bool {
	x, y := []rune(a), []rune(b)
	for i := range y {
		if rest := slices.Delete(slices.Clone(y), i, i+1); len(y) == len(x)+1 && slices.Equal(rest, x) ||
			len(y) == len(x) && x[i] != y[i] && slices.Equal(y[i+1:], x[i+1:]) && slices.Equal(y[:i], x[:i]) {
			return true
		}
	}
	return false
}
