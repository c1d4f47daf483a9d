package witness

import (
	"fmt"
	"slices"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/checks/natural"
	"counterproof/checks/pairing"
	"counterproof/checks/wording"
)

// tables are what district tables say of the ballots.
type tables struct {
	any bool
	// held are keys whose district some table has; missing are the others with the name of their
	// district.
	held    map[int]bool
	missing map[int]string
	// expects says by key and area of each table whether the contest belongs there.
	expects []expectation
	sets    *[2]ballotSets
	keys    map[any]int     // by the subject of a finding about a contest
	found   map[string]bool // areas and contests that a finding tells of: by contest and precinct
}

// expectation is a district table that has the district of a contest.
type expectation struct {
	document        *Document
	key             int
	inside, outside pairing.Set // areas; one that lies across the border is in neither
}

// districts holds the ballots against the district tables.
func (x *examiner) districts(documents []Document, lists [][]int) {
	x.table = tables{held: map[int]bool{}, missing: map[int]string{}, found: map[string]bool{}}
	named := x.districtNames(documents, lists)
	for i := range documents {
		d := &documents[i]
		if len(d.Says.Districts) == 0 {
			continue
		}
		if !x.table.any {
			x.table.any = true
			x.table.sets = &[2]ballotSets{x.ballotSets(false), x.ballotSets(true)}
		}
		x.document = d
		x.districtTable(d, named)
		if n := unmatched(lists[i]); n > 0 {
			x.notes = append(x.notes, fmt.Sprintf("%s names the district of %s that neither entry has.",
				finding.Capital(x.called(d)), english.Plural(n, "contest", "")))
		}
	}
	if !x.table.any {
		return
	}
	for k, names := range named {
		if x.table.held[k] || len(x.ofKey[k]) == 0 {
			continue
		}
		x.table.missing[k] = strings.Join(names, ", ")
	}
}

func unmatched(keys []int) (n int) {
	for _, k := range keys {
		if k < 0 {
			n++
		}
	}
	return n
}

// districtNames are by key the names of the contest's district: as certified documents say, else as the
// export does.
func (x *examiner) districtNames(documents []Document, lists [][]int) [][]string {
	out := make([][]string, len(x.ofKey))
	for i := range documents {
		for c, k := range lists[i] {
			if name := documents[i].Says.Contests[c].District; k >= 0 && name != "" && !slices.Contains(out[k], name) {
				out[k] = append(out[k], name)
			}
		}
	}
	v := x.pg.Primary
	count := map[string]int{}
	for i := range v.Districts {
		count[wording.Fold(v.Words(v.Districts[i].Name))]++
	}
	for _, u := range x.units {
		if u.pi < 0 || len(out[u.key]) > 0 {
			continue
		}
		if d := v.Contests[u.pi].District; d.Known {
			name := v.Words(v.Districts[d.Value].Name)
			if count[wording.Fold(name)] > 1 {
				name += severalOfName // so that it is none of the table's
			}
			out[u.key] = []string{name}
		}
	}
	return out
}

const severalOfName = " (several districts of the export have this name)"

