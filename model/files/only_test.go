package files

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// handlers open files themselves, and why they may.
var handlers = map[string]string{
	"model/casefile":                 "a case is SQLite's, with its lease",
	"app/ui/picture":                 "pictures of tests",
	"checks/internal/planted":        "planted mistakes of tests",
	"cmd/cproof/passphrase.go":       "the terminal",
	"cmd/release":                    "builds a release; it runs in no office",
	"app/desk/session/browse.go":     "lists a folder",
	"checks/report/verify_folder.go": "lists a folder",
}

// The rest of the program reads and writes files through this package, so that its rules
// hold for all of it.
func TestNobodyElseOpensFiles(t *testing.T) {
	root := filepath.Join("..", "..")
	opens := regexp.MustCompile(
		`\bos\.(Open|OpenFile|Create|CreateTemp|ReadFile|WriteFile|Rename|Link|Symlink|DirFS|OpenRoot|Truncate)\(`)
	looked := 0
	require.NoError(t, filepath.WalkDir(root, func(path string, entry fs.DirEntry, err error) error {
		name, _ := filepath.Rel(root, path)
		name = filepath.ToSlash(name)
		if err != nil || entry.IsDir() || !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") ||
			strings.HasPrefix(name, "model/files/") {
			return err
		}
		for of := range handlers {
			if name == of || strings.HasPrefix(name, of+"/") {
				return nil
			}
		}
		looked++
		source, err := os.ReadFile(path)
		for _, call := range slices.Compact(opens.FindAllString(string(source), -1)) {
			assert.Fail(t, name+" calls "+call+")",
				"use package files: it refuses pipes and devices, and writes whole files or none")
		}
		return err
	}))
	assert.Greater(t, looked, 200, "files of the program")
}
