package main

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"maps"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const developers = "DEVELOPERS.md"

// allDocuments are the texts for people in the repository, without test data.
func allDocuments(t *testing.T) (paths []string) {
	t.Helper()
	eachFile(t, func(name string) {
		if strings.HasSuffix(name, ".md") {
			paths = append(paths, name)
		}
	})
	require.Greater(t, len(paths), len(documents))
	return paths
}

// eachFile visits the files of the repository that are no test data, by their path
// within it.
func eachFile(t *testing.T, visit func(name string)) {
	t.Helper()
	require.NoError(t, fs.WalkDir(os.DirFS(repository), ".", func(name string, entry fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case entry.IsDir() && (entry.Name() == ".git" || entry.Name() == "testdata"):
			return fs.SkipDir
		case !entry.IsDir():
			visit(name)
		}
		return nil
	}))
}

// A newcomer reads these two, so they stay short. Tables and blocks of code may be wide.
func TestDocumentsForNewcomersAreShort(t *testing.T) {
	for name, most := range map[string]int{"README.md": 150, developers: 200} {
		lines := strings.Split(strings.TrimSuffix(readDocument(t, name), "\n"), "\n")
		assert.LessOrEqual(t, len(lines), most, "lines of %s: move what is detail of one package into its README.md", name)
		code := false
		for i, line := range lines {
			fence := strings.HasPrefix(line, "```")
			if code = code != fence; code || fence || strings.HasPrefix(line, "|") {
				continue
			}
			assert.LessOrEqual(t, utf8.RuneCountInString(line), 120, "%s:%d is too long", name, i+1)
		}
	}
}

var link = regexp.MustCompile(`\]\(([^)]+)\)`)

func TestDocumentLinksLeadToFiles(t *testing.T) {
	for _, name := range allDocuments(t) {
		for _, found := range link.FindAllStringSubmatch(readDocument(t, name), -1) {
			target, _, _ := strings.Cut(strings.Join(strings.Fields(found[1]), " "), "#")
			if target == "" || strings.Contains(target, "://") {
				continue
			}
			_, err := os.Stat(filepath.Join(repository, path.Dir(name), target))
			assert.NoError(t, err, "%s links to %s", name, target)
		}
	}
}

// A document with commands that nobody runs would go stale unseen.
func TestDocumentsWithCommandsAreListed(t *testing.T) {
	for _, name := range allDocuments(t) {
		if consoleBlock.MatchString(readDocument(t, name)) {
			assert.True(t, slices.ContainsFunc(documents, func(d document) bool { return d.path == name }),
				"%s shows commands; name it in documents (readme_test.go)", name)
		}
	}
}

// source is what the Go files of the repository declare.
type source struct {
	// names are all names of packages, types, functions, methods, fields, constants and
	// variables.
	names map[string]bool
	// members are the names that packages ("review") and types ("Review") hold.
	members map[string]map[string]bool
	// imports are the paths of other modules' and the standard library's packages.
	imports map[string]bool
	// text is all of it, and the scripts and go.mod.
	text string
}

func (s *source) add(holder, name string) {
	s.names[name] = true
	if s.members[holder] == nil {
		s.members[holder] = map[string]bool{}
	}
	s.members[holder][name] = true
}

func readSource(t *testing.T) *source {
	t.Helper()
	s := &source{names: map[string]bool{}, members: map[string]map[string]bool{}, imports: map[string]bool{}}
	var text strings.Builder
	files := token.NewFileSet()
	eachFile(t, func(name string) {
		script := strings.HasPrefix(name, ".ci/") || name == "go.mod"
		if !script && !strings.HasSuffix(name, ".go") {
			return
		}
		data, err := os.ReadFile(filepath.Join(repository, name))
		require.NoError(t, err)
		text.Write(data)
		if script {
			return
		}
		f, err := parser.ParseFile(files, name, data, parser.SkipObjectResolution)
		require.NoError(t, err)
		s.declared(f)
	})
	s.text = text.String()
	return s
}

func (s *source) declared(f *ast.File) {
	in := f.Name.Name
	s.names[in] = true
	for _, spec := range f.Imports {
		if name, err := strconv.Unquote(spec.Path.Value); err == nil {
			s.imports[name] = true
		}
	}
	for _, d := range f.Decls {
		switch d := d.(type) {
		case *ast.FuncDecl:
			if d.Recv == nil {
				s.add(in, d.Name.Name)
			} else {
				s.add(typeName(d.Recv.List[0].Type), d.Name.Name)
			}
		case *ast.GenDecl:
			for _, spec := range d.Specs {
				switch spec := spec.(type) {
				case *ast.ValueSpec:
					for _, name := range spec.Names {
						s.add(in, name.Name)
					}
				case *ast.TypeSpec:
					s.add(in, spec.Name.Name)
					ast.Inspect(spec.Type, func(n ast.Node) bool {
						if field, ok := n.(*ast.Field); ok {
							for _, name := range field.Names {
								s.add(spec.Name.Name, name.Name)
							}
						}
						return true
					})
				}
			}
		}
	}
}

// typeName is the name of a receiver's type.
func typeName(e ast.Expr) string {
	switch e := e.(type) {
	case *ast.StarExpr:
		return typeName(e.X)
	case *ast.IndexExpr:
		return typeName(e.X)
	case *ast.IndexListExpr:
		return typeName(e.X)
	case *ast.Ident:
		return e.Name
	}
	return ""
}

