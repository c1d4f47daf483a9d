package results

import (
	"bytes"
	"io"

	"counterproof/model/cdf"
)

// Read reads a file of results of any kind, told apart by what it holds: counts of SP 1500-100, cast
// vote records of SP 1500-103, or a table with the columns of key.csv. Errors are of type *cdf.Error
// or *Error.
func Read(f File) (*Results, error) {
	tree, err := f.tree()
	if err != nil {
		return nil, unreadable(f, err)
	}
	if !tree {
		return readTable(f)
	}
	in, err := f.Open()
	if err != nil {
		return nil, unreadable(f, err)
	}
	defer in.Close()
	standard, err := cdf.Peek(f.Name, in)
	switch {
	case err != nil:
		return nil, err
	case standard == cdf.Records:
		return recordsOf(f)
	}
	return readCounts(f)
}

// tree reports whether a file is XML or JSON: it begins with < or {, in whatever encoding.
func (f File) tree() (bool, error) {
	in, err := f.Open()
	if err != nil {
		return false, err
	}
	defer in.Close()
	head := make([]byte, 512)
	n, err := io.ReadFull(in, head)
	if err != nil && err != io.EOF && err != io.ErrUnexpectedEOF {
		return false, err
	}
	text := bytes.TrimLeft(head[:n], "\xef\xbb\xbf\xfe\xff\x00 \t\r\n")
	return len(text) > 0 && (text[0] == '<' || text[0] == '{'), nil
}

func readTable(f File) (*Results, error) {
	data, sum, err := f.read()
	if err != nil {
		return nil, unreadable(f, err)
	}
	counts, err := ReadKey(f.Name, data)
	if err != nil {
		return nil, err
	}
	return &Results{Name: f.Name, Format: "CSV", SHA256: sum, Counts: counts}, nil
}
