// Package findings is the state of the screens that show both entries: the list of findings with
// its filter, the voting units from both sides, and what a decision needs. It draws nothing and
// decides nothing: checks/review says what is a difference, and what may be decided or signed.
package findings

import (
	"slices"
	"strings"
	"unicode"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/checks/review"
	"counterproof/model"
	"counterproof/model/casefile"
)

// Row is one row of the list: the header of a group, or a finding.
type Row struct {
	// Head is the text of a group's header; empty for a finding.
	Head string
	// Item is the finding, or the first one of the group.
	Item *review.Item
	// ToSign is the decision that is on the list to be signed, empty for none.
	ToSign casefile.Outcome
	// Size is the number of visible findings in the group.
	Size int
}

// List is the findings of a snapshot, grouped by cause, worst first. It does not change; a new
// snapshot needs a new List.
type List struct {
	Snapshot *review.Snapshot
	groups   []group
	byID     map[string]*group
	toSign   map[string]casefile.Outcome
}

type group struct {
	head    string
	entries []entry
	worst   int
}

// entry is a finding with the words for the filter, in lower case.
type entry struct {
	item                                                            *review.Item
	all, code, contest, precincts, unit, state, choice, site, style string
}

// New makes the list for a snapshot.
func New(s *review.Snapshot) *List {
	l := &List{Snapshot: s, byID: map[string]*group{}, toSign: map[string]casefile.Outcome{}}
	for _, c := range s.Collected {
		for _, id := range c.Findings {
			if c.Dropped == "" {
				l.toSign[id] = c.Outcome
			}
		}
	}
	heads := map[string]string{}
	for _, c := range s.Result.Causes {
		heads[c.ID] = c.Message
	}
	at := map[string]int{}
	sites := sitesOf(s.Primary)
	add := func(key, head string, i *review.Item) {
		n, ok := at[key]
		if !ok {
			n = len(l.groups)
			at[key] = n
			l.groups = append(l.groups, group{head: head, worst: 99})
		}
		g := &l.groups[n]
		g.entries = append(g.entries, newEntry(i, sites))
		g.worst = min(g.worst, weight(i))
	}
	for i := range s.Items {
		item := &s.Items[i]
		if head := heads[item.Cause]; item.Cause != "" && head != "" {
			add("cause "+item.Cause, head, item)
			continue
		}
		add("check "+string(item.Check), purpose(string(item.Check)), item)
	}
	for i := range s.Cleared {
		if accepted(&s.Cleared[i]) {
			add("accepted", "Changes that were accepted as certified", &s.Cleared[i])
			continue
		}
		add("cleared", "Cleared: the entries agree there now", &s.Cleared[i])
	}
	slices.SortStableFunc(l.groups, func(a, b group) int { return a.worst - b.worst })
	for n := range l.groups {
		g := &l.groups[n]
		slices.SortStableFunc(g.entries, func(a, b entry) int { return weight(a.item) - weight(b.item) })
		for _, e := range g.entries {
			l.byID[e.item.ID] = g
		}
	}
	return l
}

// State says in a few words how far a finding is. A row of a list has room for short words only, and says
// there which decision is to be signed.
func State(i *review.Item, toSign casefile.Outcome, short bool) string {
	switch label, _, _ := strings.Cut(strings.ToLower(Label(toSign)), " the "); {
	case toSign != "" && short:
		return "to sign: " + label
	case toSign != "":
		return "to be signed"
	}
	words := map[review.Status]string{review.StatusWaiting: "waiting", review.StatusReopened: "open again",
		review.StatusReferred: "referred", review.StatusSettled: "as certified"}[i.Status]
	if !short || words == "" {
		return i.Status.Graded(i.Grade)
	}
	return string(i.Grade) + ", " + words
}

// purpose is the header for the findings of a check that have no common cause.
func purpose(code string) string {
	if c := checks.Find(finding.Code(code)); c != nil {
		return strings.TrimSuffix(c.Purpose, ".")
	}
	return code
}

// weight sorts open findings before finished ones, and worse ones first.
func weight(i *review.Item) int {
	grade := map[finding.Grade]int{finding.MustFix: 0, finding.Confirm: 1}
	g, ok := grade[i.Grade]
	if !ok {
		g = 2
	}
	switch i.Status {
	case review.StatusReopened, review.StatusReferred, review.StatusOpen:
		return g
	case review.StatusWaiting:
		return 3 + g
	case review.StatusCleared:
		return 10
	}
	return 6 + g
}

// sitesOf are the polling sites at which each precinct of an export votes, in lower case. The report
// names the same.
func sitesOf(e *model.Election) map[string][]string {
	out := map[string][]string{}
	if e == nil {
		return out
	}
	for n := range e.Precincts {
		for _, use := range e.Precincts[n].Sites.Value {
			if use.Site >= 0 && use.Site < len(e.Sites) {
				name := precinctName(e, n)
				out[name] = append(out[name], strings.ToLower(e.Sites[use.Site].Name.In("")))
			}
		}
	}
	return out
}

