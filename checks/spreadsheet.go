package checks

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"
	"sync"

	"counterproof/checks/finding"
	"counterproof/checks/natural"
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
func bySpreadsheet(findings []finding.Finding, primary *model.Election) []finding.Finding {
	// What else the primary calls a precinct is asked for only where some were not keyed.
	called := sync.OnceValue(func() map[string][]string {
		all := map[string][]string{}
		for i := range primary.Precincts {
			p, o := &primary.Precincts[i], primary.Origins.Precinct(i)
			names := append([]string{p.Number, o.ID}, o.Codes...)
			for _, phrase := range p.Name {
				names = append(names, phrase.Words)
			}
			for _, name := range names {
				all[name] = names
			}
		}
		return all
	})
	findings = gather(findings, precinctAbsent, precinctUnkeyed, "precincts", func(name string) []string {
		return append([]string{name}, called()[name]...)
	})
	findings = gather(findings, unitAbsent, unitUnkeyed, "voting units", func(name string) []string {
		return []string{name}
	})
	return gatherPaired(findings, styleLabel, "ballot styles")
}

// gather puts together findings of labels that only the second entry has (absent) and
// that only the primary has (unkeyed). names are what the primary calls a thing.
func gather(findings []finding.Finding, absent, unkeyed *Check, what string,
	names func(string) []string) []finding.Finding {
	var keyed, others []int // of the findings
	var labels []string
	var whole [][]string
	for i := range findings {
		switch f := &findings[i]; {
		case f.Check == absent.Code && f.Primary == "" && f.Second != "":
			keyed, labels = append(keyed, i), append(labels, f.Second)
		case f.Check == unkeyed.Code && f.Second == "" && f.Party == "" && f.Primary != "":
			others, whole = append(others, i), append(whole, names(f.Primary))
		}
	}
	kind, pairs := madeOf(labels, whole)
	if kind == harm.None {
		return findings
	}
	var said []finding.Finding
	gone := map[int]bool{}
	var made, of []string
	for _, p := range pairs {
		said, gone[keyed[p.label]], gone[others[p.whole]] = append(said, findings[keyed[p.label]]), true, true
		made, of = append(made, labels[p.label]), append(of, p.name)
	}
	return together(findings, gone, unkeyed, what, kind, said, made, of)
}

// gatherPaired puts together findings that name both sides' label.
func gatherPaired(findings []finding.Finding, check *Check, what string) []finding.Finding {
	kinds := map[harm.Kind]int{}
	for i := range findings {
		if f := &findings[i]; f.Check == check.Code {
			kinds[harm.Of(f.Second, f.Primary)]++
		}
	}
	for _, kind := range harm.Kinds {
		if kinds[kind] < fewestHarmed {
			continue
		}
		var said []finding.Finding
		gone := map[int]bool{}
		var made, of []string
		for i := range findings {
			if f := &findings[i]; f.Check == check.Code && harm.Of(f.Second, f.Primary) == kind {
				said, gone[i] = append(said, *f), true
				made, of = append(made, f.Second), append(of, f.Primary)
			}
		}
		findings = together(findings, gone, check, what, kind, said, made, of)
	}
	return findings
}

// harmedLabels are how many things have labels that a spreadsheet harmed, and how.
type harmedLabels struct {
	kind harm.Kind
	what string // the things, in the plural
	many int
}

func (h harmedLabels) sentence(f *finding.Finding) string {
	return fmt.Sprintf("%d %s are keyed under other labels than the export has (%s in place of %s): %s. %s%s.",
		h.many, h.what, f.Second, f.Primary, h.kind.Words(), strings.ToUpper(harm.Remedy[:1]), harm.Remedy[1:])
}

// together replaces findings (gone) by one, which stands where the first of its check
// stood, has the precincts of those that are said, and claims what all of them claimed.
func together(findings []finding.Finding, gone map[int]bool, check *Check, what string, kind harm.Kind,
	said []finding.Finding, made, of []string) []finding.Finding {
	one := finding.Finding{Check: check.Code, Grade: said[0].Grade, Places: said[0].Places,
		Primary: finding.ShortList(of), Second: finding.ShortList(made), Facts: harmedLabels{kind, what, len(made)}}
	sum := sha256.Sum256(fmt.Append(nil, check.Code, "\x00", kind))
	one.ID = string(check.Code) + "-" + hex.EncodeToString(sum[:6])
	one.Message = check.Sentence(&one)
	for _, f := range said {
		one.Precincts = append(one.Precincts, f.Precincts...)
	}
	one.Precincts = slices.Compact(natural.Sorted(one.Precincts))
	if one.Precincts == nil {
		one.Precincts = []string{}
	}
	first := slices.IndexFunc(findings, func(f finding.Finding) bool { return f.Check == check.Code })
	out := make([]finding.Finding, 0, len(findings))
	at := 0
	for i, f := range findings {
		if i == first {
			at, out = len(out), append(out, one)
		}
		if gone[i] {
			one.Claims = append(one.Claims, f.Claims...)
		} else {
			out = append(out, f)
		}
	}
	out[at].Claims = one.Claims
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
