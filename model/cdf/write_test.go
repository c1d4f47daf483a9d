package cdf

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"counterproof/model"
)

var writtenAt = WriteOptions{Generated: time.Date(2027, 9, 20, 9, 0, 0, 0, time.UTC)}

// written writes an election and reads it again.
func written(t require.TestingT, e *model.Election) (*model.Election, []byte) {
	var b bytes.Buffer
	require.NoError(t, WriteXML(&b, e, writtenAt))
	again, _, err := Read([]Part{{"written.xml", b.Bytes()}}, Options{WithoutStyles: true})
	require.NoError(t, err, "%s", b.Bytes())
	return again, b.Bytes()
}

// validate holds XML against the published schema of SP 1500-100.
func validate(t testing.TB, data ...[]byte) {
	t.Helper()
	validateAs(t, results, data...)
}

// validateAs holds XML against the published schema of a standard.
func validateAs(t testing.TB, as *standard, data ...[]byte) {
	t.Helper()
	program, err := exec.LookPath("xmllint")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("xmllint is missing; install libxml2-utils")
		}
		t.Skip("xmllint is not installed")
	}
	schema := map[*standard]string{results: "sp1500-100/NIST_V2_election_results_reporting.xsd",
		definition: "sp1500-20/NIST_V1_ballot_definition.xsd"}[as]
	arguments := []string{"--noout", "--nonet", "--schema", published(t, schema)}
	for i, d := range data {
		path := filepath.Join(t.TempDir(), strconv.Itoa(i)+".xml")
		require.NoError(t, os.WriteFile(path, d, 0o600))
		arguments = append(arguments, path)
	}
	out, err := exec.Command(program, arguments...).CombinedOutput()
	require.NoError(t, err, "%s", out)
}

// people replaces what tells persons apart by the first position of each, so that
// two elections can be compared.
func people(e *model.Election) {
	for c := range e.Contests {
		if k := e.Contests[c].Kind; k.Known && k.Value != model.KindCandidate {
			continue
		}
		choices := e.Contests[c].Choices
		first := map[string]string{}
		for i := range choices {
			p := &choices[i].Person
			if choices[i].WriteIn {
				continue
			}
			if _, ok := first[*p]; !ok || *p == "" {
				first[*p] = strconv.Itoa(i)
			}
			*p = first[*p]
		}
	}
}

func TestNISTElectionsWrittenAndReadAgain(t *testing.T) {
	var all [][]byte
	for _, election := range []string{"gen-01", "gen-03", "prim-01"} {
		e, _ := readPublished(t, election+"/pe-err-"+election+".xml")
		again, data := written(t, e)
		all = append(all, data)
		e.Origins, again.Origins = model.Origins{}, model.Origins{}
		people(e)
		people(again)
		// Districts come in the order in which contests name them, precincts that are
		// districts included, so nothing is left to allow for.
		assert.Empty(t, cmp.Diff(e, again), election)
	}
	validate(t, all...)
}

// TestWhatTheFormatHoldsComesBack: an election that states only what SP 1500-100
// can hold is the same after it was written and read.
func TestWhatTheFormatHoldsComesBack(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		e := drawElection(rt)
		again, data := written(rt, e)
		again.Origins = model.Origins{}
		people(e)
		people(again)
		if diff := cmp.Diff(e, again); diff != "" {
			rt.Fatalf("the election changed:\n%s\n%s", diff, data)
		}
	})
}

func TestWhatIsWrittenIsValid(t *testing.T) {
	var all [][]byte
	for seed := range 25 {
		e := rapid.Custom(drawElection).Example(seed)
		_, data := written(t, e)
		all = append(all, data)
	}
	validate(t, all...)
}

