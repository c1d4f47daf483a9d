package cdf

import (
	"crypto/sha256"
	"encoding/hex"
	"hash"
	"io"
	"reflect"
	"slices"
	"sort"
	"strconv"
	"strings"
	"sync"

	"counterproof/model/guard"
)

// source is a part still to be read.
type source struct {
	name string
	open func() (io.ReadCloser, error)
}

// whole is a report with all its parts put together.
type whole struct {
	fragment
	files []string // by pos.part
	parts []PartContents
	ids   map[string]thing
	names map[string]string // see called
}

// file fills in the file and line of a fault.
func (w *whole) file(part int32) string {
	if part < 0 || int(part) >= len(w.files) {
		return ""
	}
	return w.files[part]
}

func (w *whole) fault(at pos, element, fault, remedy string) *Error {
	return &Error{File: w.file(at.part), Line: int(at.line), Element: element, Fault: fault, Remedy: remedy}
}

// place names a position for use within a message about another one.
func (w *whole) place(at pos, from pos) string {
	if at.part == from.part || len(w.files) < 2 {
		return "line " + decimal(int(at.line))
	}
	return w.file(at.part) + ", line " + decimal(int(at.line))
}

// load reads all parts and puts them together in the order of their numbers.
func load(sources []source, hold bool) (*whole, *Error) {
	if len(sources) == 0 {
		return nil, &Error{File: "export", Fault: "no file was given", Remedy: wantReport}
	}
	w := &whole{fragment: *newFragment()}
	var frags []*fragment
	for i, s := range sources {
		w.files = append(w.files, s.name)
		frag, part, fault := loadPart(s, int32(i), hold)
		if fault != nil {
			fault.File = s.name
			return nil, fault
		}
		frags = append(frags, frag)
		w.parts = append(w.parts, part)
	}
	order, fault := w.sequence(frags)
	if fault != nil {
		return nil, fault
	}
	for _, i := range order {
		if fault := w.unite(frags[i]); fault != nil {
			return nil, fault
		}
	}
	parts := make([]PartContents, len(order))
	for n, i := range order {
		parts[n] = w.parts[i]
	}
	w.parts = parts
	return w, w.index()
}

func loadPart(s source, part int32, hold bool) (*fragment, PartContents, *Error) {
	c := PartContents{Name: s.name}
	f, err := s.open()
	if err != nil {
		return nil, c, unreadable(err)
	}
	defer f.Close()
	ahead := startReading(f)
	frag, fault := readPart(ahead, part, hold, &c)
	ahead.stop()
	if fault != nil {
		return nil, c, fault
	}
	if n := len(frag.report.elections); n > maxElections {
		return nil, c, &Error{Line: int(frag.report.elections[maxElections].at.line), Element: "Election",
			Fault: "the report holds more than " + decimal(maxElections) + " elections", Remedy: absurd}
	}
	c.Bytes = ahead.size
	c.SHA256 = hex.EncodeToString(ahead.sum.Sum(nil))
	c.Generated = frag.report.generated.word()
	c.Status = frag.report.status.word()
	return frag, c, nil
}

// readPart reads a part in whatever form it is, to its end.
func readPart(in io.Reader, part int32, hold bool, c *PartContents) (*fragment, *Error) {
	form, text, fault := sniff(in)
	if fault != nil {
		return nil, fault
	}
	c.Encoding = form.encoding
	if form.json {
		c.Format = "JSON"
		return readJSON(text, part, hold)
	}
	c.Format = "XML"
	return readXML(text, part, hold)
}

// readAhead reads a file and makes its digest while what was read before is still
// worked on.
type readAhead struct {
	*io.PipeReader
	// size and sum are those of the whole file, once all of it was read.
	size int64
	sum  hash.Hash
	done sync.WaitGroup
}

func startReading(f io.Reader) *readAhead {
	out, in := io.Pipe()
	a := &readAhead{PipeReader: out, sum: sha256.New()}
	a.done.Go(func() {
		in.CloseWithError(guard.Run("reading the export", func() (err error) {
			// Without the ReadFrom and WriteTo that CopyBuffer would rather use.
			a.size, err = io.CopyBuffer(io.MultiWriter(a.sum, in), struct{ io.Reader }{f}, make([]byte, aheadBuffer))
			return err
		}))
	})
	return a
}

const aheadBuffer = 256 << 10

// stop ends the reading. The file can then be closed.
func (a *readAhead) stop() {
	a.Close()
	a.done.Wait()
}

