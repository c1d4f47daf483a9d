package review_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/casetest"
	"counterproof/checks/review"
	"counterproof/model"
	"counterproof/model/casefile"
	"counterproof/model/sheets"
)

// told is what a case says once the exports came in: its findings with how far they are,
// and what nobody asked for.
type told struct {
	statuses []review.Status
	unasked  []string
}

// history brings exports of a small county in, one after the other. The findings of the
// first are decided with an outcome before the second.
func history(t *testing.T, outcome casefile.Outcome, edits ...func(e *model.Election)) (told, *review.Review) {
	t.Helper()
	base := func() *model.Election { return casetest.County(60, true) }
	var r *review.Review
	for i, edit := range edits {
		e := base()
		edit(e)
		name := string(rune('1'+i)) + ".xml"
		if i == 0 {
			r = casetest.Opened(t, casetest.New(t), sheets.FromElection(base(), ""), name, casetest.Export(t, e))
			if list := itemIDs(casetest.Now(t, r).Items); len(list) > 0 {
				decide(t, r, outcome, list...)
			}
			continue
		}
		casetest.Bring(t, r, name, casetest.Export(t, e))
	}
	var out told
	for _, i := range casetest.Now(t, r).Items {
		if !i.Unasked {
			out.statuses = append(out.statuses, i.Status)
		}
	}
	out.unasked = unaskedIn(t, r)
	return out, r
}

func clean(*model.Election) {}

func voteFor(n int) func(e *model.Election) {
	return func(e *model.Election) { e.Contests[2].VoteFor = model.Say(n) }
}

// rich is the first contest from number i on with two candidates at least.
func rich(e *model.Election, i int) *model.Contest {
	for ; ; i++ {
		if c := &e.Contests[i]; len(c.Choices) > 2 && !c.Choices[0].WriteIn && !c.Choices[1].WriteIn {
			return c
		}
	}
}

// richAt is the number of that contest.
func richAt(e *model.Election, i int) int {
	c := rich(e, i)
	return slices.IndexFunc(e.Contests, func(o model.Contest) bool { return o.Title.Value.In("") == c.Title.Value.In("") })
}

func TestWhatAnExportDoesOfWhatWasAsked(t *testing.T) {
	if testing.Short() {
		t.Skip("many exports of a county in sequence: long; run without -short")
	}
	fix, certified := casefile.OutcomeFixConfiguration, casefile.OutcomeAsCertified
	for _, x := range []struct {
		name     string
		outcome  casefile.Outcome
		edits    []func(e *model.Election)
		statuses []review.Status
		unasked  int
	}{
		{"done", fix, []func(*model.Election){voteFor(3), clean}, nil, 0},
		{"done otherwise", fix, []func(*model.Election){voteFor(3), voteFor(4)}, []review.Status{review.StatusReopened}, 0},
		{"done otherwise, then done", fix, []func(*model.Election){voteFor(3), voteFor(4), clean}, nil, 0},
		{"done and undone", fix, []func(*model.Election){voteFor(3), clean, voteFor(3)},
			[]review.Status{review.StatusReopened}, 1},
		{"done, then otherwise", fix, []func(*model.Election){voteFor(3), clean, voteFor(4)},
			[]review.Status{review.StatusReopened}, 1},
		{"certified and put back", certified, []func(*model.Election){voteFor(3), clean}, nil, 1},
		{"certified and changed", certified, []func(*model.Election){voteFor(3), voteFor(4)},
			[]review.Status{review.StatusReopened}, 1},
		{"certified, put back and as it was", certified, []func(*model.Election){voteFor(3), clean, voteFor(3)},
			[]review.Status{review.StatusSettled}, 0},
		{"referred and done", casefile.OutcomeRefer, []func(*model.Election){voteFor(3), clean}, nil, 1},
		{"two titles exchanged, asked back", fix, []func(*model.Election){exchanged, clean}, nil, 0},
		{"two titles exchanged, silently", fix, []func(*model.Election){clean, exchanged},
			[]review.Status{review.StatusOpen}, 2},
		{"two titles exchanged and back, silently", fix, []func(*model.Election){clean, exchanged, clean}, nil, 0},
		{"renamed and reordered, asked back", fix, []func(*model.Election){renamed, clean}, nil, 0},
		{"ordered otherwise in the file as a whole", fix, []func(*model.Election){clean, shuffled}, nil, 0},
		{"a style split", fix, []func(*model.Election){clean, split}, nil, 0},
		{"a style split, with mistakes asked for", fix, []func(*model.Election){voteFor(3), split}, nil, 0},
		{"a split style joined again", fix, []func(*model.Election){split, clean}, nil, 0},
		// Votes of two contests are counted apart, though they say the same.
		{"a contest held twice", fix, []func(*model.Election){clean, doubled}, []review.Status{review.StatusOpen}, 1},
		{"a contest held twice, joined", fix, []func(*model.Election){doubled, clean}, nil, 0},
		{"a precinct moved, asked back", fix, []func(*model.Election){moved, clean}, nil, 0},
	} {
		t.Run(x.name, func(t *testing.T) {
			got, r := history(t, x.outcome, x.edits...)
			require.Equal(t, x.statuses, got.statuses, messages(t, r))
			require.Len(t, got.unasked, x.unasked, got.unasked)
		})
	}
}

