// Command release builds what an office installs, from a clean checkout and without a network:
//
//	go run ./cmd/release --out dist --key KEYFILE
//
// It writes packages for Windows and Linux, the list of all parts (SBOM), the procedure as a page to
// print, and SHA256SUMS with its signature. Two runs on the same commit write the same bytes, apart
// from the signature. README.md beside this file says what it needs and how to repeat it.
package main

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/alecthomas/kong"

	"counterproof/model/program"
)

var flags struct {
	Out   string   `default:"dist" placeholder:"DIR" help:"The folder to write to; new or empty."`
	Key   string   `placeholder:"FILE" help:"The private key, made by ssh-keygen, that signs SHA256SUMS. Without it there is no signature."`
	Only  []string `placeholder:"PART" help:"Build only these parts: zip, setup, terminal (Windows), deb, tar (Linux)."`
	Draft bool     `help:"To try something out: build though the checkout has changes, and the desktop faster, with paths in it. A draft is not the same each time."`
}

func main() {
	kong.Parse(&flags, kong.Name("release"), kong.Description("Builds what an office installs."))
	if err := run(); err != nil {
		fmt.Fprintln(os.Stderr, "release:", err)
		os.Exit(1)
	}
}

// part is one thing that can be built, by its name for --only.
type part struct {
	name  string
	build func(*release) error
}

var parts = []part{
	{"terminal", (*release).terminal},
	{"zip", (*release).zip},
	{"setup", (*release).setup},
	{"deb", (*release).deb},
	{"tar", (*release).tar},
}

// release is one run.
type release struct {
	root, out, work, commit string
	// date is the time of the commit: every time in what is written.
	date time.Time
	// built are the programs that were built, by system and name.
	built map[string]string
}

func run() (err error) {
	for _, name := range flags.Only {
		if !slices.ContainsFunc(parts, func(p part) bool { return p.name == name }) {
			return fmt.Errorf("--only %s: there is no such part", name)
		}
	}
	r := &release{built: map[string]string{}}
	if err := r.look(); err != nil {
		return err
	}
	if r.work, err = os.MkdirTemp("", "release-"); err != nil {
		return err
	}
	defer os.RemoveAll(r.work)
	for _, p := range parts {
		if len(flags.Only) > 0 && !slices.Contains(flags.Only, p.name) {
			continue
		}
		begun := time.Now()
		if err := p.build(r); err != nil {
			return fmt.Errorf("%s: %w", p.name, err)
		}
		fmt.Printf("%-9s %4.0f s\n", p.name, time.Since(begun).Seconds())
	}
	all := []string{"linux", "windows"}
	of, err := r.components(all...)
	if err != nil {
		return err
	}
	bill, err := r.bill(of, all...)
	if err != nil {
		return err
	}
	page, err := r.procedure()
	if err != nil {
		return err
	}
	for _, f := range []file{{name: name(".cdx.json"), data: bill}, {name: name("-procedure.html"), data: page}} {
		if err := os.WriteFile(filepath.Join(r.out, f.name), f.data, 0o644); err != nil {
			return err
		}
	}
	return r.sums(flags.Key)
}

// look finds the checkout, whether it is clean, and the time of its commit.
func (r *release) look() error {
	root, err := output("git", "rev-parse", "--show-toplevel")
	if err != nil {
		return fmt.Errorf("this is no git checkout: %w", err)
	}
	r.root = strings.TrimSpace(root)
	changed, err := output("git", "-C", r.root, "status", "--porcelain")
	if err != nil {
		return err
	}
	if changed != "" && !flags.Draft {
		return errors.New("the checkout has changes:\n" + changed + "commit them, or take a fresh clone")
	}
	at, err := output("git", "-C", r.root, "log", "-1", "--format=%ct %H")
	if err != nil {
		return err
	}
	when, commit, _ := strings.Cut(strings.TrimSpace(at), " ")
	r.commit = commit
	seconds, err := strconv.ParseInt(when, 10, 64)
	if err != nil {
		return err
	}
	r.date = time.Unix(seconds, 0).UTC()
	if r.out, err = filepath.Abs(flags.Out); err != nil {
		return err
	}
	if err := os.MkdirAll(r.out, 0o755); err != nil {
		return err
	}
	held, err := os.ReadDir(r.out)
	if err == nil && len(held) > 0 {
		return fmt.Errorf("%s is not empty; name a new folder", r.out)
	}
	return err
}

// name is the name of a file of this release.
func name(rest string) string { return "counterproof-" + program.Version + rest }

// output runs a command and returns what it prints.
func output(command string, arguments ...string) (string, error) {
	return outputOf(exec.Command(command, arguments...))
}

func outputOf(c *exec.Cmd) (string, error) {
	var said strings.Builder
	c.Stderr = &said
	b, err := c.Output()
	if err != nil {
		return "", fmt.Errorf("%s: %w\n%s%s", strings.Join(c.Args, " "), err, b, said.String())
	}
	return string(b), nil
}