// districtTable holds the ballots against one table.
func (x *examiner) districtTable(d *Document, named [][]string) {
	var l labels
	for i := range d.Says.Districts {
		for _, p := range d.Says.Districts[i].Precincts {
			l.add(wording.Normal(p))
		}
	}
	l.pair(x.pg)
	unknown := x.precincts(d, &l)
	areasOf := l.areas(x.pg)
	n := len(x.pg.Precincts.Areas)
	all := make([]int, n) // by area: the labels of the table whose voters get its ballot
	for _, areas := range areasOf {
		for _, a := range areas {
			all[a]++
		}
	}
	type sides struct{ inside, outside pairing.Set }
	byName := map[string]sides{}
	in, last := make([]int, n), pairing.Filled(len(l.names)) // last: the district that named the precinct last
	for i := range d.Says.Districts {
		district := &d.Says.Districts[i]
		clear(in)
		for _, p := range district.Precincts {
			label := l.index[wording.Normal(p)]
			if last[label] == i {
				continue // named twice
			}
			last[label] = i
			for _, a := range areasOf[label] {
				in[a]++
			}
		}
		s := sides{pairing.NewSet(n), pairing.NewSet(n)}
		for a := range in {
			switch {
			case in[a] == 0 && (all[a] > 0 || !unknown):
				s.outside.Add(a)
			case in[a] > 0 && in[a] == all[a]:
				s.inside.Add(a)
			}
		}
		byName[wording.Fold(district.Name)] = s
	}
	deviations := map[string]*deviation{}
	var order []string
	used := map[string]bool{}
	for k, names := range named {
		for _, name := range names {
			s, ok := byName[wording.Fold(name)]
			if !ok {
				continue
			}
			x.table.held[k], used[wording.Fold(name)] = true, true
			e := expectation{d, k, s.inside, s.outside}
			x.table.expects = append(x.table.expects, e)
			for _, one := range x.deviations(e) {
				key := one.areas.Key() + where(one.export, one.second)
				if deviations[key] == nil {
					deviations[key] = &deviation{areas: one.areas, export: one.export, second: one.second}
					order = append(order, key)
				}
				to := deviations[key]
				to.leftOff, to.added = append(to.leftOff, one.leftOff...), append(to.added, one.added...)
			}
		}
	}
	for _, key := range order {
		x.reportDeviation(deviations[key])
	}
	if n := len(byName) - len(used); n > 0 {
		x.notes = append(x.notes, fmt.Sprintf("%s has %s to which no contest of the entries belongs.",
			finding.Capital(x.called(d)), english.Plural(n, "district", "")))
	}
}

// deviation is what the ballots of some areas have against a table, the same in the entries that have
// ballots there. The contests are keys.
type deviation struct {
	areas          pairing.Set
	export, second bool
	leftOff, added []int
}

// deviations finds where a contest is left off or added in both entries, or in the only one that has a
// ballot there.
func (x *examiner) deviations(e expectation) (out []deviation) {
	sets := x.table.sets
	nowhere := true
	for side := range sets {
		nowhere = nowhere && sets[side].any[e.key].Count() == 0
	}
	if nowhere {
		return nil // uncontested primaries are left unprinted
	}
	n := len(x.pg.Precincts.Areas)
	left, added := [3]pairing.Set{}, [3]pairing.Set{} // by entries: both, the export, the second entry
	for i := range left {
		left[i], added[i] = pairing.NewSet(n), pairing.NewSet(n)
	}
	p, s := &sets[0], &sets[1]
	for w := range e.inside {
		both, export, second := p.with[w]&s.with[w], p.with[w]&^s.with[w], s.with[w]&^p.with[w]
		in, outside := e.inside[w], e.outside[w]
		left[0][w] = in & both &^ p.all[e.key][w] &^ s.all[e.key][w]
		left[1][w], left[2][w] = in&export&^p.all[e.key][w], in&second&^s.all[e.key][w]
		added[0][w] = outside & both & p.any[e.key][w] & s.any[e.key][w]
		added[1][w], added[2][w] = outside&export&p.any[e.key][w], outside&second&s.any[e.key][w]
	}
	for i := range left {
		export, second := i != 2, i != 1
		if left[i].Count() > 0 {
			out = append(out, deviation{areas: left[i], export: export, second: second, leftOff: []int{e.key}})
		}
		if added[i].Count() > 0 {
			out = append(out, deviation{areas: added[i], export: export, second: second, added: []int{e.key}})
		}
	}
	return out
}

