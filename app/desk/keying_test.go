package desk

import (
	"context"
	"errors"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"counterproof/model/casefile"
	"counterproof/model/guard"
	"counterproof/model/sheets"
)

// newCase has a second party p2 who may key; the roster is in.
func newCase(t testing.TB, precincts ...sheets.PrecinctRow) (*casefile.Case, *casefile.Keying) {
	t.Helper()
	at := time.Date(2027, 9, 14, 9, 0, 0, 0, time.UTC)
	o := casefile.Options{Now: func() time.Time { return at }, WorkFactor: 1}
	c, err := casefile.Create(filepath.Join(t.TempDir(), "case"+casefile.Extension), casefile.Start{
		Election: casefile.Election{Name: "General Election", Date: "2027-11-02", Jurisdiction: "Tarnwick County"},
		Parties:  []string{"Harbor", "Meadow"}}, o)
	require.NoError(t, err)
	t.Cleanup(func() { _ = c.Close() })
	for _, p := range []casefile.NewPerson{
		{Name: "Odile Farrow", Initials: "OF", Party: "Harbor", Seat: casefile.SeatProgrammer,
			Passphrase: "quarry lantern eleven geese"},
		{Name: "Wren Aldous", Initials: "WA", Party: "Meadow", Seat: casefile.SeatSecond,
			Passphrase: "plum ferry under bridges"},
	} {
		id, err := c.Enrol(p)
		require.NoError(t, err)
		require.NoError(t, c.Unlock(id.ID, p.Passphrase))
	}
	key, err := c.Keying("p2")
	require.NoError(t, err)
	if len(precincts) > 0 {
		require.NoError(t, key.Load("roster", &sheets.Sheets{Precincts: precincts}))
	}
	return c, key
}

func roster(names ...string) (out []sheets.PrecinctRow) {
	for _, n := range names {
		out = append(out, sheets.PrecinctRow{Precinct: n, Site: "Hall"})
	}
	return out
}

// keys types a script: words go letter by letter, ⏎ is Enter, ⌃ Ctrl+Enter.
func keys(k *Keying, script string) {
	for _, r := range script {
		switch r {
		case '⏎':
			k.Enter()
		case '⌃':
			k.EnterAsTyped()
		default:
			k.Type(k.Text() + string(r))
		}
	}
}

func open(t testing.TB, precincts ...string) (*Keying, *casefile.Keying) {
	_, r := newCase(t, roster(precincts...)...)
	k := OpenKeying(r, Options{})
	k.Open(Page{PageFace, 1})
	return k, r
}

func TestTheDeskImportsNoGraphics(t *testing.T) {
	out, err := exec.Command("go", "list", "-deps", ".").Output()
	require.NoError(t, err)
	require.NotContains(t, string(out), "fyne.io/")
	require.NotContains(t, string(out), "counterproof/model/cdf", "what reads exports is out of reach")
}

func TestAFaceIsKeyedFromTopToFoot(t *testing.T) {
	k, r := open(t, "1-01", "1-02", "1-03")
	keys(k, "A⏎County Judge⏎⏎c⏎2⏎Ada Quill⏎ALD⏎Bo Reed⏎BRK⏎\"⏎")
	require.Equal(t, ChoiceLines, k.Focus().Kind, "the name above was repeated, its line is next")
	require.Equal(t, "Bo Reed", r.Get(casefile.Choices, 3, "name"))
	k.Step(-1)
	keys(k, "")
	k.Type(`""`)
	require.Equal(t, "Bo Reed, again", func() string { k.Type(`"`); return k.Next() }())
	k.Type(`""`)
	require.Equal(t, "Ada Quill, again", k.Next(), "twice: the name above that")
	k.Enter()
	require.Equal(t, "Ada Quill", r.Get(casefile.Choices, 3, "name"))
	keys(k, "gro⏎_⏎_⏎⏎")
	require.Equal(t, Source, k.Focus().Kind)
	keys(k, "Proof A⏎County Clerk⏎⏎c⏎1⏎Cy Lund⏎-⏎⏎")
	require.Equal(t, NextContest, k.Focus().Kind)
	keys(k, "⏎1-01..2⏎")
	require.Equal(t, Page{PageFace, 2}, k.Page())
	keys(k, "B⏎cj⏎cc⏎⏎.⏎")
	require.Empty(t, k.Unassigned())

	e, err := r.Sheets().Election()
	require.NoError(t, err)
	require.Len(t, e.Contests, 2)
	require.Len(t, e.Styles, 2)
	require.Equal(t, []int{0, 1}, e.Styles[0].Precincts)
	require.Equal(t, 2, e.Contests[0].VoteFor.Value)
	require.Len(t, e.Contests[0].Choices, 5)
	require.True(t, e.Contests[0].Choices[4].WriteIn)
	require.True(t, e.Contests[1].Choices[0].Lines.Known)
	require.Empty(t, e.Contests[1].Choices[0].Lines.Value, "nothing is printed beside the name")
	require.Equal(t, "Proof A", r.Get(casefile.Contests, 2, "source"), "the document lies on the desk until another does")
}

