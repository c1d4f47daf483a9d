package rekey

import (
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/stretchr/testify/require"

	"counterproof/app/desk"
	"counterproof/app/ui"
	"counterproof/assets/demo"
	"counterproof/checks"
	"counterproof/checks/wording"
	"counterproof/model"
	"counterproof/model/sheets"
)

// proofs are the demo's second entry as it lies on the desk: what a person reads off
// the proofs, face by face.
type proofs struct {
	*sheets.Sheets
	contest map[string]sheets.ContestRow
	choices map[string][]sheets.ChoiceRow
}

func demoPaper(t testing.TB) proofs {
	t.Helper()
	sub, err := fs.Sub(demo.FS, "second")
	require.NoError(t, err)
	s, err := sheets.ReadFS(sub)
	require.NoError(t, err)
	p := proofs{s, map[string]sheets.ContestRow{}, map[string][]sheets.ChoiceRow{}}
	for _, c := range s.Contests {
		p.contest[c.Contest] = c
	}
	for _, c := range s.Choices {
		p.choices[c.Contest] = append(p.choices[c.Contest], c)
	}
	return p
}

// letters counts the letters that must be typed once: of each contest its texts, each
// text once; of the parties, faces, units and the election their names. Every party
// line of a choice, a kind and a vote-for count as what the sheets hold, a kind as one
// letter.
func (p proofs) letters() (perContest, distinct int) {
	everything := map[string]bool{}
	count := func(seen map[string]bool, s string) {
		n := utf8.RuneCountInString(s)
		if s != "" && !seen[s] {
			seen[s] = true
			perContest += n
		}
		if s != "" && !everything[s] {
			everything[s] = true
			distinct += n
		}
	}
	always := func(s string) {
		perContest += utf8.RuneCountInString(s)
		distinct += utf8.RuneCountInString(s)
	}
	shared := map[string]bool{} // documents, headings, names of sites: once for the whole entry
	for _, f := range p.Facts {
		count(shared, f.Name)
		count(shared, f.Date)
		count(shared, f.Jurisdiction)
	}
	for _, x := range p.Parties {
		count(shared, x.Party)
		count(shared, x.Name)
		always(x.Order)
	}
	for _, c := range p.Contests {
		own := map[string]bool{}
		count(own, c.Title)
		count(own, c.Subtitle)
		count(own, c.Text)
		for _, further := range []string{c.FurtherTitle, c.FurtherSubtitle, c.FurtherText} {
			count(own, sheets.FurtherIn(further, "es"))
		}
		count(shared, c.Source)
		always(c.Kind[:1])
		always(c.VoteFor)
		for _, ch := range p.choices[c.Contest] {
			if ch.WriteIn != "" {
				continue // its wording is not keyed: one key makes the line
			}
			count(own, ch.Name)
			count(own, sheets.FurtherIn(ch.FurtherName, "es"))
			always(ch.PartyLines)
		}
	}
	for _, b := range p.Ballots {
		count(shared, b.Heading)
		count(shared, b.Style)
	}
	for _, u := range p.Units {
		count(shared, u.Unit)
	}
	return perContest, distinct
}

// shortest is the shortest abbreviation, of the initials of a contest's words, by which
// the list's first line is that contest. It is what a person types who knows the list.
func shortest(r *Screen, c sheets.ContestRow, contests []sheets.ContestRow) (string, bool) {
	var initials []rune
	for _, w := range strings.Fields(wording.Fold(c.Title + " " + c.Subtitle)) {
		initials = append(initials, []rune(w)[0])
	}
	want := c.Title
	if c.Subtitle != "" {
		want += " · " + c.Subtitle
	}
	// Sub-sequences of the initials, shortest first.
	level := []struct {
		s  string
		at int
	}{{"", 0}}
	for range 4 {
		next := level[:0:0]
		for _, l := range level {
			for i := l.at; i < len(initials); i++ {
				s := l.s + string(initials[i])
				r.d.Type(s)
				items := r.d.Items()
				r.d.Type("")
				if len(items) > 0 && items[0].Words == want {
					return s, true
				}
				next = append(next, struct {
					s  string
					at int
				}{s, i + 1})
			}
		}
		level = next
	}
	return "", false
}

