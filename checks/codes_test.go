package checks_test

import (
	"encoding/json"
	"errors"
	"go/ast"
	"go/constant"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks"
)

// listed is a package as "go list" describes it.
type listed struct {
	ImportPath, Dir, Export string
	GoFiles                 []string
}

// listPackages lists this module's packages and what they need, compiled.
func listPackages(t *testing.T) []listed {
	t.Helper()
	cmd := exec.Command("go", "list", "-export", "-deps", "-tags", "migrated_fynedo",
		"-json=ImportPath,Dir,Export,GoFiles", "./...")
	cmd.Dir, cmd.Stderr = "..", os.Stderr
	out, err := cmd.Output()
	require.NoError(t, err)
	var list []listed
	for d := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p listed
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			return list
		} else if err != nil {
			t.Fatal(err)
		}
		list = append(list, p)
	}
}

// Who shows or settles findings asks their check: no constant of the type of a code is
// written outside the file of its check, tests and test support.
func TestCodesStayOnTheirChecks(t *testing.T) {
	if testing.Short() {
		t.Skip("type checks the whole program")
	}
	list := listPackages(t)
	exports := map[string]string{}
	for _, p := range list {
		exports[p.ImportPath] = p.Export
	}
	files := token.NewFileSet()
	read := importer.ForCompiler(files, "gc", func(path string) (io.ReadCloser, error) { return os.Open(exports[path]) })
	home := map[string]string{} // code → the file that declares it
	type use struct {
		code  string
		place token.Position
	}
	var uses []use
	for _, p := range list {
		if !strings.HasPrefix(p.ImportPath, "counterproof/") ||
			strings.HasPrefix(p.ImportPath, "counterproof/checks/internal/") {
			continue
		}
		var parsed []*ast.File
		for _, name := range p.GoFiles {
			f, err := parser.ParseFile(files, filepath.Join(p.Dir, name), nil, parser.SkipObjectResolution)
			require.NoError(t, err)
			parsed = append(parsed, f)
		}
		info := &types.Info{Types: map[ast.Expr]types.TypeAndValue{}, Defs: map[*ast.Ident]types.Object{}}
		_, err := (&types.Config{Importer: read}).Check(p.ImportPath, files, parsed, info)
		require.NoError(t, err)
		for expr, is := range info.Types {
			if is.Value == nil || is.Type.String() != "counterproof/checks/finding.Code" || constant.StringVal(is.Value) == "" {
				continue
			}
			uses = append(uses, use{constant.StringVal(is.Value), files.Position(expr.Pos())})
		}
		for name, object := range info.Defs {
			if c, ok := object.(*types.Const); ok && c.Type().String() == "counterproof/checks/finding.Code" {
				home[constant.StringVal(c.Val())] = files.Position(name.Pos()).Filename
			}
		}
	}
	for _, c := range checks.All() {
		require.NotEmpty(t, home[string(c.Code)], "the code of %s is declared nowhere", c.Code)
	}
	for _, u := range uses {
		if home[u.code] != u.place.Filename {
			t.Errorf("%s: the code %q is written outside the file of its check; ask the Check value instead", u.place, u.code)
		}
	}
}
