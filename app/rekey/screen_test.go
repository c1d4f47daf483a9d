package rekey

import (
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/require"

	"counterproof/app/desk"
	"counterproof/app/ui"
	"counterproof/app/ui/picture"
	"counterproof/model/casefile"
	"counterproof/model/sheets"
)

// typist is a person at the keyboard: every rune, key and shortcut goes to whatever
// has the focus, and counts as one key. Shift does not count, as on a meter of
// keystrokes a capital is one.
type typist struct {
	t    testing.TB
	c    fyne.Canvas
	keys int
}

func (p *typist) focused() fyne.Focusable {
	f := p.c.Focused()
	require.NotNil(p.t, f, "nothing has the focus: keys go nowhere")
	return f
}

func (p *typist) text(s string) {
	shift := &fyne.KeyEvent{Name: desktop.KeyShiftLeft}
	for _, r := range s {
		p.keys++
		k, held := p.focused().(desktop.Keyable)
		if held = held && (unicode.IsUpper(r) || strings.ContainsRune(`~!@#$%^&*()_+{}|:"<>?`, r)); held {
			k.KeyDown(shift)
		}
		p.focused().TypedRune(r)
		if held {
			k.KeyUp(shift)
		}
	}
}

func (p *typist) key(names ...fyne.KeyName) {
	for _, n := range names {
		p.keys++
		p.focused().TypedKey(&fyne.KeyEvent{Name: n})
	}
}

func (p *typist) ctrl(n fyne.KeyName) {
	p.keys++
	p.focused().(fyne.Shortcutable).TypedShortcut(&desktop.CustomShortcut{KeyName: n, Modifier: fyne.KeyModifierControl})
}

// line types a text and Enter.
func (p *typist) line(s string) {
	p.text(s)
	p.key(fyne.KeyReturn)
}

// rekeyCase is a new case in which Wren Aldous may key; the roster is in.
func rekeyCase(t testing.TB, precincts []sheets.PrecinctRow) (*casefile.Case, *casefile.Keying) {
	t.Helper()
	at := time.Date(2027, 9, 14, 9, 0, 0, 0, time.UTC)
	c, err := casefile.Create(filepath.Join(t.TempDir(), "general-2027"+casefile.Extension), casefile.Start{
		Election: casefile.Election{Name: "General Election", Date: "2027-11-02", Jurisdiction: "Tarnwick County"},
		Parties:  []string{"Meridian Party", "Hearth Party"}},
		casefile.Options{Now: func() time.Time { return at }, WorkFactor: 1})
	require.NoError(t, err)
	t.Cleanup(func() { _ = c.Close() })
	for _, p := range []casefile.NewPerson{
		{Name: "Odile Farrow", Initials: "OF", Party: "Meridian Party", Seat: casefile.SeatProgrammer,
			Passphrase: "quarry lantern eleven geese"},
		{Name: "Wren Aldous", Initials: "WA", Party: "Hearth Party", Seat: casefile.SeatSecond,
			Passphrase: "plum ferry under bridges"},
	} {
		who, err := c.Enrol(p)
		require.NoError(t, err)
		require.NoError(t, c.Unlock(who.ID, p.Passphrase))
	}
	k, err := c.Keying("p2")
	require.NoError(t, err)
	if len(precincts) > 0 {
		require.NoError(t, k.Load("official roster", &sheets.Sheets{Precincts: precincts}))
	}
	return c, k
}

func smallRoster() (out []sheets.PrecinctRow) {
	for _, p := range []string{"1-01", "1-02", "1-03", "1-04", "2-01", "2-02", "2-03"} {
		out = append(out, sheets.PrecinctRow{Precinct: p,
			Site: map[byte]string{'1': "Alder Falls Fire Hall", '2': "Brightwater Town Hall"}[p[0]]})
	}
	return out
}

// rekeyWindow shows the place over a record.
func rekeyWindow(t testing.TB, r desk.Record) (*Screen, *typist) {
	t.Helper()
	d := desk.OpenKeying(r, desk.Options{})
	w := test.NewTempWindow(t, ui.Body(""))
	place := NewScreen(d, w)
	w.SetPadded(false)
	w.SetContent(place.Content())
	w.Resize(fyne.NewSize(1280, 800))
	place.Focus()
	return place, &typist{t: t, c: w.Canvas()}
}