// TestTheWholeDemoIsKeyed keys the demo election through the keys of the screen and
// counts them.
func TestTheWholeDemoIsKeyed(t *testing.T) {
	if testing.Short() {
		t.Skip("keys every letter of 24 precincts' ballots: long; run without -short (others key one face)")
	}
	test.NewTempApp(t).Settings().SetTheme(ui.Theme{})
	demo := demoPaper(t)
	c, k := rekeyCase(t, demo.Precincts)
	r, p := rekeyWindow(t, k)
	enter := func() { p.key(fyne.KeyReturn) }

	for _, s := range []string{demo.Facts[0].Name, demo.Facts[0].Date, demo.Facts[0].Jurisdiction} {
		p.line(s)
	}
	for _, x := range demo.Parties {
		p.line(x.Party)
		p.text(x.Name)
		p.key(fyne.KeyF4)
		p.line(x.Order)
	}
	enter()

	keyed := map[string]bool{}
	headed := map[string]string{} // contest to the heading above it when it was placed last
	placed := 0
	answered := "" // the choices of the question that was keyed last
	var styles []string
	for _, b := range demo.Ballots {
		if !slices.Contains(styles, b.Style) {
			styles = append(styles, b.Style)
		}
	}
	document := ""
	for _, style := range styles {
		require.Equal(t, desk.FaceLabel, r.d.Focus().Kind)
		p.line(style)
		for _, b := range demo.Ballots {
			if b.Style != style {
				continue
			}
			placed++
			row := demo.contest[b.Contest]
			require.Equal(t, desk.NextContest, r.d.Focus().Kind)
			if keyed[b.Contest] {
				require.Equal(t, headed[b.Contest], b.Heading, "the demo prints the same heading above a contest on every face")
				abbreviation, ok := shortest(r, row, demo.Contests)
				require.True(t, ok, "%s has an abbreviation", row.Title)
				p.line(abbreviation)
				continue
			}
			if b.Heading != "" {
				known := false
				for _, h := range headed {
					known = known || h == b.Heading
				}
				if known {
					// Beginnings of words, as for a contest; the list shows headings below contests.
					p.text(b.Heading[:1])
					for i := range r.d.Items() {
						if it := r.d.Items()[i]; it.IsHeading && it.Words == b.Heading {
							for range i {
								p.key(fyne.KeyDown)
							}
						}
					}
					enter()
				} else {
					p.text(b.Heading)
					p.ctrl(fyne.KeyH)
				}
				require.Equal(t, b.Heading, r.d.PinnedHeading())
			}
			headed[b.Contest] = b.Heading
			if document != "" && row.Source != document {
				p.ctrl(fyne.KeyD)
				p.text(row.Source[:1])
				full := true
				for i, it := range r.d.Items() {
					if it.Words == row.Source {
						for range i {
							p.key(fyne.KeyDown)
						}
						enter()
						full = false
						break
					}
				}
				if full {
					p.line(row.Source[1:])
				}
				document = row.Source
				require.Equal(t, document, r.d.Document())
				require.Equal(t, desk.NextContest, r.d.Focus().Kind)
			}
			keyTitle(t, r, p, row, keyed, demo)
			keySubtitle(r, p, row.Subtitle)
			p.line(row.Kind[:1])
			p.line(row.VoteFor)
			if row.Kind != "candidate" {
				if row.Text != "" {
					p.text(row.Text)
				}
				enter()
			}
			if answers := printed(demo.choices[b.Contest]); row.Kind != "candidate" && answers == answered {
				p.line(`"`)
				enter()
			} else {
				keyChoices(r, p, row.Kind, demo.choices[b.Contest])
				if row.Kind != "candidate" {
					answered = answers
				}
			}
			if document == "" {
				p.line(row.Source)
				document = row.Source
			}
			keyed[b.Contest] = true
		}
		enter()
		require.Equal(t, desk.FacePrecincts, r.d.Focus().Kind)
		var given []string
		for _, s := range demo.Styles {
			if s.Style == style {
				given = append(given, s.Precinct)
			}
		}
		last := strings.TrimLeft(given[len(given)-1][2:], "0")
		switch {
		case len(given) == 1 && r.d.Unassigned()[0] == given[0]:
			p.line(".")
		case r.d.Unassigned()[0] == given[0]:
			p.line(".." + last)
		default:
			p.line(strings.Join(given, ","))
		}
	}
	require.Empty(t, r.d.Unassigned())
	readInSpanish(t, r, p, demo)

	r.d.Open(desk.Page{Kind: desk.PageUnits})
	p.keys++ // Ctrl+Page Down from the last face
	r.Refresh()
	above := ""
	type unit struct {
		name, site, use string
		precincts       []string
	}
	var units []*unit
	for _, u := range demo.Units {
		if len(units) == 0 || units[len(units)-1].name != u.Unit {
			units = append(units, &unit{name: u.Unit, site: u.Site, use: u.Use})
		}
		units[len(units)-1].precincts = append(units[len(units)-1].precincts, u.Precinct)
	}
	sites := map[string][]string{}
	for _, x := range demo.Precincts {
		sites[x.Site] = append(sites[x.Site], x.Precinct)
	}
	for _, u := range units {
		require.Empty(t, u.use)
		require.Equal(t, desk.UnitName, r.d.Focus().Kind)
		p.line(u.name)
		if u.site == above {
			p.line(`"`)
		} else {
			for _, w := range abbreviations(u.site) {
				r.d.Type(w)
				hit := len(r.d.Items()) > 0 && r.d.Items()[0].Words == u.site
				r.d.Type("")
				if hit {
					p.line(w)
					break
				}
			}
			above = u.site
		}
		require.Equal(t, desk.UnitPrecincts, r.d.Focus().Kind, u.name)
		if slices.Equal(sites[u.site], u.precincts) {
			p.line("*")
		} else {
			p.line(u.precincts[0] + ".." + strings.TrimLeft(u.precincts[len(u.precincts)-1][2:], "0"))
		}
	}
	require.NoError(t, r.d.Flush())

	kept, err := c.Sheets(0)
	require.NoError(t, err)
	got, err := kept.Election()
	require.NoError(t, err)
	want, err := demo.Election()
	require.NoError(t, err)
	// Beside the choices of a question no party can be printed, and none was asked for.
	for i := range want.Contests {
		if want.Contests[i].Kind.Value != model.KindCandidate {
			for j := range want.Contests[i].Choices {
				want.Contests[i].Choices[j].Lines = model.Stated[[]int]{}
			}
		}
	}
	// The sheets list the contests in an order of their own; on the desk they come
	// in the order of the faces. No ballot says either.
	reorder(want, got)
	if diff := cmp.Diff(want, got, cmpopts.IgnoreFields(model.Election{}, "Origins"),
		cmpopts.IgnoreFields(model.Choice{}, "Person")); diff != "" {
		t.Fatalf("what was keyed says something else than the demo's second entry (-sheets +keyed):\n%s", diff)
	}
	for i := range want.Contests {
		require.Equal(t, persons(want.Contests[i]), persons(got.Contests[i]), "who is one person in a contest")
	}
	result := checks.Compare(want, got, checks.Options{})
	require.Empty(t, result.Findings)

	// A key for each letter that is keyed anew, contest by contest, and 15 in a hundred for all else.
	letters, _ := demo.letters()
	fmt.Printf("keystrokes for the demo: %d for %d letters, %.3f for each; %d contests placed, %d precincts assigned\n",
		p.keys,
		letters, float64(p.keys)/float64(letters), placed, len(demo.Styles)+len(demo.Units))
	require.LessOrEqual(t, float64(p.keys), 1.15*float64(letters))
}