var (
	codeSpan   = regexp.MustCompile("`([^`]+)`")
	codeBlock  = regexp.MustCompile("(?s)\n```.*?\n```")
	nameInCode = regexp.MustCompile(`[A-Za-z]\w*\.[A-Z]\w*(\.[A-Z]\w*)?`)
	goName     = regexp.MustCompile(`^[A-Za-z]\w*(\.[A-Za-z]\w*)*$`)
	goPackage  = regexp.MustCompile(`\./[a-z/.]+`)
	testName   = regexp.MustCompile(`-(?:run|bench|fuzz) '?\^?(\w[\w|]*)`)
	// placeholder stands in a path for what the reader chooses.
	placeholder = regexp.MustCompile(`[A-Z]{2,}|\*`)
)

// exists says of a name in backticks what is wrong with it, or nothing.
func (s *source) exists(name string) string {
	switch {
	case strings.HasPrefix(name, "go "):
		for _, p := range goPackage.FindAllString(name, -1) {
			if p = strings.TrimSuffix(p, "/..."); p != "./..." && p != "." && !there(p) {
				return "there is no folder " + p
			}
		}
		if found := testName.FindStringSubmatch(name); found != nil {
			for _, one := range strings.Split(found[1], "|") {
				if !regexp.MustCompile(`func (Test|Benchmark|Fuzz)?\w*` + one).MatchString(s.text) {
					return "no test is called " + one
				}
			}
		}
		return ""
	case strings.Contains(name, "/") && there(name), s.imports[name]:
		return ""
	case goName.MatchString(name) && s.resolves(strings.Split(name, ".")):
		return ""
	case strings.Contains(name, "/") && !strings.Contains(name, " "), strings.HasSuffix(name, ".go"):
		if there(name) || strings.Contains(s.text, "\t"+name+" v") { // a module of go.mod
			return ""
		}
		return "there is no such file"
	case strings.Contains(name, " "):
		if first, _, _ := strings.Cut(name, " "); there(first) || strings.Contains(name, "=") || first == "convert" ||
			s.names[first] || first == "cproof" {
			return ""
		}
	case goName.MatchString(name) && strings.Contains(name, "."):
		return "nothing of this name is declared"
	}
	if !strings.Contains(s.text, strings.TrimSuffix(name, "=1")) {
		return "this is nowhere in the source"
	}
	return ""
}

// there reports whether a file or folder of the repository has this path; a placeholder
// in it stands for anything.
func there(name string) bool {
	name = strings.TrimPrefix(name, "./")
	if strings.Contains(name, "testdata/fuzz") {
		return true // made by a failing input
	}
	found, err := filepath.Glob(filepath.Join(repository, placeholder.ReplaceAllString(name, "*")))
	if _, direct := os.Stat(filepath.Join(repository, name)); direct == nil {
		return true
	}
	return err == nil && len(found) > 0
}

// resolves reports whether each part of a name is held by the one before.
func (s *source) resolves(parts []string) bool {
	if len(parts) == 1 {
		return s.names[parts[0]]
	}
	for i := range len(parts) - 1 {
		if !s.members[parts[i]][parts[i+1]] {
			return !s.names[parts[i]] && s.importsPackage(parts[i])
		}
	}
	return true
}

func (s *source) importsPackage(name string) bool {
	return slices.ContainsFunc(slices.Collect(maps.Keys(s.imports)), func(p string) bool { return path.Base(p) == name })
}

// Each file, function, type, test and command that DEVELOPERS.md names in backticks is
// there.
func TestDocDevelopersNamesWhatIsThere(t *testing.T) {
	text := readDocument(t, developers)
	s := readSource(t)
	names := map[string]bool{}
	for _, block := range codeBlock.FindAllString(text, -1) {
		for _, name := range nameInCode.FindAllString(block, -1) {
			names[name] = true
		}
	}
	for _, found := range codeSpan.FindAllStringSubmatch(codeBlock.ReplaceAllString(text, ""), -1) {
		names[strings.Join(strings.Fields(found[1]), " ")] = true
	}
	require.Greater(t, len(names), 100)
	for _, name := range slices.Sorted(maps.Keys(names)) {
		if fault := s.exists(name); fault != "" {
			t.Errorf("%s names `%s`: %s", developers, name, fault)
		}
	}
}

var (
	goFile        = regexp.MustCompile(`^[\w/.]+\.go$`)
	qualifiedName = regexp.MustCompile(`^([A-Z]\w*\.[A-Za-z]\w*|[a-z]\w*\.[A-Z]\w*)$`)
)

// The other documents name files of their folder, and things as Type.Member or
// package.Name.
func TestDocumentsNameWhatIsThere(t *testing.T) {
	s := readSource(t)
	for _, name := range allDocuments(t) {
		for _, found := range codeSpan.FindAllStringSubmatch(codeBlock.ReplaceAllString(readDocument(t, name), ""), -1) {
			switch span := found[1]; {
			case goFile.MatchString(span):
				assert.True(t, there(path.Join(path.Dir(name), span)) || there(span), "%s names %s", name, span)
			case qualifiedName.MatchString(span) && (s.members[strings.Split(span, ".")[0]] != nil):
				assert.True(t, s.resolves(strings.Split(span, ".")), "%s names %s", name, span)
			}
		}
	}
}

func TestDocNamesThatAreNotThereAreSeen(t *testing.T) {
	s := readSource(t)
	for _, name := range []string{"checks/check_nothing.go", "checks/nowhere", "Review.Nothing", "review.NoFunction",
		"noSuchName" + "AtAll", "go test ./checks -run NoSuch" + "TestAnywhere", "go test ./nowhere", "readme_nothing.go",
		"no/such/module", "pairing.Off"} {
		assert.NotEmpty(t, s.exists(name), fmt.Sprintf("%q passes for something that is there", name))
	}
}
