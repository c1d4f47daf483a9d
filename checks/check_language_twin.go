package checks

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/wording"
	"counterproof/model"
)

const codeLanguageTwin finding.Code = "language-twin"

var languageTwin = &Check{Check: finding.Check{
	Code:    codeLanguageTwin,
	Purpose: "the export's own languages disagree",
	Doc: `The languages of the export are held against each other, keyed or not: what a title, a
text, a name or a heading says in numbers (digits of any script; in English and Spanish
also the words one to twelve and the months), the short form of a party, and wording that
is there in one language and not in another, of a contest that is in both, or where nearly
all such wordings are in both. The
name of a person is the same in all languages of one script.
Graded confirm: a translator may have reasons.`,
	Example:  `Proposition Two: "2.5" in English, "25" in Spanish`,
	Mark:     finding.MarkNumber,
	Inspects: true,
	Sentence: sayLanguageTwin,
	Advice: "Nothing that was keyed can end this. Compare the proof of the language with the document; if it is right " +
		"as it stands, certify it, else ask for the change.",
},
	find: findLanguageTwin,
}

// twin is what a finding says: which wording of the contest, or of which choice, in which two
// languages; or the things that have such a wording in First and not in Other.
type twin struct {
	What         string
	First, Other string
	Missing      []string
	// Words are what they say.
	Words [2]string
	// InFirst and InOther are the numbers that only one of them says.
	InFirst, InOther []string
}

// twinned is a wording of the export in all its languages.
type twinned struct {
	what    string // "title"
	contest int    // -1 for what belongs to none
	text    model.Text
	name    string // of the thing, for people
	about   func(finding.Finding) finding.Finding
	// claim is what a finding that compares the wording with what was keyed claims.
	claim finding.Claim
}

func findLanguageTwin(ds *difference.Differences, r *reporter) {
	further := ds.Primary.Further()
	if len(further) == 0 {
		return
	}
	first := ds.Primary.Language
	claimed := r.claimedByFindings()
	list := twinnedTexts(ds, claimed)
	for _, other := range further {
		seen := map[[4]string]bool{} // a person on several lines is one
		for _, t := range list {
			x, inFirst := t.text.Only(first)
			y, inOther := t.text.Only(other)
			if !inFirst || !inOther || strings.EqualFold(x, y) || claimed[t.claim] {
				continue
			}
			m, n := wording.NumbersOf(x, first), wording.NumbersOf(y, other)
			if t.what == "short form" && otherCode(x, y) || t.what == "name" && otherName(x, y) || !wording.SameNumbers(m, n) {
				if key := [4]string{t.what, t.name, x, y}; seen[key] {
					continue
				} else {
					seen[key] = true
				}
				both := languageWords(first) + ": " + x + " / " + languageWords(other) + ": " + y
				r.report(t.about(finding.Finding{Grade: finding.Confirm, Primary: both, Facts: twin{What: t.what, First: first,
					Other: other, Words: [2]string{x, y}, InFirst: m.Beyond(n), InOther: n.Beyond(m)}}), t.what, t.name, first, other)
			}
		}
		missingIn(r, list, claimed, first, other)
	}
}

// claimedByFindings are the fields that findings so far are about, whatever the language.
func (r *reporter) claimedByFindings() map[finding.Claim]bool {
	out := map[finding.Claim]bool{}
	for _, f := range r.found {
		for _, c := range f.Claims {
			c.Language = ""
			out[c] = true
		}
	}
	return out
}

// missingIn reports wordings that are in one of two languages alone: of a contest that has others in
// both, or where most such wordings are in both. A contest that nobody translated is none.
func missingIn(r *reporter, list []twinned, claimed map[finding.Claim]bool, first, other string) {
	translated := map[int]bool{} // contests with some wording in both
	for _, t := range list {
		if t.contest >= 0 && stands(t.text, first) && stands(t.text, other) {
			translated[t.contest] = true
		}
	}
	for _, what := range []string{"title", "text", "choice", "heading", "party name"} {
		both, lone := 0, map[[2]string][]twinned{}
		for _, t := range list {
			x, y := stands(t.text, first), stands(t.text, other)
			switch {
			case t.what != what || claimed[t.claim] || !x && !y:
			case x && y:
				both++
			case x:
				lone[[2]string{first, other}] = append(lone[[2]string{first, other}], t)
			default:
				lone[[2]string{other, first}] = append(lone[[2]string{other, first}], t)
			}
		}
		for _, in := range [][2]string{{first, other}, {other, first}} {
			few := both > 3*len(lone[in])
			var names []string
			for _, t := range lone[in] {
				if (few || translated[t.contest] && t.contest >= 0) && !slices.Contains(names, t.name) {
					names = append(names, t.name)
				}
			}
			if len(names) > 0 {
				f := finding.Finding{Grade: finding.Confirm, Facts: twin{What: what, First: in[0], Other: in[1], Missing: names}}
				f.Primary = finding.ShortList(names)
				f.Values[0].List = names
				r.report(f, "missing", what, in[0], in[1])
			}
		}
	}
}

func stands(t model.Text, language string) bool {
	words, _ := t.Only(language)
	return strings.TrimSpace(words) != ""
}

// otherName reports whether a person has another name in another language that is written in the
// same letters. Other letters are a transcription.
func otherName(x, y string) bool { return latin(x) && latin(y) && !wording.Compare(x, y).Same }

