package app

import (
	"context"
	"fmt"
	"io"
	"net/url"
	"os"
	"path/filepath"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"counterproof/app/look"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// signPlace shows what is left to do, the report, and who signs it.
type signPlace struct {
	w      *Window
	page   *fyne.Container
	of     casefile.Digest
	asking bool
	// missing is what is left to do; excepted is why the supervisor signs in spite of
	// it, by its identity.
	missing  []review.Missing
	trouble  error
	excepted map[string]string
	known    bool
}

func newSignPlace(w *Window) *signPlace {
	return &signPlace{w: w, page: container.NewStack(), excepted: map[string]string{}}
}

func (p *signPlace) Name() string               { return "Sign" }
func (p *signPlace) Icon() look.Icon            { return look.PlaceSign }
func (p *signPlace) Content() fyne.CanvasObject { return p.page }
func (p *signPlace) May() (bool, string)        { return p.w.mayCompare() }
func (p *signPlace) Keys() []Key {
	return []Key{{"Tab", "go to the next action"}, {"Enter", "do it"}}
}

func (p *signPlace) CaseChanged() {
	p.of, p.missing, p.trouble, p.known, p.excepted = casefile.Digest{}, nil, nil, false, map[string]string{}
	p.page.Objects = nil
}

func (p *signPlace) Refresh() {
	if ok, _ := p.May(); !ok {
		return
	}
	r := p.w.Session.Review()
	p.w.standing(&p.of, &p.asking, func(*review.Standing, error) {
		// The standing is there now: asking what is missing compares nothing again.
		p.missing, p.trouble = r.MissingToSign()
		p.known = true
		still := map[string]string{}
		for _, m := range p.missing {
			if why := p.excepted[m.ID]; why != "" {
				still[m.ID] = why
			}
		}
		p.excepted = still
		p.show()
	})
	p.show()
}

func (p *signPlace) show() {
	p.page.Objects = []fyne.CanvasObject{container.NewVScroll(look.Inset(4, 4, look.Spread(200,
		look.Beside(2, 40, 3, 2, p.left(), look.Column(2, p.signing(), p.reports())))))}
	p.page.Refresh()
}

// left is what is still to do.
func (p *signPlace) left() fyne.CanvasObject {
	objects := []fyne.CanvasObject{look.Kicker("Still open")}
	switch {
	case !p.known:
		objects = append(objects, look.Body("Comparing …"))
	case p.trouble != nil:
		objects = append(objects, look.Body(sentence(p.trouble)))
	case len(p.missing) == 0:
		objects = append(objects, look.Title("Nothing is left to do."), look.Body("Every finding is decided and cleared or settled. The report can be signed."))
	default:
		n := "1 thing is left to do."
		if len(p.missing) > 1 {
			n = fmt.Sprintf("%d things are left to do.", len(p.missing))
		}
		objects = append(objects, look.Title(n), look.Faded("A supervisor may sign in spite of each of them only by writing down why. The reason stands on the report's front page."))
		const shown = 100
		var rows []fyne.CanvasObject
		for _, m := range p.missing[:min(len(p.missing), shown)] {
			why := p.excepted[m.ID]
			icon, words, label := look.StateOpen, []fyne.CanvasObject{look.Body(m.Words)}, "Except it"
			if why != "" {
				icon, label = look.StateDecided, "Change"
				words = append(words, look.NewWords(look.SizeCaption, look.Run{Text: "Signed in spite of it: " + why, Face: look.SansItalic}).Wrapped())
			}
			rows = append(rows, look.Ruled([]float32{0, 1, 0}, look.NewDrawing(icon, look.ColorInk), look.Column(0.4, words...),
				look.NewAction(look.Quiet, label, "", "", func() { p.except(m) })))
		}
		objects = append(objects, look.Column(0, rows...))
		if len(p.missing) > shown {
			objects = append(objects, look.Caption(fmt.Sprintf("and %d more; they show as these are done.", len(p.missing)-shown)))
		}
	}
	return look.Page(look.Column(2, objects...))
}

// except asks the supervisor why the report is signed in spite of something.
func (p *signPlace) except(m review.Missing) {
	why := NewField("Reason", "")
	why.SetText(p.excepted[m.ID])
	p.w.form("Signed in spite of it", look.Ballot(m.Words), []*Field{why}, []string{"The supervisor's reason. Left empty, there is no exception."}, "Keep the reason", nil, func(s *Sheet) string {
		delete(p.excepted, m.ID)
		if words := strings.TrimSpace(why.Text); words != "" {
			p.excepted[m.ID] = words
		}
		s.Close()
		p.show()
		return ""
	})
}

// signing is who signs.
func (p *signPlace) signing() fyne.CanvasObject {
	r := p.w.Session.Review()
	state := p.w.Session.State()
	objects := []fyne.CanvasObject{look.Kicker("Who signs")}
	signed := len(state.SignOffs) > 0 && state.SignOffs[len(state.SignOffs)-1].Seq == state.Seq
	var rows []fyne.CanvasObject
	for _, person := range r.Signers() {
		icon, word := look.StateLocked, "locked"
		if p.w.Session.Case().Unlocked(person.ID) {
			icon, word = look.StateFree, "unlocked"
		}
		if signed {
			icon, word = look.StateSealed, "signed"
		}
		rows = append(rows, look.Ruled([]float32{1, 0}, look.Column(0.2, look.Bold(person.Name), look.Caption(upper(seatShort(person.Seat))+", "+person.Party)), look.NewBadge(icon, word, look.ColorInk)))
	}
	objects = append(objects, look.Column(0, rows...))
	switch {
	case signed:
		last := state.SignOffs[len(state.SignOffs)-1]
		objects = append(objects, look.Bold("The report is signed."), look.Caption(local(last.At)), look.NewWords(look.SizeCaption, look.Run{Text: "Digest " + last.Terms.Report.Groups()}).Wrapped())
	case makeReport == nil:
		objects = append(objects, look.Faded("They sign when nothing is left to do."))
	default:
		a := look.NewAction(look.Next, "Sign the report", look.PlaceSign, "", p.sign)
		if !p.known || p.trouble != nil || len(p.excepted) < len(p.missing) {
			a.Disable()
			objects = append(objects, look.Faded("Opens when nothing is left to do, or each thing that is left has its reason."))
		}
		objects = append(objects, a)
	}
	return look.Page(look.Column(2, objects...))
}

// sign makes the report and records it with everybody's signature.
func (p *signPlace) sign() {
	r := p.w.Session.Review()
	exceptions := map[string]string{}
	for id, why := range p.excepted {
		exceptions[id] = why
	}
	p.w.signTogether("Sign the report", "The comparison report of "+p.w.Session.State().Election.Name, r.Signers(), p.focus, func(ids []casefile.PersonID) {
		p.w.Work("Making and signing the report", func(context.Context) error {
			made, err := makeReport(r, exceptions)
			if err != nil {
				return err
			}
			b, err := made.JSON()
			if err != nil {
				return err
			}
			return r.SignOff(b, exceptions, ids...)
		}, p.w.Changed)
	})
}

func (p *signPlace) focus() {}

// reportForms is a report in the forms that it is signed and written in.
type reportForms interface {
	JSON() ([]byte, error)
	HTML(io.Writer) error
	PDF(io.Writer) error
}

// makeReport makes the report of a case, readReport reads one that was signed.
// Without them nothing can be signed or written here, and nothing of it is offered.
var (
	makeReport func(r *review.Review, exceptions map[string]string) (reportForms, error)
	readReport func(json []byte) (reportForms, error)
)

// reports offers the report as a file.
func (p *signPlace) reports() fyne.CanvasObject {
	var actions []fyne.CanvasObject
	if makeReport != nil {
		actions = append(actions, look.NewAction(look.Plain, "Write it as PDF", "", "", func() { p.write("pdf") }),
			look.NewAction(look.Plain, "Write it as a page", "", "", func() { p.write("html") }),
			look.NewAction(look.Plain, "Write it as JSON", "", "", func() { p.write("json") }))
	}
	return look.Page(look.Column(2, look.Kicker("The comparison report"),
		look.Body("It says what was compared and what was not, each difference with what was decided, and who signed."),
		look.Flow(1.5, actions...), look.Rule(), cautions(look.SizeCaption)))
}

// write writes the report to a file and opens it.
func (p *signPlace) write(form string) {
	w, r := p.w, p.w.Session.Review()
	file := NewField("File", "")
	base := strings.TrimSuffix(w.Session.Case().Path(), casefile.Extension)
	file.SetText(base + " report." + form)
	w.form("Write the report", nil, []*Field{file}, []string{"Nothing that is there is overwritten."}, "Write and open", nil, func(s *Sheet) string {
		path := strings.TrimSpace(file.Text)
		if path == "" {
			return "Name the file."
		}
		s.Close()
		w.Work("Writing the report", func(context.Context) error { return p.put(r, form, path) }, func() {
			abs, err := filepath.Abs(path)
			if err == nil {
				err = w.app.OpenURL(&url.URL{Scheme: "file", Path: filepath.ToSlash(abs)})
			}
			if err != nil {
				w.Say("The report is written", "It is in "+path+". No program of this machine opened it: "+err.Error()+".")
				return
			}
			w.Say("The report is written", "It is in "+path+".")
		})
		return ""
	})
}

func (p *signPlace) put(r *review.Review, form, path string) (err error) {
	made, err := p.report(r)
	if err != nil {
		return err
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return fmt.Errorf("the report cannot be written: %w; choose another file", err)
	}
	defer func() {
		if closed := f.Close(); err == nil {
			err = closed
		}
		if err != nil {
			_ = os.Remove(path) // half a report must not pass for one
		}
	}()
	switch form {
	case "pdf":
		return made.PDF(f)
	case "html":
		return made.HTML(f)
	}
	b, err := made.JSON()
	if err != nil {
		return err
	}
	_, err = f.Write(b)
	return err
}

// report is the one that was signed where nothing came after, else a new one.
func (p *signPlace) report(r *review.Review) (reportForms, error) {
	state := r.Case().State()
	if n := len(state.SignOffs); n > 0 && state.SignOffs[n-1].Seq == state.Seq {
		b, err := r.Case().Report(state.SignOffs[n-1].Terms.Report)
		if err != nil {
			return nil, err
		}
		return readReport(b)
	}
	return makeReport(r, p.excepted)
}