func (x *examiner) reportDeviation(d *deviation) {
	areas := d.areas.List()
	f := finding.Finding{Precincts: natural.Sorted(x.pg.AreaNames(areas))}
	f.Precincts = slices.Compact(f.Precincts) // members of one combined precinct
	contests := append(slices.Clone(d.leftOff), d.added...)
	if len(contests) == 1 {
		f = x.aboutKey(f, contests[0])
	}
	facts := checks.AgainstTable{Document: x.called(x.document), Where: where(d.export, d.second)}
	facts.LeftOff, facts.Added = x.titles(d.leftOff), x.titles(d.added)
	f.Primary, f.Second = onBallot(d.export, facts), onBallot(d.second, facts)
	if styles := x.pg.Second.StylesOf[x.pg.Precincts.Areas[areas[0]].Second]; len(styles) > 0 {
		f.Style = pairing.NameOfStyle(x.pg.Second, styles[0]).Label // where to look, though the contest is not on it
	}
	for _, k := range contests {
		pi, si := x.pg.ByKey(k)
		for _, a := range areas {
			for _, ref := range x.ballots(a) {
				f.Claims = append(f.Claims, ref.Part(pi, si).Claims(finding.Content)...)
			}
			x.table.found[onArea(k, a)] = true
		}
	}
	subject := f.Precincts
	if len(contests) == 1 {
		pi, si := x.pg.ByKey(contests[0])
		subject = x.pg.ContestSubject(pi, si)
	}
	x.report(checks.DistrictTable(f, facts, append([]string{x.document.Name}, subject...)...))
}

// onBallot says in a few words what an entry has there.
func onBallot(is bool, facts checks.AgainstTable) string {
	switch {
	case !is:
		return ""
	case len(facts.LeftOff) == 1 && len(facts.Added) == 0:
		return "not on the ballot"
	case len(facts.LeftOff) == 0 && len(facts.Added) == 1:
		return "on the ballot"
	}
	var parts []string
	if len(facts.LeftOff) > 0 {
		parts = append(parts, "without "+strings.Join(facts.LeftOff, ", "))
	}
	if len(facts.Added) > 0 {
		parts = append(parts, "with "+strings.Join(facts.Added, ", "))
	}
	return strings.Join(parts, "; ")
}

func onArea(key, area int) string { return fmt.Sprint(key, " ", area) }

func (x *examiner) aboutKey(f finding.Finding, key int) finding.Finding {
	pi, si := x.pg.ByKey(key)
	return x.pg.About(f, pi, si)
}

func (x *examiner) titles(keys []int) (out []string) {
	for _, k := range keys {
		f := x.aboutKey(finding.Finding{}, k)
		title := finding.Quote(f.Contest)
		if f.Party != "" {
			title += " (" + f.Party + ")"
		}
		out = append(out, title)
	}
	return natural.Sorted(out)
}

// precincts reports precincts of a table that neither entry has, and says of those that one has alone
// that the table has them. It returns whether there are such: a precinct that the table does not have may
// be one of them under another name.
func (x *examiner) precincts(d *Document, l *labels) bool {
	var unknown []string
	has := [2]map[int]bool{{}, {}}
	for i, name := range l.names {
		p, s := l.primary[i], l.second[i]
		if p < 0 && s < 0 {
			unknown = append(unknown, name)
		}
		has[0][p], has[1][s] = true, true
	}
	for s, p := range x.pg.Precincts.ToPrimary {
		if p < 0 {
			v := ExportAlone
			if !has[1][s] {
				v = SecondAlone
			}
			x.say(v, "", about{finding.Precinct, -1, s, -1, -1, finding.Whole})
		}
	}
	for p, s := range x.pg.Precincts.ToSecond {
		if s < 0 && len(x.pg.Primary.StylesOf[p]) > 0 {
			v := SecondAlone
			if !has[0][p] {
				v = ExportAlone
			}
			x.say(v, "", about{finding.Precinct, p, -1, -1, -1, finding.Whole})
		}
	}
	if unknown = natural.Sorted(unknown); len(unknown) > 0 {
		x.report(checks.DistrictTable(finding.Finding{Precincts: unknown}, checks.AgainstTable{Document: x.called(d),
			Where: "neither the export nor the second entry", Unknown: true}, d.Name, "precincts"))
	}
	return len(unknown) > 0
}
