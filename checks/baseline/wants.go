package baseline

import (
	"slices"
	"strings"

	"counterproof/checks/finding"
)

// Wants says how the second entry relates to a change.
type Wants int

// The second entry does not state the value (NotStated), or states it; Wanted means that the change
// makes the export agree.
const (
	NotStated Wants = iota
	Otherwise
	Wanted
)

// Wants says how the second entry relates to a change in an export's values, on the ballot of a
// precinct. differs reports whether a comparison found that the later export differs from the
// second entry there.
func (v *Values) Wants(of *Values, c *Change, precinct string, differs func(c *Change, precinct string) bool) Wants {
	told := func(wanted bool) Wants {
		if wanted {
			return Wanted
		}
		return Otherwise
	}
	var f fields
	switch c.Thing {
	case finding.Ballot:
		return v.wantsOnBallot(of, c, precinct, differs)
	case finding.Contest, finding.Choice:
		m := v.contest(contestID(c.ID))
		if c.Thing == finding.Contest && c.Field == finding.Whole {
			return told((m != nil) == (c.After != nil))
		}
		if m == nil {
			return told(c.After == nil)
		}
		if f = m.fields; c.Thing == finding.Choice {
			f = m.choices[c.Part]
			if c.Field == finding.Whole {
				return told((f != nil) == (c.After != nil))
			}
		}
	default:
		f = v.things[thing{c.Thing, c.ID}]
		if c.Field == finding.Whole {
			if list, ok := compared[c.Thing]; ok && len(list) == 0 {
				return NotStated
			}
			return told((f != nil) == (c.After != nil))
		}
	}
	if list, ok := compared[c.Thing]; ok && !slices.Contains(list, c.Field) {
		return NotStated
	}
	return wantsField(f, of, c, precinct, differs)
}

// repeats reports whether a change makes two fields of a contest in the export state the same
// wording.
func (v *Values) repeats(c *Change) bool {
	m := v.contest(contestID(c.ID))
	if m == nil || c.Thing != finding.Contest || c.After == nil {
		return false
	}
	for name, says := range m.fields {
		if name.name != c.Field && name.language == c.Language && sameWording(name.name, c.Field) &&
			slices.Equal(says.list, c.After) {
			return true
		}
	}
	return false
}

// wantsField says how the fields of a thing in the second entry relate to a change in an export.
// The second entry states wording in a language other than the compared one only under that
// language's tag.
func wantsField(f fields, of *Values, c *Change, precinct string,
	differs func(c *Change, precinct string) bool) Wants {
	var stated []value
	for name, v := range f {
		if sameWording(name.name, c.Field) && (name.language == c.Language || name.language == "" &&
			(c.Language == of.language || c.After != nil && slices.Equal(v.list, c.After))) {
			stated = append(stated, v)
		}
	}
	switch {
	case c.Field == finding.Person && f != nil:
		// A position without others of the same person states that it has none.
		if has(f[field{name: finding.Person}].list, c.Member) == has(c.After, c.Member) {
			return Wanted
		}
		return Otherwise
	case len(stated) == 0:
		return NotStated
	case c.Member != "":
		// If the second entry states the set, each member is either wanted or not.
		if slices.ContainsFunc(stated, func(v value) bool { return has(v.list, c.Member) }) == has(c.After, c.Member) {
			return Wanted
		}
	case slices.ContainsFunc(stated, func(v value) bool { return c.After != nil && slices.Equal(v.list, c.After) }):
		return Wanted
	case c.Field == WorkName && slices.Equal(f.wholeTitle(), c.After):
		return Wanted // the sheets have a title and a subtitle where the export has one name
	case slices.Contains(inOtherWords, c.Field) && !of.repeats(c):
		return NotStated // the other field is stated, with another wording
	}
	if differs(c, precinct) {
		return Otherwise
	}
	return Wanted
}

// wholeTitle returns the title of a contest in the second entry, with its subtitle.
func (f fields) wholeTitle() []string {
	words := append(slices.Clone(f[field{name: finding.Title}].list), f[field{name: Subtitle}].list...)
	return []string{strings.Join(words, " ")}
}

func (v *Values) wantsOnBallot(of *Values, c *Change, precinct string,
	differs func(c *Change, precinct string) bool) Wants {
	var ballots []*ballot
	for _, f := range v.facesOf(of.namesOf(precinct)) {
		ballots = append(ballots, v.ballots[f])
	}
	contest := contestID(c.Part)
	if c.ID != "" && c.Field == finding.Order {
		contest = contestID(c.ID)
	}
	at := func() *placement {
		for _, b := range ballots {
			if p := b.at(contest); p != nil {
				return p
			}
		}
		return nil
	}
	switch {
	case c.Field == finding.Whole:
		if (len(ballots) > 0) == (c.After != nil) {
			return Wanted
		}
		return Otherwise
	case len(ballots) == 0:
		return NotStated
	case c.Field == finding.Content:
		// A contest that should be printed once is never wanted a second time.
		if (at() != nil && contest == c.Part) == (c.After != nil) {
			return Wanted
		}
		return Otherwise
	case c.Field == finding.Headings:
		if p := at(); p == nil || p.headings.list == nil || otherLanguages(c.Before, of.language) !=
			otherLanguages(c.After, of.language) {
			return NotStated
		}
	case c.Field == finding.Label, c.Field == Closing:
		if !slices.ContainsFunc(ballots, func(b *ballot) bool { _, ok := b.fields[field{name: c.Field}]; return ok }) {
			return NotStated
		}
	}
	if differs(c, precinct) {
		return Otherwise
	}
	return Wanted
}

// contest returns the contents of a contest, from any ballot; nil if there is none.
func (v *Values) contest(id string) *contest {
	if c := v.loose[id]; c != nil {
		return c
	}
	return v.first[id]
}

// Stated returns the values of the single fields that the keys name, each in the key's language;
// false if a key names more than one field of a thing.
func (v *Values) Stated(keys []Key) ([]string, bool) {
	var out []string
	for _, k := range keys {
		var f fields
		switch k.Thing {
		case finding.Contest, finding.Choice:
			m := v.contest(k.ID)
			if m == nil {
				return nil, false
			}
			if f = m.fields; k.Thing == finding.Choice {
				f = m.choices[k.Part]
			}
		case finding.Ballot, finding.Precinct:
			return nil, false
		default:
			f = v.things[thing{k.Thing, k.ID}]
		}
		if k.Field == finding.Whole || k.Field == finding.Versions {
			return nil, false
		}
		for _, name := range f.sorted() {
			if name.language == k.Language && (name.name == k.Field || slices.Contains(of[k.Field], name.name)) {
				out = append(out, string(name.name), name.language, stated(f[name].list))
			}
		}
	}
	return out, true
}
