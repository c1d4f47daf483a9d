package session

import (
	"os"
	"path/filepath"
	"strings"
)

// NameAmong is the name of a case file; with its folder where another of the list has the same name.
func NameAmong(path string, list []string) string {
	name := filepath.Base(path)
	for _, other := range list {
		if other != path && filepath.Base(other) == name {
			return filepath.Join(filepath.Base(filepath.Dir(filepath.Dir(path))), filepath.Base(filepath.Dir(path)), name)
		}
	}
	return name
}

// Whereabouts says where a case file lies and when it was last changed, so that files of one name are
// told apart.
func Whereabouts(path string) string {
	folder := filepath.Dir(path)
	if home, err := os.UserHomeDir(); err == nil && home != "" {
		if rest, ok := strings.CutPrefix(folder, home); ok && (rest == "" || rest[0] == filepath.Separator) {
			folder = "~" + rest
		}
	}
	info, err := os.Stat(path)
	if err != nil {
		return "in " + folder
	}
	return "in " + folder + ", changed " + info.ModTime().Local().Format("January 2, 2006, 15:04")
}
