package session

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/dustin/go-humanize"

	"counterproof/checks/review"
	"counterproof/model/casefile"
	"counterproof/model/files"
	"counterproof/model/sheets"
	"counterproof/model/tables"
)

// TableEndings are those of tables that can be an export, with a mapping.
var TableEndings = []string{".csv", ".tsv", ".xlsx", ".xlsm"}

// ExportEndings are those of exports, of an EMS's card list, and of tables with their mapping.
var ExportEndings = append([]string{".xml", ".json"}, TableEndings...)

// Unmapped is the error for tables without a mapping that reads them.
type Unmapped struct {
	// Paths are the tables.
	Paths []string
	// Offer is a mapping beside the tables that fits them; empty if there is none.
	Offer string
	// Changed says in a sentence what is new in the columns since a mapping of these tables was made;
	// empty if none was.
	Changed string
}

func (e *Unmapped) Error() string {
	words := "the tables need a mapping, which says what their rows mean; choose it together with them"
	if e.Changed != "" {
		words = e.Changed
	}
	return words
}

// givenRoles says of each file what it is, as far as the files themselves tell: tables are told from
// card lists by what comes with them.
func givenRoles(list []review.File) (mapped bool) {
	book, report, loose := false, false, false
	for i := range list {
		f := &list[i]
		end := strings.ToLower(filepath.Ext(f.Name))
		switch {
		case end == ".json" && tables.IsMapping(f.Data):
			f.As, mapped = review.AsMapping, true
		case !slices.Contains(TableEndings, end):
			report = true
		case end != ".csv":
			book = true
		default:
			loose = loose || !isCardList(firstColumns(f.Data))
		}
	}
	if !mapped && (report || !book && !loose) {
		return false
	}
	for i := range list {
		if f := &list[i]; slices.Contains(TableEndings, strings.ToLower(filepath.Ext(f.Name))) {
			f.As = review.AsTable
		}
	}
	return mapped
}

// areSheets reports whether files are sheets in our own layout, which need no mapping.
func areSheets(list []review.File) bool {
	var names []string
	for _, f := range list {
		names = append(names, strings.ToLower(f.Name))
	}
	for _, sheet := range sheets.Describe() {
		if i := slices.Index(names, sheet.File); i >= 0 {
			names = slices.Delete(names, i, i+1)
		} else if !sheet.Optional {
			return false
		}
	}
	return len(names) == 0
}

// withMapping adds to tables the mapping that reads them: one that the pair signed before, if it was
// made for these columns. Otherwise it returns *Unmapped.
func (s *Session) withMapping(list []review.File, paths []string) ([]review.File, error) {
	if givenRoles(list) || !slices.ContainsFunc(list, func(f review.File) bool { return f.As == review.AsTable }) ||
		areSheets(list) {
		return list, nil
	}
	signed, changed, err := s.Review().SignedMapping(list)
	if err != nil {
		return nil, err
	}
	if signed != nil {
		return append(list, *signed), nil
	}
	unmapped := &Unmapped{Paths: paths, Offer: mappingBeside(list, filepath.Dir(paths[0]))}
	if changed != nil {
		unmapped.Changed = changed.Error() + "."
	}
	return nil, unmapped
}

// mappingBeside finds a mapping in a folder that fits the tables, of several the newest.
func mappingBeside(list []review.File, folder string) string {
	offers, _, err := Browse(folder, []string{".json"})
	if err != nil {
		return ""
	}
	for _, o := range offers {
		path := filepath.Join(folder, o.Name)
		if o.Folder || o.Size > tables.MaxMapping {
			continue
		}
		data, err := files.Read(path, tables.MaxMapping)
		if m := (&review.File{Name: o.Name, Data: data}); err == nil && tables.IsMapping(data) && m.Fits(list) == nil {
			return path
		}
	}
	return ""
}

// noteTables records the digest of the list of tables with their mapping.
func (s *Session) noteTables(ctx context.Context, paths []string) ([]casefile.Digest, error) {
	var list []review.File
	for _, path := range paths {
		b, err := readExport(ctx, path)
		if err != nil {
			return nil, err
		}
		list = append(list, review.File{Name: filepath.Base(path), Data: b})
	}
	givenRoles(list)
	a, err := review.AnnouncedTables(list)
	if err != nil {
		return nil, err
	}
	return []casefile.Digest{a.Digest}, s.Case().Announce(s.Who(), a.Name, a.Digest, a.Size)
}

