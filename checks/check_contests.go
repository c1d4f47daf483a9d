package checks

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/checks/wording"
	"counterproof/model"
)

const codeContestTitle finding.Code = "contest-title"

var contestTitle = &Check{Check: finding.Check{
	Code:    codeContestTitle,
	Purpose: "the wording of a contest differs",
	Doc: `The title of a contest, with its subtitle, is compared as printed. Where only capitals,
spacing, punctuation or accents differ it is graded confirm, else must-fix. An export
that gives only the contest's working name, which need not be as printed (SP 1500-100,
Contest.Name), gives a note for capitals, spacing and punctuation.`,
	Example:  `"Member of Council, District 3": the primary has "District 8"`,
	Headline: "other spelling",
	Mark:     finding.MarkSpelling,
	Field:    "the title",
	Wordings: true,
	Keyed:    []finding.Thing{finding.Contest},
	Sentence: sayContestTitle,
},
	find: findContestTitle,

	pattern: spelling, exchange: exchanged,
}

const codeContestKind finding.Code = "contest-kind"

var contestKind = &Check{Check: finding.Check{
	Code:    codeContestKind,
	Purpose: "the kind of a contest differs",
	Doc: `One side holds a contest as candidates, the other as a measure, a retention question or
a straight-party contest. Votes are then counted by other rules. Graded must-fix.`,
	Example:  `"Retain Judge Orla Finch?": a measure in the primary, a retention question as keyed`,
	Headline: "other kind",
	Mark:     finding.MarkSpelling,
	Field:    "the kind",
	Keyed:    []finding.Thing{finding.Contest},
	Sentence: sayContestKind,
},
	find: findContestKind,

	pattern: sameValues,
}

const codeMeasureText finding.Code = "measure-text"

var measureText = &Check{Check: finding.Check{
	Code:    codeMeasureText,
	Purpose: "the text of a measure differs",
	Doc: `The text that was keyed is compared with the full text and the summary that the primary
holds; it must agree with one of them. Graded by how they differ.`,
	Example:  `Proposition Two: "ten million" in the primary, "one million" as keyed`,
	Headline: "other text",
	Mark:     finding.MarkSpelling,
	Field:    "the text",
	Wordings: true,
	Keyed:    []finding.Thing{finding.Contest},
	Sentence: sayMeasureText,
},
	find: findMeasureText,

	pattern: spelling, exchange: exchanged,
}

const codePrimaryParty finding.Code = "primary-party"

var primaryParty = &Check{Check: finding.Check{
	Code:    codePrimaryParty,
	Purpose: "the primary party of a contest or ballot differs",
	Doc: `In a party primary a contest, or a ballot, belongs to one party's voters. The two sides
name other parties. Graded must-fix.`,
	Example:  `"County Sheriff": the primary of the Harbor Party as keyed, of the Meadow Party in the export`,
	Headline: "other party",
	Mark:     finding.MarkLine,
	Field:    "the primary party",
	Keyed:    []finding.Thing{finding.Contest, finding.Party},
	Sentence: sayPrimaryParty,
},
	find: findPrimaryParty,

	pattern: sameValues,
}

const codeVoteFor finding.Code = "vote-for"

var voteFor = &Check{Check: finding.Check{
	Code:    codeVoteFor,
	Purpose: "the number of votes allowed differs",
	Doc: `The ballot prints how many votes a voter may cast in a contest; the primary would count
by another number. Where the export states none, nothing is compared. Graded must-fix.`,
	Example:  `"County Judge": vote for 1 in the primary, vote for 2 as keyed`,
	Headline: "other number",
	Mark:     finding.MarkNumber,
	Field:    "the vote-for",
	Keyed:    []finding.Thing{finding.Contest},
	Sentence: sayVoteFor,
},
	find: findVoteFor,

	exchange: func(f *finding.Finding) exchange {
		half := exchanged(f)
		half.single = true // two numbers are exchanged by chance where more contests have them
		return half
	},
}

// reportPair reports a finding about a pair of contests.
func (r *reporter) reportPair(m pairing.ContestPair, f finding.Finding, subject ...string) *found {
	for k := range r.pg.Contests.Pairs {
		if o := &r.pg.Contests.Pairs[k]; o.Primary == m.Primary && o.Second == m.Second {
			r.differing = append(r.differing, k)
		}
	}
	return r.report(f, append(r.pg.ContestSubject(m.Primary, m.Second), subject...)...)
}

func findContestTitle(ds *difference.Differences, r *reporter) {
	ds.EachContestPair(func(k int, m pairing.ContestPair, a, b *model.Contest) {
		if !b.Title.Known {
			return
		}
		f, differs := wordingFinding(pairing.Plain(a.Title), pairing.Plain(b.Title))
		if !differs {
			return
		}
		f = ds.About(f, m.Primary, m.Second)
		f.Precincts = ds.PairNames(m)
		if d := wording.Compare(f.Primary, f.Second); (ds.Primary.WorkingName[m.Primary] || ds.Second.WorkingName[m.Second]) && d.Minor && !d.Accents {
			f.Grade = finding.Note
		}
		r.reportPair(m, f, "title").claim(contestRef(m).Claims(finding.Title)...).mend(setTitle(k, &f))
	})
}

