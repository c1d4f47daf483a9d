package review_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/casetest"
	"counterproof/checks/review"
	"counterproof/model"
	"counterproof/model/casefile"
	"counterproof/model/sheets"
)

// Random histories are held against the rule as the design states it, for values that have
// nothing to do with each other: a vote-for, a title, the card of a unit, and so on. What is
// expected comes from the acts alone.

// asked is a value of the county in a randomHistory, as a number that stands for what is said.
type asked struct {
	name   string
	codes  []string // of its findings, none for what nobody keys
	values int
	set    func(e *model.Election, v int)
	// key keys a value, in a row of the second entry.
	key     func(h *randomHistory, v int) []casefile.Change
	contest int    // -1 for none
	unit    string // the unit that it is about
	content bool   // it is whether a contest is on a ballot

	export, keyed, base int
	wants               int // what a request asks for, -1 for nothing
	decided             map[string]*verdict
}

// verdict is the last decision on a finding.
type verdict struct {
	outcome       casefile.Outcome
	export, keyed int
	done          bool
}

func (a *asked) clone() *asked {
	c := *a
	c.decided = map[string]*verdict{}
	for k, v := range a.decided {
		d := *v
		c.decided[k] = &d
	}
	return &c
}

// code is that of the finding that is there, "" for none.
func (a *asked) code() string {
	if len(a.codes) == 0 || a.export == a.keyed {
		return ""
	}
	if a.content && a.export == 0 {
		return a.codes[1]
	}
	return a.codes[0]
}

// unasked reports whether a change is told as unasked. What was asked for and done otherwise
// is not; but a member of a list that is to be put back is told until it is.
func (a *asked) unasked() bool {
	return a.export != a.base && (a.wants < 0 || a.name == "card")
}

func (a *asked) status() review.Status {
	d := a.decided[a.code()]
	switch {
	case d == nil:
		return review.StatusOpen
	case d.export != a.export || d.keyed != a.keyed || d.done || d.outcome == casefile.OutcomeKeyingSlip:
		return review.StatusReopened
	case d.outcome == casefile.OutcomeFixConfiguration:
		return review.StatusWaiting
	case d.outcome == casefile.OutcomeAsCertified:
		return review.StatusSettled
	}
	return review.StatusReferred
}

// brought is an export with a value.
func (a *asked) brought(v int) {
	a.export = v
	if a.wants == v {
		a.base = v
		for _, d := range a.decided {
			if d.outcome == casefile.OutcomeFixConfiguration {
				d.done = true
			}
		}
		a.wants = -1
	}
}

// amended is an act with its document that keys another value.
func (a *asked) amended(v int) {
	a.keyed, a.wants = v, v
	if a.export == v {
		a.base, a.wants = v, -1
	}
}

type randomHistory struct {
	t      *testing.T
	rnd    *rand.Rand
	r      *review.Review
	fields []*asked
	row    map[string]int
	did    []string
	count  map[string]int
	n      int
}

func contestCell(i int, column string, value func(v int) string) func(h *randomHistory, v int) []casefile.Change {
	return func(h *randomHistory, v int) []casefile.Change {
		return []casefile.Change{casefile.Set(casefile.Contests, h.row[fmt.Sprint("contest ", i)], column, value(v))}
	}
}

