package review

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/checks/loading"
	"counterproof/checks/pairing"
	"counterproof/model"
	"counterproof/model/cards"
	"counterproof/model/casefile"
)

// Machines are the cards and voting units of a case as the record has them.
type Machines struct {
	State *casefile.State
	// Approved is the export that cards have to be made from: the last in sequence.
	Approved  Round
	Warehouse *loading.Warehouse
	Visits    []loading.Visit
	// Items are the findings at the units with their decisions: those of the last visits in the order
	// of the plan, then those of earlier visits that are gone, then what was decided and is gone. They
	// are empty until the office says what its machines are, and in the case of a team those of its units.
	Items []UnitItem
}

// UnitItem is a finding at a voting unit with its decisions.
type UnitItem struct {
	finding.Finding
	// Said is the digest of Words, which is what both sides say, as canonical JSON.
	Said  casefile.Digest
	Words string
	// Status is StatusOpen, StatusReopened, StatusWaiting, StatusSettled or StatusCleared. What an
	// earlier visit showed and the last does not is open until it is decided, then cleared.
	Status Status
	// Past: the last visit does not show it.
	Past      bool
	Decisions []casefile.Act[casefile.UnitDecision]
}

// Outcomes are those that two of different parties can choose.
func (i *UnitItem) Outcomes() []cards.Outcome { return checks.Of(i.Check).Machine }

// StatusWords describes the status in a few words.
func (i *UnitItem) StatusWords() string {
	switch {
	case i.Past && i.Status == StatusOpen:
		return "gone at a later visit, and not decided"
	case i.Status == StatusWaiting:
		return "decided: " + i.last().Outcome.Words() + "; waiting for a visit that shows it"
	case i.Status == StatusSettled:
		return i.last().Outcome.Words()
	}
	return i.Status.Words()
}

func (i *UnitItem) last() casefile.UnitDecision { return i.Decisions[len(i.Decisions)-1].Terms }

// Item returns a finding by its identity, nil for none.
func (m *Machines) Item(id string) *UnitItem {
	for i := range m.Items {
		if m.Items[i].ID == id {
			return &m.Items[i]
		}
	}
	return nil
}

// Units are the voting units of the plan, in the order of work; in the case of a team those that are its
// work.
func (m *Machines) Units() (out []*loading.Unit) {
	for i := range m.Warehouse.Plan.Units {
		if u := &m.Warehouse.Plan.Units[i]; m.State.Working == nil || slices.Contains(m.State.Working.Units, u.Name) {
			out = append(out, u)
		}
	}
	return out
}

// Of returns the visits to a unit of the plan: by team, then in order.
func (m *Machines) Of(unit string) (out []loading.Visit) {
	for _, v := range m.Visits {
		if v.Unit == unit {
			out = append(out, v)
		}
	}
	return out
}

// Visit returns the last visit to a unit by the team whose case this is, nil for none.
func (m *Machines) Visit(unit string) (last *loading.Visit) {
	for i := range m.Visits {
		if v := &m.Visits[i]; v.Unit == unit && v.Team == m.State.Team() {
			last = v
		}
	}
	return last
}

// missingAtMachines lists the findings at the voting units that are not settled. A unit at which nobody
// was yet is none of them: a report may be signed before the cards are loaded, and says so.
func (r *Review) missingAtMachines(state *casefile.State) (list []Missing, err error) {
	if len(state.MachineRules) == 0 || !state.Sealed(casefile.ScopeUnits) {
		return nil, nil
	}
	m, err := r.Machines()
	if err != nil {
		return nil, err
	}
	for i := range m.Items {
		item := &m.Items[i]
		switch {
		case item.Status == StatusSettled, item.Status == StatusCleared:
		case checks.Of(item.Check).Progress && len(m.Of(item.Unit)) == 0:
		default:
			list = append(list, Missing{item.ID, "Settle at the machine: " + item.Message})
		}
	}
	return list, nil
}

// warehouse is what was derived from exports for the machines, cached with its inputs.
type warehouse struct {
	primary, second *model.Election
	exports         int // received and withdrawn
	plan            *loading.Plan
	byRound         map[string]loading.Export
}

