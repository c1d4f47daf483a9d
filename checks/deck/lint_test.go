package deck

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks/finding"
	"counterproof/model"
)

// randomDeck is a deck as people make it by hand: some styles, few ballots, contests left out, ties.
func randomDeck(e *model.Election, r *rand.Rand) *Deck {
	d := &Deck{}
	for s := range e.Styles {
		if r.IntN(6) > 0 {
			continue
		}
		of := &e.Styles[s]
		for range 2 + r.IntN(7) {
			b := Ballot{Number: len(d.Ballots) + 1, Style: s, Precinct: of.Precincts[r.IntN(min(3, len(of.Precincts)))]}
			for _, at := range of.Content {
				c := &e.Contests[at.Contest]
				marks := []int{0, 1, 1, 1, 1, c.VoteFor.Value, c.VoteFor.Value, c.VoteFor.Value + 1}[r.IntN(8)]
				for rank, j := range r.Perm(len(c.Choices))[:min(marks, len(c.Choices))] {
					m := Mark{Contest: at.Contest, Choice: j, Votes: 1}
					if c.Variation.Value == "rcv" {
						m.Votes = min(rank+1, c.VoteFor.Value)
					}
					b.Marks = append(b.Marks, m)
				}
			}
			if r.IntN(8) == 0 {
				b.Marks = nil
			}
			d.Ballots = append(d.Ballots, b)
			if r.IntN(4) == 0 { // the same ballot again, in another precinct
				b.Number, b.Precinct = len(d.Ballots)+1, of.Precincts[r.IntN(len(of.Precincts))]
				d.Ballots = append(d.Ballots, b)
			}
		}
	}
	return d
}

// unseen is a fault as lint names it: a cause and what is exchanged.
type unseen struct {
	kind    BlindKind
	style   int // -1 for all at once
	contest int
	x, y    int
}

// unseenBy are the faults that lint names, with their grades.
func unseenBy(e *model.Election, found []Blind) map[unseen]finding.Grade {
	out := map[unseen]finding.Grade{}
	note := func(f unseen, g finding.Grade) {
		if out[f] != finding.MustFix {
			out[f] = g
		}
	}
	for _, b := range found {
		switch b.Kind {
		case BlindPositions:
			styles := b.Styles
			if b.Together {
				styles = []int{-1}
			}
			for _, s := range styles {
				for i, y := range b.Choices {
					for _, x := range b.Choices[:i] {
						note(unseen{kind: BlindPositions, style: s, contest: b.Contests[0], x: x, y: y}, b.Grade)
					}
				}
			}
		case BlindContests:
			for _, s := range b.Styles {
				for i, y := range b.Contests {
					for _, x := range b.Contests[:i] {
						note(unseen{kind: BlindContests, style: s, x: x, y: y}, b.Grade)
					}
				}
			}
		case BlindPrecincts:
			for i, y := range b.Precincts {
				for _, x := range b.Precincts[:i] {
					style := -1
					if len(b.Styles) > 0 {
						style = b.Styles[0]
					}
					note(unseen{kind: BlindPrecincts, style: style, x: x, y: y}, b.Grade)
				}
			}
		case BlindHigher, BlindLower:
			for i, c := range b.Contests {
				for n, own := b.VoteFor[i], voteFor(&e.Contests[c]); n != own; {
					note(unseen{kind: b.Kind, style: -1, contest: c, x: n}, b.Grade)
					if n > own {
						n--
					} else {
						n++
					}
				}
			}
		}
	}
	return out
}

// judge says who can see that one deck is counted for another: the whole deck's votes, the key, or nobody.
func judge(t *testing.T, e *model.Election, right *Key, wrong *Deck) (g finding.Grade, seen bool) {
	t.Helper()
	key, err := Count(e, wrong, rules)
	require.NoError(t, err)
	if !same(sumUp(right), sumUp(key)) {
		return "", true
	}
	if reflect.DeepEqual(right.Tallies, key.Tallies) {
		return finding.MustFix, false
	}
	return finding.Confirm, false
}

func sumUp(k *Key) map[int][]int {
	out := map[int][]int{}
	for at, votes := range votesOf(k) {
		if out[at[1]] == nil {
			out[at[1]] = make([]int, len(votes))
		}
		for j, v := range votes {
			out[at[1]][j] += v
		}
	}
	return out
}