func TestANewContestWhoseTitleBeginsLikeAnother(t *testing.T) {
	k, r := open(t, "1-01")
	keys(k, "A⏎Member of Council⏎District 1⏎c⏎1⏎Ada Quill⏎-⏎⏎Proof⏎⏎⏎⏎")
	require.Equal(t, Page{PageFace, 2}, k.Page())
	keys(k, "B⏎mem")
	require.Equal(t, []Item{{Words: "Member of Council · District 1", Contest: 1}}, k.Items())
	require.True(t, k.Complete())
	require.Equal(t, "Member of Council", k.Text())
	keys(k, "⌃District 2⏎")
	require.Equal(t, "District 2", r.Get(casefile.Contests, 2, "subtitle"))
	require.Equal(t, ContestKind, k.Focus().Kind)
}

func TestTheListKeepsTheOrderOfKeying(t *testing.T) {
	k, _ := open(t, "1-01")
	keys(k, "A⏎")
	for _, title := range []string{"Town Zoning", "Town Assessor", "Town Moderator"} {
		k.Open(Page{PageFace, 1})
		for k.Focus().Kind != NextContest {
			k.Step(1)
		}
		keys(k, title+"⌃")
	}
	k.Open(Page{PageFace, 2})
	keys(k, "B⏎")
	for _, typed := range []string{"", "t", "to"} {
		keys(k, typed[max(0, len(typed)-1):])
		var words []string
		for _, i := range k.Items() {
			words = append(words, i.Words)
		}
		require.Equal(t, []string{"Town Zoning", "Town Assessor", "Town Moderator"}, words, typed)
	}
	keys(k, "m")
	require.Len(t, k.Items(), 1)
}

func parsed(typed string, roster []string, start string) ([]string, error) {
	got, missing, err := indexRoster(roster).parse(typed, start)
	if err == nil && len(missing) > 0 {
		err = offRoster(missing)
	}
	return got, err
}