// What changed silently is told, each thing by itself.
func TestSilentChangesAreTold(t *testing.T) {
	for _, x := range []struct {
		name  string
		edit  func(e *model.Election)
		words []string
	}{
		{"renamed and reordered", renamed, []string{"The name of ", "The order of choices"}},
		{"a precinct moved", moved, []string{"allot of "}},
		{"two titles exchanged", exchanged, []string{"The title of "}},
		{"a half of a split style lacks a contest", func(e *model.Election) {
			split(e)
			last := &e.Styles[len(e.Styles)-1]
			last.Content = last.Content[:len(last.Content)-1]
		}, []string{"was taken off the ballots of precincts "}},
		{"one of two copies of a contest has another vote-for", func(e *model.Election) {
			doubled(e)
			e.Contests[len(e.Contests)-1].VoteFor = model.Say(7)
		}, []string{`"7"`}},
	} {
		t.Run(x.name, func(t *testing.T) {
			got, _ := history(t, casefile.OutcomeFixConfiguration, clean, x.edit)
			for _, words := range x.words {
				require.True(t, slices.ContainsFunc(got.unasked, func(m string) bool { return strings.Contains(m, words) }),
					got.unasked)
			}
		})
	}
}

func exchanged(e *model.Election) {
	a, b := rich(e, 0), rich(e, len(e.Contests)/2)
	a.Title, b.Title = b.Title, a.Title
}

func renamed(e *model.Election) {
	c := rich(e, 0)
	c.Choices = slices.Clone(c.Choices)
	c.Choices[0], c.Choices[1] = c.Choices[1], c.Choices[0]
	c.Choices[0].Name = model.Say(model.Plain(c.Choices[0].Name.Value.In("") + "sen"))
}

// shuffled lists contests and precincts the other way round.
func shuffled(e *model.Election) {
	n, m := len(e.Contests), len(e.Precincts)
	slices.Reverse(e.Contests)
	slices.Reverse(e.Precincts)
	slices.Reverse(e.Styles)
	slices.Reverse(e.Units)
	for i := range e.Styles {
		s := &e.Styles[i]
		s.Content, s.Precincts = slices.Clone(s.Content), slices.Clone(s.Precincts)
		for k := range s.Content {
			s.Content[k].Contest = n - 1 - s.Content[k].Contest
		}
		for k := range s.Precincts {
			s.Precincts[k] = m - 1 - s.Precincts[k]
		}
		slices.Sort(s.Precincts)
	}
	for i := range e.Units {
		list := slices.Clone(e.Units[i].Precincts.Value)
		for k := range list {
			list[k] = m - 1 - list[k]
		}
		slices.Sort(list)
		e.Units[i].Precincts = model.Say(list)
	}
	for i := range e.Districts {
		list := slices.Clone(e.Districts[i].Precincts)
		for k := range list {
			list[k] = m - 1 - list[k]
		}
		slices.Sort(list)
		e.Districts[i].Precincts = list
	}
	e.Origins = model.Origins{}
}

// split gives the precincts of the first style that has several two styles that print the
// same.
func split(e *model.Election) {
	for i := range e.Styles {
		if s := &e.Styles[i]; len(s.Precincts) > 1 {
			other := *s
			other.Precincts, s.Precincts = s.Precincts[1:], s.Precincts[:1:1]
			other.Content = slices.Clone(s.Content)
			e.Styles = append(e.Styles, other)
			return
		}
	}
}

// doubled holds one contest twice, for the ballots of different precincts.
func doubled(e *model.Election) {
	last := &e.Styles[len(e.Styles)-1]
	last.Content = slices.Clone(last.Content)
	at := &last.Content[0]
	e.Contests = append(e.Contests, e.Contests[at.Contest])
	at.Contest = len(e.Contests) - 1
}

