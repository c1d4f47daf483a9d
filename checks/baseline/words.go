package baseline

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"

	"counterproof/checks/finding"
	"counterproof/checks/natural"
	"counterproof/checks/wording"
)

// Group is a set of changes that a reader sees as one: all of one field of one thing, or the same
// change on several things.
type Group struct {
	// ID identifies the group in all exports.
	ID      string
	Changes []Change
	// Words say in short what changed, without a full stop; Before and After are the values.
	Words         string
	Before, After string
	// Keyed is what the second entry says, where exports in two formats disagree on a single field.
	Keyed string
	// The subject, in names for people.
	Contest, Choice, Unit, Site string
	Precincts                   []string
	// Unread is set if no check compares what changed.
	Unread bool
}

// fieldNames name fields for people.
var fieldNames = map[finding.Field]string{
	finding.Title:          "the title",
	Subtitle:               "the subtitle",
	WorkName:               "the working name",
	finding.Kind:           "the kind",
	finding.Text:           "the text",
	Summary:                "the summary",
	finding.VoteFor:        "the vote-for",
	finding.PrimaryParties: "the primary party",
	Variation:              "the way votes count",
	District:               "the district",
	Rotates:                "the rotation",
	finding.Name:           "the name",
	finding.Lines:          "the party line",
	finding.WriteIn:        "the write-in mark",
	finding.Person:         "the candidate",
	finding.Headings:       "the heading",
	Closing:                "the closing heading",
	finding.Label:          "the label",
	finding.Order:          "the order",
	finding.Date:           "the date",
	finding.Jurisdiction:   "the jurisdiction",
	finding.Abbreviation:   "the abbreviation",
	finding.Sites:          "the polling site",
	finding.SiteOf:         "the polling site",
	finding.Use:            "the use",
	finding.Precincts:      "the precincts",
	Number:                 "the number",
	Members:                "the members",
	Unknown:                "the unknown names",
	finding.Versions:       "the number of contests in the export",
}

// Groups groups and words changes. The values of a thing that was added or removed are reported
// with it. Things have the second entry's names where it has them.
func Groups(second, before, after *Values, changes []Change) []Group {
	return namer{second: second, before: before, after: after}.groups(changes)
}

func (n namer) groups(changes []Change) []Group {
	where := map[string]int{}
	var out []Group
	given := n.given(changes)
	// If a contest states one wording in two fields, a change of both is one change.
	wordings := map[string]finding.Field{}
	for _, c := range changes {
		if _, ok := of[c.Field]; ok && c.Thing == finding.Contest {
			wordings[key(c.ID, c.Language, stated(c.Before), stated(c.After))] = c.Field
		}
	}
	for _, c := range changes {
		if c.Follows {
			continue
		}
		field := c.Field
		if f := wordings[key(c.ID, c.Language, stated(c.Before), stated(c.After))]; sameWording(f, field) {
			field = f
		}
		k := key(string(c.Thing), c.ID, string(field), c.Language, stated(c.Before), stated(c.After))
		switch {
		case c.IsUnread() && c.Field != finding.Whole:
			k = key(string(member(c.Field)), stated(c.Before), stated(c.After))
		case given[faceOf(&c)]:
			k = key("given", faceOf(&c))
		case c.Thing == finding.Ballot && c.Part != "":
			k += key("", c.Part)
		case c.Thing == finding.Choice && c.Field == finding.Person:
			k = key(string(c.Thing), c.ID, string(c.Field), people(c.Before), people(c.After),
				n.call(finding.Choice, key(contestID(c.ID), c.Part)))
		case c.Thing == finding.Choice && c.Field == finding.Whole:
			k += key("", c.Part)
		}
		if i, ok := where[k]; ok {
			out[i].Changes = append(out[i].Changes, c)
			out[i].Precincts = append(out[i].Precincts, c.Precincts...)
			continue
		}
		where[k] = len(out)
		sum := sha256.Sum256([]byte(key(string(c.Thing), c.ID, c.Part, string(c.Field), c.Language, c.Member,
			stated(c.Before), stated(c.After))))
		out = append(out, Group{ID: hex.EncodeToString(sum[:6]), Changes: []Change{c}, Precincts: slices.Clone(c.Precincts),
			Unread: c.IsUnread()})
	}
	for i := range out {
		out[i].Precincts = slices.Compact(natural.Sorted(n.precincts(out[i].Precincts)))
		if out[i].Unread {
			out[i].nameAfterAll()
			n.wordUnread(&out[i])
			continue
		}
		n.word(&out[i])
	}
	return out
}