func TestRanges(t *testing.T) {
	list := []string{"1-01", "1-02", "1-03", "2-01", "2-02", "Ward 3 ED 07"}
	for name, c := range map[string]struct {
		typed, start string
		want, fault  string
	}{
		"one":                          {typed: "1-02", want: "1-02"},
		"a range and one":              {typed: "1-01..1-03, 2-02", want: "1-01 1-02 1-03 2-02"},
		"a range cut short":            {typed: "1-01..3", want: "1-01 1-02 1-03"},
		"a name cut short":             {typed: "1-01, 3", want: "1-01 1-03"},
		"from the first left":          {typed: "..2", start: "2-01", want: "2-01 2-02"},
		"the first left":               {typed: ".", start: "1-03", want: "1-03"},
		"a range across towns":         {typed: "1-03..2-01", want: "1-03 2-01"},
		"capitals aside":               {typed: "ward 3 ed 07", want: "Ward 3 ED 07"},
		"an ellipsis as one character": {typed: "1-01…1-02", want: "1-01 1-02"},
		"twice is once":                {typed: "1-01, 1-01..1-02", want: "1-01 1-02"},
		"blanks between":               {typed: "1-01 1-03", want: "1-01 1-03"},
		"to":                           {typed: "1-01 to 1-03", want: "1-01 1-02 1-03"},
		"through":                      {typed: "1-01 THROUGH 3 2-02", want: "1-01 1-02 1-03 2-02"},
		"a dash of a word processor":   {typed: "1-01–1-03", want: "1-01 1-02 1-03"},
		"that dash, cut short":         {typed: "1-01–3, 2-02", want: "1-01 1-02 1-03 2-02"},
		"that dash with blanks":        {typed: "1-01 — 1-03", want: "1-01 1-02 1-03"},
		"that dash inside a name":      {typed: "1–02 2‑02", want: "1-02 2-02"},
		"a hyphen between":             {typed: "1-01-1-03", want: "1-01 1-02 1-03"},
		"a hyphen, cut short":          {typed: "1-01-03", want: "1-01 1-02 1-03"},
		"two ranges":                   {typed: "1-01..02 2-01 to 2-02", want: "1-01 1-02 2-01 2-02"},
		"blanks inside a name":         {typed: "2-02 Ward 3 ED 07", want: "2-02 Ward 3 ED 07"},
		"blanks around an ellipsis":    {typed: "1-01 .. 1-03", want: "1-01 1-02 1-03"},
		"a stranger among them":        {typed: "1-01 9-99 1-03", fault: "9-99 is not on"},
		"to, and no end":               {typed: "1-01 to", fault: "no end"},
		"names that are not there": {typed: "1-01, 1-99, 7-01..7-02",
			fault: "1-99, 7-01, 7-02 are not on the official roster"},
		"the wrong way round":           {typed: "1-03..1-01", fault: "turn the range round"},
		"no end":                        {typed: "1-03..", fault: "no end"},
		"the first left of none":        {typed: ".", fault: "every precinct has a face"},
		"a cut that would be ambiguous": {typed: "1-0", fault: "1-0 is not"},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := parsed(c.typed, list, c.start)
			if c.fault != "" {
				require.ErrorContains(t, err, c.fault)
				return
			}
			require.NoError(t, err)
			require.Equal(t, c.want, strings.Join(got, " "))
		})
	}
}

func FuzzRanges(f *testing.F) {
	f.Add("1-01..1-03, !2", "1-01")
	f.Fuzz(func(t *testing.T, typed, start string) {
		list := []string{"1-01", "1-02", "x", "2-007 b"}
		got, err := parsed(typed, list, start)
		if err == nil {
			for _, p := range got {
				require.Contains(t, list, p)
			}
		}
	})
}

func TestWhatIsOddIsFlaggedAndListed(t *testing.T) {
	k, _ := open(t, "1-01", "1-02")
	keys(k, "A⏎Judge⏎⏎c⏎0⏎Ada Quillon⏎ALD⏎Ada Quilon⏎ALD⏎Ada Quillon⏎ALD⏎Bо Reed⏎NEW⏎⏎Proof⏎Clerk⏎⏎c⏎7⏎Cy⏎-⏎⏎⏎1-01⏎")
	keys(k, "B⏎cl⏎⏎1-01⏎C⏎ju⏎⏎⏎")
	k.Propose("Coroner (vote for 1)\nDee Lund  ALD\n")
	k.Open(Page{Kind: PageElection})
	p := k.Propose("Coroner (vote for 1)\nDee Lund  ALD\n")
	require.True(t, p.Confirm())
	var all []string
	for _, f := range k.Odd(casefile.ScopeBallots) {
		all = append(all, f.Words)
	}
	text := strings.Join(all, "\n")
	for _, want := range []string{"vote for 0", "vote for 7, and 1 positions", "the same name and line twice",
		"nearly Ada Quillon", "line NEW never used before",
		"Cyrillic", "1-01 is on B too", "1-01 is on A too", "a face without precincts", "on no face",
		"1 precinct without a face: 1-02", "a contest without choices", "kind not keyed"} {
		require.Contains(t, text, want)
	}
	require.NotContains(t, text, "line ALD never")
}

// failing is a record whose disk can be full.
type failing struct {
	*casefile.Keying
	err error
	set int
}

func (f *failing) Set(changes ...casefile.Change) error {
	f.set++
	if f.err != nil {
		return f.err
	}
	return f.Keying.Set(changes...)
}

