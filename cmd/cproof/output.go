package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"syscall"
	"time"
)

// writeFile gives the file its new content all at once: the content goes into a
// new file beside it, which takes its name only when every byte is on the disk.
// Whatever fails on the way (a full disk, a lost share), the file that was there
// before is still there, whole, and nothing half written is left behind.
//
// A name that is not an ordinary file (a pipe, a terminal, /dev/null) is written
// to directly: it cannot be replaced.
func writeFile(name string, write func(io.Writer) error) error {
	target, err := filepath.EvalSymlinks(name)
	if err != nil {
		target = name
	}
	info, err := os.Stat(target)
	switch {
	case err == nil && info.IsDir():
		return fmt.Errorf("%s: is a folder; give the name of a file to write", name)
	case err == nil && !info.Mode().IsRegular():
		return writeDirect(name, write)
	}
	temporary, err := createBeside(target)
	if err != nil {
		return explainWrite(name, err)
	}
	if info != nil {
		// Keep the permissions of the file that is replaced, as far as the system
		// lets us; a new file has those that the user's settings give.
		_ = temporary.Chmod(info.Mode().Perm())
	}
	buffer := bufio.NewWriterSize(temporary, 1<<16)
	err = write(buffer)
	err = errors.Join(err, buffer.Flush())
	if err == nil {
		err = temporary.Sync()
	}
	err = errors.Join(err, temporary.Close())
	if err == nil {
		err = os.Rename(temporary.Name(), target)
	}
	if err != nil {
		_ = os.Remove(temporary.Name())
		return explainWrite(name, err)
	}
	return nil
}

func writeDirect(name string, write func(io.Writer) error) error {
	file, err := os.OpenFile(name, os.O_WRONLY, 0)
	if err != nil {
		return explainWrite(name, err)
	}
	buffer := bufio.NewWriterSize(file, 1<<16)
	err = write(buffer)
	if err == nil {
		err = buffer.Flush()
	}
	if errClose := file.Close(); err == nil {
		err = errClose
	}
	if err != nil {
		return explainWrite(name, err)
	}
	return nil
}

// createBeside makes a new file in the folder of target, with the permissions
// that a newly written file gets (os.CreateTemp would make it private).
func createBeside(target string) (*os.File, error) {
	folder, base := filepath.Split(target)
	for try := range 100 {
		stamp := strconv.FormatInt(time.Now().UnixNano()+int64(try), 36)
		name := folder + "." + base + "." + stamp + ".part"
		file, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		if !errors.Is(err, fs.ErrExist) {
			return file, err
		}
	}
	return nil, errors.New("no free name for a temporary file in the folder")
}

// explainWrite says what stands in the way of writing, and what to do, in one
// line.
func explainWrite(name string, err error) error {
	cause := err
	var path *fs.PathError
	if errors.As(err, &path) {
		cause = path.Err
	}
	remedy := "choose another place with --out"
	switch {
	case errors.Is(err, syscall.ENOSPC):
		remedy = "the disk is full: make room or choose another disk"
	case errors.Is(err, fs.ErrNotExist):
		remedy = "its folder does not exist: create it first or choose another place"
	case errors.Is(err, fs.ErrPermission):
		remedy = "you may not write there: choose another place"
	}
	return fmt.Errorf("%s: cannot be written (%w); %s", name, cause, remedy)
}