// drawElection draws an election that the format can hold as it is.
func drawElection(rt *rapid.T) *model.Election {
	draw := func(n int, label string) int { return rapid.IntRange(0, n).Draw(rt, label) }
	yes := func(label string) bool { return rapid.Bool().Draw(rt, label) }
	words := rapid.StringOfN(rapid.SampledFrom([]rune("aB 7&<>\"'é漢𝒜\t\n\r]\u00a0\u200b\u202e/")), 1, 12,
		-1).Filter(func(s string) bool {
		return strings.TrimSpace(s) != "" // a text of spaces alone is read as not stated
	})
	text := func(label string) model.Text {
		t := model.Text{{Language: rapid.SampledFrom([]string{"en", ""}).Draw(rt, label), Words: words.Draw(rt, label)}}
		if yes(label + " in Spanish") {
			t = append(t, model.Phrase{Language: "es-US", Words: words.Draw(rt, label)})
		}
		return t
	}
	maybe := func(label string) model.Stated[model.Text] {
		if yes("state " + label) {
			return model.Say(text(label))
		}
		return model.Stated[model.Text]{}
	}
	some := func(n, least int, label string) []int { // indexes below n, ascending
		out := []int{}
		for i := range n {
			if yes(label) {
				out = append(out, i)
			}
		}
		if len(out) < least {
			out = []int{draw(n-1, label)}
		}
		return out
	}

	e := &model.Election{}
	e.Facts = model.Facts{Name: model.Say(text("election")), Date: model.Say("2027-11-02"),
		Jurisdiction: model.Say(text("jurisdiction"))}
	for range 1 + draw(3, "parties") {
		e.Parties = append(e.Parties, model.Party{Name: model.Say(text("party")), Abbreviation: maybe("abbreviation")})
	}
	nested := yes("precincts within precincts")
	for range 1 + draw(5, "precincts") {
		p := model.Precinct{Name: text("precinct"), Number: rapid.SampledFrom([]string{"", "1-01", " 2 "}).Draw(rt, "number"),
			Kind: "precinct"}
		if nested && len(e.Precincts) > 0 && yes("combined") {
			p.Kind = rapid.SampledFrom([]string{"combined-precinct", "split-precinct", "precinct"}).Draw(rt, "kind")
			p.Members = some(len(e.Precincts), 1, "member")
		}
		e.Precincts = append(e.Precincts, p)
	}
	district := func(name model.Text) {
		e.Districts = append(e.Districts, model.District{
			Name: name, Kind: rapid.SampledFrom([]string{"county", "town", "fire district"}).Draw(rt, "district kind"),
			Precincts: insideOf(e, some(len(e.Precincts), 1, "inside")),
		})
	}
	district(e.Facts.Jurisdiction.Value)
	for range 1 + draw(4, "contests") {
		e.Contests = append(e.Contests, drawContest(rt, e, text, maybe, some, yes))
		if c := &e.Contests[len(e.Contests)-1]; yes("another district") {
			c.District = model.Say(len(e.Districts))
			district(text("district"))
		} else {
			c.District = model.Say(draw(len(e.Districts)-1, "district"))
		}
	}
	headed := yes("headings")
	for range 1 + draw(3, "styles") {
		s := model.Style{Precincts: some(len(e.Precincts), 1, "gets the style")}
		if yes("label") {
			s.Label = model.Say(rapid.SampledFrom([]string{"Ballot 12", " R-1 "}).Draw(rt, "label"))
		}
		if yes("closed") {
			s.Parties = some(len(e.Parties), 1, "style's party")
		}
		s.Content = []model.Placement{}
		for c := range e.Contests {
			if !yes("on the ballot") {
				continue
			}
			p := model.Placement{Contest: c}
			if n := len(e.Contests[c].Choices); n > 0 && yes("order") {
				p.Order = model.Say(rapid.SliceOfN(rapid.IntRange(0, n-1), 1, n+1).Draw(rt, "order"))
			}
			if headed {
				p.Headings = model.Say([]model.Text{})
				for range draw(2, "headings") {
					p.Headings.Value = append(p.Headings.Value, text("heading"))
				}
			}
			s.Content = append(s.Content, p)
		}
		if headed { // at least one, or the report would have no headings at all
			s.Closing = model.Say([]model.Text{text("closing")})
		}
		e.Styles = append(e.Styles, s)
	}
	for range draw(3, "sites") {
		e.Sites = append(e.Sites, model.Site{Name: text("site")})
		use := rapid.SampledFrom([]model.Use{model.UseElectionDay, model.UseEarly, model.UseCentral,
			model.UseAccessible}).Draw(rt, "use")
		for i := range e.Precincts {
			if !nested && yes("votes there") {
				at := &e.Precincts[i].Sites
				*at = model.Say(append(at.Value, model.SiteUse{Site: len(e.Sites) - 1, Use: use}))
			}
		}
	}
	for n := range draw(3, "units") {
		u := model.Unit{Name: "Scanner " + strconv.Itoa(n)}
		if len(e.Sites) > 0 && yes("at a site") {
			u.Site = model.Say(draw(len(e.Sites)-1, "site"))
		}
		if yes("use stated") {
			u.Use = model.Say(rapid.SampledFrom([]model.Use{model.UseElectionDay, model.UseEarly, model.UseCentral,
				model.UseAccessible}).Draw(rt, "use"))
		}
		if yes("header stated") {
			u.Precincts = model.Say(some(len(e.Precincts), 1, "in the header"))
			if yes("unknown precinct") {
				u.Unknown = []string{words.Draw(rt, "unknown")}
			}
		}
		e.Units = append(e.Units, u)
	}
	return e
}