func TestADiskThatIsFullKeepsWhatWasTypedAndTriesAgain(t *testing.T) {
	_, r := newCase(t, roster("1-01")...)
	disk := &failing{Keying: r}
	k := OpenKeying(disk, Options{})
	k.Open(Page{PageFace, 1})
	keys(k, "A⏎")
	disk.err = casefile.ErrNoRoom
	keys(k, "Judge⏎Probate⏎c⏎2⏎")
	require.ErrorIs(t, k.Trouble(), casefile.ErrNoRoom)
	require.Equal(t, "Probate", k.Value(Stop{Kind: Subtitle, Row: 1, Place: 1}), "it still shows")
	require.False(t, k.OnDisk(Stop{Kind: Subtitle, Row: 1, Place: 1}))
	require.True(t, k.OnDisk(Stop{Kind: FaceLabel, Row: 1}))
	require.ErrorContains(t, k.Flush(), "4 entries are not on the disk")
	require.Equal(t, "", r.Get(casefile.Contests, 1, "title"))
	disk.err = nil
	k.Retry()
	require.NoError(t, k.Trouble())
	require.True(t, k.OnDisk(Stop{Kind: Subtitle, Row: 1, Place: 1}))
	require.Equal(t, "2", r.Get(casefile.Contests, 1, "vote_for"))
	require.NoError(t, k.Close())
}

// A fault of the program on the way to the disk is like a disk that fails.
func TestAPanicOnTheWayToTheDiskLosesNothing(t *testing.T) {
	_, r := newCase(t, roster("1-01")...)
	posted := make(chan func(), 1000)
	k := OpenKeying(r, Options{Post: func(f func()) { posted <- f }})
	k.Open(Page{PageFace, 1})
	end := guard.PanicIn(t, keeping)
	keys(k, "A⏎Judge⏎")
	require.ErrorContains(t, k.Flush(), "a fault in this program")
	for k.Trouble() == nil {
		(<-posted)()
	}
	var fault *guard.Fault
	require.ErrorAs(t, k.Trouble(), &fault)
	require.Equal(t, "Judge", k.Value(Stop{Kind: Title, Row: 1, Place: 1}), "it still shows")
	require.Positive(t, k.Waiting())
	end()
	k.Retry()
	for k.Waiting() > 0 {
		(<-posted)()
	}
	require.Equal(t, "Judge", r.Get(casefile.Contests, 1, "title"))
	require.NoError(t, k.Close())
}

func TestAWorkerKeepsTheOrder(t *testing.T) {
	_, r := newCase(t, roster("1-01")...)
	posted := make(chan func(), 1000)
	k := OpenKeying(r, Options{Post: func(f func()) { posted <- f }})
	k.Open(Page{PageFace, 1})
	keys(k, "A⏎Judge⏎Probate⏎c⏎2⏎Ada Quill⏎ALD⏎")
	require.Equal(t, 7, k.Waiting())
	require.False(t, k.OnDisk(Stop{Kind: Title, Row: 1, Place: 1}))
	require.True(t, k.Undo())
	keys(k, "BRK⏎")
	require.NoError(t, k.Flush())
	for k.Waiting() > 0 {
		(<-posted)()
	}
	require.True(t, k.OnDisk(Stop{Kind: Title, Row: 1, Place: 1}))
	require.Equal(t, "BRK", r.Get(casefile.Choices, 1, "party_lines"))
	require.NoError(t, k.Close())
}

func TestWhatIsSealedIsReadOnlyAndAnAmendmentOpensItsContest(t *testing.T) {
	c, r := newCase(t, roster("1-01")...)
	k := OpenKeying(r, Options{})
	k.Open(Page{PageFace, 1})
	keys(k, "A⏎Judge⏎⏎c⏎1⏎Ada Quill⏎ALD⏎⏎Proof⏎Clerk⏎⏎c⏎1⏎Cy⏎-⏎⏎⏎1-01⏎")
	require.NoError(t, c.Seal("p2", casefile.Seal{Scope: casefile.ScopeBallots}))
	k.Refresh()
	k.Open(Page{PageFace, 1})
	title := Stop{Kind: Title, Row: 1, Place: 1}
	require.True(t, k.ReadOnly(title))
	k.GoTo(title)
	k.Type("Judges")
	k.Enter()
	require.Contains(t, k.Message(), "sealed")
	require.Equal(t, "Judge", k.Value(title))
	require.False(t, k.Undo())
	k.Escape()

	require.NoError(t, c.Amend(casefile.Amendment{Document: "Order 12", Date: "2027-10-01",
		Contests: []casefile.Row{{Table: casefile.Contests, Row: 1}}}, "p2", "p1"))
	k.Refresh()
	require.True(t, k.Reopened(1))
	require.False(t, k.ReadOnly(title))
	require.True(t, k.ReadOnly(Stop{Kind: Title, Row: 2, Place: 2}))
	require.False(t, k.ReadOnly(Stop{Kind: NextChoice, Row: 1, Place: 1}))
	require.True(t, k.ReadOnly(Stop{Kind: FacePrecincts, Row: 1}))
	k.GoTo(title)
	k.Type("Judges")
	k.Enter()
	require.Empty(t, k.Message())
	require.Equal(t, "Judges", r.Get(casefile.Contests, 1, "title"))
}

