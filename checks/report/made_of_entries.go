package report

import (
	"cmp"
	"fmt"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/model/casefile"
)

// entered describes how the second entry came in, case by case.
func (m *maker) entered() []Entered {
	of := m.review.Case()
	list := make([]Entered, 1+len(m.state.Joined))
	for source := range list {
		e := Entered{By: []Who{}, InProgram: []string{}, AsSheets: []string{}, SheetsChanged: []string{},
			AfterSeal: []string{}, Sheets: []EnteredSheet{}}
		state := m.state
		if source > 0 {
			joined := &m.state.Joined[source-1]
			e.Joined, state = joined.Seq, joined.State
		}
		if state != nil {
			for _, id := range state.Keying {
				e.By = append(e.By, whoIn(state, id))
			}
		}
		list[source] = e
	}
	for _, c := range of.ContestEntries() {
		e := &list[c.Source]
		title := cmp.Or(strings.TrimSpace(c.Title+" "+c.Subtitle), fmt.Sprintf("contest of row %d, without a title", c.Row))
		switch c.Mode {
		case casefile.InProgram:
			e.InProgram = append(e.InProgram, title)
		case casefile.AsSheets:
			e.AsSheets = append(e.AsSheets, title)
		case casefile.SheetsChanged:
			e.SheetsChanged = append(e.SheetsChanged, title)
		default:
			e.AfterSeal = append(e.AfterSeal, title)
		}
	}
	for _, scope := range []casefile.Scope{casefile.ScopeBallots, casefile.ScopeUnits} {
		if !m.state.Sealed(scope) {
			continue
		}
		for _, s := range of.SheetSources(scope) {
			list[s.Source].addSheet(m.state, s)
		}
	}
	return list
}

// addSheet adds a sheet that is not listed yet: the roster is in both scopes.
func (e *Entered) addSheet(state *casefile.State, s casefile.SheetSource) {
	for i := range e.Sheets {
		if e.Sheets[i].File == s.File && e.Sheets[i].Entry == s.Entry {
			return
		}
	}
	of := state
	if s.Source > 0 {
		of = state.Joined[s.Source-1].State
	}
	sheet := EnteredSheet{File: s.File, Folder: s.Folder, SHA256: s.Digest.String(), Entry: s.Entry, At: s.At,
		SignedBy: []Who{}}
	if of != nil {
		sheet.By = whoIn(of, s.Who)
	}
	if seal := state.SignedBy(s); seal != nil {
		sheet.Signed = seal.Seq
		for _, id := range seal.Signers() {
			sheet.SignedBy = append(sheet.SignedBy, whoIn(state, id))
		}
	}
	e.Sheets = append(e.Sheets, sheet)
}

// enteredWords returns the lines of the front page on how the second entry came in.
func (c *composer) enteredWords() []words {
	var inProgram, asSheets, afterSeal, unsigned int
	for _, e := range c.Second.Entered {
		inProgram += len(e.InProgram)
		asSheets += len(e.AsSheets) + len(e.SheetsChanged)
		afterSeal += len(e.AfterSeal)
		for _, s := range e.Sheets {
			if s.Signed == 0 {
				unsigned++
			}
		}
	}
	var lines []words
	contests := func(n int) string { return english.Plural(n, "contest", "") }
	if inProgram > 0 {
		lines = append(lines, say(contests(inProgram)+" keyed in the program, blind"))
	}
	if asSheets > 0 {
		lines = append(lines, words{{contests(asSheets) + " brought in as sheets; ", plain},
			{"this program did not see them keyed", strong}})
	}
	if afterSeal > 0 {
		lines = append(lines, say(contests(afterSeal)+" keyed after the seal, for an amendment or by a correction"))
	}
	if unsigned > 0 {
		lines = append(lines, stress(english.Plural(unsigned, "sheet is", "sheets are")+
			" not signed for by anybody: a passphrase was never asked for"))
	}
	return lines
}

// enteredParts describes under Coverage, contest by contest, how the second entry came in.
func (c *composer) enteredParts() {
	if len(c.Second.Entered) == 0 {
		return
	}
	c.add(heading{"How the second entry came in", true})
	for _, e := range c.Second.Entered {
		who := "By " + cmp.Or(names(e.By), "–")
		if e.Joined > 0 {
			who += fmt.Sprintf(", in the case that was joined in entry %d", e.Joined)
		}
		all := len(e.InProgram) + len(e.AsSheets) + len(e.SheetsChanged) + len(e.AfterSeal)
		t := table{who, []string{"How", "Contests"}, nil}
		for _, part := range []struct {
			how      string
			contests []string
		}{
			{"Keyed in the program, blind", e.InProgram}, {"Brought in as a sheet", e.AsSheets},
			{"Brought in as a sheet, changed in the program before the seal", e.SheetsChanged},
			{"Keyed after the seal, for an amendment or by a correction", e.AfterSeal},
		} {
			if len(part.contests) > 0 {
				t.rows = append(t.rows, []words{say(part.how), quote(titles(part.contests, all))})
			}
		}
		if len(t.rows) > 0 {
			c.add(t)
		}
		if len(e.Sheets) == 0 {
			continue
		}
		c.add(paragraph{say("Of sheets the program knows their digest and who brought them in, not how they were keyed. " +
			"By the signature at the seal the second party says that they are their own work, keyed without a look at the " +
			"export; the program could not enforce it."), small})
		t = table{"Sheets", []string{"Sheet", "Brought in", "Signed for at the seal", "SHA-256"}, nil}
		for _, s := range e.Sheets {
			signed := stress("not signed")
			if s.Signed > 0 {
				signed = say(fmt.Sprintf("by %s, entry %d", names(s.SignedBy), s.Signed))
			}
			t.rows = append(t.rows, []words{say(s.File), say(fmt.Sprintf("%s by %s, from “%s”", c.Clock.moment(s.At), s.By.Name,
				s.Folder)), signed, code(groups(s.SHA256))})
		}
		c.add(t)
	}
}
