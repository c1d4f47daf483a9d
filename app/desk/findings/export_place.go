package findings

import (
	"bytes"
	"slices"
	"strings"
	"unicode/utf16"

	"counterproof/checks/finding"
	"counterproof/checks/review"
	"counterproof/checks/wording"
	"counterproof/model"
	"counterproof/model/casefile"
)

// Excerpt is a part of an export as it was received, to be read.
type Excerpt struct {
	File  string
	Lines []ExcerptLine
	// Broken is true where the file has no lines of its own, and is broken here for reading.
	Broken bool
}

// ExcerptLine is one line of an excerpt.
type ExcerptLine struct {
	Number int // in the file, from 1
	Text   string
	// Of is true for the lines of the element that is meant; the others surround it.
	Of bool
	// Value is true where the line of the element holds what the finding says of the export.
	Value bool
}

// ExportPlaces returns what the export that is compared says where a finding is: each element with
// the lines around it. It is empty where the export has nothing of what the finding is about.
func ExportPlaces(c *casefile.Case, s *review.Snapshot, i *review.Item) ([]Excerpt, error) {
	var out []Excerpt
	for _, o := range exportOrigins(s.Primary, i) {
		data, name, err := exportFile(c, s.Latest, o.File)
		if err != nil {
			return nil, err
		}
		if x := excerptAt(name, data, o.Line, o.ID); len(x.Lines) > 0 {
			out = append(out, x)
		}
	}
	// A name may stand in an element of its own, which the other refers to; facts of the election
	// have no place.
	words := i.Values[0].Words
	for _, x := range out {
		x.mark(words)
	}
	if words == "" || slices.ContainsFunc(out, func(x Excerpt) bool { return x.holds(words) }) {
		return out, nil
	}
	for _, x := range s.Latest.Files {
		data, name, err := exportFile(c, s.Latest, x.Name)
		if err != nil {
			return nil, err
		}
		if line := lineWith(data, words); line > 0 {
			out = append(out, excerptAt(name, data, line, ""))
			out[len(out)-1].mark(words)
			return out, nil
		}
	}
	return out, nil
}

// holds reports whether a line of the element has the words.
func (x Excerpt) holds(words string) bool {
	return slices.ContainsFunc(x.Lines, func(l ExcerptLine) bool { return l.Of && strings.Contains(l.Text, words) })
}

// mark notes the lines of the element on which a value is the words.
func (x Excerpt) mark(words string) {
	for n, l := range x.Lines {
		x.Lines[n].Value = l.Of && words != "" && lineWith([]byte(l.Text), words) > 0
	}
}

// mostExcerpts is the number of elements that are shown for one finding.
const mostExcerpts = 6

// exportOrigins returns where the things that a finding claims, or else names, stand in the export.
func exportOrigins(e *model.Election, i *review.Item) (out []model.Origin) {
	add := func(o model.Origin) {
		known := slices.ContainsFunc(out, func(x model.Origin) bool { return x.File == o.File && x.Line == o.Line })
		if o.Line > 0 && !known && len(out) < mostExcerpts {
			out = append(out, o)
		}
	}
	for _, c := range i.Claims {
		if c.Primary < 0 {
			continue
		}
		switch c.Thing {
		case finding.Party:
			add(e.Origins.Party(c.Primary))
		case finding.Precinct:
			add(e.Origins.Precinct(c.Primary))
		case finding.Site:
			add(e.Origins.Site(c.Primary))
		case finding.Contest:
			add(e.Origins.Contest(c.Primary).Origin)
		case finding.Choice:
			contest := e.Origins.Contest(c.Primary)
			if c.PrimaryPart >= 0 && c.PrimaryPart < len(contest.Choices) {
				add(contest.Choices[c.PrimaryPart].Origin)
			} else {
				add(contest.Origin)
			}
		case finding.Ballot:
			add(e.Origins.Style(c.Primary))
		case finding.Unit:
			add(e.Origins.Unit(c.Primary))
		}
	}
	if len(out) > 0 {
		return out
	}
	for n := range e.Contests {
		c := &e.Contests[n]
		title := c.Title.Value.In("") + " " + c.Subtitle.Value.In("")
		if name := wording.Normal(i.Contest); i.Contest != "" && (wording.Normal(strings.TrimSpace(title)) == name ||
			wording.Normal(c.Name.Value.In("")) == name) {
			add(e.Origins.Contest(n).Origin)
		}
	}
	return out
}

// exportFile returns a file of the export, as text of one byte a letter or more (UTF-8).
func exportFile(c *casefile.Case, r review.Round, name string) (data []byte, file string, err error) {
	all := slices.Clone(r.Files)
	if r.Cards != nil {
		all = append(all, *r.Cards)
	}
	for _, x := range all {
		if x.Name == name || name == "" || len(all) == 1 {
			data, err := c.Export(x.Digest)
			return inUTF8(data), x.Name, err
		}
	}
	return nil, "", nil
}