// faceOf names the precincts on whose ballots a change is; empty if it is on none.
func faceOf(c *Change) string {
	if c.Thing != finding.Ballot {
		return ""
	}
	return key(c.Precincts...)
}

// given finds the precincts that were given another ballot: theirs now equals, in all, the one that
// other precincts had before under the same label.
func (n namer) given(changes []Change) map[string]bool {
	out := map[string]bool{}
	for i := range changes {
		c := &changes[i]
		if c.Thing != finding.Ballot || c.Field != finding.Label || len(c.Precincts) == 0 {
			continue
		}
		all := true
		for _, p := range c.Precincts {
			for _, f := range n.after.facesOf([]string{p}) {
				at := n.before.printed()[n.after.ballots[f].signature()]
				all = all && at != nil && len(at.others(p)) > 0
			}
		}
		out[faceOf(c)] = all
	}
	return out
}

// namer gives things their names for people.
type namer struct {
	second, before, after *Values
	// in are the names of two exports of which neither came first; empty for a change.
	in [2]string
}

// turned says what a value was and is; of two exports of which neither came first, what each says.
func (n namer) turned(before, after string) string {
	if n.in[0] != "" {
		return fmt.Sprintf("is %s in %s and %s in %s", before, n.in[0], after, n.in[1])
	}
	return fmt.Sprintf("changed from %s to %s", before, after)
}

func (n namer) call(kind finding.Thing, id string) string {
	for _, v := range []*Values{n.second, n.after, n.before} {
		if called := v.called[thing{kind, id}]; called != "" {
			return called
		}
	}
	return strings.TrimPrefix(strings.ReplaceAll(id, "\x1f", " "), extra)
}

func (n namer) precincts(list []string) []string {
	out := make([]string, len(list))
	for i, p := range list {
		out[i] = n.call(finding.Precinct, p)
	}
	return out
}

// word words a group.
func (n namer) word(g *Group) {
	c := &g.Changes[0]
	for i := range g.Changes {
		if g.Changes[i].Field == finding.Label {
			c = &g.Changes[i]
		}
	}
	contest := func(id string) string { return n.call(finding.Contest, contestID(id)) }
	g.Before, g.After = n.values(c, c.Before), n.values(c, c.After)
	field := cmp.Or(fieldNames[c.Field], strings.ToLower(string(c.Field)))
	on := ballotOf(g.Precincts)
	subject, came, went := "", "is new", "is gone"
	switch c.Thing {
	case finding.Election:
		subject = "the election"
	case finding.Contest:
		g.Contest = contest(c.ID)
		subject = quote(g.Contest)
	case finding.Choice:
		g.Contest, g.Choice = contest(c.ID), n.call(finding.Choice, key(contestID(c.ID), c.Part))
		subject, came, went = fmt.Sprintf("%q in %q", g.Choice, g.Contest), "was put in", "was taken out"
		if lines := n.lines(c); c.Field == finding.Whole && lines != "" {
			subject = fmt.Sprintf("%q (%s) in %q", g.Choice, lines, g.Contest)
		}
		if c.Field == finding.Person {
			field = "the person"
			g.Before, g.After = people(c.Before), people(c.After)
		}
	case finding.Ballot:
		switch {
		case c.Field == finding.Content:
			g.Contest = contest(c.Part)
			subject, came, went = quote(g.Contest), "was put on "+on, "was taken off "+on
		case c.ID != "" && c.Member != "":
			g.Contest, g.Choice = contest(c.ID), n.call(finding.Choice, key(contestID(c.ID), choiceOf(c.Part)))
			subject, came, went = fmt.Sprintf("%q in %q", g.Choice, g.Contest), "was put on "+on, "was left off "+on
		case c.Field == finding.Whole:
			subject, came, went = "a ballot of "+precinctsIn(g.Precincts), "is new", "is gone"
		case c.Part != "":
			g.Contest = contest(c.Part)
			subject = quote(g.Contest) + " on " + on
			if c.Field == finding.Order {
				field = "the order of choices"
			}
		default:
			subject = on
			switch {
			case c.Field == finding.Order:
				field = "the order of contests"
			case len(g.Changes) > 1 && c.Field == finding.Label:
				g.Words = on + " " + n.turned("that of style "+quoteOr(g.Before), "that of style "+quoteOr(g.After))
				return
			}
		}
	case finding.Unit:
		g.Unit = n.call(c.Thing, c.ID)
		subject = "unit " + g.Unit
		if c.Field == finding.Precincts {
			field = "the card header"
		}
	case finding.Site:
		g.Site = n.call(c.Thing, c.ID)
		subject = "polling site " + quote(g.Site)
	case finding.Precinct:
		g.Precincts = []string{n.call(c.Thing, c.ID)}
		subject = "precinct " + g.Precincts[0]
	case reference:
		g.Before, g.After = n.before.references(c.ID), n.after.references(c.ID)
		g.Words = n.call(c.Thing, c.ID) + " " + n.turned(g.Before, g.After)
		return
	case unused:
		subject = "a ballot style that no precinct gets, " + quote(n.call(c.Thing, c.ID))
	default:
		subject = string(c.Thing) + " " + quote(n.call(c.Thing, c.ID))
	}
	if n.in[0] != "" {
		if c.Thing == finding.Ballot && (c.Field == finding.Content || c.ID != "" && c.Member != "") {
			subject += " on " + on
		}
		came, went = "is in "+n.in[1]+" alone", "is in "+n.in[0]+" alone"
	}
	if c.Language != "" && c.Language != "en" {
		field += " in " + finding.LanguageName(c.Language)
	}
	switch {
	case (c.Field == finding.Whole || c.Field == finding.Content || c.ID != "" && c.Thing == finding.Ballot) &&
		c.After != nil:
		g.Words = subject + " " + came
	case (c.Field == finding.Whole || c.Field == finding.Content || c.ID != "" && c.Thing == finding.Ballot) &&
		c.Before != nil:
		g.Words = subject + " " + went
	case g.Before != "" && g.After != "" && wording.Compare(g.After, g.Before).Lookalike:
		now, before := wording.Lookalikes(g.After, g.Before)
		g.Words = fmt.Sprintf("a look-alike letter of %s %s", subject, n.turned(before, now))
	default:
		g.Words = fmt.Sprintf("%s of %s %s", field, subject, n.turned(quoteOr(g.Before), quoteOr(g.After)))
	}
}

