package sheets

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"counterproof/model"
)

// marker begins a sheet in the input of FuzzSheets; the sheet's name follows, up to
// the end of the line.
const marker = "\n=== "

func split(data []byte) fstest.MapFS {
	fsys := fstest.MapFS{}
	for i, part := range bytes.Split(append([]byte("\n"), data...), []byte(marker)) {
		if name, text, ok := bytes.Cut(part, []byte("\n")); i > 0 && ok && len(name) < 100 {
			if name := string(name); fsValid(name) {
				fsys[name] = &fstest.MapFile{Data: bytes.Clone(text)}
			}
		}
	}
	return fsys
}

func fsValid(name string) bool {
	return name != "" && name != "." && name != ".." && !strings.ContainsAny(name, "/\\") && utf8.ValidString(name)
}

func joined(sheets map[string]string) []byte {
	var names []string
	for name := range sheets {
		names = append(names, name)
	}
	slices.Sort(names)
	var b strings.Builder
	for _, name := range names {
		b.WriteString(marker + name + "\n" + sheets[name])
	}
	return []byte(b.String())
}

// requireOneLine requires of an error what every error of this package promises.
func requireOneLine(t *testing.T, err error) {
	said := err.Error()
	require.NotContains(t, said, "\n")
	require.NotContains(t, said, "\r")
	require.True(t, utf8.ValidString(said), "%q", said)
	require.Less(t, len(said), 4000, "an error can be read")
	var e *Error
	if errors.As(err, &e) {
		require.NotEmpty(t, e.File)
	}
}

// requireWhole requires that every index leads to something.
func requireWhole(t *testing.T, e *model.Election) {
	in := func(list []int, length int) {
		for _, i := range list {
			require.True(t, i >= 0 && i < length)
		}
	}
	for _, p := range e.Precincts {
		for _, s := range p.Sites.Value {
			in([]int{s.Site}, len(e.Sites))
		}
	}
	for _, c := range e.Contests {
		in(c.PrimaryParties.Value, len(e.Parties))
		for _, choice := range c.Choices {
			in(choice.Lines.Value, len(e.Parties))
		}
	}
	for _, s := range e.Styles {
		in(s.Parties, len(e.Parties))
		in(s.Precincts, len(e.Precincts))
		require.True(t, slices.IsSorted(s.Precincts) && len(slices.Compact(slices.Clone(s.Precincts))) == len(s.Precincts))
		for _, p := range s.Content {
			in([]int{p.Contest}, len(e.Contests))
			in(p.Order.Value, len(e.Contests[p.Contest].Choices))
		}
	}
	for _, u := range e.Units {
		in(u.Precincts.Value, len(e.Precincts))
		if u.Site.Known {
			in([]int{u.Site.Value}, len(e.Sites))
		}
	}
}

// Any bytes give an election or one clear error; an election survives being
// written as sheets.
func FuzzSheets(f *testing.F) {
	f.Add(joined(thornbury))
	with := func(name, text string) []byte {
		sheets := map[string]string{}
		for k, v := range thornbury {
			sheets[k] = v
		}
		sheets[name] = text
		return joined(sheets)
	}
	f.Add(with("ballots.csv",
		"precinct;style;party;position;contest;heading;choice_order\r\n;North;ALD|BRK;1;judge;County|Judicial;3|1|2\r\n1-01;;-;2;prop1;-;\r\n;South;;1;judge;;\r\n"))
	f.Add(with("choices.csv", "contest\tposition\tname\tparty_lines\twrite_in\tperson\rjudge\t1\t\"A / "+
		"\"\"B\"\"\"\t-\t\t1\rjudge\t2\t\t\tyes\t\r"))
	f.Add(with("precincts.csv", "sep=;\nprecinct;site;use\n1-01;A;early\n1-01;B;\n1-02;;\n2-01;;accessible\n"))
	f.Add(with("styles.csv", "style,precinct,party\nNorth,1-01,ALD\nNorth,1-02,\n"))
	f.Add(with("election.csv",
		"\xff\xfen\x00a\x00m\x00e\x00,\x00d\x00a\x00t\x00e\x00,\x00j\x00u\x00r\x00i\x00s\x00d\x00i\x00c\x00t\x00i\x00o\x00n\x00\n\x00a\x00,\x00,\x00"))
	f.Add(with("units.csv", "unit,site,precinct\n\"S-1\n,,"))
	f.Add([]byte("\n=== x\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := ReadFS(split(data))
		if err != nil {
			requireOneLine(t, err)
			return
		}
		e, err := s.Election()
		if err != nil {
			requireOneLine(t, err)
			return
		}
		requireWhole(t, e)
		back, err := FromElection(e, "").Election()
		require.NoError(t, err)
		requireSame(t, e, back, "as sheets and back")
	})
}

// A card list may be any bytes, and never makes an index that leads nowhere.
func FuzzUnits(f *testing.F) {
	f.Add([]byte(thornbury["units.csv"]))
	f.Add([]byte("\ufeffunit;site;precinct;use\r\nS-1;Hall;1-01;early\r\nS-1;Hall;;early\r\n;;;\r\n"))
	f.Add([]byte("unit\tsite\tprecinct\rS-1\t\"Hall\"\tMill\r"))
	f.Add(
		[]byte(
			"\xfe\xff\x00u\x00n\x00i\x00t\x00,\x00s\x00i\x00t\x00e\x00,\x00p\x00r\x00e\x00c\x00i\x00n\x00c\x00t\x00\n\x00a\x00,\x00,\x00b"))
	f.Add([]byte("unit,site,precinct\nS-1,\"Hall,1-01\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		rows, err := ReadUnits("cards.csv", data)
		if err != nil {
			requireOneLine(t, err)
			return
		}
		e := export()
		if err := AttachUnits(e, rows); err != nil {
			requireOneLine(t, err)
			return
		}
		requireWhole(t, e)
		require.Len(t, e.Origins.Units, len(e.Units))
	})
}

// Without quotation marks, plainReader reads what encoding/csv reads.
func FuzzPlainReader(f *testing.F) {
	f.Add("a,b\r\n\r\n,\n\nc,d,e", byte(','))
	f.Add("a\tb\n\r\r\n", byte('\t'))
	f.Fuzz(func(t *testing.T, text string, comma byte) {
		// As toUTF8 leaves it, without quotation marks and with a separator that
		// is one.
		text = string(toUTF8([]byte(strings.ReplaceAll(text, `"`, ""))))
		if !strings.ContainsRune(",;\t", rune(comma)) {
			comma = ','
		}
		want := csv.NewReader(strings.NewReader(text))
		want.Comma, want.FieldsPerRecord = rune(comma), -1
		got := plainReader{text: text, comma: comma}
		for {
			w, errWant := want.Read()
			g, errGot := got.Read()
			require.Equal(t, errWant, errGot)
			if errWant == io.EOF {
				return
			}
			require.Equal(t, w, g)
			lineWant, _ := want.FieldPos(0)
			lineGot, _ := got.FieldPos(0)
			require.Equal(t, lineWant, lineGot)
		}
	})
}