// readInSpanish keys what the demo prints in Spanish as well, on the first face that has all of it.
func readInSpanish(t testing.TB, r *Screen, p *typist, demo proofs) {
	bilingual := map[string]sheets.ContestRow{} // by title
	last := ""
	for _, c := range demo.Contests {
		if c.FurtherTitle != "" {
			bilingual[c.Title], last = c, c.Title
		}
	}
	require.Len(t, bilingual, 2)
	p.ctrl(fyne.KeyF)
	p.line(last)
	require.Equal(t, last, r.d.Text())
	p.key(fyne.KeyF9)
	p.line("es")
	require.Equal(t, "es", r.d.Language())

	face, keyed := r.d.Page(), 0
	var contest sheets.ContestRow // the one at the cursor, empty where it has no Spanish
	for stops := 0; r.d.Page() == face && stops < 200; stops++ {
		f := r.d.Focus()
		cell := ""
		switch f.Kind {
		case desk.Title:
			contest = bilingual[r.d.First(f)]
			cell = contest.FurtherTitle
		case desk.Subtitle:
			cell = contest.FurtherSubtitle
		case desk.MeasureText:
			cell = contest.FurtherText
		case desk.ChoiceName:
			for _, ch := range demo.choices[contest.Contest] {
				if ch.Name == r.d.First(f) {
					cell = ch.FurtherName
				}
			}
		}
		if words := sheets.FurtherIn(cell, "es"); words != "" {
			p.text(words)
			keyed++
		}
		p.key(fyne.KeyReturn)
		if keyed == 5*len(bilingual) { // title, subtitle, text, yes and no
			break
		}
	}
	require.Equal(t, 5*len(bilingual), keyed)
	p.key(fyne.KeyF9)
	require.Empty(t, r.d.Language())
}

