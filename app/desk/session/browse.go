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
)

// Offer is something in a folder that can be chosen.
type Offer struct {
	Name string
	// Folder: it is a folder, to go into.
	Folder bool
	// Size is in bytes, At when the file was written last; both for files alone.
	Size int64
	At   time.Time
}

// maxOffers is the most that is read of a folder: a list beyond that helps nobody.
const maxOffers = 20_000

// Browse lists what can be chosen in a folder: the files with one of the endings
// (".xml"; none: every file), the newest first, then the folders by name. What begins
// with a dot is left out. More says that the folder holds more than was read.
func Browse(folder string, endings []string) (offers []Offer, more bool, err error) {
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
		info, err := os.Stat(filepath.Join(folder, e.Name())) // through links
		switch {
		case err != nil:
		case info.IsDir():
			offers = append(offers, Offer{Name: e.Name(), Folder: true})
		case info.Mode().IsRegular() && hasEnding(e.Name(), endings):
			offers = append(offers, Offer{Name: e.Name(), Size: info.Size(), At: info.ModTime()})
		}
	}
	slices.SortFunc(offers, func(a, b Offer) int {
		if a.Folder != b.Folder {
			if b.Folder {
				return -1
			}
			return 1
		}
		return cmp.Or(b.At.Compare(a.At), strings.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name)),
			strings.Compare(a.Name, b.Name))
	})
	return offers, len(names) == maxOffers, nil
}

func hasEnding(name string, endings []string) bool {
	return len(endings) == 0 || slices.ContainsFunc(endings,
		func(e string) bool { return strings.EqualFold(filepath.Ext(name), e) })
}

// Narrow keeps the offers whose name holds what was typed; those that begin with it
// come first. Capitals make no difference.
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

// TypedPath makes a path of what a person typed or pasted: with quotation marks
// around it, as a file:// address, with ~ for their own folder, or relative to base.
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

// IsFolder and IsFile report what there is at a path.
func IsFolder(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.IsDir()
}

// IsFile reports whether there is a file at a path that can be read as one.
func IsFile(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.Mode().IsRegular()
}

// NotThere says in words why a path that was typed cannot be taken.
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
