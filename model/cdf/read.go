// Package cdf reads election definitions in the common data formats of NIST SP
// 1500-100 version 2 (Election Results Reporting) and SP 1500-20 version 1 (Ballot
// Definition), in XML and JSON, and writes the first in XML.
//
// Reading never judges an election: whatever the export says about ballots is
// carried over, and references that lead nowhere are listed in
// model.Origins.Dangling. Only a file that cannot be understood is an error, in
// one line that says where the fault is and what would be right.
package cdf

import (
	"bytes"
	"context"
	"errors"
	"io"
	"io/fs"

	"counterproof/model"
	"counterproof/model/files"
	"counterproof/model/progress"
)

// Part is one file of a report, which may have several (SP 1500-100,
// ElectionReport.SequenceStart).
type Part struct {
	Name string
	Data []byte
}

// Options say what to read of a report.
type Options struct {
	// Elections are the names of the elections to read, in the order in which
	// their contests stand on the ballot. It may be empty where the report holds
	// one election. The ballot of a precinct is that of the first election followed
	// by those of the others.
	Elections []string
	// WithoutStyles accepts an export that holds no ballot styles, which can be
	// looked at but not compared. Otherwise that is an error that wraps ErrNoStyles.
	WithoutStyles bool
	// Hold keeps what the export says and nothing compares, beside the things that say it
	// (model.Held). It costs what such members weigh, at most some 64 MB for each part.
	Hold bool
	// Context ends the reading when it is done: the error then wraps its cause. Nil
	// never does. It is told the share that is read (package progress).
	Context context.Context
}

// stopping is a reader that ends with a context, and tells it how much of all parts is read.
type stopping struct {
	ctx context.Context
	io.ReadCloser
	done  *int64 // of all parts
	total int64  // 0 if it is not known
}

func (s stopping) Read(b []byte) (int, error) {
	if err := s.ctx.Err(); err != nil {
		return 0, err
	}
	n, err := s.ReadCloser.Read(b)
	*s.done += int64(n)
	progress.Of(s.ctx, *s.done, s.total)
	return n, err
}

// Read reads a report from memory. The parts may come in any order. Errors are
// of type *Error.
//
// Equal lists within the election, such as the order of choices of many ballots,
// may share their memory: it is to be read, not changed.
func Read(parts []Part, opts Options) (*model.Election, Contents, error) {
	sources := make([]source, len(parts))
	total := int64(0)
	for i, p := range parts {
		total += int64(len(p.Data))
		sources[i] = source{p.Name, func() (io.ReadCloser, error) { return io.NopCloser(bytes.NewReader(p.Data)), nil }}
	}
	return read(sources, opts, total)
}

// ReadFiles reads a report from files. XML and JSON are told apart by what the
// files hold. Errors are of type *Error.
//
// Contents is also filled in where the error wraps ErrWhichElection or
// ErrNoStyles.
func ReadFiles(paths []string, opts Options) (*model.Election, Contents, error) {
	sources := make([]source, len(paths))
	for i, path := range paths {
		sources[i] = source{path, func() (io.ReadCloser, error) { return openFile(path) }}
	}
	return read(sources, opts, 0)
}

func openFile(path string) (io.ReadCloser, error) {
	f, err := files.Open(path)
	if err != nil {
		return nil, err // no typed nil
	}
	return f, nil
}

// cause is what went wrong with a file, without its path.
func cause(err error) string {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err.Error()
	}
	return err.Error()
}

func read(sources []source, opts Options, total int64) (*model.Election, Contents, error) {
	if ctx := opts.Context; ctx != nil {
		done := new(int64)
		for i, s := range sources {
			sources[i].open = func() (io.ReadCloser, error) {
				r, err := s.open()
				if err != nil {
					return nil, err
				}
				return stopping{ctx, r, done, total}, nil
			}
		}
	}
	w, fault := load(sources, opts.Hold)
	if opts.Context != nil && opts.Context.Err() != nil {
		return nil, Contents{}, opts.Context.Err()
	}
	if fault != nil {
		return nil, Contents{}, fault
	}
	contents := w.contents()
	e, fault := w.build(opts)
	if fault != nil {
		return nil, contents, fault
	}
	return e, contents, nil
}