func TestLintNamesThoseExchangesThatCountTheSame(t *testing.T) {
	if testing.Short() {
		t.Skip("generated counties: long; run without -short")
	}
	invisible, visible := 0, 0
	for _, seed := range seeds() {
		t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) {
			e := smallCounty(seed)
			d := randomDeck(e, rand.New(rand.NewPCG(seed, 18)))
			found, err := Lint(e, d, Options{Rules: rules})
			require.NoError(t, err)
			lint := unseenBy(e, found)
			unvoted := func(f unseen) bool { // then no exchange of the two is told besides
				return f.kind == BlindPositions && slices.ContainsFunc(found, func(b Blind) bool {
					return b.Kind == BlindNoVote && b.Contests[0] == f.contest && slices.Contains(b.Styles, f.style) &&
						slices.Contains(b.Choices, f.x) && slices.Contains(b.Choices, f.y)
				})
			}
			check := func(f unseen, g finding.Grade, seen bool) {
				if seen {
					visible++
					assert.Equal(t, "", string(lint[f]), "a false alarm: %+v", f)
				} else if !unvoted(f) {
					invisible++
					assert.Equal(t, string(g), string(lint[f]), "%+v", f)
				}
			}
			all, err := Count(e, d, rules)
			require.NoError(t, err)
			left := map[int]bool{}
			for _, l := range all.Left {
				left[l.Contest] = true
			}
			for s, ballots := range byStyle(d) {
				right, err := Count(e, &Deck{Ballots: ballots}, rules)
				require.NoError(t, err)
				content := e.Styles[s].Content
				for i, at := range content {
					c := at.Contest
					if left[c] {
						continue
					}
					shifted := func(_ *Ballot, m Mark) Mark {
						if m.Contest == c {
							m.Choice = (m.Choice + 1) % len(e.Contests[c].Choices)
						}
						return m
					}
					if _, seen := judge(t, e, right, read(ballots, shifted)); !seen && !mixed(e, c) {
						assert.True(t, slices.ContainsFunc(found, func(b Blind) bool {
							return b.All && b.Contests[0] == c && slices.Contains(b.Styles, s)
						}), "a shift by one in contest %d on style %d", c, s)
					}
					for y := range e.Contests[c].Choices {
						for x := range y {
							g, seen := judge(t, e, right, read(ballots, exchange(c, x, y)))
							if rows, same := sameRows(right, c, x, y); same && (seen || rows == finding.MustFix) {
								g, seen = rows, false // the votes are exchanged, not the marks
							}
							check(unseen{kind: BlindPositions, style: s, contest: c, x: x, y: y}, g, seen)
						}
					}
					for _, other := range content[:i] {
						x, y := min(c, other.Contest), max(c, other.Contest)
						if len(e.Contests[x].Choices) != len(e.Contests[y].Choices) || variation(e, x) != variation(e, y) ||
							!anyVote(right, x) && !anyVote(right, y) || left[x] || left[y] {
							continue // no vote in either: told as positions without votes
						}
						g, seen := judge(t, e, right, read(ballots, exchangeContests(x, y)))
						check(unseen{kind: BlindContests, style: s, x: x, y: y}, g, seen)
					}
				}
			}
			for c := range e.Contests { // on all styles at once
				for y := range e.Contests[c].Choices {
					for x := range y {
						if left[c] || !sampled(c+x+y) {
							continue
						}
						g, seen := judge(t, e, all, read(d.Ballots, exchange(c, x, y)))
						if f := (unseen{kind: BlindPositions, style: -1, contest: c, x: x, y: y}); seen {
							_, same := sameRows(all, c, x, y)
							assert.True(t, lint[f] == "" || same, "a false alarm: %+v", f)
						} else if lint[f] == "" { // then it is not seen on any style
							for s := range byStyle(d) {
								f.style = s
								assert.True(t, lint[f] != "" || unvoted(f) || !holds(e, s, c), "%+v, and together: %s", f, g)
							}
						}
					}
				}
			}
			for c := range e.Contests {
				of := e.Contests[c].VoteFor.Value
				if sumUp(all)[c] == nil || variation(e, c) == "rcv" {
					continue
				}
				for n := 1; n <= len(e.Contests[c].Choices); n++ {
					if n == of {
						continue
					}
					wrong := e.Clone()
					wrong.Contests[c].VoteFor = model.Say(n)
					g, seen := judge(t, wrong, all, d)
					if !seen && min(n, of) >= newCounting(e, rules).contests[c].people() {
						g = finding.Note
					}
					kind := BlindHigher
					if n < of {
						kind = BlindLower
					}
					check(unseen{kind: kind, style: -1, contest: c, x: n}, g, seen)
				}
			}
			precincts := byPrecinct(all)
			for y := range precincts {
				for x := range precincts {
					if x < y {
						g, seen := finding.MustFix, !same(sumUp(precincts[x]), sumUp(precincts[y]))
						if !seen && !slices.EqualFunc(precincts[x].Tallies, precincts[y].Tallies, alikeTallies) {
							g = finding.Confirm
						}
						check(unseen{kind: BlindPrecincts, style: -1, x: x, y: y}, g, seen)
					}
				}
			}
		})
	}
	assert.Greater(t, invisible, 100)
	assert.Greater(t, visible, 1000)
	t.Logf("%d invisible, %d visible", invisible, visible)
}

// holds reports whether a style holds a contest.
func holds(e *model.Election, style, c int) bool {
	return slices.ContainsFunc(e.Styles[style].Content, func(p model.Placement) bool { return p.Contest == c })
}

// mixed reports whether a contest has people on several lines.
func mixed(e *model.Election, c int) bool {
	return newCounting(e, rules).contests[c].people() < len(e.Contests[c].Choices)
}

// sameRows reports whether two choices have the same total, and whether they have it in each row.
func sameRows(k *Key, c, x, y int) (finding.Grade, bool) {
	grade := finding.MustFix
	total := 0
	for _, t := range k.Tallies {
		if t.Contest != c {
			continue
		}
		diff := t.Votes[x] - t.Votes[y]
		for _, r := range t.Ranks { // to have the same at each rank is more: told apart below
			if r[x] != r[y] {
				return "", false
			}
		}
		if total += diff; diff != 0 {
			grade = finding.Confirm
		}
	}
	return grade, total == 0
}

func exchangeContests(x, y int) func(*Ballot, Mark) Mark {
	return func(_ *Ballot, m Mark) Mark {
		switch m.Contest {
		case x:
			m.Contest = y
		case y:
			m.Contest = x
		}
		return m
	}
}

func anyVote(k *Key, c int) bool {
	return slices.ContainsFunc(sumUp(k)[c], func(n int) bool { return n > 0 })
}

func byPrecinct(k *Key) map[int]*Key {
	out := map[int]*Key{}
	for _, t := range k.Tallies {
		if out[t.Precinct] == nil {
			out[t.Precinct] = &Key{}
		}
		out[t.Precinct].Tallies = append(out[t.Precinct].Tallies, t)
	}
	return out
}

func alikeTallies(x, y Tally) bool {
	x.Precinct, x.Style = y.Precinct, y.Style
	return reflect.DeepEqual(x, y)
}