// keyOneFace keys a face of two contests and stands at the third.
func keyOneFace(r *Screen, p *typist) {
	r.d.Open(desk.Page{Kind: desk.PageElection})
	r.Refresh()
	p.line("General Election")
	p.line("2027-11-02")
	p.line("Tarnwick County")
	p.line("MER")
	p.line("Meridian Party")
	p.line("HRT")
	p.line("Hearth Party")
	p.key(fyne.KeyReturn)
	p.line("BS-01")
	p.text("County Offices")
	p.ctrl(fyne.KeyH)
	p.line("County Executive and Deputy County Executive")
	p.key(fyne.KeyReturn)
	p.line("c")
	p.line("1")
	p.line("Marisol Tejada-Quinn / Desmond Achterberg")
	p.line("MER")
	p.line("Harlan P. Ostrowe / Ingrid Vasko-Bell")
	p.line("HRT")
	p.line(`"`)
	p.line("GRO")
	p.line("_")
	p.key(fyne.KeyReturn)
	p.line("Certified list of candidates, 1 October 2027")
	p.line("Proposition One")
	p.line("Terms of the County Council")
	p.line("m")
	p.line("1")
	p.line("Shall section 2.04 of the Tarnwick County Charter be amended to lengthen the term of office of each member " +
		"of the County Council from two years to four years, beginning with the members elected at the general election " +
		"of 2029?")
	p.line("Yes")
	p.line("No")
	p.key(fyne.KeyReturn)
}

var rekeyScenes = []struct {
	name  string
	scene func(t testing.TB) *Screen
}{
	{"rekey-empty", func(t testing.TB) *Screen {
		_, k := rekeyCase(t, smallRoster())
		r, p := rekeyWindow(t, k)
		r.d.Open(desk.Page{Kind: desk.PageFace, Row: 1})
		r.Refresh()
		p.keys = 0
		return r
	}},
	{"rekey-keying", func(t testing.TB) *Screen {
		_, k := rekeyCase(t, smallRoster())
		r, p := rekeyWindow(t, k)
		keyOneFace(r, p)
		p.line("County Clerk")
		p.key(fyne.KeyReturn)
		p.line("c")
		p.line("1")
		p.text("Winifred Ab")
		return r
	}},
	{"rekey-odd", func(t testing.TB) *Screen {
		_, k := rekeyCase(t, smallRoster())
		r, p := rekeyWindow(t, k)
		keyOneFace(r, p)
		p.line("County Judge")
		p.key(fyne.KeyReturn)
		p.line("c")
		p.line("0")
		for _, s := range []string{"Beatrix Holloway-Sund", "MER", "Beatrix Holoway-Sund", "HRT", "Beatrix Holloway-Sund",
			"MER", "Lucien Аrceneaux", "LAM"} {
			p.line(s)
		}
		p.key(fyne.KeyReturn, fyne.KeyReturn)
		p.text("1-01..2-99")
		p.key(fyne.KeyReturn)
		return r
	}},
	{"rekey-completion", func(t testing.TB) *Screen {
		_, k := rekeyCase(t, smallRoster())
		r, p := rekeyWindow(t, k)
		keyOneFace(r, p)
		p.key(fyne.KeyReturn)
		p.line("1-01..3")
		p.line("BS-02")
		p.text("c")
		return r
	}},
	{"rekey-languages", func(t testing.TB) *Screen {
		_, k := rekeyCase(t, smallRoster())
		r, p := rekeyWindow(t, k)
		keyOneFace(r, p)
		p.key(fyne.KeyReturn)
		p.key(fyne.KeyF9)
		p.text("vi")
		return r
	}},
	{"rekey-language", func(t testing.TB) *Screen {
		_, k := rekeyCase(t, smallRoster())
		r, p := rekeyWindow(t, k)
		keyOneFace(r, p)
		p.key(fyne.KeyF9)
		p.line("es")
		require.Equal(t, "es", r.d.Language())
		p.line("Oficinas del Condado")
		p.line("Ejecutivo del Condado y Ejecutivo Adjunto")
		p.line("Propuesta Uno")
		p.line("Mandatos del Consejo del Condado")
		p.text("¿Debe enmendarse")
		return r
	}},
	{"rekey-units", func(t testing.TB) *Screen {
		_, k := rekeyCase(t, smallRoster())
		r, p := rekeyWindow(t, k)
		r.d.Open(desk.Page{Kind: desk.PageUnits})
		r.Refresh()
		p.line("TW-1101")
		p.line("al")
		p.line("*")
		p.line("TW-1102")
		p.line(`"`)
		p.line("1-01..3")
		p.line("TW-2101")
		p.line("br")
		p.text("2-0")
		return r
	}},
	{"rekey-sealed", func(t testing.TB) *Screen {
		c, k := rekeyCase(t, smallRoster())
		r, p := rekeyWindow(t, k)
		keyOneFace(r, p)
		p.key(fyne.KeyReturn)
		p.line("1-01..2-03")
		require.NoError(t, c.Seal("p2", casefile.Seal{Scope: casefile.ScopeBallots}))
		require.NoError(t, c.Amend(casefile.Amendment{Document: "Order 12", Date: "2027-10-01",
			Contests: []casefile.Row{{Table: casefile.Contests, Row: 1}}}, "p2", "p1"))
		r.d.Refresh()
		r.d.Open(desk.Page{Kind: desk.PageFace, Row: 1})
		r.Refresh()
		return r
	}},
	{"rekey-error", func(t testing.TB) *Screen {
		_, k := rekeyCase(t, smallRoster())
		full := &fullDisk{Keying: k}
		r, p := rekeyWindow(t, full)
		keyOneFace(r, p)
		full.err = casefile.ErrNoRoom
		p.line("County Clerk")
		p.line("Term of four years")
		return r
	}},
	{"rekey-keys", func(t testing.TB) *Screen {
		_, k := rekeyCase(t, smallRoster())
		r, p := rekeyWindow(t, k)
		p.key(fyne.KeyF1)
		return r
	}},
	{"rekey-before-sealing", func(t testing.TB) *Screen {
		_, k := rekeyCase(t, smallRoster())
		r, p := rekeyWindow(t, k)
		keyOneFace(r, p)
		p.key(fyne.KeyF7)
		return r
	}},
	{"rekey-primary", func(t testing.TB) *Screen {
		_, k := rekeyCase(t, smallRoster())
		r, p := rekeyWindow(t, k)
		keyOneFace(r, p)
		r.d.Reveal(desk.FaceParty)
		r.Refresh()
		return r
	}},
	{"rekey-rotation", func(t testing.TB) *Screen {
		_, k := rekeyCase(t, smallRoster())
		r, p := rekeyWindow(t, k)
		keyOneFace(r, p)
		p.line("Mayor")
		p.key(fyne.KeyReturn)
		p.line("c")
		p.line("3")
		for _, s := range []string{"Winifred Abara", "-", "Casimir Dole", "-", "Beatrix Lund"} {
			p.line(s)
		}
		r.d.Reveal(desk.Variation)
		r.Refresh()
		p.line("r")
		r.d.GoTo(desk.Stop{Kind: desk.VoteFor, Row: 3, Place: 3})
		r.d.Reveal(desk.ChoiceOrder)
		r.Refresh()
		p.text("bwc")
		return r
	}},
	{"rekey-copy", func(t testing.TB) *Screen {
		_, k := rekeyCase(t, smallRoster())
		r, p := rekeyWindow(t, k)
		keyOneFace(r, p)
		p.key(fyne.KeyReturn)
		p.line("1-01..3")
		p.line("BS-02")
		r.d.Copy()
		r.Refresh()
		return r
	}},
	{"rekey-paste", func(t testing.TB) *Screen {
		_, k := rekeyCase(t, smallRoster())
		r, p := rekeyWindow(t, k)
		keyOneFace(r, p)
		r.ShowPaste("County Judge (vote for 2)\nAda Quill  MER, HRT\nBo Reed  HRT\nWrite-in\n\nTown Clerk (vote for " +
			"one)\nCy Lund  MER\n")
		p.key(fyne.KeyReturn, fyne.KeyReturn)
		return r
	}},
}