func historyFields() []*asked {
	titles := func(i int) func(v int) string {
		return func(v int) string { return []string{title(i), title(i) + " South", title(i) + " and West"}[v] }
	}
	number := func(v int) string { return strconv.Itoa(v + 1) }
	voteFor := func(i int) *asked {
		return &asked{name: fmt.Sprint("vote-for ", i), codes: []string{"vote-for"}, values: 3, contest: i,
			set: func(e *model.Election, v int) { e.Contests[i].VoteFor = model.Say(v + 1) },
			key: contestCell(i, "vote_for", number)}
	}
	titled := func(i int) *asked {
		return &asked{name: fmt.Sprint("title ", i), codes: []string{"contest-title"}, values: 3, contest: i,
			set: func(e *model.Election, v int) { retitled(i, titles(i)(v))(e) },
			key: contestCell(i, "title", titles(i))}
	}
	choice := county().Contests[5].Choices[1].Name.Value.In("")
	choices := []string{choice, choice + "e", choice + "y"}
	content := func(i, style int, label string) *asked {
		return &asked{name: fmt.Sprint("content ", i), codes: []string{"contest-missing", "contest-extra"}, values: 2,
			contest: i, content: true,
			set: func(e *model.Election, v int) {
				if v == 1 {
					s := &e.Styles[style]
					s.Content = slices.DeleteFunc(slices.Clone(s.Content), func(p model.Placement) bool { return p.Contest == i })
				}
			},
			key: func(h *randomHistory, v int) []casefile.Change {
				row := h.row["place"]
				if v == 1 {
					return emptied(casefile.Placements, []int{row})
				}
				return []casefile.Change{casefile.Set(casefile.Placements, row, "face", strconv.Itoa(h.row["face"])),
					casefile.Set(casefile.Placements, row, "position", h.did[0]),
					casefile.Set(casefile.Placements, row, "contest", strconv.Itoa(h.row[fmt.Sprint("contest ", i)]))}
			}}
	}
	sites := []int{3, 5, 7}
	parties := []string{"Party of the C", "Party of the Cs", "Party of C"}
	texts := []string{"Shall it be so?", "Shall it not?", "Shall it be?"}
	return []*asked{
		voteFor(1), voteFor(11), titled(3), titled(12), content(7, 1, "BS-0002"),
		{name: "choice 5", codes: []string{"choice-name"}, values: 3, contest: 5,
			set: func(e *model.Election, v int) {
				e.Contests[5].Choices[1].Name = model.Say(model.Plain(choices[v]))
			},
			key: func(h *randomHistory, v int) []casefile.Change {
				return []casefile.Change{casefile.Set(casefile.Choices, h.row["choice"], "name", choices[v])}
			}},
		{name: "site", codes: []string{"unit-site"}, values: 3, contest: -1, unit: "U-0004",
			set: func(e *model.Election, v int) { e.Units[3].Site = model.Say(sites[v]) },
			key: func(h *randomHistory, v int) []casefile.Change {
				return []casefile.Change{casefile.Set(casefile.Units, h.row["U-0004"], "site",
					fmt.Sprint("Fire House ", sites[v]+1))}
			}},
		{name: "card", codes: []string{"unit-header"}, values: 2, contest: -1, unit: "U-0002",
			set: func(e *model.Election, v int) {
				if v == 1 {
					card(1, 5, 6, 7, 8, 9, 30)(e)
				}
			},
			key: func(h *randomHistory, v int) []casefile.Change {
				if v == 0 {
					return emptied(casefile.Headers, []int{h.row["header"]})
				}
				return []casefile.Change{
					casefile.Set(casefile.Headers, h.row["header"], "unit", strconv.Itoa(h.row["U-0002"])),
					casefile.Set(casefile.Headers, h.row["header"], "precinct", "001-31")}
			}},
		{name: "party", codes: []string{"party-name"}, values: 3, contest: -1,
			set: func(e *model.Election, v int) { e.Parties[2].Name = model.Say(model.Plain(parties[v])) }},
		{name: "text", values: 3, contest: 8, set: func(e *model.Election, v int) { described(8, texts[v])(e) }},
	}
}

func (h *randomHistory) election(value func(a *asked) int) *model.Election {
	e := county(noOrder)
	for _, a := range h.fields {
		a.set(e, value(a))
	}
	return e
}

func (h *randomHistory) log(format string, args ...any) {
	h.did = append(h.did, fmt.Sprintf(format, args...))
	h.count[strings.Fields(format)[0]]++
}

// of finds the value that an item is about.
func (h *randomHistory) of(i *review.Item) *asked {
	for _, a := range h.fields {
		switch {
		case !i.Unasked && !slices.Contains(a.codes, string(i.Check)):
		case a.contest >= 0:
			titles := []string{title(a.contest)}
			if strings.HasPrefix(a.name, "title") {
				titles = append(titles, title(a.contest)+" South", title(a.contest)+" and West")
			}
			if slices.Contains(titles, i.Contest) {
				return a
			}
		case a.unit != "" && a.unit == i.Unit, a.unit == "" && i.Contest == "" && i.Unit == "":
			return a
		}
	}
	return nil
}

