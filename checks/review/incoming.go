package review

import (
	"context"
	"fmt"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/model/casefile"
	"counterproof/model/cdf"
	"counterproof/model/sheets"
)

// Incoming is an export that was read and has not come in: what its header says, and counts. Nothing
// of it was compared.
type Incoming struct {
	// Files are the files that were read; BringIn takes them.
	Files []File
	// Announced is by file the entry that announced its digest; 0 if none did.
	Announced []int64
	// Contents are those of the export; for a card list alone, of the export that came in last.
	Contents cdf.Contents
	// Notes say what a person should know of how tables were read, each a sentence.
	Notes []string
	// CardsAlone is set for a card list without an export. CardUnits counts the units of a card list.
	CardsAlone bool
	CardUnits  int
	// Other says in a sentence that it is of another election than the case; empty if there is no sign
	// of that.
	Other string
}

// LookAt reads an export that may come in. It refuses with ErrBlind what BringIn would refuse so: before
// the seal, nothing of an export is shown. The error is the reader's if the files are no export.
func (r *Review) LookAt(ctx context.Context, files ...File) (*Incoming, error) {
	state := r.of.State()
	if err := unsealed(state); err != nil {
		return nil, err
	}
	e, contents, err := r.readAs(ctx, state, settings(state), files)
	if err != nil {
		return nil, err
	}
	in := &Incoming{Files: files, Contents: contents, Notes: e.Origins.Notes, CardsAlone: true}
	listed, err := AnnouncedTables(files)
	if err != nil {
		return nil, err
	}
	for _, f := range files {
		digest, known := casefile.DigestOf(f.Data), int64(0)
		for _, a := range state.Announced {
			// Tables are announced by the list of them with their mapping, or one by one.
			if (a.Digest == digest || f.As != AsReport && a.Digest == listed.Digest) && known == 0 {
				known = a.Seq
			}
		}
		in.Announced = append(in.Announced, known)
		if f.As != AsReport || !isCardList(f.Data) {
			in.CardsAlone = false
			continue
		}
		rows, err := sheets.ReadUnits(f.Name, f.Data)
		if err != nil {
			return nil, err
		}
		units := map[string]bool{}
		for _, row := range rows {
			units[row.Unit] = true
		}
		in.CardUnits = len(units)
	}
	if !in.CardsAlone {
		second, err := r.Second()
		if err != nil {
			return nil, err
		}
		var names []string
		for _, f := range files {
			names = append(names, f.Name)
		}
		in.Other = otherElection(strings.Join(names, " with "), e.Facts, second.Facts, state.Election,
			optionsOf(state).Language)
	}
	return in, nil
}

// Elections names the elections of an incoming export, with their days.
func (in *Incoming) Elections(language string) string {
	var list []string
	for _, e := range in.Contents.Elections {
		days := e.Start
		if e.End != "" && e.End != e.Start {
			days += " to " + e.End
		}
		list = append(list, strings.TrimSuffix(fmt.Sprintf("%s, %s", e.Name.In(language), days), ", "))
	}
	return english.WordSeries(list, "and")
}
