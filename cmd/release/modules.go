package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
)

// component is something that the programs are made of and that others wrote.
type component struct {
	name, version string
	// module is whether it is a Go module.
	module bool
	// licences are the texts, by a name for each.
	licences map[string]string
}

// identifiers are the SPDX identifiers of its licences.
func (c *component) identifiers() (list []string) {
	for _, text := range c.licences {
		if id := identifier(text); id != "" && !slices.Contains(list, id) {
			list = append(list, id)
		}
	}
	slices.Sort(list)
	return list
}

// words are a sentence of each licence. One that has the sentences of another stands before it.
var words = []struct{ identifier, sentence string }{
	{"MPL-2.0", "Mozilla Public License Version 2.0"},
	{"Apache-2.0", "Apache License Version 2.0"},
	{"OFL-1.1", "SIL OPEN FONT LICENSE Version 1.1"},
	{"BSD-3-Clause", "may be used to endorse or promote products derived from this software without specific prior"},
	{"MIT", "Permission is hereby granted, free of charge, to any person obtaining a copy of this software and associated"},
	{"ISC", "Permission to use, copy, modify, and/or distribute this software for any purpose"},
	{"Zlib", "This software is provided 'as-is', without any express or implied warranty. In no event"},
	{"BSD-2-Clause", "Redistributions in binary form must reproduce the above copyright notice"},
}

var spaces = regexp.MustCompile(`[\s,#*/]+`)

// identifier recognizes a licence by its words; empty for one that is not known.
func identifier(text string) string {
	plain := spaces.ReplaceAllString(text, " ")
	for _, w := range words {
		if strings.Contains(plain, spaces.ReplaceAllString(w.sentence, " ")) {
			return w.identifier
		}
	}
	return ""
}

// packageOf is what "go list" says of a package.
type packageOf struct {
	Dir, ImportPath  string
	CgoFiles, CFiles []string
	Module           *struct{ Path, Version, Dir string }
	Standard         bool
}

// components are what the programs that were built for these systems are made of: all modules of
// which a package is in one of them, Go itself, and what is no module: the typefaces, and the runtime
// that the C compiler for Windows adds.
func (r *release) components(systems ...string) ([]component, error) {
	of := map[string]*component{}
	for _, system := range systems {
		for _, name := range []string{desktop, terminal} {
			if r.built[system+" "+name] == "" {
				continue
			}
			packages, err := r.packages(system, name)
			if err != nil {
				return nil, err
			}
			for _, p := range packages {
				if p.Standard || p.Module == nil || p.Module.Version == "" {
					continue
				}
				c := of[p.Module.Path]
				if c == nil {
					c = &component{p.Module.Path, p.Module.Version, true, map[string]string{}}
					of[p.Module.Path] = c
				}
				if err := c.takeLicences(p); err != nil {
					return nil, err
				}
			}
		}
	}
	var list []component
	for _, path := range sortedKeys(of) {
		if len(of[path].identifiers()) == 0 {
			return nil, fmt.Errorf("no licence is recognized in the module %s; find it, and name it in modules.go", path)
		}
		list = append(list, *of[path])
	}
	others, err := r.others(systems)
	return append(others, list...), err
}

func sortedKeys[V any](of map[string]V) []string {
	var list []string
	for k := range of {
		list = append(list, k)
	}
	slices.Sort(list)
	return list
}

// packages lists the packages of a program.
func (r *release) packages(system, name string) (list []packageOf, err error) {
	c := exec.Command("go", "list", "-deps", "-tags", tags, "-json=Dir,ImportPath,CgoFiles,CFiles,Module,Standard",
		"./cmd/"+name)
	c.Dir, c.Env = r.root, goEnvironment(system, name)
	out, err := outputOf(c)
	if err != nil {
		return nil, err
	}
	for d := json.NewDecoder(strings.NewReader(out)); ; {
		var p packageOf
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			return list, nil
		} else if err != nil {
			return nil, err
		}
		list = append(list, p)
	}
}

var licenceFile = regexp.MustCompile(`(?i)^(un)?(licen[cs]e|copying|notice|patents)`)

// takeLicences takes the licence texts from the folder of a package and those above it, up to the
// module's; with C code in it, from the folders in it too, where such code has its own.
func (c *component) takeLicences(p packageOf) error {
	take := func(folder string) error {
		held, err := os.ReadDir(folder)
		if err != nil {
			return err
		}
		for _, f := range held {
			if !f.Type().IsRegular() || !licenceFile.MatchString(f.Name()) || filepath.Ext(f.Name()) == ".go" {
				continue
			}
			path := filepath.Join(folder, f.Name())
			text, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			name, err := filepath.Rel(p.Module.Dir, path)
			if err != nil {
				return err
			}
			c.licences[filepath.ToSlash(name)] = string(text)
		}
		return nil
	}
	for folder := p.Dir; ; folder = filepath.Dir(folder) {
		if err := take(folder); err != nil {
			return err
		}
		if folder == p.Module.Dir || len(folder) < len(p.Module.Dir) {
			break
		}
	}
	if len(p.CgoFiles)+len(p.CFiles) == 0 {
		return nil
	}
	return filepath.WalkDir(p.Dir, func(path string, entry os.DirEntry, err error) error {
		if err != nil || !entry.IsDir() {
			return err
		}
		return take(path)
	})
}

// others are the components that are no modules.
func (r *release) others(systems []string) ([]component, error) {
	said, err := output("go", "env", "GOVERSION", "GOROOT")
	if err != nil {
		return nil, err
	}
	version, root, _ := strings.Cut(strings.TrimSpace(said), "\n")
	list := []component{{name: "Go standard library and runtime", version: version}}
	texts := [][]string{{filepath.Join(root, "LICENSE")}}
	if slices.ContainsFunc(systems, func(s string) bool { return r.built[s+" "+desktop] != "" }) {
		list = append(list, component{name: "Source Sans 3 and Source Serif 4 (typefaces)"})
		fonts := filepath.Join(r.root, "assets", "fonts")
		texts = append(texts, []string{filepath.Join(fonts, "LICENSE-SourceSans3.txt"),
			filepath.Join(fonts, "LICENSE-SourceSerif4.txt")})
	}
	if slices.Contains(systems, "windows") && r.built["windows "+desktop] != "" {
		list = append(list, component{name: "Runtime of mingw-w64 and GCC"})
		const debian = "/usr/share/doc/"
		texts = append(texts, []string{debian + "mingw-w64-common/copyright", debian + "gcc-mingw-w64-base/copyright"})
	}
	for i := range list {
		list[i].licences = map[string]string{}
		for _, path := range texts[i] {
			text, err := os.ReadFile(path)
			if err != nil {
				return nil, err
			}
			list[i].licences[filepath.Base(filepath.Dir(path))+"/"+filepath.Base(path)] = string(text)
		}
	}
	return list, nil
}
