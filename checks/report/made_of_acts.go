package report

import (
	"errors"
	"slices"

	"counterproof/checks/review"
	"counterproof/model/casefile"
)

func (m *maker) findings(rounds []review.Round) []Finding {
	list := []Finding{}
	m.numbers = map[string]int{}
	sites := m.sitesOf()
	for _, items := range [][]review.Item{m.standing.Items, m.standing.Cleared} {
		for i := range items {
			x := &items[i]
			f := Finding{
				Number: len(list) + 1, ID: x.ID, Check: string(x.Check), Grade: string(x.Grade), Contest: x.Contest, Party: x.Party,
				Choice:    x.Choice,
				Precincts: nonNil(slices.Clone(x.Precincts)), Unit: x.Unit, Site: x.Site, Style: x.Style, Primary: x.Primary,
				Second:  x.Second,
				Message: x.Message, Cause: x.Cause, Status: string(x.Status), Decisions: []Decision{},
				ClearedBy: m.clearedBy(x, rounds),
			}
			if f.Site == "" {
				f.Sites = sites.of(f.Precincts)
			}
			for _, d := range x.Decisions {
				f.Decisions = append(f.Decisions, Decision{
					Entry: d.Seq, At: d.At, Outcome: string(d.Terms.Outcome), Reason: d.Terms.Reason, Document: d.Terms.Document,
					Correction: d.Terms.Correction, By: m.all(d.Signers()),
				})
			}
			m.numbers[f.ID] = f.Number
			list = append(list, f)
		}
	}
	return list
}

// clearedBy returns the number of the export that cleared a finding, 0 if none did or it is unknown.
func (m *maker) clearedBy(x *review.Item, rounds []review.Round) int {
	if x.Status != review.StatusCleared || x.Last() == nil || x.Last().Terms.Correction != 0 {
		return 0
	}
	for i, r := range rounds {
		if r.Seq == x.ClearedBy {
			return i + 1
		}
	}
	for i, r := range m.standing.Others {
		if r.Seq == x.ClearedBy {
			return len(rounds) + i + 1
		}
	}
	// If one export came after the decision, and nothing else that ends differences, it was that.
	last := len(rounds) - 1
	if last < 1 || rounds[last].Seq < x.Last().Seq || rounds[last-1].Seq > x.Last().Seq {
		return 0
	}
	for _, acts := range [][]int64{seqs(m.state.Corrections), seqs(m.state.Amendments), seqs(m.state.Mappings),
		seqs(m.state.ComparedAs), seqs(m.state.Withdrawn), seqs(m.state.Seals), seqs(m.state.Witnesses)} {
		if slices.Max(append(acts, 0)) > x.Last().Seq {
			return 0
		}
	}
	return last + 1
}

func seqs[T any](acts []casefile.Act[T]) (list []int64) {
	for _, a := range acts {
		list = append(list, a.Seq)
	}
	return list
}

func (m *maker) causes() []Cause {
	list := []Cause{}
	for _, c := range m.standing.Result.Causes {
		list = append(list, Cause{c.ID, c.Message, nonNil(slices.Clone(c.Findings))})
	}
	return list
}

func (m *maker) corrections() ([]Correction, error) {
	list := []Correction{}
	names := review.NamesIn(m.review.Case())
	for _, a := range m.state.Corrections {
		c := Correction{Entry: a.Seq, At: a.At, Reason: a.Terms.Reason, Document: a.Terms.Document, By: m.all(a.Signers()),
			Changes: []Change{}}
		for _, f := range a.Terms.Fields() {
			path := f.String()
			what, err := names.Field(f)
			was, errWas := names.Value(f, a.Terms.Was[path])
			now, errNow := names.Value(f, a.Terms.Set[path])
			if err := errors.Join(err, errWas, errNow); err != nil {
				return nil, err
			}
			c.Changes = append(c.Changes, Change{path, what, was, now})
		}
		list = append(list, c)
	}
	return list, nil
}

func (m *maker) amendments() ([]Amendment, error) {
	list := []Amendment{}
	names := review.NamesIn(m.review.Case())
	for _, a := range m.state.Amendments {
		x := Amendment{
			Entry: a.Seq, At: a.At, Date: a.Terms.Date, Document: a.Terms.Document, Reason: a.Terms.Reason,
			Contests: []string{}, MailedStand: a.Terms.MailedStand, By: m.all(a.Signers()),
		}
		for _, row := range a.Terms.Contests {
			name, err := names.Row(row)
			if err != nil {
				return nil, err
			}
			x.Contests = append(x.Contests, name)
		}
		list = append(list, x)
	}
	return list, nil
}

func (m *maker) mappings() []Mapping {
	list := []Mapping{}
	for _, a := range m.state.Mappings {
		list = append(list, Mapping{a.Seq, a.At, a.Terms.Kind, a.Terms.Primary, a.Terms.Second, a.Terms.Reason,
			m.all(a.Signers())})
	}
	return list
}

func (m *maker) compared() []Compared {
	list := []Compared{}
	for _, a := range m.state.ComparedAs {
		list = append(list, Compared{
			a.Seq, a.At, nonNil(slices.Clone(a.Terms.Elections)), a.Terms.Language, a.Terms.UnitLimit, a.Terms.Reason,
			m.all(a.Signers()),
		})
	}
	return list
}

func (m *maker) exports(rounds []review.Round) []Export {
	list := []Export{}
	for _, x := range rounds {
		e := Export{Entry: x.Seq, Name: x.Name(), At: x.At, Files: m.files(x.Files...), Cards: []File{}, Asked: []string{},
			Unasked: []string{}}
		if x.With != nil {
			e.Format, e.With = x.Format, x.With.Name()
		}
		if x.Cards != nil {
			e.Cards = m.files(*x.Cards)
		}
		e.Asked, e.Unasked = append(e.Asked, x.Asked...), append(e.Unasked, x.Unasked...)
		list = append(list, e)
	}
	return list
}

func (m *maker) withdrawn() (list []Withdrawn) {
	for _, a := range m.state.Withdrawn {
		files := slices.DeleteFunc(slices.Clone(m.state.Exports),
			func(x casefile.Export) bool { return x.Withdrawn != a.Seq })
		list = append(list, Withdrawn{a.Seq, a.At, m.files(files...), a.Terms.Reason, m.all(a.Signers())})
	}
	return list
}
