package demo_test

import (
	"encoding/xml"
	"fmt"
	"io/fs"
	"os/exec"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/assets/demo"
	"counterproof/model"
	"counterproof/model/cdf"
)

// word is a word on a page with where it stands, in points from the top left.
type word struct {
	X    float64 `xml:"xMin,attr"`
	End  float64 `xml:"xMax,attr"`
	Y    float64 `xml:"yMin,attr"`
	Text string  `xml:",chardata"`
}

// wordsOf reads a proof back with pdftotext, which knows nothing of how it was drawn.
func wordsOf(t *testing.T, name string) []word {
	t.Helper()
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		missing(t, "pdftotext")
	}
	pdf, err := fs.ReadFile(demo.FS, "proofs/"+name)
	require.NoError(t, err)
	read := exec.Command(tool, "-bbox", "-", "-")
	read.Stdin = strings.NewReader(string(pdf))
	out, err := read.Output()
	require.NoError(t, err)
	var page struct {
		Words []word `xml:"body>doc>page>word"`
	}
	decoder := xml.NewDecoder(strings.NewReader(string(out)))
	decoder.Strict = false
	require.NoError(t, decoder.Decode(&page))
	require.NotEmpty(t, page.Words, name)
	return page.Words
}

// find returns where a run of words stands: each to the right of the one before, or on the next
// line at the left. It looks for words that fits accepts the first of.
func find(page []word, phrase string, fits func(word) bool) (word, bool) {
	list := strings.Fields(phrase)
	for _, first := range page {
		if first.Text != list[0] || !fits(first) {
			continue
		}
		at, ok := first, true
		for _, next := range list[1:] {
			if at, ok = after(page, first, at, next); !ok {
				break
			}
		}
		if ok {
			return first, true
		}
	}
	return word{}, false
}

// after returns the word that follows another: beside it, else on the next line.
func after(page []word, first, at word, text string) (word, bool) {
	beside := func(w word) bool { return w.Y > at.Y-0.5 && w.Y < at.Y+0.5 && w.X > at.End && w.X < at.End+6 }
	below := func(w word) bool { return w.Y > at.Y+0.5 && w.Y < at.Y+14 && w.X > first.X-0.1 && w.X < first.X+0.1 }
	for _, where := range []func(word) bool{beside, below} {
		if n := slices.IndexFunc(page, func(w word) bool { return w.Text == text && where(w) }); n >= 0 {
			return page[n], true
		}
	}
	return word{}, false
}

func anywhere(word) bool { return true }

// corrected is the truth that the proofs are held against: the export after its mistakes were put
// right. The proofs are drawn from the second entry.
func corrected(t *testing.T) *model.Election {
	t.Helper()
	e, _, err := cdf.Read([]cdf.Part{{Name: "corrected.xml", Data: []byte(read(t, "corrected.xml"))}}, cdf.Options{})
	require.NoError(t, err)
	return e
}

// codes are the party lines of a choice as a proof prints them.
func codes(e *model.Election, c model.Choice) string {
	var list []string
	for _, n := range c.Lines.Value {
		list = append(list, e.Parties[n].Abbreviation.Value.In("en"))
	}
	return strings.Join(list, ", ")
}

func votes(c model.Contest) string {
	if c.VoteFor.Known {
		return strconv.Itoa(c.VoteFor.Value)
	}
	return "1" // of a question, for which the export states none
}

// both returns the wordings of a text in English and in Spanish, as far as there are any.
func both(s model.Stated[model.Text]) (list []string) {
	for _, language := range []string{"en", "es"} {
		if words, ok := s.Value.Only(language); ok {
			list = append(list, words)
		}
	}
	return list
}

// What every proof prints that is not of the election.
const (
	everyProof = `Ballot proof of October 8, 2027 · Invented, to try Counterproof with. Nobody votes on it.
		General Election Tarnwick County Tuesday, November 2, 2027`
	everyFace = `Ballot style To vote, fill in the oval beside your choice. To vote for somebody whose name is not
		printed, fill in the oval beside “Write-in” and write the name.
		MER Meridian Party HRT Hearth Party GRO Growers Union CLW Clearwater Alliance LAN Lantern Party`
)

// sameWords compares the words of a page with what it should print, whatever their order.
func sameWords(t *testing.T, page []word, want []string) {
	t.Helper()
	count := map[string]int{}
	for _, w := range strings.Fields(strings.Join(want, " ")) {
		count[w]++
	}
	for _, w := range page {
		count[w.Text]--
	}
	for w, n := range count {
		assert.Zero(t, n, "%q is printed so many times too seldom", w)
	}
}

func TestEachFaceProofPrintsItsBallot(t *testing.T) {
	e := corrected(t)
	require.Len(t, e.Styles, 10)
	require.Equal(t, "General Election", e.Facts.Name.Value.In("en"))
	for _, style := range e.Styles {
		label := style.Label.Value
		t.Run(label, func(t *testing.T) {
			page := wordsOf(t, label+".pdf")
			sameWords(t, page, faceWords(e, style))
			holdLayout(t, e, style, page)
		})
	}
}