func TestSealedWhileKeysAreOnTheirWay(t *testing.T) {
	_, r := newCase(t, roster("1-01")...)
	disk := &failing{Keying: r}
	k := OpenKeying(disk, Options{})
	k.Open(Page{PageFace, 1})
	keys(k, "A⏎Judge⏎")
	disk.err = casefile.ErrSealed
	keys(k, "Probate⏎")
	require.ErrorIs(t, k.Refused(), casefile.ErrSealed)
	require.Equal(t, "", k.Value(Stop{Kind: Subtitle, Row: 1, Place: 1}), "what the record says stands")
	require.True(t, errors.Is(k.Refused(), casefile.ErrSealed))
	disk.err = nil
	keys(k, "c⏎")
	require.Equal(t, "candidate", k.Value(Stop{Kind: ContestKind, Row: 1, Place: 1}))
}

func TestACertifiedListIsConfirmedLineByLine(t *testing.T) {
	k, r := open(t, "1-01")
	p := k.Propose("Official list of candidates\n\nCounty Judge (vote for 2)\n1. Ada Quill  ALD, BRK\nBo Reed (BRK)\nCy " +
		"Lund\tald\nDee Marsh\n_____ Write-in\n\nTown Clerk\nVote for one\nEd Pell  BRK\n")
	var kinds []LineKind
	for _, l := range p.Lines {
		kinds = append(kinds, l.Kind)
	}
	require.Equal(t, []LineKind{LineContest, LineContest, LineChoice, LineChoice, LineChoice, LineChoice, LineWriteIn,
		LineContest, LineChoice}, kinds)
	require.Equal(t, 0, r.Next(casefile.Contests)-1, "nothing is keyed yet")
	p.Skip()
	require.Equal(t, 1, p.At)
	for p.Confirm() {
	}
	require.Equal(t, len(p.Lines), p.At)
	require.Equal(t, "County Judge", r.Get(casefile.Contests, 1, "title"))
	require.Equal(t, "2", r.Get(casefile.Contests, 1, "vote_for"))
	require.Equal(t, "ALD|BRK", r.Get(casefile.Choices, 1, "party_lines"))
	require.Equal(t, "Dee Marsh", r.Get(casefile.Choices, 4, "name"))
	require.Equal(t, "", r.Get(casefile.Choices, 4, "party_lines"))
	require.Equal(t, "Town Clerk", r.Get(casefile.Contests, 2, "title"))
	require.Equal(t, "1", r.Get(casefile.Contests, 2, "vote_for"))
	require.True(t, k.Undo())
	require.Equal(t, "", r.Get(casefile.Choices, 6, "name"), "each line is an act")
}

func FuzzPropose(f *testing.F) {
	_, r := newCase(f, roster("1-01")...)
	k := OpenKeying(r, Options{})
	f.Add("A (vote for 2)\nB  C, D\n\n\x00\xff")
	f.Fuzz(func(t *testing.T, text string) {
		p := k.Propose(text)
		for p.At < len(p.Lines) {
			before := p.At
			p.Skip()
			require.Greater(t, p.At, before)
		}
	})
}

