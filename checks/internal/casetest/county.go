package casetest

import (
	"bytes"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/model"
	"counterproof/model/cdf"
)

// County is a county of n precincts with 30 contests on every ballot: 10 of the whole
// county, 4 of a legislative district, 8 of a town and 8 of a school district. Where
// shared is true school districts are towns, so that the 50 precincts of a town have
// one ballot; else they cross, so that no two precincts have the same.
func County(n int, shared bool) *model.Election {
	const town = 50
	e := &model.Election{Facts: model.Facts{Name: model.Say(model.Plain("General Election")),
		Date: model.Say("2027-11-02"), Jurisdiction: model.Say(model.Plain("Tarnwick County"))}}
	for p := range 5 {
		e.Parties = append(e.Parties, model.Party{Name: model.Say(model.Plain(fmt.Sprintf("Party of the %c", 'A'+p))),
			Abbreviation: model.Say(model.Plain(string(rune('A' + p))))})
	}
	for p := range n {
		site := p / 5
		if p%5 == 0 {
			e.Sites = append(e.Sites, model.Site{Name: model.Plain(fmt.Sprintf("Fire House %d", site+1))})
			e.Units = append(e.Units, model.Unit{Name: fmt.Sprintf("U-%04d", site+1), Site: model.Say(site),
				Use: model.Say(model.UseElectionDay)})
		}
		e.Units[site].Precincts = model.Say(append(e.Units[site].Precincts.Value, p))
		name := fmt.Sprintf("%03d-%02d", p/town+1, p%town+1)
		e.Precincts = append(e.Precincts, model.Precinct{Name: model.Plain(name), Number: name, Kind: "precinct",
			Sites: model.Say([]model.SiteUse{{Site: site, Use: model.UseElectionDay}})})
	}
	levels := []struct {
		name     string
		contests int
		district func(p int) int
	}{
		{"county", 10, func(int) int { return 0 }},
		{"legislative", 4, func(p int) int { return p / 500 }},
		{"town", 8, func(p int) int { return p / town }},
		{"school", 8, func(p int) int {
			if shared {
				return p / town
			}
			return p % town
		}},
	}
	first := make([][]int, len(levels)) // by level and district: its first contest
	person := 0
	for l, level := range levels {
		var inside [][]int
		for p := range n {
			d := level.district(p)
			for len(inside) <= d {
				inside = append(inside, nil)
			}
			inside[d] = append(inside[d], p)
		}
		for d, precincts := range inside {
			e.Districts = append(e.Districts, model.District{Name: model.Plain(fmt.Sprintf("%s district %d", level.name, d+1)),
				Kind: level.name, Precincts: precincts})
			first[l] = append(first[l], len(e.Contests))
			for k := range level.contests {
				c := model.Contest{
					Title: model.Say(model.Plain(fmt.Sprintf("Commissioner of Works %d, %s district %d", k+1, level.name, d+1))),
					Kind:  model.Say(model.KindCandidate), VoteFor: model.Say(1), PrimaryParties: model.Say([]int{}),
					District: model.Say(len(e.Districts) - 1),
				}
				c.Name = c.Title
				for choice := range 4 {
					person++
					c.Choices = append(c.Choices, model.Choice{Name: model.Say(model.Plain(personName(person))),
						Lines: model.Say([]int{choice}), Person: fmt.Sprint(choice)})
				}
				again := c.Choices[0].Clone()
				again.Lines = model.Say([]int{4})
				c.Choices = append(c.Choices, again, model.Choice{WriteIn: true})
				e.Contests = append(e.Contests, c)
			}
		}
	}
	order := model.Say([]int{0, 1, 2, 3, 4, 5})
	for p := range n {
		if shared && p%town > 0 {
			st := &e.Styles[len(e.Styles)-1]
			st.Precincts = append(st.Precincts, p)
			continue
		}
		st := model.Style{Label: model.Say(fmt.Sprintf("BS-%04d", len(e.Styles)+1)), Precincts: []int{p}}
		for l, level := range levels {
			for k := range level.contests {
				st.Content = append(st.Content, model.Placement{Contest: first[l][level.district(p)] + k, Order: order})
			}
		}
		e.Styles = append(e.Styles, st)
	}
	return e
}

// personName makes names that no two people share.
func personName(n int) string {
	first := []string{"Adela", "Bram", "Corin", "Dessa", "Edwin", "Farah", "Gideon", "Hanna", "Ivo", "Junia", "Kasper",
		"Leona", "Milan", "Nadia", "Orrin", "Petra", "Quentin"}
	last := []string{"Abbeton", "Birkmoor", "Calder", "Dunmere", "Eastlow", "Farrant", "Gresham", "Holloway", "Inverly",
		"Jessop", "Kestrel", "Lorimer", "Marchbank", "Norwood", "Ostrowe", "Pettigrew", "Quarles", "Ravensby", "Stannard"}
	return fmt.Sprintf("%s %s-%s", first[n%17], last[n/17%19], last[n/17/19%19])
}

// Export writes an election as XML.
func Export(t testing.TB, e *model.Election) []byte {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, cdf.WriteXML(&out, e, cdf.WriteOptions{}))
	return out.Bytes()
}