func newEntry(i *review.Item, sites map[string][]string) entry {
	at := []string{strings.ToLower(i.Site)}
	for _, p := range i.Precincts {
		for _, name := range sites[p] {
			if !slices.Contains(at, name) {
				at = append(at, name)
			}
		}
	}
	e := entry{item: i,
		site:      strings.Join(at, "\n"),
		style:     strings.ToLower(i.Style),
		code:      strings.ToLower(string(i.Check)),
		contest:   strings.ToLower(i.Contest),
		choice:    strings.ToLower(i.Choice),
		precincts: "\n" + strings.ToLower(strings.Join(i.Precincts, "\n")),
		unit:      strings.ToLower(i.Unit),
		state:     strings.ToLower(string(i.Status) + " " + i.Status.Words() + " " + string(i.Grade)),
	}
	word, _ := Lead(i)
	e.all = strings.Join([]string{e.code, e.contest, e.choice, e.unit, e.state, word,
		strings.ToLower(i.Message), strings.ToLower(i.Site), e.style, e.precincts}, "\n")
	return e
}

// Filter returns the rows that match a query. If several findings of a group match, they are below
// the group's header. All words of a query must match. A plain word matches anywhere; after one of
// the prefixes ("contest:") it matches only that. Quotation marks keep words together. A precinct
// matches by its beginning, a site also by the precincts that vote there.
func (l *List) Filter(query string) []Row {
	terms := parse(query)
	var rows []Row
	for n := range l.groups {
		g := &l.groups[n]
		head := len(rows)
		for k := range g.entries {
			e := &g.entries[k]
			if !e.fits(terms) {
				continue
			}
			if len(rows) == head {
				rows = append(rows, Row{Head: g.head, Item: e.item})
			}
			rows = append(rows, Row{Item: e.item, ToSign: l.toSign[e.item.ID]})
		}
		switch n := len(rows) - head - 1; {
		case n == 1: // one finding needs no header
			rows = append(rows[:head], rows[head+1])
		case n > 1:
			rows[head].Size = n
		}
	}
	return rows
}

// Group returns the findings that can be decided together with one: the current findings of its
// group, including itself. Without a common cause, it is alone.
func (l *List) Group(id string) (out []*review.Item) {
	g := l.byID[id]
	item := l.Snapshot.Item(id)
	if g == nil || item == nil {
		return nil
	}
	if item.Cause == "" || item.Status == review.StatusCleared {
		return []*review.Item{item}
	}
	for _, e := range g.entries {
		if e.item.Status != review.StatusCleared && e.item.Cause == item.Cause {
			out = append(out, e.item)
		}
	}
	return out
}

// QueryOf returns a query for Filter that shows a finding and few others: its check, and the
// contest, unit or precinct that it is about.
func QueryOf(i *review.Item) string {
	query := "check:" + string(i.Check)
	quoted := func(in, words string) string {
		// A quotation mark would end the words: use only the part before it.
		if at := strings.IndexAny(words, "\"“”"); at >= 0 {
			words = strings.TrimSpace(words[:at])
		}
		if words == "" {
			return ""
		}
		return " " + in + ":\"" + words + "\""
	}
	switch {
	case i.Contest != "":
		return query + quoted("contest", i.Contest)
	case i.Unit != "":
		return query + quoted("unit", i.Unit)
	case len(i.Precincts) > 0:
		return query + quoted("precinct", i.Precincts[0])
	}
	return string(query)
}

type term struct{ in, text string }

// Prefixes are the words that a filter knows before a colon.
var Prefixes = []string{"check", "contest", "choice", "precinct", "site", "unit", "style", "state"}

// Unknown says which prefixes of a query are none, and which there are; empty if all are known. Such
// a word is looked for as it is typed.
func Unknown(query string) string {
	var wrong []string
	for _, t := range parse(query) {
		before, _, ok := strings.Cut(t.text, ":")
		other := strings.IndexFunc(before, func(r rune) bool { return !unicode.IsLetter(r) }) >= 0
		if ok && t.in == "" && before != "" && !other {
			wrong = append(wrong, before+":")
		}
	}
	if len(wrong) == 0 {
		return ""
	}
	return english.WordSeries(wrong, "and") + " " + english.PluralWord(len(wrong), "is no prefix", "are no prefixes") +
		" of the filter. There are " + english.WordSeries(Prefixes, "and") + "."
}

// parse splits a query into terms. A prefix may stand apart from its word: "contest: judge".
func parse(query string) (out []term) {
	var b strings.Builder
	quoted, opened := false, false
	prefix := "" // that waits for its word
	end := func() {
		word := strings.ToLower(b.String())
		phrase := opened
		b.Reset()
		opened = false
		if word == "" {
			return
		}
		t := term{prefix, word}
		if in, rest, ok := strings.Cut(word, ":"); ok && prefix == "" && slices.Contains(Prefixes, in) {
			if rest == "" && !phrase {
				prefix = in
				return
			}
			t = term{in, rest}
		}
		prefix = ""
		if t.text != "" {
			out = append(out, t)
		}
	}
	for _, r := range query {
		switch {
		case r == '"' || r == '“' || r == '”':
			quoted, opened = !quoted, true
		case r == ' ' && !quoted:
			end()
		default:
			b.WriteRune(r)
		}
	}
	end()
	return out
}

func (e *entry) fits(terms []term) bool {
	for _, t := range terms {
		in := e.all
		switch t.in {
		case "check":
			in = e.code
		case "site":
			in = e.site
		case "style":
			in = e.style
		case "contest":
			in = e.contest
		case "choice":
			in = e.choice
		case "unit":
			in = e.unit
		case "state":
			in = e.state
		case "precinct":
			if !strings.Contains(e.precincts, "\n"+t.text) {
				return false
			}
			continue
		}
		if !strings.Contains(in, t.text) {
			return false
		}
	}
	return true
}
