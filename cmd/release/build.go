package main

import (
	"debug/buildinfo"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	"counterproof/model/program"
)

// The two programs.
const (
	desktop  = "counterproof"
	terminal = "cproof"
)

// tags are the build tags of the desktop.
const tags = "migrated_fynedo"

// build builds a program for a system ("windows", "linux") once, and returns its file.
func (r *release) build(system, name string) (string, error) {
	if file, ok := r.built[system+" "+name]; ok {
		return file, nil
	}
	file := filepath.Join(r.work, system, name)
	linker := "-s -w"
	if system == "windows" {
		file += ".exe"
		if name == desktop {
			linker += " -H=windowsgui"
		}
		resources, err := r.resources(name)
		if err != nil {
			return "", err
		}
		defer os.Remove(resources)
	}
	// In a draft the desktop's C code comes from the cache of everyday builds.
	trim := fmt.Sprintf("-trimpath=%t", name == terminal || !flags.Draft)
	c := exec.Command("go", "build", trim, "-buildvcs=true", "-tags", tags, "-ldflags", linker, "-o", file, "./cmd/"+name)
	c.Dir, c.Env = r.root, goEnvironment(system, name)
	if _, err := outputOf(c); err != nil {
		return "", err
	}
	if err := r.stated(file); err != nil {
		return "", err
	}
	r.built[system+" "+name] = file
	return file, nil
}

// stated makes sure that a program states the commit that it was built from.
func (r *release) stated(file string) error {
	info, err := buildinfo.ReadFile(file)
	if err != nil {
		return err
	}
	says := map[string]string{}
	for _, s := range info.Settings {
		says[s.Key] = s.Value
	}
	if !flags.Draft && (says["vcs.revision"] != r.commit || says["vcs.modified"] != "false") {
		return fmt.Errorf("%s does not state the commit %s, unchanged; build in a clone of its own (Go states none in a "+
			"further worktree)", filepath.Base(file), r.commit)
	}
	return nil
}

// goEnvironment is the environment in which Go builds: nothing of the person's settings that changes
// a program, and no network.
func goEnvironment(system, name string) []string {
	env := []string{}
	for _, v := range os.Environ() {
		key, _, _ := strings.Cut(v, "=")
		switch {
		case strings.HasPrefix(key, "CGO_"), key == "CC", key == "CXX", key == "LC_ALL":
		case strings.HasPrefix(key, "GO") && key != "GOCACHE" && key != "GOMODCACHE" && key != "GOPATH" && key != "GOROOT":
		default:
			env = append(env, v)
		}
	}
	env = append(env, "GOOS="+system, "GOARCH=amd64", "GOAMD64=v1", "GOPROXY=off", "GOTOOLCHAIN=local",
		"GOFLAGS=-mod=readonly",
		"GOENV=off", "LC_ALL=C")
	switch {
	case name == terminal:
		env = append(env, "CGO_ENABLED=0")
	case system == "windows":
		env = append(env, "CGO_ENABLED=1", "CC=x86_64-w64-mingw32-gcc")
	default:
		env = append(env, "CGO_ENABLED=1", "CC=gcc")
	}
	return env
}

// terminal writes the terminal program for Windows as one file.
func (r *release) terminal() error {
	file, err := r.build("windows", terminal)
	if err != nil {
		return err
	}
	b, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(r.out, "cproof-"+program.Version+"-windows-amd64.exe"), b, 0o755)
}

// run runs a tool in a folder, with every time that it writes set to that of the commit.
func (r *release) run(folder, tool string, arguments ...string) error {
	c := exec.Command(tool, arguments...)
	c.Dir = folder
	c.Env = append(os.Environ(), fmt.Sprintf("SOURCE_DATE_EPOCH=%d", r.date.Unix()), "LC_ALL=C", "TZ=UTC")
	_, err := outputOf(c)
	return err
}
