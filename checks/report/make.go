package report

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/dustin/go-humanize"
	"github.com/dustin/go-humanize/english"

	"counterproof/checks/natural"
	"counterproof/checks/review"
	"counterproof/model/casefile"
	"counterproof/model/program"
	"counterproof/model/progress"
)

// cautions are those of the design; every report has them.
var cautions = []string{
	"This report checks a configuration; it does not certify one. It takes the place of no test that law or a board's " +
		"procedure requires (ballot proofing, logic and accuracy testing, sealing). Local law and the board's own " +
		"procedures come first.",
	"The program is no certified component of a voting system and claims no legal status for its signatures. A seal " +
		"here closes an entry in the case file; it is no numbered seal on a machine.",
	"It has no network access and never reads or writes a memory card or an EMS. Times are those of the machine's clock.",
}

// cannotSee lists what the check cannot see.
var cannotSee = []string{
	"Target positions, timing marks, audio ballots and touch screens.",
	"Whether the proof agrees with the certified documents, where only the proof was keyed. Proof and export usually " +
		"come from one database: there, agreement proves printing, not set-up.",
	"What is on a memory card: the export was compared, not the card.",
}

// Make makes the report of the current case. If nothing can be compared yet, the error wraps
// review.ErrBlind. The report lists what is left to do; see MakeExcepting.
func Make(r *review.Review) (*Report, error) { return MakeExcepting(r, nil) }

// MakeExcepting is Make with a supervisor's reasons for signing although something is left to do.
// The map is from the ID of a review.Missing to the reason. The reasons are on the report's front
// page.
func MakeExcepting(r *review.Review, exceptions map[string]string) (*Report, error) {
	return MakeContext(context.Background(), r, exceptions)
}

// MakeContext is MakeExcepting with a context that is told the share that is done (package progress).
func MakeContext(ctx context.Context, r *review.Review, exceptions map[string]string) (*Report, error) {
	return makeWith(ctx, r, exceptions, nil, running())
}

// running describes the program; tests that keep reports have another.
var running = program.Running

// makeWith makes a report with the local time of another one, or with that of this machine, as made
// by a program.
func makeWith(ctx context.Context, r *review.Review, exceptions map[string]string, local clock,
	by program.Build) (*Report, error) {
	s, err := r.NowContext(progress.Part(ctx, 0, 0.5))
	if err != nil {
		return nil, err
	}
	const stages = 6
	stage := func(n int64) { progress.Of(progress.Part(ctx, 0.5, 1), n, stages) }
	stage(0)
	rounds, err := r.Rounds()
	if err != nil {
		return nil, err
	}
	missing, err := r.MissingToSign()
	if err != nil {
		return nil, err
	}
	m := &maker{review: r, standing: s, state: s.State}
	m.name()
	if m.clock = local; local == nil {
		m.clock = clockOf(time.Local, s.State.Started, m.made())
	}
	out := &Report{
		Format: Format, Rendering: Rendering,
		Case: s.State.ID, Entries: s.State.Seq, Head: s.State.Head.String(), Made: m.made(), Clock: m.clock, Program: by,
		Election:  Election{s.State.Election.Name, s.State.Election.Date, s.State.Election.Jurisdiction},
		Finished:  len(missing) == 0,
		People:    m.people(),
		Signers:   []string{},
		Missing:   []Missing{},
		Earlier:   m.earlier(),
		Cautions:  slices.Clone(cautions),
		CannotSee: slices.Clone(cannotSee),
	}
	for _, p := range r.Signers() {
		out.Signers = append(out.Signers, string(p.ID))
	}
	for _, x := range missing {
		out.Missing = append(out.Missing, Missing{x.ID, x.Words, strings.TrimSpace(exceptions[x.ID])})
	}
	if !s.State.Sealed(casefile.ScopeUnits) {
		out.CannotSee = append(out.CannotSee,
			"The voting units, their card headers and the polling sites: the second entry of them is not sealed.")
	}
	out.Primary = Primary{
		Files: m.files(s.Latest.Files...), Cards: []File{}, Language: m.language, UnitLimit: s.Options.UnitLimit,
		Other: s.OtherElection(),
	}
	if s.Latest.Cards != nil {
		out.Primary.Cards = m.files(*s.Latest.Cards)
	}
	out.Second = Second{Keyers: m.keyers(), Seals: m.seals(), Documents: []string{}, Late: m.late(),
		Entered: m.entered()}
	for _, c := range s.Result.Coverage.Contests {
		if c.Source != "" && !slices.Contains(out.Second.Documents, c.Source) {
			out.Second.Documents = append(out.Second.Documents, c.Source)
		}
	}
	slices.Sort(out.Second.Documents)
	stage(1)
	out.Coverage, out.Parties, out.Certified = m.coverage(), m.parties(), m.certified()
	if out.TestDecks, err = m.testDecks(); err != nil {
		return nil, err
	}
	if out.Loading, err = m.loading(out.TestDecks); err != nil {
		return nil, err
	}
	stage(2)
	out.Findings, out.Causes = m.findings(rounds), m.causes()
	stage(3)
	if out.Corrections, err = m.corrections(); err != nil {
		return nil, err
	}
	if out.Amendments, err = m.amendments(); err != nil {
		return nil, err
	}
	out.Mappings, out.Compared, out.Exports = m.mappings(), m.compared(), m.exports(rounds)
	if len(s.Others) > 0 {
		out.Others = m.exports(s.Others)
	}
	out.Withdrawn, out.TablesMappings = m.withdrawn(), m.tablesMappings()
	order := BallotOrder(s.Primary)
	if err := out.setAnnex(m.annex(out, order)); err != nil {
		return nil, err
	}
	stage(4)
	out.Overview = m.overview(out.Findings, order)
	out.Counts = m.counts(out)
	out.Result = out.sentence()
	out.Primary.Held, out.Primary.Made = heldIn(s.Primary), heldMembers(s.Primary.Origins.Made)
	if s.Primary.Origins.Tables {
		out.Primary.Held, out.Primary.Read = heldInTables(s.Primary), s.Primary.Origins.Notes
	}
	out.Limit = out.limit(s.Result.Coverage.Further)
	stage(stages)
	return out, nil
}

