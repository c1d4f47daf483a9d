package report

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/model"
)

// heldIn lists, with counts, the members of an export that no check compares.
func heldIn(e *model.Election) []HeldMember {
	o := &e.Origins
	all := slices.Clone(o.Held)
	add := func(class string, list []model.Held) {
		for _, h := range list {
			if !strings.Contains(h.Member, ".") {
				h.Member = class + "." + h.Member
			}
			all = append(all, h)
		}
	}
	for _, of := range []struct {
		class string // of SP 1500-100 and SP 1500-20
		list  []model.Origin
	}{{"Party", o.Parties}, {"GpUnit", slices.Concat(o.Districts, o.Precincts, o.Sites, o.Units)},
		{"BallotStyle", o.Styles}} {
		for i := range of.list {
			add(of.class, of.list[i].Held)
		}
	}
	for i := range o.Contests {
		add("Contest", o.Contests[i].Held)
		for j := range o.Contests[i].Choices {
			add(cmp.Or(o.ChoiceClass, "ContestSelection"), o.Contests[i].Choices[j].Held)
		}
	}
	for i := range all {
		all[i].Words = model.EachParty(all[i].Words, func(p int) string {
			if p < 0 || p >= len(e.Parties) {
				return "" // a file may hold anything
			}
			party := &e.Parties[p]
			return cmp.Or(party.Name.Value.In(""), party.Abbreviation.Value.In(""))
		})
	}
	return heldMembers(all)
}

func heldMembers(list []model.Held) []HeldMember {
	at := map[string]int{}
	out := []HeldMember{}
	for _, h := range list {
		i, known := at[h.Member]
		if !known {
			i = len(out)
			at[h.Member] = i
			out = append(out, HeldMember{Member: h.Member, Example: h.Words})
		}
		out[i].Count++
	}
	slices.SortStableFunc(out, func(a, b HeldMember) int { return cmp.Compare(a.Member, b.Member) })
	return out
}

// certified finds a word that begins with certif, as in "Certified list"; not "uncertified".
var certified = regexp.MustCompile(`(?i)\b(not\s+(?:yet\s+)?)?certif`)

// namedAsCertified reports whether a document's name says that it is certified. The program
// cannot know more of the document than its name, and the report says no more.
func namedAsCertified(document string) bool {
	m := certified.FindStringSubmatch(document)
	return m != nil && m[1] == ""
}

// against says from which kinds of documents the contests were keyed, in parentheses. It goes by
// what the documents are called; the program knows no more of them.
func (r *Report) against() string {
	kinds := []struct {
		words    string
		contests int
	}{{"from documents that are named as certified", 0}, {"from the ballot proof only", 0}, {"from other documents", 0},
		{"from a document that nobody named", 0}, {"not at all", 0}}
	for _, c := range r.Coverage.Contests {
		switch {
		case c.Keyed == 0:
			kinds[4].contests++
		case namedAsCertified(c.Source):
			kinds[0].contests++
		case strings.Contains(strings.ToLower(c.Source), "proof"):
			kinds[1].contests++
		case c.Source != "":
			kinds[2].contests++
		default:
			kinds[3].contests++
		}
	}
	var said []string
	for _, k := range kinds {
		if n := len(r.Coverage.Contests); n > 1 && k.contests == n {
			return " (all keyed " + k.words + ")"
		}
		if k.contests > 0 {
			said = append(said, count(k.contests)+" "+k.words)
		}
	}
	if len(said) == 0 {
		return ""
	}
	return " (keyed: " + strings.Join(said, ", ") + ")"
}

// limit states what else the result does not cover.
func (r *Report) limit(further []checks.CoveredLanguage) string {
	var said []string
	if first := r.Primary.Language; first != "" && len(further) > 0 {
		var in, not []string
		for _, l := range further {
			if name := finding.LanguageName(l.Tag); l.Keyed {
				in = append(in, name)
			} else {
				not = append(not, name)
			}
		}
		text := "Texts were compared in " + finding.LanguageName(first)
		if len(in) == 0 {
			text += " alone"
		} else {
			text += ", and in " + english.WordSeries(in, "and") + " only where they were keyed in it"
		}
		if len(not) > 0 {
			text += "; the export's texts in " + english.WordSeries(not, "and") + " were not compared"
		}
		said = append(said, text+".")
	}
	if n := len(r.Primary.Held); n > 0 {
		said = append(said, fmt.Sprintf("The export also holds %s that no check compares: see “Held in the export and not "+
			"compared”.", english.Plural(n, "kind of data", "kinds of data")))
	}
	for _, x := range r.Others {
		said = append(said, fmt.Sprintf("%s came in in another format: it was compared with %s, once, and not with what was "+
			"keyed.", x.Name, x.With))
	}
	return strings.Join(said, " ")
}

// held composes what the export contains and no check compares.
func (c *composer) held() {
	if c.Rendering < 4 {
		return
	}
	c.add(heading{"Held in the export and not compared", true})
	if len(c.Primary.Held) == 0 {
		c.add(paragraph{say("Nothing: all that the export says is compared, or says who made it and when."), body})
	} else {
		c.add(
			paragraph{say("Nobody keys these, and no check compares them with what was keyed. A change in one between two " +
				"exports of this case is a finding."), body})
		t := table{"What the export holds", []string{"Name in the export", "How often", "What it says there first"}, nil}
		for _, h := range c.Primary.Held {
			t.rows = append(t.rows, []words{say(h.Member), say(count(h.Count)), quote(h.Example)})
		}
		c.add(t)
	}
	if len(c.Primary.Read) > 0 {
		c.add(paragraph{say("How the tables were read:"), body}, bullets{each(c.Primary.Read), false})
	}
	if len(c.Primary.Made) > 0 {
		var made []string
		for _, h := range c.Primary.Made {
			made = append(made, h.Member+" "+h.Example)
		}
		c.add(paragraph{say("Who made the export and when is compared with nothing: " + strings.Join(made, "; ") + "."),
			small})
	}
}
