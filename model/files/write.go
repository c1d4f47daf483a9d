package files

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"
)

// Write gives a file its content all at once: the content goes to a new file beside it,
// which takes its name when every byte is on the disk. Whatever fails on the way (a full
// disk, a stick pulled out), a file that was there before is there still, whole, and
// nothing half written is left. A link stays one: what it leads to is written. A place
// that Check refuses is refused before write is called. Errors are of type *Error.
func (p Place) Write(write func(io.Writer) error) error {
	return p.make(func(file *os.File) error {
		buffer := bufio.NewWriterSize(file, 1<<16)
		if err := write(buffer); err != nil {
			return err
		}
		return buffer.Flush()
	})
}

// Fill is Write for what is written by another program or by name: fill finds an empty
// file at the path that it gets, and fills it. What fill leaves beside that file is for
// fill to remove.
func (p Place) Fill(fill func(path string) error) error {
	return p.make(func(file *os.File) error { return fill(file.Name()) })
}

func (p Place) make(fill func(*os.File) error) error {
	to, err := p.look()
	if err != nil {
		return err
	}
	mode := fs.FileMode(0o666) // less what the user's settings take away
	if p.Private {
		mode = 0o600
	}
	part, err := createBeside(to.path, mode)
	if err != nil {
		return unwritten(p.Path, "", err)
	}
	if to.info != nil && !p.Private {
		_ = part.Chmod(to.info.Mode().Perm()) // a stick may know nothing of permissions
	}
	err = fill(part)
	if err == nil {
		err = part.Sync()
	}
	err = errors.Join(err, part.Close())
	if err == nil {
		to, err = p.look() // again: it may have changed meanwhile
	}
	if err == nil {
		err = move(part.Name(), to.path, to.info != nil)
	}
	if err != nil {
		_ = os.Remove(part.Name())
		return unwritten(p.Path, part.Name(), err)
	}
	return unwritten(p.Path, "", syncFolder(filepath.Dir(to.path)))
}

// Replace gives a file that is there other content, as Write does, whatever the file is:
// it is for whoever owns the file. Its permissions stay.
func Replace(path string, write func(io.Writer) error) error {
	info, err := os.Stat(path)
	if err != nil {
		return unwritten(path, "", err)
	}
	part, err := createBeside(path, 0o600)
	if err != nil {
		return unwritten(path, "", err)
	}
	_ = part.Chmod(info.Mode().Perm()) // a stick may know nothing of permissions
	err = errors.Join(write(part), part.Sync(), part.Close())
	if err == nil {
		err = move(part.Name(), path, true)
	}
	if err != nil {
		_ = os.Remove(part.Name())
		return unwritten(path, part.Name(), err)
	}
	return unwritten(path, "", syncFolder(filepath.Dir(path)))
}

// Rename gives a finished file another name, and makes both last. It never replaces
// anything: that is an error that wraps ErrThere.
func Rename(from, to string) error {
	f, err := os.OpenFile(from, os.O_RDWR, 0)
	if err != nil {
		return unwritten(to, "", err)
	}
	if err := errors.Join(f.Sync(), f.Close()); err != nil {
		return unwritten(to, "", err)
	}
	if err := move(from, to, false); err != nil {
		return unwritten(to, "", err)
	}
	return unwritten(to, "", syncFolder(filepath.Dir(to)))
}

// NewFolder makes a folder all at once: fill fills it under another name beside the
// place, and it takes its own when everything is on the disk. A folder that holds
// anything stays as it is, and so does every file. Errors are of type *Error.
func NewFolder(dir string, fill func(to string) error) error {
	place, empty, err := lookFolder(dir)
	if err != nil {
		return err
	}
	part := place + ".part-" + stamp(0)
	if err := os.Mkdir(part, 0o777); err != nil {
		return unwritten(dir, "", err)
	}
	err = fill(part)
	if err == nil {
		err = syncFolders(part)
	}
	if err == nil && empty {
		err = os.Remove(place) // it goes only if it is still empty
	}
	if err == nil {
		err = move(part, place, true) // no folder replaces what holds something
	}
	if err != nil {
		err = unwritten(dir, part, err)
		if left := os.RemoveAll(part); left != nil {
			err = &Error{dir, fmt.Sprintf("was not written, and what was begun is in %s and is not whole", part),
				"remove that folder", err}
		}
		return err
	}
	return unwritten(dir, "", syncFolder(filepath.Dir(place)))
}

// CheckFolder says whether NewFolder would make a folder there.
func CheckFolder(dir string) error {
	_, _, err := lookFolder(dir)
	return err
}

