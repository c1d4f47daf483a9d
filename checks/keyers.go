package checks

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"

	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model"
)

const codeKeyersDiffer finding.Code = "keyers-differ"

var keyersDiffer = &Check{Check: finding.Check{
	Code:    codeKeyersDiffer,
	Purpose: "two keyers of one case keyed the same thing differently",
	Doc: `Where several people share the keying, what two of them keyed is compared; neither is
chosen silently. Needs a case. Graded must-fix.`,
	Example:  `"Town Clerk": Ruth Adeyemi by one keyer, Ruth Adeyami by the other`,
	Headline: "keyed differently",
	Mark:     finding.MarkSpelling,
},
}

// Keyer is what one of several people keyed of the second entry.
type Keyer struct {
	// Name is the person, for findings.
	Name  string
	Entry *model.Election
}

// UniteKeyers puts what several people keyed together into one second entry, and
// reports what two of them keyed differently (keyers-differ). What two keyed is
// taken from the first of them: it is never a silent choice, because the difference
// is a finding. What only one keyed is no difference. The entries are not changed.
func UniteKeyers(keyers []Keyer, opts Options) (*model.Election, []finding.Finding) {
	opts.Mapped = nil
	if len(keyers) == 0 {
		return &model.Election{}, nil
	}
	whole := keyers[0].Entry
	var findings []finding.Finding
	for n := 1; n < len(keyers); n++ {
		for before := range n {
			findings = append(findings, keyersDifferIn(keyers[before], keyers[n], opts)...)
		}
		whole = unite(whole, keyers[n].Entry, opts)
	}
	seen := map[string]bool{}
	findings = slices.DeleteFunc(findings, func(f finding.Finding) bool {
		was := seen[f.ID]
		seen[f.ID] = true
		return was
	})
	return whole, findings
}

// keyersDifferIn compares two keyers' entries. The first takes the primary's place.
func keyersDifferIn(a, b Keyer, opts Options) []finding.Finding {
	var out []finding.Finding
	for _, f := range Compare(a.Entry, b.Entry, opts).Findings {
		check := Find(f.Check)
		// Several keyers share the work, so each has things that the others have not.
		if check == nil || check.Lone || check.Inspects || f.Grade == finding.Note {
			continue
		}
		sum := sha256.Sum256([]byte(f.ID))
		has := func(words string) string {
			if words == "" {
				return "nothing"
			}
			return finding.Quote(words)
		}
		about := cmp.Or(onChoice(&f), quoteIf(f.Contest), unitIf(f.Unit), f.Style, f.Site, strings.Join(f.Precincts, ", "), "the election")
		message := fmt.Sprintf("Two keyers differ on %s (%s): %s keyed %s, %s keyed %s", about, check.Purpose, a.Name, has(f.Primary), b.Name, has(f.Second))
		if f.Primary == "" && f.Second == "" {
			message = fmt.Sprintf("Two keyers differ on %s: by %s and by %s it is not the same (%s)", about, a.Name, b.Name, check.Purpose)
		}
		second := fmt.Sprintf("%s: %s; %s: %s", a.Name, has(f.Primary), b.Name, has(f.Second))
		f.ID, f.Check, f.Grade = string(codeKeyersDiffer)+"-"+hex.EncodeToString(sum[:6]), codeKeyersDiffer, finding.MustFix
		f.Primary, f.Second, f.Message, f.Edits, f.Cause = "", second, message+".", nil, ""
		f.Places = finding.Places{Second: strings.Join(slices.DeleteFunc([]string{f.Places.Primary, f.Places.Second}, func(s string) bool { return s == "" }), "; ")}
		out = append(out, f)
	}
	return out
}

func onChoice(f *finding.Finding) string {
	if f.Choice == "" || f.Contest == "" {
		return ""
	}
	return finding.Quote(f.Choice) + " in " + finding.Quote(f.Contest)
}

func quoteIf(s string) string {
	if s == "" {
		return ""
	}
	return finding.Quote(s)
}

func unitIf(s string) string {
	if s == "" {
		return ""
	}
	return "unit " + s
}

