package report

import (
	"crypto/sha256"
	"fmt"
	"io"
	"io/fs"
	"os"

	"counterproof/model/casefile"
)

// openPlain opens a file for reading if it is a plain one. A link, a folder, a pipe or
// a device is refused before it is opened: opening it might wait for ever, or lead
// elsewhere.
func openPlain(path string) (*os.File, int64, error) {
	seen, err := os.Lstat(path)
	if err != nil {
		return nil, 0, err
	}
	if err := plainFile(path, seen.Mode()); err != nil {
		return nil, 0, err
	}
	file, err := os.Open(path)
	if err != nil {
		return nil, 0, fmt.Errorf("%s: cannot be read (%w); check who may read it, and its disk", path, cause(err))
	}
	opened, err := file.Stat()
	if err == nil && (!opened.Mode().IsRegular() || !os.SameFile(seen, opened)) {
		err = fmt.Errorf("%s: the file was exchanged while it was being opened; try again", path)
	}
	if err != nil {
		_ = file.Close()
		return nil, 0, err
	}
	return file, opened.Size(), nil
}

// plainFile says what stands in the place of a plain file, if something does.
func plainFile(path string, mode fs.FileMode) error {
	what := ""
	switch {
	case mode.IsRegular():
		return nil
	case mode&fs.ModeSymlink != 0:
		what = "a link to another file"
	case mode.IsDir():
		what = "a folder"
	case mode&fs.ModeNamedPipe != 0:
		what = "a pipe"
	default:
		what = "a device or a socket"
	}
	return fmt.Errorf("%s: is %s where a plain file has to be; copy it again from where it was kept", path, what)
}

// digestOf returns the SHA-256 and the size of a plain file, of which it holds little at
// a time.
func digestOf(path string) (casefile.Digest, int64, error) {
	file, _, err := openPlain(path)
	if err != nil {
		return casefile.Digest{}, 0, err
	}
	defer file.Close() // it was read
	sum := sha256.New()
	size, err := io.Copy(sum, file)
	return casefile.Digest(sum.Sum(nil)), size, err
}
