// Package findings is the state of the screens that show both entries: the list of findings with
// its filter, the voting units from both sides, and what a decision needs. It draws nothing and
// decides nothing: checks/review says what is a difference, and what may be decided or signed.
package findings

import (
	"slices"
	"strings"

	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/checks/review"
)

// Row is one row of the list: the header of a group, or a finding.
type Row struct {
	// Head is the text of a group's header; empty for a finding.
	Head string
	// Item is the finding, or the first one of the group.
	Item *review.Item
	// ToSign is set for a finding with a decision on the list to be signed.
	ToSign bool
	// Size is the number of visible findings in the group.
	Size int
}

// List is the findings of a snapshot, grouped by cause, worst first. It does not change; a new
// snapshot needs a new List.
type List struct {
	Snapshot *review.Snapshot
	groups   []group
	byID     map[string]*group
	toSign   map[string]bool
}

type group struct {
	head    string
	entries []entry
	worst   int
}

// entry is a finding with the words for the filter, in lower case.
type entry struct {
	item                                               *review.Item
	all, code, contest, precincts, unit, state, choice string
}

// New makes the list for a snapshot.
func New(s *review.Snapshot) *List {
	l := &List{Snapshot: s, byID: map[string]*group{}, toSign: map[string]bool{}}
	for _, c := range s.Collected {
		for _, id := range c.Findings {
			l.toSign[id] = l.toSign[id] || c.Dropped == ""
		}
	}
	heads := map[string]string{}
	for _, c := range s.Result.Causes {
		heads[c.ID] = c.Message
	}
	at := map[string]int{}
	add := func(key, head string, i *review.Item) {
		n, ok := at[key]
		if !ok {
			n = len(l.groups)
			at[key] = n
			l.groups = append(l.groups, group{head: head, worst: 99})
		}
		g := &l.groups[n]
		g.entries = append(g.entries, newEntry(i))
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

func newEntry(i *review.Item) entry {
	e := entry{item: i,
		code:      strings.ToLower(string(i.Check)),
		contest:   strings.ToLower(i.Contest),
		choice:    strings.ToLower(i.Choice),
		precincts: "\n" + strings.ToLower(strings.Join(i.Precincts, "\n")),
		unit:      strings.ToLower(i.Unit),
		state:     strings.ToLower(string(i.Status) + " " + i.Status.Words() + " " + string(i.Grade)),
	}
	word, _ := Lead(i)
	e.all = strings.Join([]string{e.code, e.contest, e.choice, e.unit, e.state, word,
		strings.ToLower(i.Message), strings.ToLower(i.Site), strings.ToLower(i.Style), e.precincts}, "\n")
	return e
}

// Filter returns the rows that match a query. If several findings of a group match, they are below
// the group's header. All words of a query must match. A plain word matches anywhere; after
// "code:", "contest:", "choice:", "precinct:", "unit:" or "state:" it matches only that. Quotation
// marks keep words together. A precinct matches by its beginning.
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
	query := "code:" + string(i.Check)
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

var fields = []string{"code", "contest", "choice", "precinct", "unit", "state"}

func parse(query string) (out []term) {
	var b strings.Builder
	quoted := false
	end := func() {
		word := strings.ToLower(b.String())
		b.Reset()
		t := term{text: word}
		if in, rest, ok := strings.Cut(word, ":"); ok && slices.Contains(fields, in) {
			t = term{in, rest}
		}
		if t.text != "" {
			out = append(out, t)
		}
	}
	for _, r := range query {
		switch {
		case r == '"' || r == '“' || r == '”':
			quoted = !quoted
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
		case "code":
			in = e.code
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