// unite adds to one keyer's entry what only another keyed.
func unite(a, b *model.Election, opts Options) *model.Election {
	pg := pairing.Of(a, b, opts.Language, nil)
	u := uniting{into: a.Clone(), from: b}
	e := u.into
	o := &e.Origins
	fill := func(list *[]model.Origin, n int) {
		for len(*list) < n {
			*list = append(*list, model.Origin{})
		}
	}
	fill(&o.Parties, len(e.Parties))
	fill(&o.Precincts, len(e.Precincts))
	fill(&o.Styles, len(e.Styles))
	fill(&o.Sites, len(e.Sites))
	fill(&o.Units, len(e.Units))
	for len(o.Contests) < len(e.Contests) {
		o.Contests = append(o.Contests, model.ContestOrigin{})
	}

	u.parties = make([]int, len(b.Parties))
	for i, p := range b.Parties {
		if u.parties[i] = pg.Parties.ToPrimary[i]; u.parties[i] < 0 {
			u.parties[i] = len(e.Parties)
			e.Parties, o.Parties = append(e.Parties, p), append(o.Parties, b.Origins.Party(i))
			continue
		}
		into := &e.Parties[u.parties[i]]
		supply(&into.Name, p.Name)
		supply(&into.Abbreviation, p.Abbreviation)
	}
	u.sites = make([]int, len(b.Sites))
	for i, s := range b.Sites {
		if u.sites[i] = pg.Sites.ToPrimary[i]; u.sites[i] < 0 {
			u.sites[i] = len(e.Sites)
			e.Sites, o.Sites = append(e.Sites, s), append(o.Sites, b.Origins.Site(i))
		}
	}
	u.precincts = make([]int, len(b.Precincts))
	for i, p := range b.Precincts {
		sites := p.Sites
		if sites.Known {
			sites.Value = slices.Clone(sites.Value)
			for k := range sites.Value {
				sites.Value[k].Site = u.sites[sites.Value[k].Site]
			}
		}
		if u.precincts[i] = pg.Precincts.ToPrimary[i]; u.precincts[i] >= 0 {
			supply(&e.Precincts[u.precincts[i]].Sites, sites)
			continue
		}
		u.precincts[i] = len(e.Precincts)
		p.Sites = sites
		e.Precincts, o.Precincts = append(e.Precincts, p), append(o.Precincts, b.Origins.Precinct(i))
	}
	u.uniteContests(pg)
	u.uniteStyles()
	for i, unit := range b.Units {
		unit.Precincts.Value = renumbered(unit.Precincts.Value, u.precincts)
		if unit.Site.Known {
			unit.Site.Value = u.sites[unit.Site.Value]
		}
		if at := pg.Units.ToPrimary[i]; at >= 0 {
			supply(&e.Units[at].Site, unit.Site)
			supply(&e.Units[at].Use, unit.Use)
			supply(&e.Units[at].Precincts, unit.Precincts)
			continue
		}
		e.Units, o.Units = append(e.Units, unit), append(o.Units, b.Origins.Unit(i))
	}
	supply(&e.Facts.Name, b.Facts.Name)
	supply(&e.Facts.Date, b.Facts.Date)
	supply(&e.Facts.Jurisdiction, b.Facts.Jurisdiction)
	return e
}

// uniting is one entry being added to another. The lists say, for each thing of
// the added entry, what it is in the whole.
type uniting struct {
	into, from                          *model.Election
	parties, sites, precincts, contests []int
	// choices gives, by contest of the added entry, each choice's place in the whole.
	choices [][]int
}

// supply fills in what was not stated.
func supply[T any](into *model.Stated[T], from model.Stated[T]) {
	if !into.Known {
		*into = from
	}
}

// renumbered gives a sorted list of things their numbers in the whole.
func renumbered(list, numbers []int) []int {
	if list == nil {
		return nil
	}
	out := make([]int, len(list))
	for i, n := range list {
		out[i] = numbers[n]
	}
	slices.Sort(out)
	return slices.Compact(out)
}