// faceWords is all that a face prints.
func faceWords(e *model.Election, style model.Style) []string {
	want := []string{everyProof, everyFace, style.Label.Value}
	var precincts []string
	for _, n := range style.Precincts {
		precincts = append(precincts, e.Precincts[n].Number)
	}
	slices.Sort(precincts)
	want = append(want, map[bool]string{true: "Precinct", false: "Precincts"}[len(precincts) == 1],
		strings.Join(precincts, ", "))
	for _, at := range style.Content {
		c := e.Contests[at.Contest]
		for _, heading := range at.Headings.Value {
			want = append(want, heading.In("en"))
		}
		want = append(want, both(c.Title)...)
		want = append(want, both(c.Subtitle)...)
		want = append(want, both(c.Text)...)
		want = append(want, "Vote for "+votes(c))
		for _, choice := range c.Choices {
			if choice.WriteIn {
				want = append(want, "Write-in")
				continue
			}
			want = append(append(want, codes(e, choice)), both(choice.Name)...)
		}
	}
	return want
}

// holdLayout checks where things stand: the contests in the order of the ballot, each choice below
// its contest in the row of its party and in its order.
func holdLayout(t *testing.T, e *model.Election, style model.Style, page []word) {
	t.Helper()
	last := word{}
	for i, at := range style.Content {
		c := e.Contests[at.Contest]
		name := c.Title.Value.In("en")
		title, ok := find(page, name, anywhere)
		require.True(t, ok, name)
		require.True(t, title.X > last.X || title.Y > last.Y, "%s follows the contest before", name)
		last = title
		for _, heading := range at.Headings.Value {
			above, ok := find(page, heading.In("en"), func(w word) bool { return w.Y < title.Y && w.X < title.X+1 })
			require.True(t, ok, "%s above %s", heading.In("en"), name)
			assert.InDelta(t, title.X, above.X, 1, "%s begins above %s", heading.In("en"), name)
		}
		if c.Kind.Value == model.KindMeasure {
			continue // in a row of its own below the columns
		}
		right := 1e9
		if i+1 < len(style.Content) {
			next := e.Contests[style.Content[i+1].Contest]
			if w, ok := find(page, next.Title.Value.In("en"), anywhere); ok && next.Kind.Value != model.KindMeasure {
				right = w.X
			}
		}
		within := func(w word) bool { return w.Y > title.Y && w.X > title.X-1 && w.X < right-1 }
		_, ok = find(page, "Vote for "+votes(c), within)
		assert.True(t, ok, "vote for %s below %s", votes(c), name)
		holdChoices(t, e, at, c, page, within)
	}
}

// holdChoices checks the choices of a contest.
func holdChoices(t *testing.T, e *model.Election, at model.Placement, c model.Contest, page []word,
	within func(word) bool) {
	t.Helper()
	order := at.Order.Value
	if !at.Order.Known {
		for n := range c.Choices {
			order = append(order, n)
		}
	}
	last := word{}
	writeIns := 0
	for _, n := range order {
		choice := c.Choices[n]
		if choice.WriteIn {
			writeIns++
			continue
		}
		name := choice.Name.Value.In("en")
		line := codes(e, choice)
		w, ok := find(page, name, func(w word) bool {
			if line == "" {
				return within(w)
			}
			code, ok := find(page, line, func(code word) bool {
				return within(code) && code.X > w.X && code.X < w.X+20 && code.Y < w.Y && code.Y > w.Y-16
			})
			_, row := find(page, strings.Split(line, ",")[0],
				func(head word) bool { return head.X < 45 && head.Y > code.Y-4 && head.Y < code.Y+4 })
			return ok && row && within(w)
		})
		require.True(t, ok, "%s on %q in %s", name, line, c.Title.Value.In("en"))
		require.True(t, w.Y > last.Y+0.5 || w.Y > last.Y-0.5 && w.X > last.X, "%s on %q is in its place", name, line)
		last = w
	}
	found := 0
	for _, w := range page {
		if w.Text == "Write-in" && within(w) {
			found++
			assert.Greater(t, w.Y, last.Y, "write-ins stand below the parties")
		}
	}
	assert.Equal(t, writeIns, found, "write-ins of %s", c.Title.Value.In("en"))
}

func TestTheProofOfTheCardHeadersPrintsThemAll(t *testing.T) {
	e := corrected(t)
	require.Len(t, e.Units, 12)
	page := wordsOf(t, "card headers.pdf")
	want := []string{everyProof, "Voting units Card headers All memory cards"}
	for _, u := range e.Units {
		var precincts []string
		for _, n := range u.Precincts.Value {
			precincts = append(precincts, e.Precincts[n].Number)
		}
		slices.Sort(precincts)
		below := fmt.Sprintf("%s Precincts %s", e.Sites[u.Site.Value].Name.In("en"), strings.Join(precincts, ", "))
		want = append(want, "Voting unit", u.Name, below)
		unit, ok := find(page, u.Name, anywhere)
		require.True(t, ok, u.Name)
		site, ok := find(page, e.Sites[u.Site.Value].Name.In("en"),
			func(w word) bool { return w.X > unit.X-1 && w.X < unit.X+1 && w.Y > unit.Y && w.Y < unit.Y+35 })
		assert.True(t, ok, "the site of %s", u.Name)
		_, ok = find(page, "Precincts "+strings.Join(precincts, ", "),
			func(w word) bool { return w.X > unit.X-1 && w.X < unit.X+1 && w.Y > site.Y && w.Y < site.Y+20 })
		assert.True(t, ok, "the precincts of %s", u.Name)
	}
	sameWords(t, page, want)
}
