package checks

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/natural"
	"counterproof/checks/pairing"
)

// reporter takes what the checks of one comparison find, in the order of the table.
type reporter struct {
	pg        *pairing.Pairing
	options   Options
	checks    map[finding.Code]*Check
	check     *Check // that runs
	found     []*found
	claims    claims
	lost      *losses
	unused    map[[2]int]bool // styles without precincts that a finding tells of, by side
	differing map[int]bool    // contest pairs about whose content there is a finding
	language  string          // the further language that is compared, empty for the first
}

// run lets a check find what it finds.
func (r *reporter) run(check *Check, ds *difference.Differences) {
	if check.find != nil {
		r.check = check
		check.find(ds, r)
	}
}

// runIn lets the checks of wordings find what differs in a further language. What is claimed
// of anything but wordings still is.
func (r *reporter) runIn(language string, ds *difference.Differences) {
	r.language, r.claims = language, r.claims.withoutWordings()
	for _, check := range All() {
		if check.further {
			r.run(check, ds)
		}
	}
	r.language = ""
}

func newReporter(pg *pairing.Pairing, opts Options) *reporter {
	r := &reporter{pg: pg, options: opts, claims: claims{}, lost: &losses{}, unused: map[[2]int]bool{},
		differing: map[int]bool{}, checks: map[finding.Code]*Check{}}
	for _, c := range All() {
		r.checks[c.Code] = c
	}
	return r
}

// found is a finding under construction.
type found struct {
	finding.Finding
	subject []string
	rank    int // of the check in the table
	by      *reporter
}

// claims are the fields that findings, and the rules by which unlike fields agree,
// account for.
type claims map[finding.Ref][]finding.Field

func (c claims) add(list ...finding.Claim) {
	for _, one := range list {
		if !c.has(one.Ref, one.Field) {
			c[one.Ref] = append(c[one.Ref], one.Field)
		}
	}
}

// whole is true where all of a thing was claimed.
func (c claims) whole(of finding.Ref) bool { return c.has(of, finding.Whole) }

// has is true where exactly this was claimed.
func (c claims) has(of finding.Ref, field finding.Field) bool { return slices.Contains(c[of], field) }

var wordings = []finding.Field{finding.Abbreviation, finding.Headings, finding.Jurisdiction, finding.Name,
	finding.Summary, finding.Text, finding.Title}

func (c claims) withoutWordings() claims {
	out := make(claims, len(c))
	for ref, fields := range c {
		out[ref] = slices.DeleteFunc(slices.Clone(fields), func(f finding.Field) bool { return slices.Contains(wordings, f) })
	}
	return out
}

// agree accounts for fields that differ and agree by a rule.
func (r *reporter) agree(list ...finding.Claim) { r.claims.add(list...) }

// claim says what a finding accounts for.
func (f *found) claim(list ...finding.Claim) *found {
	for i := range list {
		list[i].Language = f.Language
	}
	f.Claims = append(f.Claims, list...)
	f.by.claims.add(list...)
	return f
}

// contestRef and choiceRef name a pair of contests and a choice of it; i and j are
// places in the lists of choices, -1 where one side lacks it.
func contestRef(m pairing.ContestPair) finding.Ref {
	return finding.RefTo(finding.Contest, m.Primary, m.Second)
}

func choiceRef(m pairing.ContestPair, i, j int) finding.Ref {
	return finding.RefTo(finding.Choice, m.Primary, m.Second).Part(i, j)
}

// ballotRefs name the ballots of a face.
func ballotRefs(fc *difference.Face) []finding.Ref {
	var out []finding.Ref
	for _, i := range fc.Primary {
		for _, j := range fc.Second {
			out = append(out, finding.RefTo(finding.Ballot, i, j))
		}
	}
	return out
}

// ballotClaims claim a field of the ballots that meet in some areas; of the contest on
// them, where pi or si is not -1. Where where is not nil, it picks the faces.
func ballotClaims(ds *difference.Differences, areas []int, field finding.Field, pi, si int) []finding.Claim {
	var faces []int
	for _, a := range areas {
		faces = append(faces, ds.Ballots.FirstIn[a]...)
	}
	slices.Sort(faces)
	var out []finding.Claim
	for _, f := range slices.Compact(faces) {
		for _, ref := range ballotRefs(&ds.Ballots.Faces[f]) {
			out = append(out, finding.Claim{Ref: ref.Part(pi, si), Field: field})
		}
	}
	return out
}

