package cdf

import (
	"context"
	"io"
	"runtime"
	"sync"

	"counterproof/model/guard"
)

// readingPiece is what the goroutines do, for a panic's error.
const readingPiece = "reading a piece of the export"

// readXML reads one part in XML: UTF-8 text without a byte order mark. One
// goroutine cuts, as many as there are processors read the pieces, and the
// fragments are put together in the order of the file. Of several faults the
// first in the file is reported, whichever goroutine met it first.
func readXML(in io.Reader, part int32) (*fragment, *Error) {
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	type job struct {
		piece
		n int
	}
	type result struct {
		frag  *fragment
		fault *Error
	}
	readers := max(1, min(runtime.GOMAXPROCS(0), 8))
	jobs := make(chan job, readers)
	var (
		mu      sync.Mutex
		results []result
		wg      sync.WaitGroup
	)
	keep := func(n int, r result) {
		mu.Lock()
		defer mu.Unlock()
		for len(results) <= n {
			results = append(results, result{})
		}
		results[n] = r
	}
	for range readers {
		wg.Go(func() {
			share := shared{}
			for j := range jobs {
				var frag *fragment
				var fault *Error
				if err := guard.Run(readingPiece, func() error {
					frag, fault = readPiece(j.piece, part, share)
					return nil
				}); err != nil {
					fault = &Error{Line: j.line, Fault: err.Error(), Err: err}
				}
				keep(j.n, result{frag, fault})
				if fault != nil {
					stop()
				}
			}
		})
	}
	c := newCutter(in)
	n := 0
	for ctx.Err() == nil {
		p, ok := c.next()
		if !ok {
			break
		}
		jobs <- job{p, n}
		n++
	}
	close(jobs)
	wg.Wait()

	whole := newFragment()
	for _, r := range results {
		if r.fault != nil {
			return nil, r.fault
		}
		if fault := whole.join(r.frag); fault != nil {
			return nil, fault
		}
	}
	switch {
	case c.failed != nil:
		return nil, c.failed
	case c.at.root == nil:
		return nil, &Error{Line: c.line, Fault: "the file holds no element", Remedy: wantReport}
	case !c.at.closed:
		t := c.at.root
		if c.at.election != nil {
			t = c.at.election
		}
		return nil, &Error{Line: c.line, Fault: "the file ends within " + qualified(t.prefix, t.local) + ", which begins at line " + decimal(int(t.line)), Remedy: cutOff}
	}
	return whole, nil
}
