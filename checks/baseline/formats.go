package baseline

import (
	"maps"
	"slices"
	"strings"

	"counterproof/checks/finding"
)

// Disagreements are what two exports of one election in different formats say otherwise. Each group
// words what each says, under its name. What a format does not state at all is no disagreement, nor is
// what no check compares: each format holds other things.
func Disagreements(second, one, other *Values, names [2]string) []Group {
	one, other = one.joinedAs(other), other.joinedAs(one)
	says := [2]said{one.said(), other.said()}
	tables := one.tables || other.tables
	changes := slices.DeleteFunc(joinLanguages(Diff(one, other), one.language, other.language), func(c Change) bool {
		return c.Follows || c.IsUnread() || c.IsReference() || c.Thing == finding.Precinct && c.identifies() ||
			c.Thing == finding.Contest && titles[c.Field] && (c.Language == "" || c.Language == one.language) ||
			tables && onlyInReports(&c) ||
			c.Before == nil && !says[0].of(&c) || c.After == nil && !says[1].of(&c)
	})
	changes = append(titlesApart(one, other), changes...)
	n := namer{second, one, other, names}
	groups := n.groups(changes)
	for i := range groups {
		groups[i].Keyed = n.keyed(&groups[i].Changes[0])
	}
	return groups
}

// keyed is what the second entry says of a single field; empty where it says nothing.
func (n namer) keyed(c *Change) string {
	if titles[c.Field] && c.Thing == finding.Contest && n.second.contest(c.ID) != nil {
		return n.second.called[thing{c.Thing, c.ID}]
	}
	// The first language of a second entry has no name.
	for _, language := range []string{c.Language, ""} {
		k := Key{Thing: c.Thing, ID: c.ID, Part: c.Part, Field: c.Field, Language: language}
		said, single := n.second.Stated([]Key{k})
		if single && len(said) == 3 && (language == c.Language || c.Language == n.before.language) {
			return n.values(c, strings.Split(strings.TrimPrefix(said[2], "+"), "\x1d"))
		}
	}
	return ""
}

// joinedAs returns values of tables with combined precincts as a report has them: tables give a ballot
// to the combined precinct and do not know its members, a report gives it to these.
func (v *Values) joinedAs(report *Values) *Values {
	if !v.tables || report.tables {
		return v
	}
	out := &Values{things: maps.Clone(v.things), ballots: map[face]*ballot{}, loose: v.loose, on: v.on, first: v.first,
		called: v.called, keyedAs: v.keyedAs, language: v.language, tables: true}
	for f, b := range v.ballots {
		joined := report.things[thing{finding.Precinct, f.precinct}][field{name: Members}].list
		if report.ballots[f] != nil || len(joined) == 0 {
			joined = []string{f.precinct}
		}
		for _, p := range joined {
			if at := (face{p, f.voters}); v.ballots[at] == nil || p == f.precinct {
				out.ballots[at] = b
			}
			if t := (thing{finding.Precinct, p}); out.things[t] == nil {
				out.things[t] = report.things[t]
			}
		}
	}
	return out
}

// joinLanguages makes one change of what one export states in a language and the other in the same one
// by another tag ("en" and "en-US", or none).
func joinLanguages(changes []Change, first, other string) []Change {
	type of struct {
		thing    finding.Thing
		id, part string
		field    finding.Field
	}
	lone := map[of]int{}
	var out []Change
	for _, c := range changes {
		if c.Thing == finding.Ballot && (c.Field == finding.Headings || c.Field == Closing) && c.Before != nil &&
			c.After != nil && sameHeadings(&c, first, other) {
			continue
		}
		if (c.Before == nil) == (c.After == nil) || c.Field == finding.Whole || c.Field == finding.Content || c.Member != "" {
			out = append(out, c)
			continue
		}
		k := of{c.Thing, c.ID, c.Part, c.Field}
		i, known := lone[k]
		if !known || (out[i].Before == nil) == (c.Before == nil) || languageOf(out[i].Language, first, other) !=
			languageOf(c.Language, first, other) {
			lone[k] = len(out)
			out = append(out, c)
			continue
		}
		if out[i].Before == nil {
			out[i].Before = c.Before
		} else {
			out[i].After = c.After
		}
		delete(lone, k)
	}
	return slices.DeleteFunc(out, func(c Change) bool {
		return c.Before != nil && c.After != nil && slices.Equal(c.Before, c.After)
	})
}