// sequence checks that the parts are all parts of one report and returns their
// order (in both standards SequenceStart and SequenceEnd: "1 of 2").
func (w *whole) sequence(frags []*fragment) ([]int, *Error) {
	order := make([]int, len(frags))
	numbers := make([]int, len(frags))
	first := &frags[0].report
	ends := 0
	for i, f := range frags {
		order[i] = i
		r := &f.report
		if r.is != first.is {
			return nil, w.fault(pos{part: int32(i)}, r.class(), "the file is of "+r.is.String()+", but "+w.files[0]+" is of "+
				first.is.String(), "give the parts of one report")
		}
		if len(frags) == 1 && !r.sequenceStart.given() && !r.sequenceEnd.given() {
			w.parts[0].Number, w.parts[0].Of = 1, 1
			return order, nil
		}
		n, fault := w.integer(r.sequenceStart, "SequenceStart")
		if fault != nil {
			return nil, fault
		}
		end, fault := w.integer(r.sequenceEnd, "SequenceEnd")
		if fault != nil {
			return nil, fault
		}
		here := pos{part: int32(i)}
		if !r.sequenceStart.given() || !r.sequenceEnd.given() {
			return nil, w.fault(here, "SequenceStart", "the file does not say which part of the report it is",
				"give each report by itself, or export it with SequenceStart and SequenceEnd")
		}
		if end < 1 || n < 1 || n > end {
			return nil, w.fault(r.sequenceStart.at, "SequenceStart", "the file calls itself part "+decimal(n)+" of "+
				decimal(end), "parts are numbered from 1 to SequenceEnd: export it again")
		}
		numbers[i] = n
		w.parts[i].Number, w.parts[i].Of = n, end
		if i == 0 {
			ends = end
			continue
		}
		switch {
		case end != ends:
			return nil, w.fault(r.sequenceEnd.at, "SequenceEnd", "the file is one of "+decimal(end)+" parts, but "+w.files[0]+
				" is one of "+decimal(ends), "give the parts of one report")
		case r.issuer.v != first.issuer.v:
			return nil, w.fault(r.issuer.at, "Issuer", "the issuer is "+quote(r.issuer.v)+", but that of "+w.files[0]+" is "+
				quote(first.issuer.v), "give the parts of one report")
		case r.status.word() != first.status.word():
			return nil, w.fault(r.status.at, "Status", "the status is "+quote(r.status.word())+", but that of "+w.files[0]+
				" is "+quote(first.status.word()), "give the parts of one report")
		}
	}
	sort.SliceStable(order, func(a, b int) bool { return numbers[order[a]] < numbers[order[b]] })
	var missing []string
	want := 1
	for n, i := range order {
		if n > 0 && numbers[i] == numbers[order[n-1]] {
			return nil, w.fault(frags[i].report.sequenceStart.at, "SequenceStart", "this is part "+decimal(numbers[i])+" of "+
				decimal(ends)+", and so is "+w.files[order[n-1]], "give each part once")
		}
		for ; want < numbers[i] && len(missing) <= 5; want++ {
			missing = few(missing, want)
		}
		want = numbers[i] + 1
	}
	for ; want <= ends && len(missing) <= 5; want++ {
		missing = few(missing, want)
	}
	if len(missing) > 0 {
		fault := w.fault(first.sequenceEnd.at, "SequenceEnd", "the report has "+decimal(ends)+" parts; not given: part "+
			strings.Join(missing, ", "), "give all of its parts")
		fault.Err = ErrPartMissing
		return nil, fault
	}
	return order, nil
}

// few appends a number to a list for people, and then dots.
func few(list []string, n int) []string {
	switch {
	case len(list) < 5:
		return append(list, decimal(n))
	case len(list) == 5:
		return append(list, "…")
	}
	return list
}

// integer reads an xsd:integer that an int32 can hold; 0 where it is not given.
func (w *whole) integer(s str, element string) (int, *Error) {
	if !s.given() {
		return 0, nil
	}
	n, err := strconv.ParseInt(strings.TrimPrefix(s.word(), "+"), 10, 32)
	if err != nil {
		if isDigits(strings.TrimLeft(s.word(), "+-")) {
			return 0, w.fault(s.at, element, quote(s.word())+" is far too large a number",
				"correct it in the system and export again")
		}
		return 0, w.fault(s.at, element, quote(s.word())+" is not a whole number", "it must be digits, such as 2")
	}
	return int(n), nil
}

func isDigits(s string) bool {
	return s != "" && strings.Trim(s, "0123456789") == ""
}

