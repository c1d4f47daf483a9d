package checks

import (
	"cmp"
	"reflect"
	"strconv"
	"strings"

	"counterproof/model"
)

// setContest changes one field of own's contest of a pair.
func setContest(k int, f *Finding, what string, change func(r *repair, own, other *model.Contest)) mending {
	return setting(f, what+" of "+thing(f), func(r *repair) {
		change(r, &r.to.Contests[r.mine(k)], &r.other.contests[r.theirs(k)])
	}).of(k)
}

func setTitle(k int, f *Finding) mending {
	return setContest(k, f, "title", func(r *repair, own, other *model.Contest) {
		if !own.Title.Known && own.Name.Known {
			own.Title = own.Name
		}
		own.Title = r.say(own.Title, plain(other.Title))
		own.Subtitle = model.Stated[model.Text]{}
	})
}

func setKind(k int, f *Finding) mending {
	return setContest(k, f, "kind", func(_ *repair, own, other *model.Contest) { own.Kind = other.Kind })
}

func setVoteFor(k int, f *Finding) mending {
	return setContest(k, f, "vote for", func(_ *repair, own, other *model.Contest) { own.VoteFor = other.VoteFor })
}

func setPrimaryParties(k int, f *Finding) mending {
	return setContest(k, f, "primary party", func(r *repair, own, _ *model.Contest) {
		own.PrimaryParties = r.statedParties(r.other.contests[r.theirs(k)].PrimaryParties)
	})
}

// setText gives own's measure the text of the other side's, primary or second as
// the finding has them; empty where that side holds none.
func setText(k int, f *Finding) mending {
	primary, second := f.Primary, f.Second
	return setContest(k, f, "text", func(r *repair, own, other *model.Contest) {
		want := second
		if r.second {
			want = primary
		}
		if want == "" && !other.Text.Known && !other.Summary.Known {
			own.Text, own.Summary = model.Stated[model.Text]{}, model.Stated[model.Text]{}
			return
		}
		own.Text = r.say(own.Text, want)
	})
}

func setFact(f *Finding, what, path string) mending {
	return setting(f, what+" of the election", func(r *repair) {
		own, other := &r.to.Facts, &r.other.Facts
		switch path {
		case "Name":
			own.Name = r.say(own.Name, r.other.words(other.Name.Value))
		case "Date":
			own.Date = other.Date
		case "Jurisdiction":
			own.Jurisdiction = r.say(own.Jurisdiction, r.other.words(other.Jurisdiction.Value))
		}
	})
}

// setPartyName makes own call a party what the other side calls it: pair i of the
// primary and j of the second entry.
func setPartyName(f *Finding, i, j int) mending {
	return setting(f, "name of the party "+quote(cmp.Or(f.Second, f.Primary)), func(r *repair) {
		r.renameTickets(i, j)
		p, s := &r.ps.p.Parties[i], &r.ps.s.Parties[j]
		pn, pa := r.ps.p.words(p.Name.Value), r.ps.p.words(p.Abbreviation.Value)
		sn, sa := r.ps.s.words(s.Name.Value), r.ps.s.words(s.Abbreviation.Value)
		if !r.second {
			own := &r.to.Parties[i]
			if sn != "" && sn != pn && sn != pa {
				own.Name = r.say(own.Name, sn)
				r.nameStraightParty(pn, sn)
			}
			if sa != "" && sa != pa && sa != pn {
				own.Abbreviation = r.say(own.Abbreviation, sa)
			}
			return
		}
		own := &r.to.Parties[j]
		if sn != "" && sn != pn && sn != pa {
			own.Name = r.say(own.Name, cmp.Or(pn, pa))
			r.nameStraightParty(sn, cmp.Or(pn, pa))
		}
		if sa != "" && sa != pa && sa != pn && !isAny(sa, r.ps.p.Origins.Party(i).ID, r.ps.p.Origins.Party(i).Codes) {
			own.Abbreviation = r.say(own.Abbreviation, cmp.Or(pa, pn))
		}
	})
}

