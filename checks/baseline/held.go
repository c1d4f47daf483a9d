package baseline

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"maps"
	"slices"
	"strings"

	"counterproof/checks/finding"
	"counterproof/checks/natural"
	"counterproof/model"
)

// Unread is the prefix of a field that an export states and no check compares. The name of the
// export's own member follows.
const Unread = "unread "

// loose stands for objects of an export that belong to nothing that is compared: a person, an
// office or an area that nothing uses.
const loose finding.Thing = "what nothing compares"

// IsUnread reports whether no check compares the field that changed.
func (c *Change) IsUnread() bool {
	return strings.HasPrefix(string(c.Field), Unread) || c.Thing == loose
}

// member drops the name of the object from the field of a loose object.
func member(f finding.Field) finding.Field {
	name, _, _ := strings.Cut(string(f), "\x1f")
	return finding.Field(name)
}

// held adds the members that no check compares, each as one text.
func (n *Named) held(f fields, list []model.Held) {
	for i := 0; i < len(list); {
		first := i
		var words []string
		for ; i < len(list) && list[i].Member == list[first].Member && list[i].Of == list[first].Of; i++ {
			words = append(words, n.partiesIn(list[i].Words))
		}
		slices.Sort(words)
		f.set(finding.Field(Unread+key(list[first].Member, n.partiesIn(list[first].Of))), one(strings.Join(words, "; ")))
	}
}

// partiesIn replaces the parties named in words by their names in the case.
func (n *Named) partiesIn(words string) string {
	return model.EachParty(words, func(i int) string {
		if i < 0 || i >= len(n.parties) {
			return "" // a file may hold anything
		}
		return model.PartyMark + n.parties[i] + model.PartyMark
	})
}

// said writes the values of a member for people.
func (n namer) said(list []string) string {
	parts := strings.Split(strings.Join(list, ""), model.PartyMark)
	for i := 1; i+1 < len(parts); i += 2 {
		parts[i] = n.call(finding.Party, parts[i])
	}
	return strings.Join(parts, "")
}

// looseValues adds the values of objects that belong to nothing that is compared, by the object's
// name.
func (n *Named) looseValues(list []model.Held, put func(finding.Thing, string, string) fields) {
	type object struct{ member, of string }
	words := map[object][]string{}
	for _, h := range list {
		words[object{h.Member, h.Of}] = append(words[object{h.Member, h.Of}], n.partiesIn(h.Words))
	}
	for o, said := range words {
		slices.Sort(said)
		f := put(loose, key(o.member, o.of), strings.TrimSpace(o.member+" "+o.of))
		f.set(finding.Field(Unread+o.member), one(strings.Join(said, "; ")))
	}
}

// accompany lists, for a compared field, the members that repeat it. They change together with it.
var accompany = map[finding.Field][]finding.Field{
	finding.Lines:   {ownParty, endorsing},
	finding.Name:    {person},
	finding.Person:  {ownParty, endorsing, person},
	finding.WriteIn: {ownParty, endorsing, person}, // a write-in position has no candidate
}

const (
	ownParty  finding.Field = Unread + "Candidate.PartyId"
	endorsing finding.Field = Unread + "EndorsementPartyIds"
	person    finding.Field = Unread + "Candidate.PersonId"
)

// withoutCompanions drops the changes of members that only repeat another change in the list.
func withoutCompanions(list []Change) []Change {
	type at struct {
		id, part string
		field    finding.Field
	}
	companions := map[at]bool{}
	for i := range list {
		c := &list[i]
		if c.Thing != finding.Choice {
			continue
		}
		for _, f := range accompany[c.Field] {
			companions[at{c.ID, c.Part, f}] = true
		}
	}
	if len(companions) == 0 {
		return list
	}
	return slices.DeleteFunc(list, func(c Change) bool { return companions[at{c.ID, c.Part, member(c.Field)}] })
}