func drawContest(rt *rapid.T, e *model.Election, text func(string) model.Text,
	maybe func(string) model.Stated[model.Text],
	some func(n, least int, label string) []int, yes func(string) bool) model.Contest {
	c := model.Contest{
		Title: maybe("title"), Subtitle: maybe("subtitle"), Name: model.Say(model.Plain(text("name").In(""))),
		Kind: model.Say(rapid.SampledFrom([]model.Kind{model.KindCandidate, model.KindMeasure, model.KindRetention,
			model.KindParty}).Draw(rt, "kind")),
	}
	if yes("variation") {
		c.Variation = model.Say(rapid.SampledFrom([]string{"n-of-m", "rcv", "star"}).Draw(rt, "variation"))
	}
	if yes("rotation") {
		c.Rotates = model.Say(yes("rotates"))
	}
	n := rapid.IntRange(1, 5).Draw(rt, "choices")
	switch c.Kind.Value {
	case model.KindCandidate:
		c.VoteFor = model.Say(rapid.IntRange(-1, 9).Draw(rt, "vote for"))
		c.PrimaryParties = model.Say(some(len(e.Parties), 0, "primary of"))
		for range n {
			choice := model.Choice{WriteIn: yes("write-in")}
			lines := some(len(e.Parties), 0, "line")
			if !choice.WriteIn {
				choice.Name = model.Say(text("candidate"))
				choice.Person = rapid.SampledFrom([]string{"", "a", "b"}).Draw(rt, "person")
				choice.Lines = model.Say(lines)
			} else if len(lines) > 0 {
				choice.Lines = model.Say(lines)
			}
			c.Choices = append(c.Choices, choice)
		}
	case model.KindParty:
		for range n {
			lines := some(len(e.Parties), 1, "line")
			var names []model.Text
			for _, p := range lines {
				names = append(names, e.Parties[p].Name.Value)
			}
			c.Choices = append(c.Choices, model.Choice{Name: model.Say(joined(names)), Lines: model.Say(lines)})
		}
	default:
		c.Text, c.Summary = maybe("text"), maybe("summary")
		for range n {
			c.Choices = append(c.Choices, model.Choice{Name: model.Say(text("answer"))})
		}
	}
	return c
}

