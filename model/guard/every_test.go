package guard

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// unguarded are the goroutines without a guard of their own, by file and the beginning of
// the statement, and why they need none.
var unguarded = map[string]string{
	"model/casefile/lease.go: go l.beat()":           "sets the time of the lease; reads nothing",
	"cmd/cproof/passphrase.go: go func() { select {": "waits for the break key and ends the program",
	"app/window.go: go w.watch()":                    "waits; what it does is posted, and post is guarded",
	"app/start.go: go func() { select {":             "waits for work that is guarded, and posts",
	"app/work.go: go func() { err := run() w.post":   "run is guarded, and so is post",
	"app/work.go: go func() { err := <-done w.post":  "waits for work that is guarded, and posts",
	"app/desk/record.go: go c.work()": "each act is guarded by itself, so that the next " +
		"one is still done",
	"checks/internal/planted/table/main.go: group.Go(func() { for": "prints a table for developers",
}

// Every goroutine of the program runs in Run, or is named above with the reason why not: a
// panic in it would end the program.
func TestEveryGoroutineIsGuarded(t *testing.T) {
	root := filepath.Join("..", "..")
	found := map[string]bool{}
	require.NoError(t, filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		source, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		files := token.NewFileSet()
		file, err := parser.ParseFile(files, path, source, 0)
		if err != nil {
			return err
		}
		name, err := filepath.Rel(root, path)
		if err != nil {
			return err
		}
		ast.Inspect(file, func(n ast.Node) bool {
			starts := false
			switch n := n.(type) {
			case *ast.GoStmt:
				starts = true
			case *ast.CallExpr: // WaitGroup.Go, errgroup.Group.Go
				called, ok := n.Fun.(*ast.SelectorExpr)
				if ok && called.Sel.Name == "Go" && len(n.Args) == 1 {
					_, starts = n.Args[0].(*ast.FuncLit)
					id, ok := n.Args[0].(*ast.SelectorExpr) // a method, such as p.run
					starts = starts || ok && id.Sel.Name == "run"
				}
			}
			if !starts {
				return true
			}
			text := strings.Join(strings.Fields(string(source[files.Position(n.Pos()).Offset:files.Position(n.End()).Offset])),
				" ")
			if strings.Contains(text, "guard.Run(") {
				return true
			}
			for known := range unguarded {
				if strings.HasPrefix(filepath.ToSlash(name)+": "+text, known) {
					found[known] = true
					return true
				}
			}
			assert.Fail(t, "a goroutine without a guard",
				"%s: put guard.Run around what it does, or say here why it needs none:\n%s",
				files.Position(n.Pos()), text)
			return true
		})
		return nil
	}))
	for known := range unguarded {
		assert.True(t, found[known], "is not there any more: %s", known)
	}
}
