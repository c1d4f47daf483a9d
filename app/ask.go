package app

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"fyne.io/fyne/v2"

	"counterproof/app/desk"
	"counterproof/app/desk/session"
	"counterproof/app/ui"
	"counterproof/checks/finding"
	"counterproof/model/casefile"
	"counterproof/model/files"
	"counterproof/model/program"
)

// documents is the folder in which file dialogs start.
func documents() string {
	home, err := os.UserHomeDir()
	if err != nil {
		return "."
	}
	docs := filepath.Join(home, "Documents")
	if info, err := os.Stat(docs); err == nil && info.IsDir() {
		return docs
	}
	return home
}

// AskNew asks what a new case begins with.
func (w *Window) AskNew() {
	name, date, place := ui.NewField("Election", "General Election"), ui.NewField("Day", "November 2, 2027"),
		ui.NewField("Jurisdiction", "Tarnwick County")
	parties, file := ui.NewField("Parties of the pair", "Hearth Party, Meridian Party"), ui.NewField("Case file", "")
	file.SetText(filepath.Join(documents(), "election"+casefile.Extension))
	own := true
	name.OnChanged = func(s string) {
		if own {
			file.SetText(filepath.Join(documents(), session.FileName(s)+casefile.Extension))
		}
	}
	file.OnChanged = func(s string) {
		own = s == filepath.Join(documents(), session.FileName(name.Text)+casefile.Extension)
	}
	folder := func(*ui.Sheet) []fyne.CanvasObject {
		return []fyne.CanvasObject{ui.ChooseFolder(w, func(path string) {
			file.SetText(filepath.Join(path, filepath.Base(file.Text)))
		})}
	}
	day := ui.Caption("")
	date.OnChanged = func(s string) {
		words := ""
		if at, ok := desk.Day(s, ui.DayFirst()); ok {
			words = "The day is " + desk.DayWords(at) + "."
		}
		day.SetText(words)
	}
	w.Form("A new case", ui.Column(1, ui.Body("One election's cross-check, in one file."), day),
		[]*ui.Field{name, date, place, parties, file},
		[]string{"As the office calls it.", "As printed, or year-month-day.", "",
			"The parties that may hold the pair's two seats, with commas between them.",
			"Nothing that is there is overwritten."},
		"Start the case", folder, func(s *ui.Sheet) string {
			var list []string
			for _, p := range strings.Split(parties.Text, ",") {
				if p = strings.TrimSpace(p); p != "" {
					list = append(list, p)
				}
			}
			at, ok := desk.Day(date.Text, ui.DayFirst())
			switch {
			case strings.TrimSpace(name.Text) == "":
				return "Write how the office calls the election."
			case !ok:
				return "Write the day as November 2, 2027 or year-month-day, like 2027-11-02."
			case len(list) < 2:
				return "Name at least two parties, with a comma between them."
			}
			if w.onItsWay() {
				return "What was keyed in the open case is not on the disk yet; wait a moment, then start the case."
			}
			start := casefile.Start{
				Election: casefile.Election{Name: strings.TrimSpace(name.Text), Date: at.Format(time.DateOnly),
					Jurisdiction: strings.TrimSpace(place.Text)},
				Parties: list}
			path := strings.TrimSpace(file.Text)
			w.Brief("Starting the case", func() error { return w.Session.Create(path, start) }, func() {
				s.Close()
				w.caseChanged()
				if why := files.Synchronized(path); why != "" {
					w.Say("Keep this case in another folder", finding.Sentence(errors.New(why)))
				}
			})
			return ""
		})
}

// AskDemo asks where the demo is to be laid out.
func (w *Window) AskDemo() {
	folder := ui.NewField("Folder", "")
	folder.SetText(documents())
	w.Form("The demo", ui.Body("An invented county: its people, its official roster, and all but one of its ballot "+
		`faces keyed. A folder "Counterproof demo" is made in the folder below; for a demo that is already there `+
		`you are asked whether it is opened as it is, or begun afresh.`),
		[]*ui.Field{folder}, []string{""}, "Open the demo", func(*ui.Sheet) []fyne.CanvasObject {
			return []fyne.CanvasObject{ui.ChooseFolder(w, folder.SetText)}
		}, func(s *ui.Sheet) string {
			dir := strings.TrimSpace(folder.Text)
			if info, err := os.Stat(dir); err != nil || !info.IsDir() {
				return "There is no such folder; write or choose one that is there."
			}
			s.Close()
			if name := session.FreshDemo(dir); name != "" {
				w.askFreshDemo(dir, name)
				return ""
			}
			w.OpenDemo(dir)
			return ""
		})
}

