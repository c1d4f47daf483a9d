package session

import (
	"cmp"
	"errors"
	"io"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"golang.org/x/text/cases"

	"counterproof/checks/natural"
	"counterproof/model/casefile"
)

// Offer is something in a folder that the user can choose.
type Offer struct {
	Name string
	// Folder is set for a folder that can be opened.
	Folder bool
	// Size is in bytes, At is the time of the last change; both only for files.
	Size int64
	At   time.Time
	// Known is set for a file that came in already.
	Known bool
}

// CameInAlready reports whether a file has the name and the size of an export that came in.
func (s *Session) CameInAlready(o Offer) bool {
	state := s.State()
	return state != nil && slices.ContainsFunc(state.ActiveExports(), func(x casefile.Export) bool {
		return x.Name == o.Name && x.Size == o.Size
	})
}

// maxOffers limits how much is read of a folder: nobody can use a longer list.
const maxOffers = 20_000

// Browse lists what the user can choose in a folder: files with one of the endings (".xml"; none:
// every file), newest first, then folders by name. Of equal times the order is
// natural. What Known says came in already is behind what did not. It leaves out names that begin with a dot. more
// means that the folder has more entries than were read.
func Browse(folder string, endings []string, known func(Offer) bool) (offers []Offer, more bool, err error) {
	d, err := os.Open(folder)
	if err != nil {
		return nil, false, err
	}
	defer d.Close()
	names, err := d.ReadDir(maxOffers)
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, false, err
	}
	for _, e := range names {
		if strings.HasPrefix(e.Name(), ".") {
			continue
		}
		info, err := os.Stat(filepath.Join(folder, e.Name())) // follows links
		switch {
		case err != nil:
		case info.IsDir():
			offers = append(offers, Offer{Name: e.Name(), Folder: true})
		case info.Mode().IsRegular() && hasEnding(e.Name(), endings):
			o := Offer{Name: e.Name(), Size: info.Size(), At: info.ModTime()}
			o.Known = known != nil && known(o)
			offers = append(offers, o)
		}
	}
	slices.SortFunc(offers, func(a, b Offer) int {
		if a.Folder != b.Folder {
			if b.Folder {
				return -1
			}
			return 1
		}
		if a.Known != b.Known {
			if a.Known {
				return 1
			}
			return -1
		}
		return cmp.Or(b.At.Compare(a.At),
			natural.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name)), strings.Compare(a.Name, b.Name))
	})
	return offers, len(names) == maxOffers, nil
}

func hasEnding(name string, endings []string) bool {
	return len(endings) == 0 || slices.ContainsFunc(endings,
		func(e string) bool { return strings.EqualFold(filepath.Ext(name), e) })
}

// Narrow keeps the offers whose name contains the typed text, those that begin with it first. It
// ignores capitals.
func Narrow(offers []Offer, typed string) []Offer {
	fold := cases.Fold()
	typed = fold.String(typed)
	var begin, within []Offer
	for _, o := range offers {
		switch name := fold.String(o.Name); {
		case strings.HasPrefix(name, typed):
			begin = append(begin, o)
		case strings.Contains(name, typed):
			within = append(within, o)
		}
	}
	return append(begin, within...)
}

// TypedPath makes a path from what a user typed or pasted: in quotation marks, as a file://
// address, with ~ for their home folder, or relative to base.
func TypedPath(base, typed string) string {
	typed = strings.TrimSpace(typed)
	for _, q := range []string{`"`, "'"} {
		if rest, ok := strings.CutPrefix(typed, q); ok {
			typed = strings.TrimSuffix(rest, q)
		}
	}
	if strings.HasPrefix(typed, "file://") {
		if u, err := url.Parse(typed); err == nil && (u.Host == "" || u.Host == "localhost") {
			typed = filepath.FromSlash(u.Path)
		}
	}
	if rest, ok := strings.CutPrefix(typed, "~"); ok && (rest == "" || os.IsPathSeparator(rest[0])) {
		if home, err := os.UserHomeDir(); err == nil {
			typed = home + rest
		}
	}
	if !filepath.IsAbs(typed) {
		typed = base + string(filepath.Separator) + typed
	}
	return typed
}

// IsFolder reports whether there is a folder at a path.
func IsFolder(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.IsDir()
}

// IsFile reports whether there is a readable file at a path.
func IsFile(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.Mode().IsRegular()
}

// NotThere says in words why a typed path cannot be used.
func NotThere(path string) string {
	_, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrPermission):
		return "You may not read " + path + "; ask for the right to, or choose another file."
	case err != nil:
		return "There is no file " + path + "; write or choose one that is there."
	}
	return path + " is no file that can be read; choose another one."
}
