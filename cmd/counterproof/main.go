// Counterproof is the second party's desktop program.
//
//	counterproof [CASE]      opens the window, and the case if one is named
//	counterproof --demo [DIR]  lays out the invented election, in DIR if named
package main

import (
	"fmt"
	"os"
	"path/filepath"

	fyneapp "fyne.io/fyne/v2/app"
	"github.com/alecthomas/kong"

	"counterproof/app"
	"counterproof/app/desk/session"
)

var flags struct {
	Demo bool   `help:"Open the demo, an invented election. CASE is then the folder to lay it out in (by default a folder of this user's)."`
	Case string `arg:"" optional:"" help:"The case file to open."`
}

func main() {
	kong.Parse(&flags, kong.Name("counterproof"),
		kong.Description("The second party's tool: key the ballots again from the printed proof, compare, decide together, sign."))
	if !utf8Locale() {
		// Fyne reads the language from the environment and complains about "C".
		os.Setenv("LC_ALL", "en_US.UTF-8")
	}
	if os.Getenv("DISPLAY") == "" && os.Getenv("WAYLAND_DISPLAY") == "" && onUnix {
		fmt.Fprintln(os.Stderr, "counterproof: there is no display to open a window on; start it on a desktop, or use the terminal program cproof")
		os.Exit(2)
	}
	a := fyneapp.NewWithID("org.counterproof.desk")
	w := app.New(a, &session.Session{})
	a.Lifecycle().SetOnStarted(func() {
		switch {
		case flags.Demo:
			dir := flags.Case
			if dir == "" {
				dir = demoFolder()
			}
			w.OpenDemo(dir)
		case flags.Case != "":
			path, err := filepath.Abs(flags.Case)
			if err != nil {
				path = flags.Case
			}
			w.OpenCase(path)
		}
	})
	w.Show()
	a.Run()
}

// demoFolder is where the demo is laid out when no folder is named.
func demoFolder() string {
	home, err := os.UserHomeDir()
	if err != nil {
		return os.TempDir()
	}
	if docs := filepath.Join(home, "Documents"); isFolder(docs) {
		return docs
	}
	return home
}

func isFolder(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.IsDir()
}

// utf8Locale reports whether the environment names a language.
func utf8Locale() bool {
	for _, name := range []string{"LC_ALL", "LC_MESSAGES", "LANG"} {
		if v := os.Getenv(name); v != "" {
			return v != "C" && v != "POSIX" && v != "C.UTF-8"
		}
	}
	return false
}