func (u *uniting) lines(lines model.Stated[[]int]) model.Stated[[]int] {
	if lines.Known {
		value := make([]int, len(lines.Value))
		for i, p := range lines.Value {
			value[i] = u.parties[p]
		}
		lines.Value = value
	}
	return lines
}

func (u *uniting) uniteContests(pg *pairing.Pairing) {
	e, b := u.into, u.from
	u.contests, u.choices = make([]int, len(b.Contests)), make([][]int, len(b.Contests))
	pairs := map[int]*pairing.ContestPair{}
	for k := range pg.Contests.Pairs {
		if m := &pg.Contests.Pairs[k]; !m.Variant {
			pairs[m.Second] = m
		}
	}
	for i := range b.Contests {
		c := b.Contests[i].Clone()
		c.PrimaryParties = u.lines(c.PrimaryParties)
		for k := range c.Choices {
			c.Choices[k].Lines = u.lines(c.Choices[k].Lines)
		}
		u.choices[i] = pairing.Filled(len(c.Choices))
		pair := pairs[i]
		if pair == nil {
			u.contests[i] = len(e.Contests)
			for k := range c.Choices {
				u.choices[i][k] = k
			}
			e.Contests, e.Origins.Contests = append(e.Contests, c), append(e.Origins.Contests, b.Origins.Contest(i))
			continue
		}
		u.contests[i] = pair.Primary
		into, origin := &e.Contests[pair.Primary], &e.Origins.Contests[pair.Primary]
		supply(&into.Title, c.Title)
		supply(&into.Subtitle, c.Subtitle)
		supply(&into.Kind, c.Kind)
		supply(&into.VoteFor, c.VoteFor)
		supply(&into.PrimaryParties, c.PrimaryParties)
		supply(&into.Text, c.Text)
		if origin.Source == "" {
			origin.Source = b.Origins.Contest(i).Source
		}
		if len(into.Choices) == 0 {
			// One keyed the title, another the choices.
			into.Choices, origin.Choices = c.Choices, b.Origins.Contest(i).Choices
			for k := range c.Choices {
				u.choices[i][k] = k
			}
			continue
		}
		for k := range c.Choices {
			if at := pair.Choices.ToPrimary[k]; at >= 0 {
				u.choices[i][k] = at
				supply(&into.Choices[at].Lines, c.Choices[k].Lines)
			}
		}
	}
}

// uniteStyles adds the ballots of the precincts whose ballot the whole does not
// have yet.
func (u *uniting) uniteStyles() {
	e, b := u.into, u.from
	type ballot struct {
		precinct int
		party    int // -1 for every voter
	}
	parties := func(list []int) []int {
		if len(list) == 0 {
			return []int{-1}
		}
		return list
	}
	have := map[ballot]bool{}
	for _, st := range e.Styles {
		for _, p := range st.Precincts {
			for _, party := range parties(st.Parties) {
				have[ballot{p, party}] = true
			}
		}
	}
	for i, st := range b.Styles {
		st = st.Clone()
		st.Parties = renumbered(st.Parties, u.parties)
		kept := st.Precincts[:0]
		for _, p := range st.Precincts {
			if p = u.precincts[p]; slices.ContainsFunc(parties(st.Parties), func(party int) bool { return !have[ballot{p, party}] }) {
				kept = append(kept, p)
			}
		}
		if len(kept) == 0 && len(st.Precincts) > 0 {
			continue
		}
		slices.Sort(kept)
		st.Precincts = slices.Compact(kept)
		for k := range st.Content {
			placed := &st.Content[k]
			choices := u.choices[placed.Contest]
			placed.Contest = u.contests[placed.Contest]
			if placed.Order.Known {
				order := make([]int, 0, len(placed.Order.Value))
				for _, c := range placed.Order.Value {
					if at := choices[c]; at >= 0 {
						order = append(order, at)
					}
				}
				placed.Order.Value = order
			}
		}
		e.Styles, e.Origins.Styles = append(e.Styles, st), append(e.Origins.Styles, b.Origins.Style(i))
	}
}