// UnsignedMapping returns the mapping among the files of an export, if the pair did not sign it yet.
func (s *Session) UnsignedMapping(in *review.Incoming) (review.File, bool) {
	for _, f := range in.Files {
		if f.As == review.AsMapping && !s.State().TablesMapped(casefile.DigestOf(f.Data)) {
			return f, true
		}
	}
	return review.File{}, false
}

// SignMapping is the act by which the pair signs the mapping of tables that may come in. Then and Back
// are left to the caller.
func (s *Session) SignMapping(mapping review.File) (Signing, error) {
	act := Signing{Head: "Sign the mapping " + mapping.Name, What: "Recording the mapping"}
	for _, seat := range []casefile.Seat{casefile.SeatProgrammer, casefile.SeatSecond} {
		p, ok := s.Holder(seat)
		if !ok {
			return act, fmt.Errorf("both of the pair sign a mapping; enrol the %s first", seat.Short())
		}
		act.People = append(act.People, p)
	}
	of := s.Case()
	act.Do = func(_ context.Context, by []casefile.PersonID) error {
		return of.MapTables(mapping.Name, mapping.Data, "as the export came in", by...)
	}
	return act, nil
}

// MappingWords say what a mapping is, and what it means table by table.
func MappingWords(mapping review.File) ([]Fact, []tables.TableWords, error) {
	m, err := tables.ParseMapping(mapping.Name, mapping.Data)
	if err != nil {
		return nil, nil, err
	}
	return []Fact{{"mapping", mapping.Name}, {"digest", casefile.DigestOf(mapping.Data).Groups()},
		{"language", m.Language + ", the first language of the texts"}}, m.Words(), nil
}

// tableFacts say how tables were read, and what of them is not compared. The counts are left out while
// the voting units are not sealed: they may be of units.
func (s *Session) tableFacts(in *review.Incoming) (out []Fact) {
	if !slices.ContainsFunc(in.Files, func(f review.File) bool { return f.As == review.AsMapping }) {
		return nil
	}
	if a, err := review.AnnouncedTables(in.Files); err == nil {
		out = append(out, Fact{"digest of all", a.Digest.Groups() + ", of the list of these files and their mapping"})
	}
	for _, note := range in.Notes {
		out = append(out, Fact{"note", note})
	}
	if !s.State().Sealed(casefile.ScopeUnits) {
		return out
	}
	var held []string
	for name, count := range in.Contents.Uncompared {
		held = append(held, name+" ("+humanize.Comma(int64(count))+")")
	}
	slices.Sort(held)
	words := strings.Join(held, "; ")
	return append(out, Fact{"not compared", cmp.Or(words, "nothing: the mapping takes every column")})
}

// MayMap returns why no mapping can be made now; nil if one can. A mapping shows the export, with its
// voting units: while something in the open case is still to be keyed blind, none is made.
func (s *Session) MayMap() error {
	state := s.State()
	if state == nil || state.Sealed(casefile.ScopeBallots) && state.Sealed(casefile.ScopeUnits) &&
		len(state.OpenAmendments()) == 0 {
		return nil
	}
	return errors.New("making a mapping shows the export, and in this case something is still keyed without seeing " +
		"it: the programmer makes the mapping on another computer, where no case is open, or when all is sealed")
}

// isWorkbook reports whether a file is a workbook by its name.
func isWorkbook(path string) bool { return hasEnding(path, []string{".xlsx", ".xlsm"}) }

// mayBeMapping reports whether a file may be a mapping, for files of which nothing is shown yet.
func mayBeMapping(path string) bool {
	info, err := os.Stat(path)
	if err != nil || info.Size() > tables.MaxMapping || !strings.EqualFold(filepath.Ext(path), ".json") {
		return false
	}
	data, err := files.Read(path, tables.MaxMapping)
	return err == nil && tables.IsMapping(data)
}