// otherCode is the same of short forms, where only what is read counts: DEM and «Dem.» are one.
func otherCode(x, y string) bool {
	return latin(x) && latin(y) && !strings.EqualFold(letters(x), letters(y))
}

func latin(s string) bool {
	return !strings.ContainsFunc(s, func(r rune) bool { return unicode.IsLetter(r) && !unicode.Is(unicode.Latin, r) })
}

func letters(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return r
		}
		return -1
	}, s)
}

// twinnedTexts lists the wordings of the export that may be in several languages.
func twinnedTexts(ds *difference.Differences, claimed map[finding.Claim]bool) []twinned {
	var out []twinned
	for ci := range ds.Primary.Contests {
		c, si := &ds.Primary.Contests[ci], ds.Contests.ToSecond[ci]
		about := func(f finding.Finding) finding.Finding {
			return ds.About(f, ci, si)
		}
		ref := finding.RefTo(finding.Contest, ci, si)
		title := ds.Primary.Title(ci)
		for _, t := range []struct {
			what  string
			text  model.Stated[model.Text]
			field finding.Field
		}{{"title", c.Title, finding.Title}, {"subtitle", c.Subtitle, finding.Title}, {"text", c.Text, finding.Text},
			{"summary", c.Summary, finding.Text}} {
			out = append(out, twinned{t.what, ci, t.text.Value, title, about, finding.Claim{Ref: ref, Field: t.field}})
		}
		what := "choice"
		if c.Kind.Value == model.KindCandidate {
			what = "name"
		}
		k := ds.MainPair(ci)
		for j := range c.Choices {
			choice := finding.RefTo(finding.Choice, ci, si).Part(j, finding.None)
			if k >= 0 {
				choice.SecondPart = ds.Contests.Pairs[k].Choices.ToSecond[j]
			}
			out = append(out, twinned{what, ci, c.Choices[j].Name.Value, title + ": " + ds.Primary.Choice(ci, j), about,
				finding.Claim{Ref: choice, Field: finding.Name}})
		}
	}
	return append(out, twinnedRest(ds, claimed)...)
}

func twinnedRest(ds *difference.Differences, claimed map[finding.Claim]bool) []twinned {
	reported := map[int]bool{} // ballots about whose headings there is a finding
	for c := range claimed {
		if c.Thing == finding.Ballot && c.Field == finding.Headings {
			reported[c.Primary] = true
		}
	}

	plain := func(f finding.Finding) finding.Finding { return f }
	var out []twinned
	for i, p := range ds.Primary.Parties {
		ref := finding.RefTo(finding.Party, i, ds.Parties.ToSecond[i])
		out = append(out,
			twinned{"party name", -1, p.Name.Value, ds.Primary.PartyName[i], plain, finding.Claim{Ref: ref,
				Field: finding.Name}},
			twinned{"short form", -1, p.Abbreviation.Value, ds.Primary.PartyName[i], plain,
				finding.Claim{Ref: ref, Field: finding.Abbreviation}})
	}
	seen := map[string]bool{}
	for i := range ds.Primary.Styles {
		if reported[i] {
			continue
		}
		for _, pl := range ds.Primary.Styles[i].Content {
			for _, h := range pl.Headings.Value {
				if key := fmt.Sprint(h); !seen[key] {
					seen[key] = true
					out = append(out, twinned{"heading", -1, h, ds.Primary.Words(h), plain, finding.Claim{}})
				}
			}
		}
	}
	return append(out, twinned{"name of the election", -1, ds.Primary.Facts.Name.Value, "", plain,
		finding.Claim{Ref: finding.RefTo(finding.Election, 0, 0), Field: finding.Name}})
}

// plurals are the words for several of what may be missing.
var plurals = map[string]string{"title": "titles", "text": "texts", "choice": "choices", "heading": "headings",
	"party name": "names of parties"}

// twinName names a language. The first may have no tag.
func twinName(tag string) string { return cmp.Or(finding.LanguageName(tag), "the first language") }

func sayLanguageTwin(f *finding.Finding) string {
	x := f.Facts.(twin)
	first, other := twinName(x.First), twinName(x.Other)
	if x.Missing != nil {
		return fmt.Sprintf("The export holds %s in %s and not in %s: %s.", english.Plural(len(x.Missing), x.What,
			plurals[x.What]),
			first, other, finding.ShortList(x.Missing))
	}
	of := "The " + x.What
	if f.Contest != "" {
		of = finding.Quote(f.Contest) + ": the " + x.What
	}
	inFirst, inOther := english.WordSeries(x.InFirst, "and"), english.WordSeries(x.InOther, "and")
	switch {
	case inFirst != "" && inOther != "":
		return fmt.Sprintf("%s says %s in %s and %s in %s.", of, inFirst, first, inOther, other)
	case inFirst != "":
		return fmt.Sprintf("%s says %s in %s, and not in %s.", of, inFirst, first, other)
	case inOther != "":
		return fmt.Sprintf("%s says %s in %s, and not in %s.", of, inOther, other, first)
	}
	return fmt.Sprintf("%s is %s in %s and %s in %s.", of, finding.Quote(x.Words[0]), first, finding.Quote(x.Words[1]),
		other)
}