// keyTitle keys a new contest's title, from the title of one keyed before if that is
// the same.
func keyTitle(t testing.TB, r *Screen, p *typist, row sheets.ContestRow, keyed map[string]bool, demo proofs) {
	for _, other := range demo.Contests {
		if !keyed[other.Contest] || other.Title != row.Title {
			continue
		}
		for _, w := range abbreviations(other.Title) {
			r.d.Type(w)
			items := r.d.Items()
			r.d.Type("")
			if len(items) > 0 && strings.HasPrefix(items[0].Words, row.Title+" · ") {
				p.text(w)
				p.ctrl(fyne.KeySpace)
				require.Equal(t, row.Title, r.d.Text())
				p.ctrl(fyne.KeyReturn)
				return
			}
		}
	}
	p.text(row.Title)
	if len(r.d.Items()) > 0 {
		p.ctrl(fyne.KeyReturn)
	} else {
		p.key(fyne.KeyReturn)
	}
}

// printed are the choices of a question as they stand on proofs.
func printed(list []sheets.ChoiceRow) string {
	var b strings.Builder
	for _, ch := range list {
		fmt.Fprintln(&b, ch.Name, ch.PartyLines, ch.WriteIn)
	}
	return b.String()
}

// keySubtitle keys a subtitle: in full, or by the beginnings of its words and the
// arrow where that takes fewer keys.
func keySubtitle(r *Screen, p *typist, subtitle string) {
	best, downs := subtitle, 0
	for _, w := range abbreviations(subtitle) {
		r.d.Type(w)
		for i, it := range r.d.Items() {
			if it.Words == subtitle && len(w)+i+1 < len(best)+downs {
				best, downs = w, i+1
			}
		}
		r.d.Type("")
	}
	p.text(best)
	for range downs {
		p.key(fyne.KeyDown)
	}
	p.key(fyne.KeyReturn)
}

// keyChoices keys the choices and leaves the contest. A party is asked for where one can be printed:
// beside candidates, until two of them have none.
func keyChoices(r *Screen, p *typist, kind string, list []sheets.ChoiceRow) {
	var names []string // above, nearest first, each once
	without := 0
	for _, ch := range list {
		if ch.WriteIn != "" {
			p.line("_")
			continue
		}
		if at := slices.Index(names, ch.Name); at >= 0 {
			p.line(strings.Repeat(`"`, at+1))
		} else {
			p.line(ch.Name)
		}
		names = slices.DeleteFunc(names, func(s string) bool { return s == ch.Name })
		names = append([]string{ch.Name}, names...)
		if kind == "candidate" && without < 2 {
			p.line(ch.PartyLines)
		}
		if ch.PartyLines == "-" {
			without++
		}
	}
	p.key(fyne.KeyReturn)
}

// abbreviations are what a person types who knows the list: some initials of a
// wording's words, in their order, fewest first; then the beginning of the wording
// itself.
func abbreviations(s string) (out []string) {
	level := []string{""}
	words := strings.Fields(wording.Fold(s))
	at := map[string]int{"": 0}
	for range min(4, len(words)) {
		var next []string
		for _, l := range level {
			for i := at[l]; i < len(words); i++ {
				w := l + words[i][:1]
				if _, known := at[w]; !known {
					at[w] = i + 1
					next = append(next, w)
				}
			}
		}
		out = append(out, next...)
		level = next
	}
	folded := wording.Fold(s)
	for i := 2; i < len(folded); i++ {
		out = append(out, folded[:i])
	}
	return out
}

func persons(c model.Contest) (out []int) {
	first := map[string]int{}
	for i, ch := range c.Choices {
		if ch.Person == "" {
			out = append(out, -1)
			continue
		}
		if _, ok := first[ch.Person]; !ok {
			first[ch.Person] = i
		}
		out = append(out, first[ch.Person])
	}
	return out
}

// reorder puts the contests of want in the order of got.
func reorder(want, got *model.Election) {
	at := map[string]int{}
	name := func(c model.Contest) string {
		return c.Title.Value.In("") + "\x00" + c.Subtitle.Value.In("")
	}
	for i, c := range got.Contests {
		at[name(c)] = i
	}
	contests := make([]model.Contest, len(want.Contests))
	to := make([]int, len(want.Contests))
	for i, c := range want.Contests {
		j, ok := at[name(c)]
		if !ok || j >= len(contests) {
			return
		}
		to[i], contests[j] = j, c
	}
	want.Contests = contests
	for i := range want.Styles {
		for j := range want.Styles[i].Content {
			want.Styles[i].Content[j].Contest = to[want.Styles[i].Content[j].Contest]
		}
	}
}
