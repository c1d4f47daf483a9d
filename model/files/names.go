package files

import (
	"path/filepath"
	"runtime"
	"strings"
)

// misnamed says why the system takes a name for something else than a file in a folder; empty if it
// does not. Only Windows does.
func misnamed(path string) (fault string) {
	if runtime.GOOS != "windows" {
		return ""
	}
	if fault := colon(path); fault != "" {
		return fault
	}
	base := filepath.Base(filepath.Clean(path))
	if base == ".." || base[0] == '\\' || filepath.IsLocal(base) {
		return ""
	}
	return "is the name of a device" // CON, NUL and others, in any folder
}

// colon says what Windows would make of a path because of a colon in it. "a:b.csv" is a file in
// whatever folder was used last on drive A, and "b.csv:a" a stream hidden in the file b.csv
// (Microsoft, "Naming Files, Paths, and Namespaces"). People mean neither.
func colon(path string) (fault string) {
	rest := path
	for _, long := range []string{`\\?\`, `\\.\`} { // "\\?\C:\a": a path as the system itself writes it
		rest = strings.TrimPrefix(strings.ReplaceAll(rest, "/", `\`), long)
	}
	drive := len(rest) > 1 && rest[1] == ':' && (rest[0]|0x20) >= 'a' && (rest[0]|0x20) <= 'z'
	switch {
	case drive && len(rest) > 2 && rest[2] != '\\':
		return `names a drive without a folder; write "` + rest[:2] + `\" and the folder, or a name without a colon`
	case drive && strings.Contains(rest[2:], ":"), !drive && strings.Contains(rest, ":"):
		return "holds a colon, which Windows allows in no name of a file"
	}
	return ""
}

// Synchronized says what is wrong with a place for a case in a folder that a cloud client copies
// elsewhere; empty for any other place, or where the system does not know.
func Synchronized(path string) string {
	at, err := filepath.Abs(path)
	if err != nil || !synchronized(filepath.Dir(at)) {
		return ""
	}
	return "a cloud client synchronizes this folder: it may lock the case, keep half of it, or carry the second entry to " +
		"where the programmer can read it; keep the case in another folder on this computer's own disk"
}