// takeCompanions copies the members that repeat a changed field.
func (f fields) takeCompanions(from fields, changed finding.Field) {
	with := accompany[changed]
	if len(with) == 0 {
		return
	}
	maps.DeleteFunc(f, func(k field, _ value) bool { return slices.Contains(with, member(k.name)) })
	for k, v := range from {
		if slices.Contains(with, member(k.name)) {
			f[k] = v
		}
	}
}

// wordUnread words a group of changes to one member, on one thing or equally on several.
func (n namer) wordUnread(g *Group) {
	c := &g.Changes[0]
	name := strings.TrimPrefix(string(member(c.Field)), Unread)
	g.Before, g.After = n.said(c.Before), n.said(c.After)
	if c.Field == finding.Whole { // a loose object
		g.Words = fmt.Sprintf("%s is %s", n.call(loose, c.ID), map[bool]string{true: "new", false: "gone"}[c.After != nil])
		return
	}
	var of []string
	for i := range g.Changes {
		of = append(of, n.holder(&g.Changes[i]))
	}
	of = slices.Compact(natural.Sorted(of))
	if len(g.Changes) == 1 {
		switch c.Thing {
		case finding.Contest:
			g.Contest = n.call(finding.Contest, contestID(c.ID))
		case finding.Choice:
			g.Contest, g.Choice = n.call(finding.Contest, contestID(c.ID)), n.call(finding.Choice, key(contestID(c.ID), c.Part))
		case finding.Unit:
			g.Unit = n.call(c.Thing, c.ID)
		case finding.Site:
			g.Site = n.call(c.Thing, c.ID)
		case finding.Precinct:
			g.Precincts = []string{n.call(c.Thing, c.ID)}
		}
	}
	where := of[0]
	if len(of) > 1 {
		where = fmt.Sprintf("%d things (%s)", len(of), names(firstFew(of)))
	}
	g.Words = fmt.Sprintf("%s of %s changed from %s to %s", name, where, quoteOr(g.Before), quoteOr(g.After))
}

// nameAfterAll makes the group's identity from everything that the group is about. The same change
// on more things is then another group, so a decision on fewer things does not apply to it.
func (g *Group) nameAfterAll() {
	sum := sha256.New()
	for i := range g.Changes {
		c := &g.Changes[i]
		sum.Write([]byte(key(string(c.Thing), c.ID, c.Part, string(c.Field), c.Language, stated(c.Before), stated(c.After),
			key(c.Precincts...)) + "\x00"))
	}
	g.ID = hex.EncodeToString(sum.Sum(nil)[:6])
}

func firstFew(list []string) []string {
	const most = 5
	if len(list) <= most {
		return list
	}
	return append(slices.Clone(list[:most]), fmt.Sprintf("%d more", len(list)-most))
}

// holder returns the name, for people, of the thing that a member belongs to.
func (n namer) holder(c *Change) string {
	switch c.Thing {
	case finding.Election:
		return "the election"
	case loose:
		called := n.call(loose, c.ID)
		if called == strings.TrimPrefix(string(member(c.Field)), Unread) {
			return "the export" // it has no name of its own
		}
		return called
	case finding.Contest:
		return quote(n.call(finding.Contest, contestID(c.ID)))
	case finding.Choice:
		if _, candidate, named := strings.Cut(string(c.Field), "\x1f"); named && candidate != "" {
			return fmt.Sprintf("%q in %q", candidate, n.call(finding.Contest, contestID(c.ID)))
		}
		return fmt.Sprintf("%q in %q", n.call(finding.Choice, key(contestID(c.ID), c.Part)),
			n.call(finding.Contest, contestID(c.ID)))
	case finding.Ballot:
		on := ballotOf(n.precincts(c.Precincts))
		if _, contest, named := strings.Cut(string(c.Field), "\x1f"); named && contest != "" {
			return fmt.Sprintf("%q on %s", n.said([]string{contest}), on)
		}
		return on
	}
	return string(c.Thing) + " " + n.call(c.Thing, c.ID)
}