func findContestKind(ds *difference.Differences, r *reporter) {
	ds.EachContestPair(func(k int, m pairing.ContestPair, a, b *model.Contest) {
		if !a.Kind.Known || !b.Kind.Known || a.Kind == b.Kind {
			return
		}
		f := ds.About(finding.Finding{Grade: finding.MustFix, Primary: string(a.Kind.Value), Second: string(b.Kind.Value), Precincts: ds.PairNames(m)}, m.Primary, m.Second)
		r.reportPair(m, f, "kind").claim(contestRef(m).Claims(finding.Kind)...).mend(setKind(k, &f))
	})
}

func kindWord(k model.Kind) string {
	switch k {
	case model.KindCandidate:
		return "a contest of candidates"
	case model.KindMeasure:
		return "a measure"
	case model.KindRetention:
		return "a retention question"
	case model.KindParty:
		return "a straight-party contest"
	}
	return finding.Quote(string(k))
}

// textCase is textLost where the primary has lost the text of a measure.
type textCase int

const textLost textCase = 1

func findMeasureText(ds *difference.Differences, r *reporter) {
	ds.EachContestPair(func(k int, m pairing.ContestPair, a, b *model.Contest) {
		r.agree(contestRef(m).Claims(finding.Summary)...)
		aTexts, bTexts := textsOf(a), textsOf(b)
		switch {
		case len(aTexts) == 0 && len(bTexts) == 0, len(bTexts) == 0, len(aTexts) == 0 && !ds.Primary.AnyText:
			return
		case len(aTexts) == 0 && bTexts[0] == "":
			return // nothing is printed, as keyed
		case len(aTexts) == 0:
			// Other measures of the export have their text; this one has lost it.
			f := ds.About(finding.Finding{Grade: finding.MustFix, Facts: textLost, Second: bTexts[0], Precincts: ds.PairNames(m)}, m.Primary, m.Second)
			r.reportPair(m, f, "text").claim(contestRef(m).Claims(finding.Text)...).mend(setText(k, &f))
			return
		}
		for _, x := range aTexts {
			for _, y := range bTexts {
				if x == y {
					r.agree(contestRef(m).Claims(finding.Text)...)
					return
				}
			}
		}
		x, y := aTexts[0], bTexts[0]
		if len(aTexts) > 1 && wording.Similarity(aTexts[1], y) > wording.Similarity(x, y) {
			x = aTexts[1]
		}
		f, _ := wordingFinding(x, y)
		f = ds.About(f, m.Primary, m.Second)
		f.Precincts = ds.PairNames(m)
		r.reportPair(m, f, "text").claim(contestRef(m).Claims(finding.Text)...).mend(setText(k, &f))
	})
}

// textsOf lists the texts that a ballot may print for a contest: the full text,
// the summary.
func textsOf(c *model.Contest) []string {
	var out []string
	for _, t := range []model.Stated[model.Text]{c.Text, c.Summary} {
		if t.Known {
			out = append(out, pairing.Plain(t))
		}
	}
	return out
}

func findPrimaryParty(ds *difference.Differences, r *reporter) {
	ds.EachContestPair(func(k int, m pairing.ContestPair, a, b *model.Contest) {
		if !a.PrimaryParties.Known || !b.PrimaryParties.Known {
			return
		}
		x, y := ds.PartyKeys(ds.Primary, a.PrimaryParties.Value), ds.PartyKeys(ds.Second, b.PrimaryParties.Value)
		if slices.Equal(x, y) {
			return
		}
		f := ds.About(finding.Finding{Grade: finding.MustFix, Precincts: ds.PairNames(m),
			Primary: ds.Primary.PartyList(a.PrimaryParties.Value), Second: ds.Second.PartyList(b.PrimaryParties.Value)}, m.Primary, m.Second)
		r.reportPair(m, f, "primary party").claim(contestRef(m).Claims(finding.PrimaryParties)...).mend(setPrimaryParties(k, &f))
	})
	type differing struct{ primary, second string }
	byParties := map[differing][]int{}
	for _, fi := range ds.Ballots.PartyDiffers {
		fc := &ds.Ballots.Faces[fi]
		k := differing{ds.Primary.PartyList(ds.Primary.Styles[fc.Primary[0]].Parties), ds.Second.PartyList(ds.Second.Styles[fc.Second[0]].Parties)}
		byParties[k] = append(byParties[k], fc.Areas...)
	}
	for k, areas := range byParties {
		f := finding.Finding{Grade: finding.MustFix, Primary: k.primary, Second: k.second, Party: cmp.Or(k.second, k.primary), Precincts: ds.AreaNames(areas)}
		r.report(f, "ballot", k.second).claim(ballotClaims(ds, areas, finding.Parties, finding.None, finding.None)...).
			mend(setBallotParties(&f, k.primary, k.second))
	}
}

