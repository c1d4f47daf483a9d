package cdf

import (
	"context"
	"io"
	"runtime"
	"sync"
)

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
				frag, fault := readPiece(j.piece, part, share)
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

// join appends the fragment of the piece that follows.
func (f *fragment) join(next *fragment) *Error {
	r, n := &f.report, &next.report
	if fault := joinSingles(r, r.singles(), n.singles()); fault != nil {
		return fault
	}
	more := n.elections
	if next.continued && len(more) > 0 && len(r.elections) > 0 {
		into, from := r.elections[len(r.elections)-1], more[0]
		more = more[1:]
		if fault := joinSingles(into, into.singles(), from.singles()); fault != nil {
			return fault
		}
		if from.name.at.line > 0 {
			if into.name.at.line > 0 {
				return twice(into, "Name", into.name.at.line, from.name.at.line)
			}
			into.name = from.name
		}
		into.styles = append(into.styles, from.styles...)
		into.contests = append(into.contests, from.contests...)
		into.candidates = append(into.candidates, from.candidates...)
	}
	r.elections = append(r.elections, more...)
	r.units = append(r.units, n.units...)
	r.parties = append(r.parties, n.parties...)
	r.headers = append(r.headers, n.headers...)
	f.others = append(f.others, next.others...)
	for _, l := range next.languages {
		f.language(l)
	}
	for what, count := range next.uncompared {
		f.uncompared[what] += count
	}
	return nil
}

func joinSingles(n node, into, from []single) *Error {
	for i, s := range from {
		if !s.in.given() {
			continue
		}
		if into[i].in.given() {
			return twice(n, s.name, into[i].in.at.line, s.in.at.line)
		}
		*into[i].in = *s.in
	}
	return nil
}