// languageOf is what a tag and others of the same language have in common; first and other are those
// in which the exports are compared.
func languageOf(tag, first, other string) string {
	if tag == other || tag == "" {
		tag = first
	}
	tag, _, _ = strings.Cut(tag, "-")
	return tag
}

// sameHeadings reports whether two exports print the same headings in the languages that both state.
func sameHeadings(c *Change, first, other string) bool {
	one, also := headingsIn(c.Before, first, other), headingsIn(c.After, first, other)
	for tag, words := range one {
		if in, both := also[tag]; both && !slices.Equal(in, words) {
			return false
		}
	}
	tag := languageOf(first, first, other)
	return slices.Equal(one[tag], also[tag])
}

// headingsIn are headings by language.
func headingsIn(headings []string, first, other string) map[string][]string {
	out := map[string][]string{}
	for _, h := range headings {
		for _, part := range strings.Split(h, "\x1f") {
			if tag, words, ok := strings.Cut(part, "\x1e"); ok {
				tag = languageOf(tag, first, other)
				out[tag] = append(out[tag], words)
			}
		}
	}
	return out
}

// titles are the fields of a contest's title. A format without a title for the ballot has a working
// name in its place, so the whole title is compared (titlesApart).
var titles = map[finding.Field]bool{finding.Title: true, Subtitle: true, WorkName: true}

// titlesApart compares what contests are called in the compared language.
func titlesApart(one, other *Values) (out []Change) {
	for t, title := range one.called {
		also, known := other.called[t]
		if t.kind == finding.Contest && known && plain(title) != plain(also) {
			out = append(out, Change{Thing: t.kind, ID: t.id, Field: finding.Title, Before: []string{plain(title)},
				After: []string{plain(also)}})
		}
	}
	slices.SortFunc(out, func(a, b Change) int {
		return compareThings(thing{a.Thing, a.ID}, thing{b.Thing, b.ID})
	})
	return out
}

// identifies reports whether a field of a precinct only serves to find it: that it was found is enough.
func (c *Change) identifies() bool {
	return c.Field == finding.Name || c.Field == Number || c.Field == finding.Kind || c.Field == Members
}

// onlyInReports reports whether tables state a thing otherwise than a report, or not at all: districts,
// parties that nothing uses, styles that no precinct gets.
func onlyInReports(c *Change) bool {
	return c.Thing == district || c.Field == District || c.Thing == unused || c.Thing == finding.Party
}

// stating is a kind of value that an export states: a field, in a language, of things of a kind; the
// field Whole for things of the kind themselves.
type stating struct {
	kind finding.Thing
	field
}

// said are the kinds of values that an export states somewhere.
type said map[stating]bool

// of reports whether an export that does not state a value states others of its kind: then what it
// leaves out is a difference. What every format states is always one.
func (s said) of(c *Change) bool {
	switch {
	case c.Field == finding.WriteIn, c.Thing == finding.Ballot && c.Field != finding.Label &&
		c.Field != finding.Headings && c.Field != Closing:
		return true
	case c.Field == finding.Whole && (c.Thing == finding.Contest || c.Thing == finding.Choice ||
		c.Thing == finding.Precinct):
		return true
	}
	return s[stating{c.Thing, field{c.Field, c.Language}}]
}

func (v *Values) said() said {
	s := said{}
	add := func(kind finding.Thing, f fields) {
		s[stating{kind, field{name: finding.Whole}}] = true
		for name := range f {
			s[stating{kind, name}] = true
		}
	}
	for t, f := range v.things {
		add(t.kind, f)
	}
	for _, contests := range []map[string]*contest{v.first, v.loose} {
		for _, c := range contests {
			add(finding.Contest, c.fields)
			for _, f := range c.choices {
				add(finding.Choice, f)
			}
		}
	}
	for b := range maps.Values(v.ballots) {
		add(finding.Ballot, b.fields)
		for _, p := range b.content {
			if p.headings.list != nil {
				s[stating{finding.Ballot, field{name: finding.Headings}}] = true
			}
		}
	}
	return s
}