// maker holds the sources of a report's parts.
type maker struct {
	review   *review.Review
	standing *review.Snapshot
	state    *casefile.State
	language string
	clock    clock

	// Names of the export's contests, precincts and units, as findings use them.
	contest, party, precinct, unit []string
	numbers                        map[string]int
}

func (m *maker) counts(r *Report) Counts {
	sum, c := m.standing.Result.Summary, m.standing.Counts()
	return Counts{
		Precincts: sum.Precincts, Contests: sum.Contests, Units: sum.Units, Styles: len(m.standing.Primary.Styles),
		MustFix: sum.MustFix, Confirm: sum.Confirm, Note: sum.Note,
		Findings: len(r.Findings), Open: c.Open, Waiting: c.Waiting, Settled: c.Settled, Noted: c.Noted, Cleared: c.Cleared,
	}
}

// sentence states the result in one sentence.
func (r *Report) sentence() string {
	c := r.Counts
	excepted := 0
	for _, x := range r.Missing {
		if x.Exception != "" {
			excepted++
		}
	}
	compared := fmt.Sprintf("%s, %s%s and %s were compared", english.Plural(c.Precincts, "precinct", ""),
		english.Plural(c.Contests, "contest", ""), r.against(), english.Plural(c.Units, "voting unit", ""))
	switch {
	case len(r.Missing) > excepted:
		return fmt.Sprintf("The cross-check is not finished, and %s left to do: %s.",
			english.Plural(len(r.Missing)-excepted, "thing is", "things are"), compared)
	case excepted > 0:
		return fmt.Sprintf("The cross-check ends with %s, written down on this page: %s.",
			english.Plural(excepted, "exception", "exceptions"), compared)
	}
	decided := c.Settled + c.Cleared
	switch {
	case decided == 0:
		return "The two entries agree: " + compared + ", and no difference was found in what was keyed."
	case c.Settled == 0:
		return fmt.Sprintf("The two entries agree: %s; %s found, and none is left.", compared,
			english.Plural(decided, "difference was", "differences were"))
	}
	return fmt.Sprintf("The two entries agree but for %s: %s; %s found, and each is settled.",
		english.Plural(c.Settled, "difference that stays as certified", "differences that stay as certified"), compared,
		english.Plural(decided, "difference was", "differences were"))
}

// made returns the time of the last recorded act.
func (m *maker) made() string {
	last := m.state.Started
	for e, err := range m.review.Case().Entries(m.state.Seq - 1) {
		if err == nil && e.Seq == m.state.Seq {
			last = e.At
		}
	}
	return last
}

func (m *maker) who(id casefile.PersonID) Who { return whoIn(m.state, id) }

func whoIn(state *casefile.State, id casefile.PersonID) Who {
	p, ok := state.Person(id)
	if !ok {
		return Who{ID: string(id), Name: "the machine"}
	}
	return Who{string(p.ID), p.Name, p.Party, string(p.Seat)}
}

func (m *maker) all(ids []casefile.PersonID) []Who {
	list := []Who{}
	for _, id := range ids {
		list = append(list, m.who(id))
	}
	return list
}