// moved gives a precinct the ballot of others.
func moved(e *model.Election) {
	for i := range e.Styles {
		from := &e.Styles[i]
		to := &e.Styles[(i+1)%len(e.Styles)]
		if len(from.Precincts) > 1 {
			to.Precincts = append(slices.Clone(to.Precincts), from.Precincts[0])
			slices.Sort(to.Precincts)
			from.Precincts = from.Precincts[1:]
			return
		}
	}
}

func messages(t *testing.T, r *review.Review) (out []string) {
	for _, i := range casetest.Now(t, r).Items {
		out = append(out, i.Message)
	}
	return out
}

// What was accepted as certified and is put back is told, whatever it was.
func TestWhatWasCertifiedAndIsPutBackIsTold(t *testing.T) {
	if testing.Short() {
		t.Skip("many exports of a county in sequence: long; run without -short")
	}
	for name, edit := range map[string]func(e *model.Election){
		"vote-for": voteFor(3), "titles": exchanged, "choices": renamed, "precinct": moved, "held twice": doubled,
		"contest off a ballot": func(e *model.Election) {
			s := &e.Styles[0]
			s.Content = slices.Delete(slices.Clone(s.Content), 1, 2)
		},
		"order of contests": func(e *model.Election) { c := e.Styles[0].Content; c[0], c[1] = c[1], c[0] },
		"choices of two contests": func(e *model.Election) {
			exchanged(e)
			a, b := richAt(e, 0), richAt(e, len(e.Contests)/2)
			for i := range e.Styles {
				for k := range e.Styles[i].Content {
					switch pl := &e.Styles[i].Content[k]; pl.Contest {
					case a:
						pl.Contest = b
					case b:
						pl.Contest = a
					}
				}
			}
			noOrder(e)
		},
		"places of two contests": func(e *model.Election) {
			a, b := richAt(e, 0), richAt(e, len(e.Contests)/2)
			for i := range e.Styles {
				for k := range e.Styles[i].Content {
					switch pl := &e.Styles[i].Content[k]; pl.Contest {
					case a:
						pl.Contest = b
					case b:
						pl.Contest = a
					}
				}
			}
			noOrder(e)
		},
		"card": func(e *model.Election) {
			e.Units[0].Precincts = model.Say(e.Units[0].Precincts.Value[1:])
		},
		"site of a unit": func(e *model.Election) { e.Units[0].Site = model.Say(1) },
		"a write-in":     func(e *model.Election) { c := rich(e, 3); c.Choices = c.Choices[:len(c.Choices)-1]; noOrder(e) },
		"a choice": func(e *model.Election) {
			c := rich(e, 3)
			c.Choices = slices.Delete(slices.Clone(c.Choices), 1, 2)
			noOrder(e)
		},
		"a party line":   func(e *model.Election) { rich(e, 3).Choices[1].Lines = model.Say([]int{3}) },
		"a person":       func(e *model.Election) { rich(e, 3).Choices[4].Person = "someone else" },
		"a party's name": func(e *model.Election) { e.Parties[0].Name = model.Say(model.Plain("Party of Apples")) },
		"the date":       func(e *model.Election) { e.Facts.Date = model.Say("2027-11-09") },
		"a style label":  func(e *model.Election) { e.Styles[0].Label = model.Say("X") },
		"labels of precincts": func(e *model.Election) {
			for i := range e.Precincts {
				e.Precincts[i].Name = model.Plain("Precinct " + e.Precincts[i].Name.In(""))
				e.Precincts[i].Number = ""
			}
		},
		"numbers of precincts": func(e *model.Election) {
			for i := range e.Precincts {
				e.Precincts[i].Number = e.Precincts[i].Name.In("") + " A"
				e.Precincts[i].Name = nil
			}
		},
	} {
		t.Run(name, func(t *testing.T) {
			got, r := history(t, casefile.OutcomeAsCertified, edit, clean)
			require.NotEmpty(t, got.unasked, "%v", messages(t, r))
			if testing.Short() {
				return // what must be said is said; that nothing else is takes two cases more for each change
			}
			asked, r := history(t, casefile.OutcomeFixConfiguration, edit, clean)
			require.Empty(t, asked.unasked)
			require.Empty(t, asked.statuses, "%v", messages(t, r))
			silent, _ := history(t, casefile.OutcomeRefer, clean, edit)
			require.NotEmpty(t, append(silent.unasked, statusWords(silent.statuses)...))
		})
	}
}

func statusWords(list []review.Status) (out []string) {
	for _, s := range list {
		out = append(out, string(s))
	}
	return out
}

// noOrder has ballots print choices as the contests list them.
func noOrder(e *model.Election) {
	for i := range e.Styles {
		for k := range e.Styles[i].Content {
			e.Styles[i].Content[k].Order = model.Stated[[]int]{}
		}
	}
}