func TestInsertMoveAndRemove(t *testing.T) {
	k, r := open(t, "1-01")
	keys(k, "A⏎Judge⏎⏎c⏎1⏎Ada⏎-⏎Cy⏎-⏎⏎Proof⏎Clerk⏎")
	k.GoTo(Stop{Kind: ChoiceName, Row: 2, Place: 1})
	k.Insert()
	keys(k, "Bo⏎-⏎")
	names := func() string {
		e, err := r.Sheets().Election()
		require.NoError(t, err)
		var out []string
		for _, c := range e.Contests[0].Choices {
			out = append(out, c.Name.Value.In(""))
		}
		return strings.Join(out, " ")
	}
	k.Escape()
	k.GoTo(Stop{Kind: VoteFor, Row: 2, Place: 2})
	require.Equal(t, "Bo", k.Value(Stop{Kind: ChoiceName, Row: 3, Place: 1}))
	require.Equal(t, "1.5", r.Get(casefile.Choices, 3, "position"))
	k.GoTo(Stop{Kind: ChoiceName, Row: 3, Place: 1})
	k.Move(1)
	require.Equal(t, "2", r.Get(casefile.Choices, 3, "position"))
	k.GoTo(Stop{Kind: Title, Row: 2, Place: 2})
	k.Move(-1)
	require.Equal(t, "1", r.Get(casefile.Placements, 2, "position"))
	k.Remove()
	require.Equal(t, "", r.Get(casefile.Placements, 2, "contest"))
	require.Equal(t, "Clerk", r.Get(casefile.Contests, 2, "title"), "the contest is kept, on no face")
	k.GoTo(Stop{Kind: ChoiceName, Row: 1, Place: 1})
	k.Remove()
	k.Open(Page{Kind: PageLoose})
	k.GoTo(Stop{Kind: Title, Row: 2})
	k.Remove()
	require.Equal(t, "Cy Bo", names())
}

func TestFind(t *testing.T) {
	k, _ := open(t, "1-01")
	keys(k, "A⏎Judge⏎⏎c⏎1⏎Ána Quill⏎-⏎⏎Proof⏎⏎1-01⏎")
	hits := k.Find("ana")
	require.Len(t, hits, 1)
	k.Show(hits[0].Page, hits[0].Stop)
	require.Equal(t, ChoiceName, k.Focus().Kind)
	require.Equal(t, "Ána Quill", k.Text())
	require.Len(t, k.Find("1-01"), 1)
	require.Empty(t, k.Find("nobody"))
}

func TestAFaceWithoutALabel(t *testing.T) {
	k, r := open(t, "1-01", "1-02")
	keys(k, "⏎Judge⏎⏎c⏎1⏎Ada⏎-⏎⏎Proof⏎⏎.⏎⏎ju⏎⏎.⏎C⏎")
	require.Equal(t, Page{PageFace, 3}, k.Page())
	require.Equal(t, "C", r.Get(casefile.Faces, 3, "style"))
	e, err := r.Sheets().Election()
	require.NoError(t, err)
	require.Len(t, e.Styles, 1, "the two say the same")
	require.False(t, e.Styles[0].Label.Known)
	require.Equal(t, []int{0, 1}, e.Styles[0].Precincts)
}

// hanging is a record whose disk does not answer until it is let go.
type hanging struct {
	*casefile.Keying
	asked, let chan struct{}
}

func (h *hanging) Set(changes ...casefile.Change) error {
	close(h.asked)
	<-h.let
	return h.Keying.Set(changes...)
}

func TestADiskThatHangsIsNotWaitedForWithoutEnd(t *testing.T) {
	_, r := newCase(t, roster("1-01")...)
	disk := &hanging{r, make(chan struct{}), make(chan struct{})}
	posted := make(chan func(), 100)
	k := OpenKeying(disk, Options{Post: func(f func()) { posted <- f }})
	k.Open(Page{PageFace, 1})
	keys(k, "A⏎")
	<-disk.asked
	stopped, stop := context.WithCancel(t.Context())
	stop()
	require.ErrorIs(t, k.FlushContext(stopped), ErrSlowDisk)
	require.Equal(t, 1, k.Waiting(), "it is still on its way")
	close(disk.let)
	require.NoError(t, k.FlushContext(t.Context()))
	(<-posted)()
	require.Zero(t, k.Waiting())
	require.Equal(t, "A", r.Get(casefile.Faces, 1, "style"))
	require.NoError(t, k.Close())
}

