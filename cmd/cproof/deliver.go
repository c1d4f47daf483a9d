package main

import (
	"bufio"
	"fmt"
	"io"
	"runtime"
	"strconv"
	"strings"

	"counterproof/checks"
	"counterproof/checks/wording"
	"counterproof/model/files"
)

// deliver writes a result to the requested place, or to standard output, in the layout for that
// output.
func (s *session) deliver(to files.Place, shown *progress, write func(io.Writer, page) error) error {
	if to.Path != "" {
		err := to.Write(func(w io.Writer) error { return write(w, page{Width: plainWidth}) })
		shown.finish()
		return forceable(err)
	}
	shown.finish()
	buffer := bufio.NewWriterSize(s.out, 1<<16)
	if err := write(buffer, pageFor(s.out, s.getenv)); err != nil {
		return files.Unwritten("standard output", err)
	}
	if err := buffer.Flush(); err != nil {
		return files.Unwritten("standard output", err)
	}
	return nil
}

// errUnitLimit is the error for a unit limit that makes no sense.
func errUnitLimit(n int) error {
	return fmt.Errorf("--unit-limit: %d is no limit; give a number of precincts from 1 up, or leave it out for %d",
		n, checks.DefaultUnitLimit)
}

// helpVars returns the values that the help texts mention.
func helpVars() map[string]string {
	return map[string]string{"unitlimit": strconv.Itoa(checks.DefaultUnitLimit)}
}

// shellWord quotes a path so that it can be pasted into a shell of this system.
func shellWord(path string) string { return shellWordOn(runtime.GOOS, path) }

// shellWordOn quotes a path for a system's shells. On Windows these are the command prompt and
// PowerShell, which have only double quotes in common; no path there holds one.
func shellWordOn(system, path string) string {
	windows := system == "windows"
	plain := strings.IndexFunc(path, func(r rune) bool {
		return !strings.ContainsRune("/._-+:", r) && (!windows || r != '\\') && (r < '0' || r > '9') &&
			(r < 'A' || r > 'Z') && (r < 'a' || r > 'z')
	}) < 0
	switch {
	case plain && path != "":
		return path
	case windows:
		return `"` + wording.Visible(path) + `"`
	}
	return "'" + strings.ReplaceAll(wording.Visible(path), "'", `'\''`) + "'"
}
