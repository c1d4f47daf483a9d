package report

import (
	"crypto/sha256"
	"io"

	"counterproof/model/casefile"
	"counterproof/model/files"
)

// digestOf returns the SHA-256 of a plain file, of which it holds little at a time.
func digestOf(path string) (casefile.Digest, error) {
	file, err := files.OpenPlain(path)
	if err != nil {
		return casefile.Digest{}, err
	}
	defer file.Close() // it is read alone
	sum := sha256.New()
	_, err = io.Copy(sum, file)
	return casefile.Digest(sum.Sum(nil)), err
}

// readSmall reads a plain file of at most so many bytes, and one more of a longer one.
func readSmall(path string, most int64) ([]byte, error) {
	file, err := files.OpenPlain(path)
	if err != nil {
		return nil, err
	}
	defer file.Close() // it is read alone
	return io.ReadAll(io.LimitReader(file, most+1))
}