// fullDisk is a record whose disk can be full.
type fullDisk struct {
	*casefile.Keying
	err error
}

func (f *fullDisk) Set(changes ...casefile.Change) error {
	if f.err != nil {
		return f.err
	}
	return f.Keying.Set(changes...)
}

func TestRekeyPictures(t *testing.T) {
	if testing.Short() {
		t.Skip("draws a screen: long; run without -short")
	}
	for _, s := range rekeyScenes {
		for _, v := range picture.Views() {
			if v.Keeps(s.name) { // drawn of a window that is new, not scrolled by the view before
				t.Run(s.name+"/"+v.String(), func(t *testing.T) {
					v.App(t)
					picture.Check(t, ".", s.name, v, s.scene(t).w)
				})
			}
		}
		t.Run(s.name, func(t *testing.T) {
			picture.SkipShort(t, s.name)
			picture.View{Scale: 1}.App(t)
			r := s.scene(t)
			for _, v := range picture.Views() {
				v.Dress(r.w)
				r.Refresh()
				picture.Check(t, "", s.name, v, r.w)
			}
		})
	}
}

// A text of several lines holds what was typed, wherever its lines end: a space at the end of a full
// line is not left for the end of the text.
func TestALongTextIsKeyedAsItIsTyped(t *testing.T) {
	if testing.Short() {
		t.Skip("draws a screen: long; run without -short")
	}
	test.NewTempApp(t).Settings().SetTheme(ui.Theme{})
	_, k := rekeyCase(t, smallRoster())
	r, p := rekeyWindow(t, k)
	keyOneFace(r, p)
	p.key(fyne.KeyF9)
	p.line("es")
	for range 4 {
		p.key(fyne.KeyReturn)
	}
	require.Equal(t, desk.MeasureText, r.d.Focus().Kind)
	text := ""
	for n := range 60 { // words of one to nine letters, so that lines end at many places
		word := strings.Repeat("o", 1+n*7%9) + " "
		if n%20 == 19 {
			word += " " // a slip that the clerk sees
		}
		p.text(word)
		p.key(fyne.KeyBackspace)
		require.Equal(t, text+strings.TrimSuffix(word, " "), r.d.Text())
		p.text(" ")
		text += word
		require.Equal(t, text, r.d.Text())
	}
	p.key(fyne.KeyBackspace, fyne.KeyBackspace)
	p.text("x")
	require.Equal(t, strings.TrimRight(text, " ")+"x", r.d.Text())
}