func primaryWord(parties string) string {
	if parties == "" {
		return "no party's primary"
	}
	return "the primary of " + parties
}

func findVoteFor(ds *difference.Differences, r *reporter) {
	ds.EachContestPair(func(k int, m pairing.ContestPair, a, b *model.Contest) {
		if !a.VoteFor.Known || !b.VoteFor.Known || a.VoteFor == b.VoteFor {
			return
		}
		f := ds.About(finding.Finding{Grade: finding.MustFix, Primary: strconv.Itoa(a.VoteFor.Value), Second: strconv.Itoa(b.VoteFor.Value), Precincts: ds.PairNames(m)}, m.Primary, m.Second)
		r.reportPair(m, f, "vote for").claim(contestRef(m).Claims(finding.VoteFor)...).mend(setVoteFor(k, &f))
	})
}

func sayContestTitle(f *finding.Finding) string {
	switch {
	case f.Grade == finding.Note:
		return fmt.Sprintf("The export gives only a working name for %s (%s); what differs from the printed title is %s.",
			finding.Quote(f.Second), finding.Quote(f.Primary), wording.Compare(f.Primary, f.Second).Word())
	case f.Primary == "":
		return fmt.Sprintf("The primary holds no title for %s.", finding.Quote(f.Second))
	}
	return fmt.Sprintf("The title of %s differs in the primary, %s.", finding.Quote(f.Second), finding.DiffersIn(f.Primary, f.Second))
}

func sayContestKind(f *finding.Finding) string {
	return fmt.Sprintf("%s is %s in the primary, and was keyed as %s.", finding.Quote(f.Contest), kindWord(model.Kind(f.Primary)), kindWord(model.Kind(f.Second)))
}

func sayMeasureText(f *finding.Finding) string {
	if f.Facts == textLost {
		return fmt.Sprintf("The primary holds no text for %s, and one was keyed.", finding.Quote(f.Contest))
	}
	return fmt.Sprintf("The text of %s differs in the primary, %s.", finding.Quote(f.Contest), finding.DiffersIn(f.Primary, f.Second))
}

func sayPrimaryParty(f *finding.Finding) string {
	if f.Contest == "" { // of a ballot
		return fmt.Sprintf("In %s the primary has a %s where a %s was keyed.", finding.CountPrecincts(f.Precincts), ballotFor(f.Primary), ballotFor(f.Second))
	}
	return fmt.Sprintf("%s belongs to %s in the primary, and to %s as keyed.", finding.Quote(f.Contest), primaryWord(f.Primary), primaryWord(f.Second))
}

func sayVoteFor(f *finding.Finding) string {
	return fmt.Sprintf("%s: the primary lets a voter vote for %s; keyed is vote for %s.", finding.Quote(f.Contest), f.Primary, f.Second)
}

// VoteForStatedOnce finds the contests whose vote-for only one of two exports states. A
// vote-for that the primary does not state is compared with nothing, so that no
// comparison shows it.
func VoteForStatedOnce(before, after *model.Election, o Options) []finding.Finding {
	type name struct{ title, parties string }
	nameOf := func(e *model.Election, i int) name {
		c := &e.Contests[i]
		n := name{title: strings.TrimSpace(c.Title.Value.In(o.Language) + " " + c.Subtitle.Value.In(o.Language))}
		if n.title == "" {
			n.title = c.Name.Value.In(o.Language)
		}
		for _, p := range c.PrimaryParties.Value {
			n.parties += e.Parties[p].Abbreviation.Value.In(o.Language) + e.Parties[p].Name.Value.In(o.Language)
		}
		return n
	}
	index := map[name]int{}
	for i := range before.Contests {
		n := nameOf(before, i)
		if _, twice := index[n]; twice {
			index[n] = -1
			continue
		}
		index[n] = i
	}
	var out []finding.Finding
	for i := range after.Contests {
		n := nameOf(after, i)
		at, ok := index[n]
		if !ok || at < 0 || before.Contests[at].VoteFor.Known == after.Contests[i].VoteFor.Known {
			continue
		}
		say := func(v model.Stated[int]) string {
			if !v.Known {
				return ""
			}
			return strconv.Itoa(v.Value)
		}
		f := finding.Finding{
			Check: codeVoteFor, Contest: n.title, Precincts: []string{},
			Primary: say(after.Contests[i].VoteFor), Second: say(before.Contests[at].VoteFor),
		}
		sum := sha256.Sum256([]byte(n.title + "\x00" + n.parties))
		f.ID = string(codeVoteFor) + "-stated-" + hex.EncodeToString(sum[:6])
		out = append(out, f)
	}
	return out
}