// precinctsIn names precincts for people.
func precinctsIn(list []string) string {
	word := "precincts "
	if len(list) == 1 {
		word = "precinct "
	}
	return word + names(natural.Ranges(list))
}

func ballotOf(precincts []string) string {
	if len(precincts) > 1 {
		return "the ballots of " + precinctsIn(precincts)
	}
	return "the ballot of " + precinctsIn(precincts)
}

// lines returns the party lines of a choice that was added or removed.
func (n namer) lines(c *Change) string {
	for _, v := range []*Values{n.after, n.before} {
		if m := v.contest(contestID(c.ID)); m != nil {
			if lines, ok := m.choices[c.Part][field{name: finding.Lines}]; ok {
				return n.values(&Change{Field: finding.Lines}, lines.list)
			}
		}
	}
	return ""
}

// people says whether a position is for the same person as another position.
func people(with []string) string {
	if len(with) > 0 {
		return "one with another position"
	}
	return "one by itself"
}

// references counts the references of one kind that point at nothing.
func (v *Values) references(id string) string {
	return fmt.Sprint(count(v.things[thing{reference, id}]))
}

func quote(s string) string { return fmt.Sprintf("%q", s) }

func quoteOr(s string) string {
	if s == "" {
		return "nothing"
	}
	return quote(s)
}

// values writes a value for people.
func (n namer) values(c *Change, list []string) string {
	out := make([]string, len(list))
	for i, x := range list {
		switch {
		case c.Field == finding.Order && c.Part == "":
			x = n.call(finding.Contest, contestID(x))
		case c.Field == finding.Order:
			x = n.call(finding.Choice, key(contestID(c.Part), choiceOf(x)))
		case c.Field == finding.Lines || c.Field == finding.PrimaryParties:
			x = n.call(finding.Party, x)
		case c.Field == finding.Precincts || c.Field == Members:
			x = n.call(finding.Precinct, x)
		case c.Field == finding.SiteOf:
			x = n.call(finding.Site, x)
		case c.Field == finding.Sites:
			site, use, _ := strings.Cut(x, "\x1f")
			x = strings.TrimSpace(n.call(finding.Site, site) + " " + use)
		case c.Field == finding.Headings || c.Field == Closing:
			var words []string
			for _, h := range strings.Split(x, "\x1f") {
				_, text, _ := strings.Cut(h, "\x1e")
				words = append(words, text)
			}
			x = strings.Join(words, " / ")
		case c.Field == finding.Person:
			x = n.call(finding.Choice, key(contestID(c.ID), x))
		case c.Field == District:
			x, _, _ = strings.Cut(x, "\x1f")
		}
		out[i] = x
	}
	return names(out)
}