// Machines returns the machines as they stand. If nothing was recorded since the last call, nothing is
// judged again; the result is shared and must not be modified. The error wraps ErrBlind before everything is sealed and
// while there is no export.
func (r *Review) Machines() (*Machines, error) {
	s, err := r.Now()
	if err != nil {
		return nil, err
	}
	if !s.State.Sealed(casefile.ScopeUnits) {
		return nil, fmt.Errorf("%w: the voting units are not sealed; key and seal them first", ErrBlind)
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	if m := r.machines; m != nil && m.State.Head == s.State.Head {
		return m, nil
	}
	m := &Machines{State: s.State, Approved: s.Latest}
	w, err := r.warehouseOf(s)
	if err != nil {
		return nil, err
	}
	m.Warehouse = w
	w.Teams = map[string]loading.Span{}
	for _, t := range s.State.Teams {
		if _, there := w.Teams[t.Name]; !there || t.Joined > 0 || s.State.Team() != "" {
			w.Teams[t.Name] = loading.Span{Formed: t.Seq, Joined: t.Joined}
		}
	}
	for _, read := range s.State.Read {
		at, _ := time.Parse(time.RFC3339, read.At)
		w.Records = append(w.Records, loading.Record{Entry: read.Seq, At: at, By: string(read.Who), Team: read.Team,
			Reading: read.Reading})
	}
	for _, a := range s.State.UnitsSigned {
		w.Signed = append(w.Signed, loading.Signed{Unit: a.Terms.Unit, Team: a.Terms.Team, Visit: a.Terms.Visit,
			Entry: a.Seq})
	}
	w.Party = func(initials string) string {
		for _, p := range s.State.People {
			if strings.EqualFold(p.Initials, strings.TrimSpace(initials)) {
				return p.Party
			}
		}
		return ""
	}
	m.Visits = w.Visits()
	if len(s.State.MachineRules) > 0 {
		m.bind(w.Findings())
	}
	r.machines = m
	return m, nil
}

// warehouseOf is the plan with rules, ledger and exports; records come on top.
func (r *Review) warehouseOf(s *Snapshot) (*loading.Warehouse, error) {
	came := len(s.State.Exports) + len(s.State.Withdrawn)
	if c := r.warehouse; c == nil || c.primary != s.Primary || c.second != s.Second || c.exports != came {
		plan := loading.PlanOf(pairing.Of(s.Primary, s.Second, s.Options.Language, s.Options.Mapped))
		plan.Date = cmp.Or(plan.Date, s.State.Election.Date)
		r.warehouse = &warehouse{s.Primary, s.Second, came, plan, map[string]loading.Export{}}
	}
	w := &loading.Warehouse{Plan: r.warehouse.plan}
	if n := len(s.State.MachineRules); n > 0 {
		w.Rules = s.State.MachineRules[n-1].Terms
		var err error
		if w.Clock, err = loading.ClockOf(w.Rules, s.State.Election.Date); err != nil {
			return nil, err
		}
	}
	zone := time.UTC
	if w.Rules.Zone != "" {
		var err error
		if zone, err = time.LoadLocation(w.Rules.Zone); err != nil {
			return nil, err
		}
	}
	from := map[cards.Card]loading.Export{}
	for _, c := range s.State.Cards {
		w.Ledger = append(w.Ledger, c.Card)
		x, err := r.madeFrom(s, c.Card, zone)
		if err != nil {
			return nil, err
		}
		from[c.Card] = x
	}
	w.From = func(c cards.Card) (loading.Export, bool) {
		x, held := from[c]
		return x, held && x.Name != ""
	}
	w.Approved = s.Latest.Name()
	return w, nil
}

// madeFrom finds the export that a card was made from, and what the approved one says otherwise. An
// export without a name is none that the case holds.
func (r *Review) madeFrom(s *Snapshot, c cards.Card, zone *time.Location) (x loading.Export, err error) {
	from, err := r.roundOf(s, c, zone)
	if err != nil {
		return x, err
	}
	if from == nil {
		return r.withdrawnExport(s, c.Export), nil
	}
	x, known := r.warehouse.byRound[from.key()]
	if known {
		return x, nil
	}
	x.Name = from.Name()
	if from.key() != s.Latest.key() {
		approved, err := r.read(s.State, s.Latest)
		if err != nil {
			return x, err
		}
		earlier, err := r.read(s.State, *from)
		if err != nil {
			return x, err
		}
		x.Changed = r.warehouse.plan.Changes(earlier, approved)
		r.keepOnly(s.State, r.came.rounds[0], s.Latest)
	}
	r.warehouse.byRound[from.key()] = x
	return x, nil
}

// roundOf finds the export that a card was made from, nil for none. Where a card list came in later for
// the same files, it is the last that was there when the card was made: on its day, or at its time.
func (r *Review) roundOf(s *Snapshot, c cards.Card, zone *time.Location) (*Round, error) {
	rounds, err := r.rounds(s.State)
	if err != nil {
		return nil, err
	}
	rounds = append(rounds, r.came.others...)
	made, err := time.ParseInLocation(cards.ClockLayout, c.Made, zone)
	if err != nil {
		made, _ = time.ParseInLocation(time.DateOnly, c.Made, zone)
	}
	var found *Round
	for i := range rounds {
		if !rounds[i].has(c.Export) {
			continue
		}
		came, _ := time.Parse(time.RFC3339, rounds[i].At)
		if found == nil || !came.After(made) {
			found = &rounds[i]
		}
	}
	return found, nil
}

// withdrawnExport is an export that the pair withdrew: no card of it is good.
func (r *Review) withdrawnExport(s *Snapshot, digest string) loading.Export {
	i := slices.IndexFunc(s.State.Exports, func(x casefile.Export) bool { return x.Digest.String() == digest })
	if i < 0 {
		return loading.Export{}
	}
	x := loading.Export{Name: s.State.Exports[i].Name, Changed: map[string][]string{}}
	for _, u := range r.warehouse.plan.Units {
		x.Changed[u.Name] = []string{"it was withdrawn"}
	}
	return x
}

// has reports whether a digest is that of a file of the round.
func (r Round) has(digest string) bool {
	files := r.Files
	if r.Cards != nil {
		files = append(slices.Clone(files), *r.Cards)
	}
	return slices.ContainsFunc(files, func(x casefile.Export) bool { return x.Digest.String() == digest })
}

// bind sets the status of each finding and lists those that were decided and are gone.
func (m *Machines) bind(found loading.Found) {
	decisions := slices.Clone(m.State.UnitDecisions)
	slices.SortStableFunc(decisions, func(a, b casefile.Act[casefile.UnitDecision]) int { return cmp.Compare(a.At, b.At) })
	acts := map[string][]casefile.Act[casefile.UnitDecision]{}
	kept := map[string]casefile.Decided{}
	var order []string
	for _, d := range decisions {
		for _, f := range d.Terms.Findings {
			if acts[f.Finding] == nil {
				order = append(order, f.Finding)
			}
			acts[f.Finding], kept[f.Finding] = append(acts[f.Finding], d), f
		}
	}
	there := map[string]bool{}
	add := func(f finding.Finding, past bool) {
		if w := m.State.Working; w != nil && !slices.Contains(w.Units, f.Unit) {
			return
		}
		now := decidedValuesOf(&f, nil)
		item := UnitItem{Finding: f, Words: wordsOf(now), Past: past, Decisions: acts[f.ID], Status: StatusOpen}
		item.Said = casefile.DigestOf([]byte(item.Words))
		there[f.ID] = true
		switch {
		case len(item.Decisions) == 0 || past && !bindsTo(kept[f.ID], now):
		case past:
			item.Status = StatusCleared
		case !bindsTo(kept[f.ID], now):
			item.Status = StatusReopened
		case item.last().Outcome == cards.Accept:
			item.Status = StatusSettled
		default:
			item.Status = StatusWaiting
		}
		m.Items = append(m.Items, item)
	}
	for _, f := range found.Findings {
		add(f, false)
	}
	for _, f := range found.Past {
		add(f, true)
	}
	for _, id := range order {
		if k := kept[id]; !there[id] {
			m.Items = append(m.Items, UnitItem{Finding: findingOf(k), Said: k.Said, Words: k.Words, Status: StatusCleared,
				Past: true, Decisions: acts[id]})
		}
	}
}