func (h *randomHistory) check() {
	for _, r := range []*review.Review{h.r, review.New(h.r.Case())} {
		got, want := map[string]string{}, map[string]string{}
		for _, i := range casetest.Now(h.t, r).Items {
			a := h.of(&i)
			switch {
			case a == nil && !i.Unasked && slices.Contains([]string{"district-coverage", "precinct-unserved"}, string(i.Check)):
			case a == nil:
				got["nothing known: "+i.Message] = ""
			case i.Unasked:
				got["unasked "+a.name] = ""
			default:
				got[string(i.Check)+" "+a.name] = string(i.Status)
			}
		}
		for _, a := range h.fields {
			if a.unasked() {
				want["unasked "+a.name] = ""
			}
			if code := a.code(); code != "" {
				want[code+" "+a.name] = string(a.status())
			}
		}
		require.Equal(h.t, want, got, "%s", strings.Join(h.did[1:], "\n"))
	}
}

// act does something at random that people may do.
func (h *randomHistory) act() {
	pick := h.rnd.IntN
	items := casetest.Now(h.t, h.r).Items
	items = slices.DeleteFunc(slices.Clone(items), func(i review.Item) bool { return h.of(&i) == nil })
	switch what := pick(10); {
	case what < 4 && len(items) > 0:
		h.decide(&items[pick(len(items))])
	case what < 6:
		a := h.fields[pick(len(h.fields))]
		if a.key == nil {
			return
		}
		v := pick(a.values)
		if v == a.keyed {
			return
		}
		h.amend(a, v)
	case what == 6 && pick(3) == 0:
		h.signOff()
	case what == 7 && pick(3) == 0:
		h.withdrawn()
	default:
		h.bring()
	}
}

func (h *randomHistory) decide(i *review.Item) {
	a := h.of(i)
	v := review.Verdict{Findings: []string{i.ID}, Reason: "so", Document: "Proof 2"}
	outcomes := []casefile.Outcome{casefile.OutcomeFixConfiguration, casefile.OutcomeFixConfiguration,
		casefile.OutcomeAsCertified, casefile.OutcomeRefer}
	v.Outcome = outcomes[h.rnd.IntN(4)]
	if !i.Unasked && !a.content && h.rnd.IntN(5) == 0 {
		var err error
		v.Correction, err = h.r.Slip(i.ID)
		require.NoError(h.t, err)
		if len(v.Correction) > 0 {
			v.Outcome = casefile.OutcomeKeyingSlip
		}
	}
	require.NoError(h.t, h.r.Decide(v, programmer, second, supervisor), "%s: %s", i.Message, strings.Join(h.did[1:], "\n"))
	h.log(string(v.Outcome)+" %s (unasked %v)", a.name, i.Unasked)
	if i.Unasked {
		if v.Outcome == casefile.OutcomeAsCertified {
			a.base = a.export
		}
		return
	}
	a.decided[string(i.Check)] = &verdict{outcome: v.Outcome, export: a.export, keyed: a.keyed}
	switch v.Outcome {
	case casefile.OutcomeFixConfiguration:
		a.wants = a.keyed
	case casefile.OutcomeAsCertified:
		a.base, a.wants = a.export, -1
	case casefile.OutcomeKeyingSlip:
		a.keyed, a.wants = a.export, -1
	}
}

func (h *randomHistory) amend(a *asked, v int) {
	changes := a.key(h, v)
	if a.contest < 0 {
		require.NoError(h.t, h.r.Case().Correct("Resolution 9", "ordered", changes, programmer, second),
			"%s", strings.Join(h.did[1:], "\n"))
		h.log("corrected %s to %d", a.name, v)
	} else {
		c := h.r.Case()
		require.NoError(h.t, c.Amend(casefile.Amendment{Document: "Order", Date: "2027-10-01", Reason: "ordered",
			Contests: []casefile.Row{{Table: casefile.Contests, Row: h.row[fmt.Sprint("contest ", a.contest)]}}},
			programmer, second))
		k, err := c.Keying(second)
		require.NoError(h.t, err)
		require.NoError(h.t, k.Set(changes...))
		casetest.Seal(h.t, c, casefile.ScopeBallots)
		h.log("amended %s to %d", a.name, v)
	}
	a.amended(v)
}

func (h *randomHistory) signOff() {
	missing, err := h.r.MissingToSign()
	require.NoError(h.t, err)
	exceptions := map[string]string{}
	for _, m := range missing {
		exceptions[m.ID] = "by order of the board"
	}
	require.NoError(h.t, h.r.SignOff([]byte(`{"format":"counterproof-report/1"}`), nil, exceptions, programmer, second,
		supervisor))
	h.log("signed")
	for _, a := range h.fields {
		a.base = a.export
	}
}