// nameStraightParty gives a party its name in the straight-party contests of own
// too, where the party is itself the choice.
func (r *repair) nameStraightParty(old, name string) {
	for c := range r.to.Contests {
		if r.to.Contests[c].Kind.Value != model.KindParty {
			continue
		}
		for i := range r.to.Contests[c].Choices {
			if ch := &r.to.Contests[c].Choices[i]; r.own.words(ch.Name.Value) == old {
				ch.Name = r.say(ch.Name, name)
			}
		}
	}
}

// renameTickets calls a party in straight-party contests what the other side calls
// it: the party's name is what differs there too.
func (r *repair) renameTickets(i, j int) {
	from, to := r.ps.p.words(r.ps.p.Parties[i].Name.Value), r.ps.s.words(r.ps.s.Parties[j].Name.Value)
	if r.second {
		from, to = to, from
	}
	for k, m := range r.ps.contests.pairs {
		if r.ps.s.contests[m.second].Kind.Value != model.KindParty || from == "" || to == "" {
			continue
		}
		e := r.choicesOf(k)
		for c, ch := range r.own.contests[r.minePaired(k)].Choices {
			if o := e.other(c); o >= 0 && plain(ch.Name) == from && plain(e.theirs()[o].Name) == to {
				e.contest().Choices[c].Name = r.say(e.contest().Choices[c].Name, to)
			}
		}
	}
}

// setSwept sets a field that the sweep found to differ, where it can be set by
// itself: lists and references need more than the value.
func setSwept(ps *pass, thing string, index int, path string, f *Finding) (mending, bool) {
	if thing == "contest" && strings.HasPrefix(path, "Choices[") {
		return setSweptChoice(ps, index, path, f)
	}
	field := func(ps *pass, e *model.Election, second bool) reflect.Value {
		pick := func(p, s int) int {
			if second {
				return s
			}
			return p
		}
		switch thing {
		case "facts":
			return reflect.ValueOf(&e.Facts).Elem().FieldByName(path)
		case "party":
			return reflect.ValueOf(&e.Parties[pick(index, ps.parties.toSecond[index])]).Elem().FieldByName(path)
		case "contest":
			m := ps.contests.pairs[index]
			return reflect.ValueOf(&e.Contests[pick(m.primary, m.second)]).Elem().FieldByName(path)
		case "unit":
			return reflect.ValueOf(&e.Units[pick(index, ps.units.toSecond[index])]).Elem().FieldByName(path)
		}
		return reflect.Value{}
	}
	switch path {
	case "District", "PrimaryParties", "Site", "Precincts", "Unknown", "Choices":
		return mending{}, false
	}
	if !field(ps, ps.p.Election, false).IsValid() {
		return mending{}, false
	}
	m := setting(f, "field "+path, func(r *repair) {
		from := field(r.ps, r.other.Election, !r.second)
		to := reflect.New(from.Type()).Elem()
		deepCopy(to, from)
		field(r.ps, r.to, r.second).Set(to)
	})
	if thing == "contest" {
		m = m.of(index)
	}
	return m, true
}

// setSweptChoice sets the person of a voting position, or whether it is for
// writing in; path is "Choices[3].Person" by the second entry's positions.
func setSweptChoice(ps *pass, pair int, path string, f *Finding) (mending, bool) {
	number, field, _ := strings.Cut(strings.TrimPrefix(path, "Choices["), "].")
	j, err := strconv.Atoi(number)
	cp := ps.contests.pairs[pair].choices
	if err != nil || j >= len(cp.toPrimary) || cp.toPrimary[j] < 0 {
		return mending{}, false
	}
	switch field {
	case "Person":
		return setPeople(pair, f, []int{j}), true
	case "Lines":
		return setLines(pair, f, j), true
	case "WriteIn":
		return setting(f, "write-in of "+thing(f), func(r *repair) {
			e := r.choicesOf(pair)
			c := e.own(cp.toPrimary[j])
			if !r.second {
				c = e.own(j)
			}
			e.contest().Choices[c].WriteIn = e.theirs()[e.other(c)].WriteIn
		}).of(pair), true
	}
	return mending{}, false
}
