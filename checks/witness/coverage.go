package witness

import (
	"fmt"
	"slices"

	"github.com/dustin/go-humanize"
	"github.com/dustin/go-humanize/english"

	"counterproof/checks/finding"
	"counterproof/checks/natural"
	"counterproof/model"
)

// Coverage says what was held against a certified document, and what against the proof alone.
type Coverage struct {
	// Kinds are those of the documents.
	Kinds []model.WitnessKind
	// Listed are the contests of the export that a certified list names, ProofOnly the others.
	Listed, ProofOnly []string
	// Districted are the contests whose ballots were held against a district table; NoDistrict those
	// whose district is in no table, with its name, empty where nobody names one. Both are empty
	// without a table.
	Districted []string
	NoDistrict []NoDistrict
	// Sited counts the precincts of the export that a site list names, of Precincts.
	Sited, Precincts int
	// Notes say what documents state and could not be held against the entries, each a sentence.
	Notes []string
}

// NoDistrict is a contest whose district is in no district table.
type NoDistrict struct{ Contest, District string }

// Sentences say what was held against certified documents, and how much was not.
func (c *Coverage) Sentences() (out []string) {
	if slices.Contains(c.Kinds, model.WitnessCandidates) {
		n, all := len(c.Listed), len(c.Listed)+len(c.ProofOnly)
		s := fmt.Sprintf("%s of %s %s held against a certified list", humanize.Comma(int64(n)),
			english.Plural(all, "contest", ""), english.PluralWord(n, "was", "were"))
		if left := len(c.ProofOnly); left > 0 {
			s += fmt.Sprintf("; %s against what was keyed only", humanize.Comma(int64(left)))
		}
		out = append(out, s+".")
	}
	if slices.Contains(c.Kinds, model.WitnessDistricts) {
		n := len(c.Districted)
		s := fmt.Sprintf("The ballots of %s were held against a district table", english.Plural(n, "contest", ""))
		if left := len(c.NoDistrict); left > 0 {
			s += fmt.Sprintf("; the %s of %s %s in none", english.PluralWord(left, "district", ""),
				humanize.Comma(int64(left)), english.PluralWord(left, "is", "are"))
		}
		out = append(out, s+".")
	}
	if slices.Contains(c.Kinds, model.WitnessSites) {
		out = append(out, fmt.Sprintf("The polling sites of %s of %s were held against a site list.",
			humanize.Comma(int64(c.Sited)), english.Plural(c.Precincts, "precinct", "")))
	}
	return out
}

// coverage says what was held against the documents.
func (x *examiner) coverage(documents []Document) Coverage {
	c := Coverage{Precincts: x.withBallots(), Notes: x.notes}
	if len(documents) == 0 {
		return c
	}
	for _, d := range documents {
		c.Kinds = append(c.Kinds, d.Kind)
	}
	c.Sited = len(x.sited)
	for key := range x.ofKey {
		pi, _ := x.pg.ByKey(key)
		if pi < 0 {
			continue
		}
		f := x.aboutKey(finding.Finding{}, key)
		title := f.Contest
		if f.Party != "" {
			title += " (" + f.Party + ")"
		}
		if x.listed[key] {
			c.Listed = append(c.Listed, title)
		} else {
			c.ProofOnly = append(c.ProofOnly, title)
		}
		if !x.table.any {
			continue
		}
		if x.table.held[key] {
			c.Districted = append(c.Districted, title)
		} else {
			c.NoDistrict = append(c.NoDistrict, NoDistrict{title, x.table.missing[key]})
		}
	}
	slices.SortFunc(c.Listed, natural.Compare)
	slices.SortFunc(c.ProofOnly, natural.Compare)
	slices.SortFunc(c.Districted, natural.Compare)
	slices.SortFunc(c.NoDistrict, func(a, b NoDistrict) int { return natural.Compare(a.Contest, b.Contest) })
	if x.rotating > 0 {
		c.Notes = append(c.Notes, fmt.Sprintf("Contests whose certified order is not compared, because their choices stand "+
			"in several orders: %d.", x.rotating))
	}
	return c
}

func (x *examiner) withBallots() (n int) {
	v := x.pg.Primary
	for i := range v.Precincts {
		if len(v.StylesOf[i]) > 0 {
			n++
		}
	}
	return n
}
