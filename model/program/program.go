// Package program says which program is running: its version, where it comes from, and its digest,
// which an office compares with the one that was released.
package program

import (
	"crypto/sha256"
	"encoding/hex"
	"io"
	"os"
	"path"
	"runtime"
	"runtime/debug"
	"strings"
	"sync"

	"counterproof/model/files"
)

// Version is the version that is being made. It goes up with every release.
const Version = "0.1.0"

// Build describes one program. A field is empty where it is not known.
type Build struct {
	// Name is "cproof" or "counterproof"; System is as Go writes it, "windows/amd64".
	Name    string `json:"name"`
	Version string `json:"version"`
	// Commit is the commit that it was built from, Changed whether the sources differed from it. A
	// build by "go run" knows neither.
	Commit  string `json:"commit"`
	Changed bool   `json:"changed"`
	Go      string `json:"go"`
	System  string `json:"system"`
	// SHA256 is the digest of the program's own file, 64 hexadecimal digits.
	SHA256 string `json:"sha256"`
}

// Running describes the running program. It reads the program's file once.
var Running = sync.OnceValue(running)

func running() Build {
	b := Build{Version: Version, Go: runtime.Version(), System: runtime.GOOS + "/" + runtime.GOARCH}
	if file, err := os.Executable(); err == nil {
		b.SHA256 = digest(file)
	}
	if info, ok := debug.ReadBuildInfo(); ok {
		b.Name = strings.TrimSuffix(path.Base(info.Path), ".test")
		for _, s := range info.Settings {
			switch s.Key {
			case "vcs.revision":
				b.Commit = s.Value
			case "vcs.modified":
				b.Changed = s.Value == "true"
			}
		}
	}
	return b
}

// digest returns the digest of the program's file; empty if it cannot be read.
func digest(path string) string {
	if runtime.GOOS == "linux" {
		path = "/proc/self/exe" // what runs, even if the file at its path was replaced
	}
	file, err := files.Open(path)
	if err != nil {
		return ""
	}
	defer file.Close() // only read
	sum := sha256.New()
	if _, err := io.Copy(sum, file); err != nil {
		return ""
	}
	return hex.EncodeToString(sum.Sum(nil))
}

// Line says in one line which program it is, all but the digest.
func (b Build) Line() string {
	line := b.Name + " " + b.Version + ", "
	switch {
	case b.Commit == "":
		line += "commit unknown"
	case b.Changed:
		line += "commit " + b.Commit + " with changes"
	default:
		line += "commit " + b.Commit
	}
	return line + ", built with " + b.Go + " for " + b.System
}

// Digest is the digest for people, in groups as everywhere in the program; a word where it is not
// known.
func (b Build) Digest() string {
	if len(b.SHA256) != 2*sha256.Size {
		return "unknown"
	}
	var groups []string
	for i := 0; i < len(b.SHA256); i += 4 {
		groups = append(groups, b.SHA256[i:i+4])
	}
	return strings.Join(groups, " ")
}
