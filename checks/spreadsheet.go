package checks

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strings"

	"counterproof/model"
	"counterproof/model/harm"
)

// fewestHarmed is how many labels must be harmed in one way before one finding says it of
// all of them: one alone may be a slip.
const fewestHarmed = 2

// bySpreadsheet puts together what a spreadsheet did to the labels of a whole roster: in
// place of two findings for each label, of the one that was keyed and of the one that was
// not, one finding says which harm was done, and how to key the labels again. A label that
// really is so has its counterpart, and no finding to begin with.
func bySpreadsheet(findings []Finding, primary *model.Election) []Finding {
	called := map[string][]string{} // what else the primary calls a precinct
	for i := range primary.Precincts {
		p, o := &primary.Precincts[i], primary.Origins.Precinct(i)
		names := append([]string{p.Number, o.ID}, o.Codes...)
		for _, phrase := range p.Name {
			names = append(names, phrase.Words)
		}
		for _, name := range names {
			called[name] = names
		}
	}
	findings = gather(findings, "precinct-absent", "precinct-unkeyed", "precincts", func(name string) []string {
		return append([]string{name}, called[name]...)
	})
	findings = gather(findings, "unit-absent", "unit-unkeyed", "voting units", func(name string) []string { return []string{name} })
	return gatherPaired(findings, "style-label", "ballot styles")
}

// gather puts together findings of labels that only the second entry has (absent) and
// that only the primary has (unkeyed). names are what the primary calls a thing.
func gather(findings []Finding, absent, unkeyed, what string, names func(string) []string) []Finding {
	var keyed, others []int // of the findings
	var labels []string
	var whole [][]string
	for i := range findings {
		switch f := &findings[i]; {
		case f.Check == absent && f.Primary == "" && f.Second != "":
			keyed, labels = append(keyed, i), append(labels, f.Second)
		case f.Check == unkeyed && f.Second == "" && f.Party == "" && f.Primary != "":
			others, whole = append(others, i), append(whole, names(f.Primary))
		}
	}
	kind, pairs := madeOf(labels, whole)
	if kind == harm.None {
		return findings
	}
	var said []Finding
	gone := map[int]bool{}
	var made, of []string
	for _, p := range pairs {
		said, gone[keyed[p.label]], gone[others[p.whole]] = append(said, findings[keyed[p.label]]), true, true
		made, of = append(made, labels[p.label]), append(of, p.name)
	}
	return together(findings, gone, unkeyed, what, kind, said, made, of)
}

// gatherPaired puts together findings that name both sides' label.
func gatherPaired(findings []Finding, check, what string) []Finding {
	kinds := map[harm.Kind]int{}
	for i := range findings {
		if f := &findings[i]; f.Check == check {
			kinds[harm.Of(f.Second, f.Primary)]++
		}
	}
	for _, kind := range harm.Kinds {
		if kinds[kind] < fewestHarmed {
			continue
		}
		var said []Finding
		gone := map[int]bool{}
		var made, of []string
		for i := range findings {
			if f := &findings[i]; f.Check == check && harm.Of(f.Second, f.Primary) == kind {
				said, gone[i] = append(said, *f), true
				made, of = append(made, f.Second), append(of, f.Primary)
			}
		}
		findings = together(findings, gone, check, what, kind, said, made, of)
	}
	return findings
}

// together replaces findings by one that stands where the first of its kind stood.
func together(findings []Finding, gone map[int]bool, check, what string, kind harm.Kind, said []Finding, made, of []string) []Finding {
	one := Finding{Check: check, Grade: said[0].Grade, Primary: shortList(of), Second: shortList(made), Look: said[0].Look}
	sum := sha256.Sum256([]byte(fmt.Sprint(check, "\x00", kind)))
	one.ID = check + "-" + hex.EncodeToString(sum[:6])
	one.Message = fmt.Sprintf("%d %s are keyed under other labels than the primary has (%s in place of %s): %s. %s%s.",
		len(made), what, one.Second, one.Primary, kind.Words(), strings.ToUpper(harm.Remedy[:1]), harm.Remedy[1:])
	seen := map[string]bool{}
	for _, f := range said {
		for _, p := range f.Precincts {
			if !seen[p] {
				seen[p] = true
				one.Precincts = append(one.Precincts, p)
			}
		}
	}
	one.Precincts = sortNames(one.Precincts)
	if one.Precincts == nil {
		one.Precincts = []string{}
	}
	out := make([]Finding, 0, len(findings))
	placed := false
	for i, f := range findings {
		if f.Check == check && !placed {
			out, placed = append(out, one), true
		}
		if !gone[i] {
			out = append(out, f)
		}
	}
	return out
}

// madePair is a label that was made of a thing of the primary, by the name that shows it.
type madePair struct {
	label, whole int
	name         string
}

// madeOf finds which labels a spreadsheet made of which things, each of which has several
// names. Each thing stands for one label, so that what is missing beside is still said.
// It finds none unless it explains most of the labels, all by one kind of harm.
func madeOf(labels []string, things [][]string) (harm.Kind, []madePair) {
	if len(labels) < fewestHarmed || len(things) == 0 {
		return harm.None, nil
	}
	var all []string
	var thing []int // by name
	for k, names := range things {
		for _, name := range names {
			all, thing = append(all, name), append(thing, k)
		}
	}
	among := harm.NewLabels(all)
	fits := map[harm.Kind][][]madePair{}
	for i, label := range labels {
		for kind, list := range among.MadeInto(label) {
			if fits[kind] == nil {
				fits[kind] = make([][]madePair, len(labels))
			}
			seen := map[int]bool{}
			for _, at := range list {
				if k := thing[at]; !seen[k] {
					seen[k] = true
					fits[kind][i] = append(fits[kind][i], madePair{i, k, all[at]})
				}
			}
		}
	}
	for _, kind := range harm.Kinds {
		if pairs := oneToOne(fits[kind], len(things)); len(pairs) >= fewestHarmed && 2*len(pairs) >= len(labels) {
			return kind, pairs
		}
	}
	return harm.None, nil
}

// oneToOne gives each label one thing, those first that have no other left: 13-Feb can
// only be 2-13, so that of 1-02 and 2-01 either is left for 1-Feb.
func oneToOne(fits [][]madePair, things int) (pairs []madePair) {
	const mostFits = 4 // a date fits few labels; what fits many says little
	taken, done := make([]bool, things), make([]bool, len(fits))
	for most := 1; most <= mostFits; {
		before := len(pairs)
		for i := range fits {
			if done[i] {
				continue
			}
			var first *madePair
			free := 0
			for k := range fits[i] {
				if !taken[fits[i][k].whole] {
					if free++; first == nil {
						first = &fits[i][k]
					}
				}
			}
			if first == nil || free > most {
				continue
			}
			done[i], taken[first.whole] = true, true
			pairs = append(pairs, *first)
			if most > 1 {
				break // what is taken now may leave another only one
			}
		}
		if len(pairs) > before {
			most = 1
		} else {
			most++
		}
	}
	return pairs
}