// precinctClaims claim a field of the precincts of some areas.
func precinctClaims(ds *difference.Differences, areas []int, field finding.Field) []finding.Claim {
	var out []finding.Claim
	for _, a := range areas {
		at := ds.Precincts.Areas[a]
		out = append(out, finding.Claim{Ref: finding.RefTo(finding.Precinct, at.Primary, at.Second), Field: field})
	}
	return out
}

// report adds a finding of the check that runs, under its code where the finding has
// none. The subject, in the second entry's wording, makes its
// identity together with the check's code.
func (r *reporter) report(f finding.Finding, subject ...string) *found {
	if f.Precincts == nil {
		f.Precincts = []string{}
	}
	f.Precincts = natural.Sorted(f.Precincts)
	f.Check, f.Language = cmp.Or(f.Check, r.check.Code), r.language
	for side, shown := range [2]string{f.Primary, f.Second} {
		if v := &f.Values[side]; len(v.List) == 0 {
			v.Words = shown
		}
	}
	words := r.check
	if c := r.checks[f.Check]; c != nil && c.Sentence != nil {
		words = c
	}
	if words.Sentence != nil {
		f.Message = words.Sentence(&f)
	}
	if f.Language != "" {
		f.Message = finding.InLanguage(f.Language, f.Message)
		subject = append(slices.Clone(subject), f.Language)
	}
	one := &found{Finding: f, subject: append([]string{f.Contest, f.Party, f.Choice, f.Unit}, subject...), by: r}
	r.found = append(r.found, one)
	return one
}

// findings gives the findings their identities and their order.
func (r *reporter) findings(ds *difference.Differences) []finding.Finding {
	rank := map[finding.Code]int{}
	for i, c := range All() {
		rank[c.Code] = i
	}
	for _, f := range r.found {
		f.rank = rank[f.Check]
	}
	grades := map[finding.Grade]int{finding.MustFix: 0, finding.Confirm: 1, finding.Note: 2}
	slices.SortStableFunc(r.found, func(a, b *found) int {
		return cmp.Or(
			cmp.Compare(grades[a.Grade], grades[b.Grade]), cmp.Compare(a.rank, b.rank),
			natural.Compare(a.Contest, b.Contest), natural.Compare(a.Party, b.Party), natural.Compare(a.Choice, b.Choice),
			natural.Compare(a.Unit, b.Unit), natural.Compare(a.Site, b.Site), natural.Compare(a.Style, b.Style),
			cmp.Compare(a.Language, b.Language),
			slices.CompareFunc(a.Precincts, b.Precincts, natural.Compare),
			cmp.Compare(a.Primary, b.Primary), cmp.Compare(a.Second, b.Second), cmp.Compare(a.Message, b.Message),
			slices.Compare(a.subject, b.subject))
	})
	out := make([]finding.Finding, 0, len(r.found))
	seen := map[string]int{}
	for _, f := range r.found {
		f.ID = identity(f.Check, f.subject)
		if seen[f.ID]++; seen[f.ID] > 1 {
			f.ID = fmt.Sprintf("%s-%d", f.ID, seen[f.ID])
		}
		out = append(out, f.Finding)
	}
	tellApart(out)
	return out
}

// identity is what a finding goes by: the code of its check, and a digest of its subject.
func identity(code finding.Code, subject []string) string {
	sum := sha256.Sum256([]byte(string(code) + "\x00" + strings.Join(subject, "\x00")))
	return string(code) + "-" + hex.EncodeToString(sum[:6])
}

// reportPair reports a finding about a pair of contests.
func (r *reporter) reportPair(m pairing.ContestPair, f finding.Finding, subject ...string) *found {
	if k := r.pg.PlaceOfPair(m); k >= 0 {
		r.differing[k] = true
	}
	return r.report(f, append(r.pg.ContestSubject(m.Primary, m.Second), subject...)...)
}
