package review

import (
	"slices"

	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/model"
	"counterproof/model/casefile"
)

// withoutMailed returns an export without the ballots that were mailed before an amendment and are
// still valid. As long as they are, an export may hold two versions of a style for one precinct:
// the ballot as keyed before the amendment, and the amended one, which is compared. A style is set
// aside only if its precincts have another style, and if it is exactly the ballot that was keyed
// before.
func (r *Review) withoutMailed(state *casefile.State, e *model.Election, o checks.Options) (*model.Election, error) {
	at := mailedAt{e, len(state.Amendments), len(state.Seals), len(state.ComparedAs)}
	if r.mailed.at == at {
		return r.mailed.rest, nil
	}
	rest, err := r.setAside(state, e, o)
	if err == nil {
		r.mailed.at, r.mailed.rest = at, rest
	}
	return rest, err
}

// mailedAt is the cache key that shows when ballots must be set aside again.
type mailedAt struct {
	of                          *model.Election
	amendments, seals, compared int
}

func (r *Review) setAside(state *casefile.State, e *model.Election, o checks.Options) (*model.Election, error) {
	var before []*model.Election
	for _, a := range state.Amendments {
		if !a.Terms.MailedStand {
			continue
		}
		for source := 0; source <= len(state.Joined); source++ {
			keyed, err := r.secondAt(a.Seq, source)
			if err != nil {
				return nil, err
			}
			if keyed != nil {
				before = append(before, withoutUnits(keyed))
			}
		}
	}
	if len(before) == 0 {
		return e, nil
	}
	mailed := map[int]bool{}
	for i := range e.Styles {
		if !hasAnother(e, i, mailed) {
			continue
		}
		one := oneStyle(e, i)
		for _, keyed := range before {
			if saysTheSame(one, keyed, o) {
				mailed[i] = true
				break
			}
		}
	}
	if len(mailed) == 0 {
		return e, nil
	}
	return withStyles(e, func(k int) bool { return !mailed[k] }, true), nil
}

// hasAnother reports whether every precinct of a style has another style, for the same parties,
// that is not set aside.
func hasAnother(e *model.Election, style int, aside map[int]bool) bool {
	st := &e.Styles[style]
	if len(st.Precincts) == 0 {
		return false
	}
	for _, p := range st.Precincts {
		another := false
		for k := range e.Styles {
			another = another || k != style && !aside[k] && slices.Equal(e.Styles[k].Parties, st.Parties) &&
				slices.Contains(e.Styles[k].Precincts, p)
		}
		if !another {
			return false
		}
	}
	return true
}

// oneStyle returns an election with a single style, its contests and its precincts.
func oneStyle(e *model.Election, style int) *model.Election {
	c := withoutUnits(withStyles(e, func(k int) bool { return k == style }, false))
	c.Districts, c.Origins.Districts, c.Origins.Dangling = nil, nil, nil
	c.Contests = slices.Clone(c.Contests)
	for i := range c.Contests {
		c.Contests[i].District = model.Stated[int]{}
	}
	c.Precincts, c.Origins.Precincts = nil, nil
	st := &c.Styles[0]
	for k, p := range st.Precincts {
		precinct := e.Precincts[p]
		precinct.Members, precinct.Sites = nil, model.Stated[[]model.SiteUse]{}
		c.Precincts = append(c.Precincts, precinct)
		c.Origins.Precincts = append(c.Origins.Precincts, e.Origins.Precinct(p))
		st.Precincts[k] = k
	}
	return c
}

// saysTheSame compares an election of one style with the keyed election.
func saysTheSame(one, keyed *model.Election, o checks.Options) bool {
	return !slices.ContainsFunc(checks.Compare(one, keyed, o).Findings, func(f finding.Finding) bool {
		others := slices.ContainsFunc(f.Claims, func(c finding.Claim) bool { // of precincts not in question
			return c.Thing == finding.Precinct && c.Primary == finding.None && c.Field == finding.Whole
		})
		return !others && f.Grade != finding.Note
	})
}

// withStyles returns an election with some of its styles and the contests on them. unplaced keeps
// contests that are on no ballot at all.
func withStyles(e *model.Election, keep func(style int) bool, unplaced bool) *model.Election {
	c := *e
	c.Styles, c.Contests = nil, nil
	c.Origins.Styles, c.Origins.Contests = nil, nil
	placed, wanted := map[int]bool{}, map[int]bool{}
	for i := range e.Styles {
		for _, p := range e.Styles[i].Content {
			placed[p.Contest] = true
			wanted[p.Contest] = wanted[p.Contest] || keep(i)
		}
	}
	number := map[int]int{}
	for i := range e.Contests {
		if wanted[i] || unplaced && !placed[i] {
			number[i] = len(c.Contests)
			c.Contests = append(c.Contests, e.Contests[i])
			c.Origins.Contests = append(c.Origins.Contests, e.Origins.Contest(i))
		}
	}
	for i := range e.Styles {
		if !keep(i) {
			continue
		}
		st := e.Styles[i].Clone()
		for k := range st.Content {
			st.Content[k].Contest = number[st.Content[k].Contest]
		}
		c.Styles = append(c.Styles, st)
		c.Origins.Styles = append(c.Origins.Styles, e.Origins.Style(i))
	}
	return &c
}