// bring brings in an export with one to six changes: asked for, undone, or anything.
func (h *randomHistory) bring() {
	next := map[*asked]int{}
	for range 1 + h.rnd.IntN(6) {
		a := h.fields[h.rnd.IntN(len(h.fields))]
		next[a] = []int{a.keyed, a.base, h.rnd.IntN(a.values), max(a.wants, 0)}[h.rnd.IntN(4)]
	}
	h.n++
	var words []string
	for _, a := range h.fields {
		if v, ok := next[a]; ok {
			words = append(words, fmt.Sprintf("%s=%d", a.name, v))
		}
	}
	e := h.election(func(a *asked) int {
		if v, ok := next[a]; ok {
			return v
		}
		return a.export
	})
	casetest.Bring(h.t, h.r, fmt.Sprintf("%d.xml", h.n), append(casetest.Export(h.t, e), strings.Repeat("\n", h.n)...))
	h.log("export %d: %s", h.n, strings.Join(words, ", "))
	for _, a := range h.fields {
		v, ok := next[a]
		if !ok {
			v = a.export
		}
		a.brought(v)
	}
}

// withdrawn brings in an export and withdraws it: nothing has changed.
func (h *randomHistory) withdrawn() {
	var before []*asked
	for _, a := range h.fields {
		before = append(before, a.clone())
	}
	h.bring()
	h.check()
	require.NoError(h.t, withdraw(h.r, fmt.Sprintf("%d.xml", h.n)))
	h.log("withdrawn %d", h.n)
	h.fields = before
}

func TestRandomHistories(t *testing.T) {
	n, from := uint64(10), uint64(1) // each history reads up to 15 exports
	switch {
	case testing.Short():
		n = 1
	case os.Getenv("CI") == "true":
		n = 40
	}
	if s, err := strconv.ParseUint(os.Getenv("HISTORIES"), 10, 64); err == nil {
		n = s
	}
	if s, err := strconv.ParseUint(os.Getenv("HISTORIES_FROM"), 10, 64); err == nil {
		from = s
	}
	count := map[string]int{}
	for seed := from; seed < from+n; seed++ {
		t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) {
			h := &randomHistory{t: t, rnd: rand.New(rand.NewPCG(seed, 11)), fields: historyFields(), row: map[string]int{},
				count: count}
			for _, a := range h.fields {
				a.decided, a.wants = map[string]*verdict{}, -1
				a.export, a.keyed = h.rnd.IntN(a.values), 0
				if h.rnd.IntN(2) == 0 {
					a.export = 0
				}
				a.base = a.export
			}
			second := h.election(func(a *asked) int { return a.keyed })
			second.Contests[8].Text = model.Stated[model.Text]{}
			h.r = casetest.Opened(t, casetest.New(t), sheets.FromElection(second, ""), "0.xml",
				casetest.Export(t, h.election(func(a *asked) int { return a.export })))
			h.rows(second)
			h.check()
			for range 14 {
				h.act()
				h.check()
			}
		})
	}
	t.Log(count)
}

// rows finds the rows that acts key.
func (h *randomHistory) rows(second *model.Election) {
	c := h.r.Case()
	for _, a := range h.fields {
		if a.contest >= 0 {
			h.row[fmt.Sprint("contest ", a.contest)] = casetest.Row(h.t, c, casefile.Contests, "title",
				second.Contests[a.contest].Title.Value.In(""))
		}
		if a.unit != "" {
			h.row[a.unit] = casetest.Row(h.t, c, casefile.Units, "unit", a.unit)
		}
	}
	h.row["face"] = casetest.Row(h.t, c, casefile.Faces, "style", "BS-0002")
	place := rowsWith(h.t, h.r, casefile.Placements, map[string]string{"face": strconv.Itoa(h.row["face"]),
		"contest": strconv.Itoa(h.row["contest 7"])})[0]
	h.row["place"] = place
	h.row["choice"] = rowsWith(h.t, h.r, casefile.Choices, map[string]string{
		"contest": strconv.Itoa(h.row["contest 5"]), "position": "2"})[0]
	rows, err := c.Rows(0, casefile.Headers)
	require.NoError(h.t, err)
	h.row["header"] = rows[len(rows)-1].Row + 1
	places, err := c.Rows(0, casefile.Placements)
	require.NoError(h.t, err)
	for _, row := range places {
		if row.Row == place {
			h.did = append([]string{row.Cells[slices.Index(casefile.Placements.Columns(), "position")]}, h.did...)
		}
	}
}