func TestASubtitleKeyedBeforeIsOfferedAndTakenByTheArrowAlone(t *testing.T) {
	_, r := newCase(t, roster("1-01")...)
	k := OpenKeying(r, Options{})
	k.Open(Page{PageFace, 1})
	keys(k, "A⏎Clerk⏎District 12⏎c⏎1⏎Ada⏎-⏎⏎Proof⏎")
	keys(k, "Judge⏎District 1")
	require.Len(t, k.Items(), 1)
	require.Equal(t, -1, k.Pick(), "eyes are on the paper: Enter keys what was typed")
	keys(k, "⏎")
	require.Equal(t, "District 1", r.Get(casefile.Contests, 2, "subtitle"))
	keys(k, "c⏎1⏎Bo⏎-⏎⏎Sheriff⏎d1")
	require.Equal(t, []Item{{Words: "District 12"}, {Words: "District 1"}}, k.Items(), "in the order of keying")
	k.MovePick(1)
	keys(k, "⏎")
	require.Equal(t, "District 12", r.Get(casefile.Contests, 3, "subtitle"))
}

func TestAQuestionTakesTheAnswersOfTheOneBefore(t *testing.T) {
	_, r := newCase(t, roster("1-01")...)
	k := OpenKeying(r, Options{})
	k.Open(Page{PageFace, 1})
	keys(k, "A⏎Proposition One⏎⏎m⏎1⏎Shall one be two?⏎")
	require.Equal(t, NextChoice, k.Focus().Kind)
	keys(k, `"⏎`)
	require.Equal(t, "there is no such name above", k.Message())
	k.Type("")
	keys(k, "Yes⏎No⏎⏎Proof⏎Proposition Two⏎⏎m⏎1⏎Shall two be three?⏎"+`"⏎`)
	require.Equal(t, []string{"Yes", "No"}, []string{r.Get(casefile.Choices, 3, "name"),
		r.Get(casefile.Choices, 4, "name")})
	require.Empty(t, r.Get(casefile.Choices, 4, "party_lines"), "no party can be printed there, so none is asked for")
	require.Equal(t, "2", r.Get(casefile.Choices, 4, "contest"))
	require.Equal(t, NextChoice, k.Focus().Kind, "the paper may print more")
	require.True(t, k.Undo(), "it is one act")
	require.Empty(t, r.Get(casefile.Choices, 3, "name"))
}

func TestAPrecinctKeyedWithoutAStyleHasItsFace(t *testing.T) {
	_, r := newCase(t, roster("1-01", "1-02")...)
	require.NoError(t, r.Load("sheets", &sheets.Sheets{
		Contests: []sheets.ContestRow{{Contest: "c", Title: "Clerk", Kind: "candidate", VoteFor: "1"}},
		Choices:  []sheets.ChoiceRow{{Contest: "c", Position: "1", Name: "Cy Lund"}},
		Ballots:  []sheets.BallotRow{{Precinct: "1-01", Position: "1", Contest: "c"}},
	}))
	k := OpenKeying(r, Options{})
	require.Equal(t, []string{"1-02"}, k.Unassigned())
	k.Open(Page{PageFace, 1})
	k.GoTo(Stop{Kind: Title, Row: 1, Place: 1})
	k.Remove()
	require.NoError(t, k.Flush())
	require.Equal(t, []string{"1-01", "1-02"}, k.Unassigned(), "an empty face is none")
}

// A number is not cut in the middle: what was typed up to one of its digits is a title of its own.
func TestANumberOfATitleIsNoBeginningOfAnother(t *testing.T) {
	for typed, want := range map[string]string{
		"Line No. 1": "Line No. 1", "Line No. 10": "Line No. 10", "line": "Line No. 10"} {
		k, _ := open(t, "1-01", "1-02")
		keys(k, "A⏎Line No. 10⏎⏎c⏎1⏎Ada Quill⏎ALD⏎⏎Proof⏎⏎1-01⏎B⏎"+typed+"⏎")
		require.Equal(t, []string{want}, placedOn(k, 2), typed)
	}
}

// placedOn are the contests of a face.
func placedOn(k *Keying, face int) (out []string) {
	for _, p := range k.e.places[face] {
		out = append(out, k.ContestWords(k.e.Ref(casefile.Placements, p, "contest")))
	}
	return out
}
