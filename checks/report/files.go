package report

import (
	"crypto/sha256"
	"io"

	"counterproof/model/casefile"
	"counterproof/model/files"
)

// digestOf returns the SHA-256 of a plain file. It needs little memory.
func digestOf(path string) (casefile.Digest, error) {
	file, err := files.OpenPlain(path)
	if err != nil {
		return casefile.Digest{}, err
	}
	defer file.Close() // only read
	sum := sha256.New()
	_, err = io.Copy(sum, file)
	return casefile.Digest(sum.Sum(nil)), err
}

// readSmall reads a plain file, up to a limit plus one byte; the extra byte shows that the file is
// longer.
func readSmall(path string, most int64) ([]byte, error) {
	file, err := files.OpenPlain(path)
	if err != nil {
		return nil, err
	}
	defer file.Close() // only read
	return io.ReadAll(io.LimitReader(file, most+1))
}