func (m *maker) people() []Person {
	list := []Person{}
	for _, p := range m.state.People {
		list = append(list, Person{
			Who: Who{string(p.ID), p.Name, p.Party, string(p.Seat)}, PublicKey: slices.Clone(p.PublicKey),
			Fingerprint: p.Fingerprint.String(), Since: p.Since, Until: p.Until,
		})
	}
	return list
}

func (m *maker) earlier() []Earlier {
	list := []Earlier{}
	for i, a := range m.state.SignOffs {
		list = append(list, Earlier{a.Seq, a.At, a.Terms.Report.String(), m.all(a.Signers()),
			superseded(m.state, i, m.clock)})
	}
	return list
}

// keyers returns the people who keyed, here and in joined cases.
func (m *maker) keyers() []Who {
	list := []Who{}
	add := func(state *casefile.State) {
		for _, id := range state.Keying {
			if w := whoIn(state, id); !slices.Contains(list, w) {
				list = append(list, w)
			}
		}
	}
	add(m.state)
	for _, j := range m.state.Joined {
		if j.State != nil {
			add(j.State)
		}
	}
	return list
}

func (m *maker) seals() []Seal {
	list := []Seal{}
	for _, a := range m.state.Sealings() {
		seal := Seal{
			a.Seq, a.At, string(a.Terms.Scope), nonNil(slices.Clone(a.Terms.Without)), m.all(a.Signers()),
			a.Sealed.String(), []Countersigned{},
		}
		if by := a.Countersigned; by != nil {
			seal.Countersigned = append(seal.Countersigned, Countersigned{by.Seq, by.At, m.all(by.Signers()), a.InTime()})
		}
		list = append(list, seal)
	}
	return list
}

// late lists what was keyed while an export was in the file, here and in joined cases.
func (m *maker) late() []Late {
	list := []Late{}
	names := review.NamesIn(m.review.Case())
	add := func(state *casefile.State, joined string) {
		for _, l := range state.Late {
			what := "voting units or polling sites"
			if l.Correction > 0 {
				what = fmt.Sprintf("%s, added by the correction of entry %d", m.added(names, l, joined != ""), l.Correction)
			} else if l.Scope == casefile.ScopeBallots {
				what = fmt.Sprintf("contests of the amendment of entry %d", l.Amendment)
			}
			x := Late{what + joined, l.First, l.Last, l.At, l.Until, []Who{}}
			for _, id := range l.By {
				x.By = append(x.By, whoIn(state, id))
			}
			list = append(list, x)
		}
	}
	add(m.state, "")
	for _, j := range m.state.Joined {
		if j.State != nil {
			add(j.State, fmt.Sprintf(" in the case that was joined in entry %d", j.Seq))
		}
	}
	return list
}

// added names what a correction added. In a joined case only the number is known here.
func (m *maker) added(names *review.Names, l casefile.Late, joined bool) string {
	var list []string
	for _, row := range l.Added {
		name, err := names.Row(row)
		if joined || err != nil {
			return english.Plural(len(l.Added), "thing", "")
		}
		list = append(list, name)
	}
	return strings.Join(list, ", ")
}

// correctedLate counts the values that corrections put in or changed after an export had come in.
// Positions and references between rows are no values.
func correctedLate(state *casefile.State) int {
	seen := map[string]bool{}
	for _, a := range state.Corrections {
		if len(state.Exports) == 0 || state.Exports[0].Seq > a.Seq {
			continue
		}
		for _, f := range a.Terms.Fields() {
			refers := f.Column == "position" || f.Column == "face" || f.Table == casefile.Headers && f.Column == "unit" ||
				f.Table != casefile.Contests && f.Column == "contest"
			seen[f.String()] = !refers && a.Terms.Set[f.String()] != ""
		}
	}
	n := 0
	for _, value := range seen {
		if value {
			n++
		}
	}
	return n
}

func (m *maker) files(exports ...casefile.Export) []File {
	list := []File{}
	for _, x := range exports {
		f := File{Name: x.Name, SHA256: x.Digest.String(), Size: x.Size, Received: x.At, By: m.who(x.Who).Name}
		for _, a := range m.state.Announced {
			if a.Seq == x.Announced {
				f.Announced = a.At
			}
		}
		if x.Tables != nil {
			f.Tables = tableFiles(x.Tables)
		}
		list = append(list, f)
	}
	return list
}

// nonNil returns a list that JSON writes as [], not null.
func nonNil[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}

func count(n int) string { return humanize.Comma(int64(n)) }

// ranges writes names for readers: "1-01 to 1-09, 2-03".
func ranges(names []string) string { return strings.Join(natural.Ranges(names), ", ") }
