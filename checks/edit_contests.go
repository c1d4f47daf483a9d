package checks

import (
	"cmp"
	"reflect"
	"strconv"
	"strings"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model"
)

// setContest changes one field of own's contest of a pair.
func setContest(k int, f *finding.Finding, what string, change func(r *repair, own, other *model.Contest)) mending {
	return setting(f, what+" of "+thing(f), func(r *repair) {
		change(r, &r.to.Contests[r.mine(k)], &r.other.Compared[r.theirs(k)])
	}).of(k)
}

func setTitle(k int, f *finding.Finding) mending {
	return setContest(k, f, "title", func(r *repair, own, other *model.Contest) {
		if !own.Title.Known && own.Name.Known {
			own.Title = own.Name
		}
		own.Title = r.say(own.Title, pairing.Plain(other.Title))
		own.Subtitle = model.Stated[model.Text]{}
	})
}

func setKind(k int, f *finding.Finding) mending {
	return setContest(k, f, "kind", func(_ *repair, own, other *model.Contest) { own.Kind = other.Kind })
}

func setVoteFor(k int, f *finding.Finding) mending {
	return setContest(k, f, "vote for", func(_ *repair, own, other *model.Contest) { own.VoteFor = other.VoteFor })
}

func setPrimaryParties(k int, f *finding.Finding) mending {
	return setContest(k, f, "primary party", func(r *repair, own, _ *model.Contest) {
		own.PrimaryParties = r.statedParties(r.other.Compared[r.theirs(k)].PrimaryParties)
	})
}

// setText gives own's measure the text of the other side's, primary or second as
// the finding has them; empty where that side holds none.
func setText(k int, f *finding.Finding) mending {
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

func setFact(f *finding.Finding, what string, field finding.Field) mending {
	return setting(f, what+" of the election", func(r *repair) {
		own, other := &r.to.Facts, &r.other.Facts
		switch field {
		case finding.Name:
			own.Name = r.say(own.Name, r.other.Words(other.Name.Value))
		case finding.Date:
			own.Date = other.Date
		case finding.Jurisdiction:
			own.Jurisdiction = r.say(own.Jurisdiction, r.other.Words(other.Jurisdiction.Value))
		}
	})
}

// setPartyName makes own call a party what the other side calls it: pair i of the
// primary and j of the second entry.
func setPartyName(f *finding.Finding, i, j int) mending {
	return setting(f, "name of the party "+finding.Quote(cmp.Or(f.Second, f.Primary)), func(r *repair) {
		r.renameTickets(i, j)
		p, s := &r.ds.Primary.Parties[i], &r.ds.Second.Parties[j]
		pn, pa := r.ds.Primary.Words(p.Name.Value), r.ds.Primary.Words(p.Abbreviation.Value)
		sn, sa := r.ds.Second.Words(s.Name.Value), r.ds.Second.Words(s.Abbreviation.Value)
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
		if sa != "" && sa != pa && sa != pn && !pairing.IsAny(sa, r.ds.Primary.Origins.Party(i).ID, r.ds.Primary.Origins.Party(i).Codes) {
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
			if ch := &r.to.Contests[c].Choices[i]; r.own.Words(ch.Name.Value) == old {
				ch.Name = r.say(ch.Name, name)
			}
		}
	}
}

// renameTickets calls a party in straight-party contests what the other side calls
// it: the party's name is what differs there too.
func (r *repair) renameTickets(i, j int) {
	from, to := r.ds.Primary.Words(r.ds.Primary.Parties[i].Name.Value), r.ds.Second.Words(r.ds.Second.Parties[j].Name.Value)
	if r.second {
		from, to = to, from
	}
	for k, m := range r.ds.Contests.Pairs {
		if r.ds.Second.Compared[m.Second].Kind.Value != model.KindParty || from == "" || to == "" {
			continue
		}
		e := r.choicesOf(k)
		for c, ch := range r.own.Compared[r.minePaired(k)].Choices {
			if o := e.other(c); o >= 0 && pairing.Plain(ch.Name) == from && pairing.Plain(e.theirs()[o].Name) == to {
				e.contest().Choices[c].Name = r.say(e.contest().Choices[c].Name, to)
			}
		}
	}
}

// setSwept sets a field that the sweep found to differ, where it can be set by
// itself: lists and references need more than the value.
func setSwept(ds *difference.Differences, thing string, index int, path string, f *finding.Finding) (mending, bool) {
	if thing == "contest" && strings.HasPrefix(path, "Choices[") {
		return setSweptChoice(ds, index, path, f)
	}
	field := func(ds *difference.Differences, e *model.Election, second bool) reflect.Value {
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
			return reflect.ValueOf(&e.Parties[pick(index, ds.Parties.ToSecond[index])]).Elem().FieldByName(path)
		case "contest":
			m := ds.Contests.Pairs[index]
			return reflect.ValueOf(&e.Contests[pick(m.Primary, m.Second)]).Elem().FieldByName(path)
		case "unit":
			return reflect.ValueOf(&e.Units[pick(index, ds.Units.ToSecond[index])]).Elem().FieldByName(path)
		}
		return reflect.Value{}
	}
	switch path {
	case "District", "PrimaryParties", "Site", "Precincts", "Unknown", "Choices":
		return mending{}, false
	}
	if !field(ds, ds.Primary.Election, false).IsValid() {
		return mending{}, false
	}
	m := setting(f, "field "+path, func(r *repair) {
		from := field(r.ds, r.other.Election, !r.second)
		to := reflect.New(from.Type()).Elem()
		deepCopy(to, from)
		field(r.ds, r.to, r.second).Set(to)
	})
	if thing == "contest" {
		m = m.of(index)
	}
	return m, true
}

// setSweptChoice sets the person of a voting position, or whether it is for
// writing in; path is "Choices[3].Person" by the second entry's positions.
func setSweptChoice(ds *difference.Differences, pair int, path string, f *finding.Finding) (mending, bool) {
	number, field, _ := strings.Cut(strings.TrimPrefix(path, "Choices["), "].")
	j, err := strconv.Atoi(number)
	cp := ds.Contests.Pairs[pair].Choices
	if err != nil || j >= len(cp.ToPrimary) || cp.ToPrimary[j] < 0 {
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
			c := e.own(cp.ToPrimary[j])
			if !r.second {
				c = e.own(j)
			}
			e.contest().Choices[c].WriteIn = e.theirs()[e.other(c)].WriteIn
		}).of(pair), true
	}
	return mending{}, false
}