// CheckFolderName says whether a folder may have a name, whatever is there: not that of a
// device, nor one that the program uses beside a case. Errors are of type *Error.
func CheckFolderName(dir string) error {
	refused := func(fault, remedy string) error { return &Error{dir, fault, remedy, ErrRefused} }
	if dir == "" {
		return refused("no name is given", "name a new folder")
	}
	if of, ok := besideCase(filepath.Clean(dir)); ok {
		return refused("is for the program's own use beside the case "+of, "name another folder")
	}
	if fault := misnamed(dir); fault != "" {
		return refused(fault, "name another folder")
	}
	return nil
}

// lookFolder returns the place of a new folder, and whether an empty one is there.
func lookFolder(dir string) (place string, empty bool, err error) {
	refused := func(fault, remedy string) error { return &Error{dir, fault, remedy, ErrRefused} }
	if err := CheckFolderName(dir); err != nil {
		return "", false, err
	}
	if place, err = filepath.Abs(dir); err != nil {
		return "", false, unwritten(dir, "", err)
	}
	info, err := os.Stat(place)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if _, err := os.Lstat(place); err == nil {
			return "", false, refused("is a link that leads nowhere", "name a new folder")
		}
		return place, false, nil
	case err != nil:
		return "", false, unwritten(dir, "", err)
	case info.Mode().IsRegular():
		return "", false, refused("there is a file of this name", "name a new folder")
	case !info.IsDir():
		return "", false, refused(kind(info.Mode()), "name a new folder")
	}
	if place, err = filepath.EvalSymlinks(place); err != nil {
		return "", false, unwritten(dir, "", err)
	}
	d, err := os.Open(place)
	if err != nil {
		return "", false, unwritten(dir, "", err)
	}
	held, err := d.Readdirnames(1)
	_ = d.Close() // it was read
	switch {
	case len(held) > 0:
		return "", false, refused("this folder is not empty, and nothing is ever written over", "name a new folder")
	case err != nil && !errors.Is(err, io.EOF):
		return "", false, unwritten(dir, "", err)
	}
	return place, true, nil
}

// createBeside makes a new file in the folder of a path.
func createBeside(path string, mode fs.FileMode) (*os.File, error) {
	dir, base := filepath.Split(path)
	if len(base) > 100 {
		base = base[:100] // names have at most 255 bytes
	}
	for try := range 100 {
		name := dir + "." + base + "." + stamp(try) + ".part"
		file, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE|os.O_EXCL, mode)
		if !errors.Is(err, fs.ErrExist) {
			return file, err
		}
	}
	return nil, errors.New("no free name for a new file in the folder")
}

func stamp(try int) string { return strconv.FormatInt(time.Now().UnixNano()+int64(try), 36) }

// syncFolders makes the names of files in a folder and in the folders in it last.
func syncFolders(root string) error {
	return filepath.WalkDir(root, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || !entry.IsDir() {
			return err
		}
		return syncFolder(path)
	})
}

// syncFolder makes a new name last. Only what a disk that fails says is an error: some
// systems cannot do it, and some need not.
func syncFolder(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return nil // a folder may let files be made and not be read
	}
	defer d.Close()
	if err := d.Sync(); errors.Is(err, syscall.EIO) {
		return err
	}
	return nil
}

// unwritten says what stands in the way of writing, and what to do; nil for nil. part is
// what is written first; what is said of it is said of path. An error of something else
// is passed on in its own words.
func unwritten(path, part string, err error) error {
	if err == nil {
		return nil
	}
	ours := func(name string) bool { return name == path || part != "" && strings.HasPrefix(name, part) }
	var said *Error
	var of *fs.PathError
	switch {
	case errors.As(err, &said) && said.Path == path:
		return err
	case errors.As(err, &said) && ours(said.Path):
		return &Error{path, said.Fault, said.Remedy, err}
	case errors.As(err, &said), errors.As(err, &of) && part != "" && !ours(of.Path), !ofSystem(err):
		return &Error{path, "was not written: " + err.Error(), "", err}
	}
	e := &Error{path, fmt.Sprintf("cannot be written (%v)", cause(err)), "choose another place", err}
	switch {
	case NoRoom(err):
		e.Remedy = "the disk is full: make room or choose another disk"
	case errors.Is(err, fs.ErrNotExist):
		e.Remedy = "its folder does not exist: create it first or choose another place"
	case errors.Is(err, fs.ErrExist):
		return &Error{path, ErrThere.Error(), "choose another name", errors.Join(ErrThere, err)}
	case Protected(err):
		e.Remedy = "the disk or stick is write-protected: take the protection off, or choose another place"
	case errors.Is(err, fs.ErrPermission):
		e.Remedy = "you may not write there: choose another place"
	}
	return e
}

// Unwritten is what Write says of an error, for what is written elsewhere than to a
// file: a screen, a pipe.
func Unwritten(name string, err error) error { return unwritten(name, "", err) }