// inUTF8 turns UTF-16 with its mark into UTF-8; anything else stays as it is.
func inUTF8(data []byte) []byte {
	little, big := bytes.HasPrefix(data, []byte{0xff, 0xfe}), bytes.HasPrefix(data, []byte{0xfe, 0xff})
	if !little && !big {
		return data
	}
	units := make([]uint16, 0, len(data)/2)
	for n := 2; n+1 < len(data); n += 2 {
		if little {
			units = append(units, uint16(data[n])|uint16(data[n+1])<<8)
		} else {
			units = append(units, uint16(data[n])<<8|uint16(data[n+1]))
		}
	}
	return []byte(string(utf16.Decode(units)))
}

// lineWith returns the first line on which a value is the words, 0 if there is none.
func lineWith(data []byte, words string) int {
	for _, around := range [][2]string{{">", "<"}, {`"`, `"`}} {
		if at := bytes.Index(data, []byte(around[0]+words+around[1])); at >= 0 {
			return 1 + bytes.Count(data[:at+1], []byte("\n"))
		}
	}
	return 0
}

// The size of an excerpt: lines around the element, lines of the element, letters of a line.
const (
	linesAround  = 4
	linesOf      = 60
	lettersOf    = 400
	bytesUnlined = 4000 // a longer line is no line for people
)

// excerptAt cuts the element that begins on a line, or that has the identifier on it, out of a file.
func excerptAt(file string, data []byte, line int, id string) Excerpt {
	begin, end := lineBounds(data, line)
	if begin < 0 {
		return Excerpt{File: file}
	}
	if end-begin > bytesUnlined {
		return excerptUnlined(file, data[begin:end], line, id)
	}
	from, to := elementAround(data, begin, end)
	first := 1 + bytes.Count(data[:from], []byte("\n"))
	last := min(first+bytes.Count(data[from:to], []byte("\n")), first+linesOf-1)
	out := Excerpt{File: file}
	for n := max(1, first-linesAround); n <= last+linesAround; n++ {
		b, e := lineBounds(data, n)
		if b < 0 {
			break
		}
		out.Lines = append(out.Lines, ExcerptLine{Number: n, Text: shortLine(data[b:e]), Of: n >= first && n <= last})
	}
	return out
}

// lineBounds returns where a line begins and ends, -1 if the file has no such line.
func lineBounds(data []byte, line int) (begin, end int) {
	for n := 1; n < line; n++ {
		next := bytes.IndexByte(data[begin:], '\n')
		if next < 0 {
			return -1, -1
		}
		begin += next + 1
	}
	if begin >= len(data) {
		return -1, -1
	}
	if next := bytes.IndexByte(data[begin:], '\n'); next >= 0 {
		return begin, begin + next
	}
	return begin, len(data)
}

func shortLine(b []byte) string {
	text := []rune(strings.ToValidUTF8(strings.TrimRight(strings.ReplaceAll(string(b), "\t", "  "), "\r\n "), "\ufffd"))
	if len(text) > lettersOf {
		return string(text[:lettersOf]) + " …"
	}
	return string(text)
}

// excerptUnlined shows what surrounds an identifier in a file without lines, broken at its elements.
func excerptUnlined(file string, data []byte, line int, id string) Excerpt {
	at := 0
	for _, before := range []string{`ObjectId="`, `ObjectId='`, `"@id":"`, `"@id": "`, `"`} {
		if n := bytes.Index(data, []byte(before+id)); id != "" && n >= 0 {
			at = n
			break
		}
	}
	from, to := elementAround(data, at, at)
	from, to = max(from, at-bytesUnlined), min(max(to, from), at+2*bytesUnlined)
	out := Excerpt{File: file, Broken: true}
	broken := func(b []byte) (lines []string) {
		text := strings.NewReplacer("><", ">\n<", ",\"", ",\n\"", "{", "{\n", "}", "\n}").Replace(string(b))
		for _, one := range strings.Split(text, "\n") {
			if strings.TrimSpace(one) != "" {
				lines = append(lines, shortLine([]byte(one)))
			}
		}
		return lines
	}
	add := func(lines []string, of bool) {
		for _, text := range lines {
			out.Lines = append(out.Lines, ExcerptLine{Number: line, Text: text, Of: of})
		}
	}
	before, element := broken(data[max(0, from-lettersOf):from]), broken(data[from:to])
	after := broken(data[to:min(len(data), to+lettersOf)])
	add(before[max(0, len(before)-linesAround):], false)
	add(element[:min(len(element), linesOf)], true)
	add(after[:min(len(after), linesAround)], false)
	return out
}
