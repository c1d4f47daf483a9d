// Package witness holds certified documents against both entries: who is wrong, the document, the
// second entry or the export? It says so of each finding of a comparison, and finds what export and
// second entry share, and the document says otherwise.
package witness

import (
	"slices"

	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model"
)

// Document is a certified document of a case.
type Document struct {
	// Entry is the entry of the case by which it came in; Name and Version are what it is called.
	Entry         int64
	Name, Version string
	Kind          model.WitnessKind
	Says          *model.Listed
	// Unread says why the document cannot be read; empty if it can. Says is then empty.
	Unread string
}

// Result is what certified documents say of two entries.
type Result struct {
	// Findings are those of a comparison with what the documents say of each, and those that the
	// documents lead to behind them.
	Findings []finding.Finding
	Coverage Coverage
}

// Verdict says who stands alone.
type Verdict int

// The verdicts. CannotTell: by its reading rules, the document agrees with two entries that differ.
const (
	AllAgree Verdict = iota
	ExportAlone
	SecondAlone
	ListAlone
	AllDiffer
	CannotTell
)

// verdictOf says who stands alone: same is set if the entries agree, and the others if the document agrees
// with the export and with the second entry.
func verdictOf(same, withExport, withSecond bool) Verdict {
	switch {
	case withExport && withSecond && same:
		return AllAgree
	case withExport && withSecond:
		return CannotTell
	case withSecond:
		return ExportAlone
	case withExport:
		return SecondAlone
	case same:
		return ListAlone
	}
	return AllDiffer
}

// Of holds documents against the paired entries and the findings of their comparison. It changes
// neither.
func Of(pg *pairing.Pairing, findings []finding.Finding, documents []Document) Result {
	x := &examiner{pg: pg, verdicts: map[about][]testimony{}, seen: map[string]bool{}, several: several(documents)}
	if len(documents) > 0 {
		x.entries()
		x.claimed = claimed(findings)
	}
	for i := range documents {
		if d := &documents[i]; d.Unread != "" {
			x.notes = append(x.notes, finding.Capital(x.called(d))+" is held against nothing, because it cannot be read: "+
				d.Unread+".")
		}
	}
	lists := x.matchAll(documents)
	for i := range documents {
		x.document = &documents[i]
		x.candidates(lists[i])
		x.sites()
	}
	x.districts(documents, lists)
	return Result{Findings: x.testify(findings), Coverage: x.coverage(documents)}
}

// examiner holds documents against one pairing.
type examiner struct {
	pg       *pairing.Pairing
	document *Document // that is held against the entries
	several  map[model.WitnessKind]bool
	verdicts map[about][]testimony
	claimed  map[about]bool // what findings of the comparison account for
	found    []finding.Finding
	seen     map[string]bool // identities of found
	units    []unit
	ofKey    [][]int      // by key: its units
	listed   map[int]bool // keys that a certified list has
	sited    map[int]bool // precincts of the export that a site list has
	table    tables
	notes    []string
	orders   [2]printed // by side
	rotating int        // contests whose certified order was not compared
}

// unit is a contest that at least one entry has: a pair of contests, or one without counterpart; -1
// where an entry lacks it.
type unit struct {
	pair   pairing.ContestPair
	pi, si int
	key    int
}

// about names what a verdict is about, by the places in the lists of both entries.
type about struct {
	thing          finding.Thing
	pi, si, pc, sc int
	field          finding.Field
}

// testimony is what one document says of one thing.
type testimony struct {
	document *Document
	verdict  Verdict
	listed   string // what it says, in words
}

// claimed are the fields that findings account for. Orders of choices are of the contest.
func claimed(findings []finding.Finding) map[about]bool {
	out := map[about]bool{}
	for i := range findings {
		for _, c := range findings[i].Claims {
			if findings[i].Language != "" {
				continue
			}
			a := about{c.Thing, c.Primary, c.Second, c.PrimaryPart, c.SecondPart, c.Field}
			if c.Thing == finding.Ballot && c.Field == finding.Order {
				a = about{finding.Contest, c.PrimaryPart, c.SecondPart, -1, -1, finding.Order}
			}
			out[a] = true
		}
	}
	return out
}

func several(documents []Document) map[model.WitnessKind]bool {
	count := map[model.WitnessKind]int{}
	for _, d := range documents {
		count[d.Kind]++
	}
	out := map[model.WitnessKind]bool{}
	for kind, n := range count {
		out[kind] = n > 1
	}
	return out
}

// called names a document in a sentence.
func (x *examiner) called(d *Document) string {
	name := "the " + d.Kind.Words()
	if x.several[d.Kind] {
		name += " “" + d.Name + "”"
	}
	return name
}

// entries lists the contests of both entries.
func (x *examiner) entries() {
	pg := x.pg
	x.listed, x.sited = map[int]bool{}, map[int]bool{}
	paired := [2][]bool{make([]bool, len(pg.Primary.Contests)), make([]bool, len(pg.Second.Contests))}
	for _, m := range pg.Contests.Pairs {
		paired[0][m.Primary], paired[1][m.Second] = true, true
		x.units = append(x.units, unit{m, m.Primary, m.Second, pg.Contests.SecondKey[m.Second]})
	}
	for side, list := range paired {
		for i, is := range list {
			switch {
			case is:
			case side == 0:
				x.units = append(x.units, unit{pi: i, si: finding.None, key: pg.Contests.PrimaryKey[i]})
			default:
				x.units = append(x.units, unit{pi: finding.None, si: i, key: pg.Contests.SecondKey[i]})
			}
		}
	}
	x.ofKey = make([][]int, pg.Contests.Keys)
	for n, u := range x.units {
		x.ofKey[u.key] = append(x.ofKey[u.key], n)
	}
}

// say records what the document says of things.
func (x *examiner) say(v Verdict, listed string, of ...about) {
	for _, a := range of {
		x.verdicts[a] = append(x.verdicts[a], testimony{x.document, v, listed})
	}
}

// report adds a finding once: versions of one contest have the same faults.
func (x *examiner) report(f finding.Finding) {
	if !x.seen[f.ID] {
		x.seen[f.ID] = true
		f.Certified.Entry = x.document.Entry
		x.found = append(x.found, f)
	}
}

// where names the entries that state a value.
func where(export, second bool) string {
	switch {
	case export && second:
		return "the export and the second entry"
	case export:
		return "the export, where nothing was keyed"
	}
	return "the second entry, where the export states nothing"
}

// subject makes the identity of a finding about a contest.
func (x *examiner) subject(u unit, more ...string) []string {
	return append(slices.Clone(x.pg.ContestSubject(u.pi, u.si)), more...)
}
