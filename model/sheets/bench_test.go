package sheets

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"counterproof/model"
)

// bigCounty are the sheets of a county in which each precinct has a style of its
// own: county-wide contests, and some of its district.
func bigCounty(precincts, perBallot int) fstest.MapFS {
	var roster, contests, choices, ballots strings.Builder
	roster.WriteString("precinct,site\n")
	contests.WriteString("contest,title,kind,vote_for\n")
	choices.WriteString("contest,position,name,party_lines,write_in\n")
	ballots.WriteString("precinct,style,party,position,contest\n")
	n := 0
	contest := func(code string) {
		fmt.Fprintf(&contests, "%s,Member of the Board %s,candidate,1\n", code, code)
		for c := range 4 {
			n++
			fmt.Fprintf(&choices, "%s,%d,Candidate Number %d,%s,\n", code, c+1, n, []string{"ALD", "BRK", "ALD|BRK", "-"}[c])
		}
		fmt.Fprintf(&choices, "%s,5,,,yes\n", code)
	}
	for c := range perBallot - 5 {
		contest(fmt.Sprintf("county-%d", c))
	}
	for d := range (precincts + 9) / 10 {
		for c := range 5 {
			contest(fmt.Sprintf("district-%d-%d", d, c))
		}
	}
	for p := range precincts {
		fmt.Fprintf(&roster, "%d-%02d,Hall %d\n", p/20+1, p%20+1, p/7)
		for c := range perBallot {
			code := fmt.Sprintf("county-%d", c)
			if c >= perBallot-5 {
				code = fmt.Sprintf("district-%d-%d", p/10, c-perBallot+5)
			}
			fmt.Fprintf(&ballots, "%d-%02d,Style %d,,%d,%s\n", p/20+1, p%20+1, p+1, c+1, code)
		}
	}
	return fstest.MapFS{
		"precincts.csv": {Data: []byte(roster.String())},
		"contests.csv":  {Data: []byte(contests.String())},
		"choices.csv":   {Data: []byte(choices.String())},
		"ballots.csv":   {Data: []byte(ballots.String())},
	}
}

// BenchmarkCounty reads 5,000 precincts with 30 contests each. The reference, in
// the same run, is encoding/csv over the same bytes, keeping nothing.
func BenchmarkCounty(b *testing.B) {
	county := bigCounty(5000, 30)
	bare := func(b *testing.B) {
		for _, file := range county {
			r := csv.NewReader(bytes.NewReader(file.Data))
			r.ReuseRecord = true
			for {
				if _, err := r.Read(); err == io.EOF {
					break
				} else if err != nil {
					b.Fatal(err)
				}
			}
		}
	}
	read := func(b *testing.B) *Sheets {
		s, err := ReadFS(county)
		require.NoError(b, err)
		return s
	}
	var e *model.Election
	election := func(b *testing.B, s *Sheets) {
		var err error
		e, err = s.Election()
		require.NoError(b, err)
	}
	b.Run("bare csv", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			bare(b)
		}
	})
	b.Run("rows", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			read(b)
		}
	})
	b.Run("election of rows", func(b *testing.B) {
		b.ReportAllocs()
		s := read(b)
		for b.Loop() {
			election(b, s)
		}
	})
	b.Run("rows and election", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			election(b, read(b))
		}
	})
	require.Len(b, e.Styles, 5000)
}