// insideOf is what District.Precincts must hold if it holds some precincts: their
// members, and whatever has all its members inside. It says so by trying until
// nothing changes.
func insideOf(e *model.Election, some []int) []int {
	in := map[int]bool{}
	for _, p := range some {
		in[p] = true
	}
	for changed := true; changed; {
		changed = false
		put := func(p int) {
			changed = changed || !in[p]
			in[p] = true
		}
		for i, p := range e.Precincts {
			all := len(p.Members) > 0
			for _, m := range p.Members {
				if in[i] {
					put(m)
				}
				all = all && in[m]
			}
			if all {
				put(i)
			}
		}
	}
	var out []int
	for p := range in {
		out = append(out, p)
	}
	slices.Sort(out)
	return out
}

// TestWhatTheFormatCannotHold: each thing that WriteXML says it changes.
func TestWhatTheFormatCannotHold(t *testing.T) {
	base := func() *model.Election {
		return &model.Election{
			Parties:   []model.Party{{Abbreviation: model.Say(model.Plain("HER"))}, {Name: model.Say(model.Plain("Larch"))}},
			Precincts: []model.Precinct{{Name: model.Plain("1-01")}, {Name: model.Plain("1-02")}},
			Contests: []model.Contest{{Title: model.Say(model.Plain("Clerk")), Kind: model.Say(model.KindCandidate),
				VoteFor: model.Say(1)}},
			Styles: []model.Style{{Precincts: []int{0}, Content: []model.Placement{{Contest: 0}}}},
		}
	}
	var all [][]byte
	for _, c := range []struct {
		name   string
		change func(*model.Election)
		want   func(*testing.T, *model.Election)
	}{
		{"sheets hold no districts, so contests belong to the scope", func(*model.Election) {},
			func(t *testing.T, e *model.Election) {
				assert.Equal(t, []model.District{{Kind: "jurisdiction", Precincts: []int{0, 1}}}, e.Districts)
				assert.Equal(t, model.Say(0), e.Contests[0].District)
				assert.Equal(t, model.Say(model.Plain("not stated")), e.Facts.Jurisdiction)
				assert.Equal(t, "0001-01-01", e.Facts.Date.Value)
			}},
		{"a party without a name", func(*model.Election) {}, func(t *testing.T, e *model.Election) {
			assert.Equal(t, model.Say(model.Plain("HER")), e.Parties[0].Name)
			assert.Equal(t, model.Say(model.Plain("HER")), e.Parties[0].Abbreviation)
		}},
		{"a precinct without a kind", func(*model.Election) {}, func(t *testing.T, e *model.Election) {
			assert.Equal(t, "precinct", e.Precincts[0].Kind)
		}},
		{"a contest without a name", func(*model.Election) {}, func(t *testing.T, e *model.Election) {
			assert.Equal(t, model.Say(model.Plain("Clerk")), e.Contests[0].Name)
		}},
		{"a vote-for that was not keyed", func(e *model.Election) { e.Contests[0].VoteFor = model.Stated[int]{} },
			func(t *testing.T, e *model.Election) {
				assert.Equal(t, model.Say(0), e.Contests[0].VoteFor)
			}},
		{"a contest without a kind", func(e *model.Election) { e.Contests[0].Kind = model.Stated[model.Kind]{} },
			func(t *testing.T, e *model.Election) {
				assert.Equal(t, model.Say(model.KindCandidate), e.Contests[0].Kind)
			}},
		{"the vote-for of a measure", func(e *model.Election) { e.Contests[0].Kind.Value = model.KindMeasure },
			func(t *testing.T, e *model.Election) {
				assert.False(t, e.Contests[0].VoteFor.Known)
			}},
		{"the name of a write-in line, and lines that were not keyed", func(e *model.Election) {
			e.Contests[0].Choices = []model.Choice{{Name: model.Say(model.Plain("Write-in")), WriteIn: true},
				{Name: model.Say(model.Plain("Ada Quill"))}, {}}
		}, func(t *testing.T, e *model.Election) {
			none := model.Say([]int{})
			e.Contests[0].Choices[1].Person = ""
			assert.Equal(t, []model.Choice{{WriteIn: true}, {Name: model.Say(model.Plain("Ada Quill")), Lines: none},
				{Lines: none}}, e.Contests[0].Choices)
		}},
		{"a straight-party choice that is only named", func(e *model.Election) {
			e.Contests[0].Kind.Value = model.KindParty
			e.Contests[0].Choices = []model.Choice{{Name: model.Say(model.Plain("Larch"))},
				{Name: model.Say(model.Plain("Tide"))}}
		}, func(t *testing.T, e *model.Election) {
			assert.Equal(t, model.Say([]int{1}), e.Contests[0].Choices[0].Lines)
			assert.Equal(t, model.Say(model.Plain("Tide")), e.Parties[2].Name)
		}},
		{"a retention names a candidate", func(e *model.Election) { e.Contests[0].Kind.Value = model.KindRetention },
			func(t *testing.T, e *model.Election) {
				assert.Equal(t, model.Say(model.KindRetention), e.Contests[0].Kind)
			}},
		{"a style without precincts", func(e *model.Election) { e.Styles = append(e.Styles, model.Style{}) },
			func(t *testing.T, e *model.Election) {
				assert.Len(t, e.Styles, 1)
			}},
		{"headings that are none", func(e *model.Election) { e.Styles[0].Content[0].Headings = model.Say([]model.Text{}) },
			func(t *testing.T, e *model.Election) {
				assert.False(t, e.Styles[0].Content[0].Headings.Known)
			}},
		{"a site of two uses is two sites", func(e *model.Election) {
			e.Sites = []model.Site{{Name: model.Plain("Grange Hall")}}
			e.Precincts[0].Sites = model.Say([]model.SiteUse{{Use: model.UseElectionDay}})
			e.Precincts[1].Sites = model.Say([]model.SiteUse{{Use: model.UseEarly}})
			e.Units = []model.Unit{{Name: "S1", Site: model.Say(0), Use: model.Say(model.UseEarly)}}
		}, func(t *testing.T, e *model.Election) {
			assert.Len(t, e.Sites, 2)
			assert.Equal(t, model.Say([]model.SiteUse{{Site: 1, Use: model.UseEarly}}), e.Precincts[1].Sites)
			assert.Equal(t, model.Say(1), e.Units[0].Site)
		}},
		{"a language tag that is none", func(e *model.Election) {
			e.Contests[0].Title = model.Say(model.Text{{Language: "English (US)", Words: "Clerk"}})
		}, func(t *testing.T, e *model.Election) {
			assert.Equal(t, model.Say(model.Plain("Clerk")), e.Contests[0].Title)
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			e := base()
			c.change(e)
			again, data := written(t, e)
			all = append(all, data)
			c.want(t, again)
		})
	}
	validate(t, all...)
}

func TestWhatCannotBeWritten(t *testing.T) {
	for _, c := range []struct {
		name string
		e    model.Election
		want string
	}{
		{"a control character", model.Election{Parties: []model.Party{{Name: model.Say(model.Plain("He\x01ron"))}}},
			`Text "He\u0001ron" holds the character U+0001, which XML cannot hold; remove it`},
		{"a date in words", model.Election{Facts: model.Facts{Date: model.Say("2 November")}},
			`the election's date "2 November" is not written like 2027-11-02; correct it`},
		{"a ballot with a contest that is not there", model.Election{Precincts: make([]model.Precinct, 1),
			Styles: []model.Style{{Precincts: []int{0}, Content: []model.Placement{{Contest: 3}}}}},
			"style 0 refers to number 3 of 0; the election is inconsistent"},
	} {
		t.Run(c.name, func(t *testing.T) {
			var b bytes.Buffer
			require.EqualError(t, WriteXML(&b, &c.e, writtenAt), c.want)
			assert.Zero(t, b.Len())
		})
	}
}