// askFreshDemo asks whether the demo that is there is opened, or another begun beside it.
func (w *Window) askFreshDemo(dir, name string) {
	w.Lay("A demo is there already", ui.Body(fmt.Sprintf("It is opened as it stands, or a new one is begun in the folder "+
		"%q beside it. The old one is kept.", name)), func(s *ui.Sheet) {
		s.Action(ui.Next, "Open it as it stands", func() { s.Close(); w.OpenDemo(dir) })
		s.Action(ui.Plain, "Begin afresh", func() { s.Close(); w.FreshDemo(dir) })
		s.Action(ui.Quiet, "Not now", s.Close)
	})
}

// AskBackup asks where a copy of the case goes.
func (w *Window) AskBackup() {
	c := w.Session.Case()
	if c == nil {
		w.Fail(session.ErrNoCase)
		return
	}
	base := strings.TrimSuffix(filepath.Base(c.Path()), casefile.Extension)
	file := ui.NewField("Copy to", "")
	file.SetText(filepath.Join(filepath.Dir(c.Path()), base+" "+time.Now().Format("2006-01-02 1504")+casefile.Extension))
	w.Save("Back up the case", ui.Body("The copy is the whole case as it stands, in one file; a stick in another room "+
		"is a good place for it. People may go on keying meanwhile."), file, "Back up", nil,
		files.Place{Case: true, Private: true}, func(to files.Place) {
			w.Work("Backing up the case", func(ctx context.Context) error { return c.BackupTo(ctx, to) }, func() {
				w.Say("The case is backed up", "It is in "+to.Path+".")
			})
		})
}

// Toggle locks a person's key, or asks for the passphrase.
func (w *Window) Toggle(s session.Seated) {
	c := w.Session.Case()
	if c == nil {
		return
	}
	if c.Unlocked(s.Person.ID) {
		c.Lock(s.Person.ID)
		w.Changed()
		return
	}
	w.AskUnlock(s.Person.ID, "", nil)
}

// AskUnlock asks for a person's passphrase and then goes on with then (nil for nothing). What for is
// said in a few words ("to seal the ballots"), or empty.
func (w *Window) AskUnlock(id casefile.PersonID, what string, then func()) {
	c := w.Session.Case()
	if c == nil {
		w.Fail(session.ErrNoCase)
		return
	}
	p, _ := c.State().Person(id)
	secret := ui.NewSecret("Passphrase")
	hint := ""
	if d := w.Session.DemoPassphrase(id); d != "" {
		hint = "In the demo it is \"" + d + "\"."
	}
	if what != "" {
		what = " The key is needed " + what + "."
	}
	above := ui.Body(p.Name + ", " + p.Seat.Short() + ", " + p.Party + "." + what +
		" The key stays unlocked until it is locked, or has not been used for 15 minutes.")
	w.Form("Unlock "+p.Name, above, []*ui.Field{secret}, []string{hint}, "Unlock", nil, func(s *ui.Sheet) string {
		pass := secret.Text
		if pass == "" {
			return "Type the passphrase."
		}
		secret.SetText("") // after a wrong one the form is there for the next try
		w.Brief("Unlocking "+p.Name, func() error { return c.Unlock(id, pass) }, func() {
			s.Close()
			w.Changed()
			if then != nil {
				then()
			}
		})
		return ""
	})
}

// unlockAll asks for the passphrases of people, one after the other, and then goes on.
func (w *Window) unlockAll(people []casefile.PersonID, then func()) {
	if len(people) == 0 {
		then()
		return
	}
	w.AskUnlock(people[0], "to look at the differences together", func() { w.unlockAll(people[1:], then) })
}

// LockAll locks every key.
func (w *Window) LockAll() {
	if c := w.Session.Case(); c != nil {
		c.Lock()
		w.Changed()
	}
}

// AskRoster asks for the official roster, typed, pasted or from a file, shows what
// was read, and keeps it.
func (w *Window) AskRoster() { w.askRoster(session.RosterText(w.Session.Roster())) }

