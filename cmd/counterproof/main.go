// Counterproof is the second party's desktop program.
//
//	counterproof [CASE]        opens the window, and the case if one is named
//	counterproof --demo [DIR]  lays out the invented election, in DIR if named
//
// Its exit status is 0 after the window was closed, and 2 where no window can be
// shown; one line says why.
package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"log"
	"os"
	"path/filepath"
	"strings"

	"fyne.io/fyne/v2"
	fyneapp "fyne.io/fyne/v2/app"
	"github.com/alecthomas/kong"

	"counterproof/app"
	"counterproof/app/desk/session"
	"counterproof/assets/icon"
	_ "counterproof/cmd/counterproof/locale" // before the toolkit
	"counterproof/model/guard"
	"counterproof/model/program"
)

var flags struct {
	Version bool   `help:"Say which program this is: version, commit, Go version, digest of its own file."`
	Demo    bool   `help:"Open the demo, an invented election. CASE is then the folder to lay it out in (by default a folder of this user's)."`
	Case    string `arg:"" optional:"" help:"The case file to open."`
}

func main() { os.Exit(run(os.Args[1:])) }

// ended is the status with which the arguments themselves end the program: --help.
type ended int

func run(args []string) (status int) {
	defer func() {
		switch r := recover().(type) {
		case nil:
		case ended:
			status = int(r)
		default:
			panic(r)
		}
	}()
	attachConsole()
	parser := kong.Must(&flags, kong.Name("counterproof"), kong.Exit(func(code int) { panic(ended(code)) }),
		kong.Description("The second party's tool: key the ballots again from the printed proof, compare, decide "+
			"together, sign."))
	if _, err := parser.Parse(args); err != nil {
		return fail(fmt.Errorf(`%w; "counterproof --help" explains the rest`, err))
	}
	if flags.Version {
		b := program.Running()
		fmt.Printf("%s\nSHA-256 of this program: %s\n", b.Line(), b.SHA256)
		return 0
	}
	if onX && os.Getenv("DISPLAY") == "" {
		return fail(errNoDisplay)
	}
	a, w, err := window()
	if err != nil {
		return fail(err)
	}
	a.Lifecycle().SetOnStopped(func() {
		if err := w.Stopped(); err != nil {
			status = fail(err)
		}
	})
	if err := guarded(a.Run, w.Stopped); err != nil {
		status = fail(err)
	}
	return status
}

// guarded runs the window. A panic that the window could not show itself ends it: what was
// keyed is put on the disk first.
func guarded(run func(), stop func() error) error {
	err := guard.Run("running the window", func() error { run(); return nil })
	if err == nil {
		return nil
	}
	return errors.Join(err, guard.Run("putting what was keyed on the disk", stop))
}

// fail says in one line why the program ends, and in a dialog where no terminal shows the line.
func fail(err error) int {
	line := strings.Join(strings.Fields(err.Error()), " ")
	fmt.Fprintln(os.Stderr, "counterproof:", line)
	showFailure(line)
	return 2
}

var errNoDisplay = errors.New("there is no display to open a window on; start it on a desktop, or use the terminal " +
	"program cproof")

// window makes the window and shows it. Where there is no display, or no OpenGL on
// it, the toolkit logs that, and then panics or goes on without a window: either
// becomes an error.
func window() (a fyne.App, w *app.Window, err error) {
	var logged bytes.Buffer
	s := &session.Session{}
	opened := make(chan struct{})
	opening := func(what string, open func() error) *app.Window {
		return app.Opening(a, s, what, func() error {
			defer close(opened)
			return open()
		})
	}
	log.SetOutput(&logged)
	defer func() {
		r := recover()
		log.SetOutput(os.Stderr)
		said := logged.String()
		switch {
		case strings.Contains(said, "Failed to open display"):
			err = fmt.Errorf("the display %q cannot be opened; start it on a desktop, or use the terminal program cproof",
				os.Getenv("DISPLAY"))
		case strings.Contains(said, "window creation error"), r != nil && strings.Contains(said, "PlatformError"):
			err = fmt.Errorf("no window can be shown (%s); %s. The terminal program cproof does the same work without "+
				"a window", cause(said), needed)
		case r != nil:
			panic(r)
		default:
			_, _ = io.Copy(os.Stderr, &logged)
		}
		if err != nil && w != nil {
			<-opened // no half of a demo is left behind
			_ = s.Close()
		}
	}()
	a = fyneapp.NewWithID("org.counterproof.desk")
	a.SetIcon(fyne.NewStaticResource("counterproof.png", icon.PNG(256)))
	switch {
	case flags.Demo:
		dir := flags.Case
		if dir == "" {
			dir = demoFolder()
		}
		w = opening("Laying out the demo, an invented election", func() error { return s.CreateDemo(dir) })
	case flags.Case != "":
		path, err := filepath.Abs(flags.Case)
		if err != nil {
			path = flags.Case
		}
		w = opening("Opening "+filepath.Base(path)+" and checking its journal", func() error { return s.Open(path) })
	default:
		// The page comes when the window is there: text takes longer to lay out than a window to open.
		w = opening("Starting", func() error { return nil })
	}
	w.Show()
	return a, w, nil
}

// cause is the reason that the toolkit logged last.
func cause(logged string) string {
	why := "no reason is given"
	for _, line := range strings.Split(logged, "\n") {
		for _, mark := range []string{"Cause: ", "PlatformError: ", "APIUnavailable: ", "VersionUnavailable: ",
			"FormatUnavailable: "} {
			if _, rest, ok := strings.Cut(line, mark); ok {
				why = strings.TrimSpace(rest)
			}
		}
	}
	return why
}

// demoFolder is where the demo is laid out when no folder is named.
func demoFolder() string {
	home, err := os.UserHomeDir()
	if err != nil {
		return os.TempDir()
	}
	if docs := filepath.Join(home, "Documents"); session.IsFolder(docs) {
		return docs
	}
	return home
}