// unite adds the next part. Things that several parts hold are kept once, and
// must be the same in all of them.
func (w *whole) unite(next *fragment) *Error {
	r, n := &w.report, &next.report
	r.is = n.is
	r.held = append(r.held, n.held...)
	if next.holder.rest != nil {
		w.rest += hex.EncodeToString(next.holder.rest.Sum(nil))
	}
	for i, s := range n.singles() {
		if into := r.singles()[i].in; !into.given() {
			*into = *s.in
		}
	}
	for _, e := range n.elections {
		into := w.sameElection(e)
		if into == nil {
			r.elections = append(r.elections, e)
			continue
		}
		for i, s := range e.singles() {
			have := into.singles()[i].in
			if !have.given() {
				*have = *s.in
			} else if s.in.given() && s.in.word() != have.word() {
				return w.fault(s.in.at, s.name, "this part says "+quote(s.in.word())+", but "+w.place(have.at, s.in.at)+" says "+
					quote(have.word()), "give the parts of one report")
			}
		}
		into.held = append(into.held, e.held...)
		var fault *Error
		if into.candidates, fault = uniteList(w, into.candidates, e.candidates); fault != nil {
			return fault
		}
		if into.contests, fault = uniteList(w, into.contests, e.contests); fault != nil {
			return fault
		}
		into.styles = uniteStyles(into.styles, e.styles)
	}
	var fault *Error
	if r.units, fault = uniteList(w, r.units, n.units); fault != nil {
		return fault
	}
	if r.parties, fault = uniteList(w, r.parties, n.parties); fault != nil {
		return fault
	}
	if r.headers, fault = uniteList(w, r.headers, n.headers); fault != nil {
		return fault
	}
	type named struct{ id, kind string }
	known := make(map[named]bool, len(w.others))
	for _, o := range w.others {
		known[named{o.id, o.kind}] = true
	}
	for _, o := range next.others {
		if !known[named{o.id, o.kind}] {
			w.others = append(w.others, o)
		}
	}
	for _, l := range next.languages {
		w.language(l)
	}
	w.unnamed = w.unnamed || next.unnamed && w.languages[0] == next.languages[0]
	for what, count := range next.uncompared {
		w.uncompared[what] += count
	}
	return nil
}

// sameElection finds the election that a part continues: the one of the same
// name and date.
func (w *whole) sameElection(e *election) *election {
	for _, have := range w.report.elections {
		if have.at.part != e.at.part && slices.Equal(have.name.text, e.name.text) && have.start.word() == e.start.word() {
			return have
		}
	}
	return nil
}

func uniteList[T any, P interface {
	*T
	identified
	node
}](w *whole, into, next []T) ([]T, *Error) {
	if len(into) == 0 {
		return next, nil
	}
	known := make(map[string]int, len(into))
	for i := range into {
		known[P(&into[i]).identity().v] = i
	}
	for i := range next {
		id := P(&next[i]).identity()
		have, ok := known[id.v]
		if !ok || id.v == "" || P(&into[have]).identity().at.part == id.at.part {
			into = append(into, next[i])
			continue
		}
		if !same(reflect.ValueOf(into[have]), reflect.ValueOf(next[i])) {
			return nil, w.fault(id.at, P(&next[i]).class()+" "+id.v, "this part says something else of it than "+
				w.place(P(&into[have]).identity().at, id.at), "export all parts again, at one time")
		}
	}
	return into, nil
}

// uniteStyles adds styles, which have no identifier, where no part before has the
// same.
func uniteStyles(into, next []style) []style {
	known := make(map[string][]int, len(into))
	for i := range into {
		known[into[i].units.v] = append(known[into[i].units.v], i)
	}
	for _, s := range next {
		if !slices.ContainsFunc(known[s.units.v], func(i int) bool {
			return same(reflect.ValueOf(into[i]), reflect.ValueOf(s))
		}) {
			into = append(into, s)
		}
	}
	return into
}

var posType = reflect.TypeFor[pos]()

// same compares what two parts hold, leaving out where it stands.
func same(a, b reflect.Value) bool {
	if a.Type() == posType {
		return true
	}
	switch a.Kind() {
	case reflect.Pointer:
		return a.IsNil() == b.IsNil() && (a.IsNil() || same(a.Elem(), b.Elem()))
	case reflect.Struct:
		for i := range a.NumField() {
			if !same(a.Field(i), b.Field(i)) {
				return false
			}
		}
		return true
	case reflect.Slice:
		if a.Len() != b.Len() {
			return false
		}
		for i := range a.Len() {
			if !same(a.Index(i), b.Index(i)) {
				return false
			}
		}
		return true
	}
	return a.Equal(b)
}