// askRoster is AskRoster with an initial text in the field.
func (w *Window) askRoster(text string) {
	if _, ok := w.Session.Holder(casefile.SeatSecond); !ok {
		w.Say("The second party comes first", "The roster is kept by the second party: enrol that person first.")
		return
	}
	area := ui.NewArea("Precincts", "1-01, Alder Falls Fire Hall\n1-02, Alder Falls Fire Hall\n1-03, Town Hall, early", 12)
	area.SetText(text)
	read := ui.Caption("")
	show := func(text string) {
		lines, faults := session.ParseRoster(text)
		words := session.RosterWords(lines) + "."
		if len(faults) > 0 {
			words += " " + faults[0]
		}
		read.SetText(words)
	}
	area.OnChanged = show
	show(area.Text)
	w.Form("The official roster", ui.Column(1, ui.Body("On each line a precinct, its polling site and, where sites "+
		"differ by use, the use; with commas, semicolons or tabs between them. Take it from the office's own list, not "+
		"from the export."),
		read),
		[]*ui.Field{area}, []string{"Enter begins a line; Ctrl+Enter keeps the roster."}, "Keep the roster",
		func(form *ui.Sheet) []fyne.CanvasObject {
			return []fyne.CanvasObject{ui.NewAction(ui.Plain, "From a CSV file", "", "", func() {
				w.chooseFile("The roster's file", "The office's own list as CSV or tab-separated text.",
					[]string{".csv", ".txt", ".tsv"}, func(path string) {
						text, err := readText(path)
						if err != nil {
							w.Fail(err)
							return
						}
						area.SetText(text)
						form.GoOn()
					})
			})}
		}, func(s *ui.Sheet) string {
			lines, faults := session.ParseRoster(area.Text)
			switch {
			case len(faults) > 0:
				return faults[0]
			case len(lines) == 0:
				return "No precinct is given yet."
			}
			w.Brief("Keeping the roster", func() error { return w.Session.KeepRoster(lines) }, func() {
				s.Close()
				w.known.rekey.Reload()
				w.Changed()
			})
			return ""
		})
}

// readText reads a small text file.
func readText(path string) (string, error) {
	b, err := files.Read(path, 8<<20)
	if errors.Is(err, files.ErrTooLong) {
		return "", errors.New("the file has more than 8 MiB; a roster is a short list, choose another file")
	}
	if err != nil {
		return "", err
	}
	if !utf8.Valid(b) {
		return "", fmt.Errorf("%s is not UTF-8 text; save it as CSV (UTF-8) and try again", filepath.Base(path))
	}
	return string(b), nil
}

// helpHead is the heading of the sheet of keys.
const helpHead = "Keys"

// Help shows the keys of the place in view, or of the form on top of it, and of the
// window.
func (w *Window) Help() {
	p := w.places[w.at]
	keys, in := slices.Clone(p.Keys()), "In "+p.Name()
	if top := w.Sheets.Top(); top != nil {
		if top.Head == helpHead || top.Working {
			return
		}
		in = "In this form: " + top.Head
		keys = ui.Keys("Tab, Shift+Tab", "the next field or action, the one before",
			"Enter", "in a field of one line: the next empty field, or do it; on an action: do it",
			"Ctrl+Enter", "in a field of several lines: do it",
			"Page Down, Page Up", "scroll the form", "Esc", "leave the form; nothing is recorded")
	}
	var rows []fyne.CanvasObject
	for _, k := range keys {
		rows = append(rows, ui.Ruled([]float32{2, 5}, ui.Flow(0, ui.KeyHint(k.Key, "")), ui.Body(k.Does)))
	}
	var general []fyne.CanvasObject
	for _, m := range w.commands() {
		for _, c := range m.list {
			if c.shown != "" {
				general = append(general, ui.Ruled([]float32{2, 5}, ui.Flow(0, ui.KeyHint(c.shown, "")),
					ui.Body(strings.TrimSuffix(c.label, "…"))))
			}
		}
	}
	w.Lay(helpHead, ui.Column(2, ui.Kicker(in), ui.Column(0, rows...), ui.Kicker("Everywhere"),
		ui.Column(0, general...)), func(s *ui.Sheet) {
		s.Action(ui.Next, "Go on", s.Close)
	})
}

// About says what the program is, and its cautions.
func (w *Window) About() {
	b := program.Running()
	w.Lay("About Counterproof", ui.Column(2,
		ui.Body(
			"Counterproof is the second party's tool: it proves an election's set-up before its memory cards are used."),
		ui.Slip(ui.NewCautions(ui.SizeBody)),
		ui.Caption(b.Line()+"."),
		ui.Caption("SHA-256 of this program, to be compared with the one that was released: "+b.Digest()),
		ui.Caption("Typefaces: Source Sans 3 and Source Serif 4, SIL Open Font License.")),
		func(s *ui.Sheet) {
			s.Action(ui.Next, "Go on", s.Close)
		})
}
