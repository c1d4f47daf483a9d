package checks

import (
	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model"
)

// Compare compares the primary, the configuration under proof, with the second
// entry. It changes neither. It never fails: whatever the elections hold, the
// answer is a list of findings.
func Compare(primary, second *model.Election, opts Options) Result {
	return ComparePaired(pairing.Of(primary, second, opts.Language, opts.Mapped), opts)
}

// ComparePaired is Compare for two elections that are paired already.
func ComparePaired(pg *pairing.Pairing, opts Options) Result {
	ds := difference.Of(pg)
	r := newReporter(ds.Pairing, opts)
	for n, check := range All() {
		if opts.Step != nil {
			opts.Step(n+1, len(All())+1) // what follows is the last step
		}
		if check != languageTwin { // which is silent about what the others report, in any language
			r.run(check, ds)
		}
	}
	languages, _ := pg.Languages()
	for _, l := range languages {
		r.runIn(l.Second, ds.In(l))
	}
	r.run(languageTwin, ds)
	findings := bySpreadsheet(r.findings(ds), pg.Primary.Election)
	out := Result{Findings: findings, Causes: findCauses(findings), Coverage: coverage(ds)}
	out.Summary = summary(ds, findings)
	return out
}

// Inspect reports the faults that an export shows by itself, without a second
// entry.
func Inspect(primary *model.Election, opts Options) []finding.Finding {
	ds := difference.Of(pairing.Of(primary, &model.Election{}, opts.Language, nil))
	r := newReporter(ds.Pairing, opts)
	for _, c := range All() {
		if c.Inspects {
			r.run(c, ds)
		}
	}
	return r.findings(ds)
}

func summary(ds *difference.Differences, findings []finding.Finding) Summary {
	s := Summary{Contests: len(ds.Primary.Contests), Units: len(ds.Primary.Units)}
	for i := range ds.Primary.Precincts {
		if len(ds.Primary.StylesOf[i]) > 0 {
			s.Precincts++
		}
	}
	for _, f := range findings {
		switch f.Grade {
		case finding.MustFix:
			s.MustFix++
		case finding.Confirm:
			s.Confirm++
		default:
			s.Note++
		}
	}
	return s
}
