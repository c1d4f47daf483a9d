package sheets

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/require"
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

// bareRead is encoding/csv over the same bytes, keeping nothing.
func bareRead(b *testing.B, county fstest.MapFS) {
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

// BenchmarkCounty makes an election of 150,000 rows of ballots.csv: 5,000
// precincts with 30 contests each. The reference is bareRead, taken in turn in the
// same run: x-bare says how many times as long it takes.
func BenchmarkCounty(b *testing.B) {
	quoted := func(fsys fstest.MapFS) fstest.MapFS {
		// One quotation mark in a file takes it to encoding/csv.
		out := fstest.MapFS{}
		for name, file := range fsys {
			head, rest, _ := bytes.Cut(file.Data, []byte(","))
			out[name] = &fstest.MapFile{Data: slices.Concat([]byte(`"`), head, []byte(`",`), rest)}
		}
		return out
	}
	shuffled := func(fsys fstest.MapFS) fstest.MapFS {
		out := maps.Clone(fsys)
		lines := bytes.SplitAfter(fsys["ballots.csv"].Data, []byte("\n"))
		rows := lines[1 : len(lines)-1]
		rand.New(rand.NewPCG(1, 2)).Shuffle(len(rows), func(i, j int) { rows[i], rows[j] = rows[j], rows[i] })
		out["ballots.csv"] = &fstest.MapFile{Data: bytes.Join(lines, nil)}
		return out
	}
	county := bigCounty(5000, 30)
	for _, c := range []struct {
		name   string
		county fstest.MapFS
	}{
		{"as keyed", county},
		{"with quotation marks", quoted(county)},
		{"rows in no order", shuffled(county)},
		{"twice the precincts", bigCounty(10000, 30)},
	} {
		b.Run(c.name, func(b *testing.B) {
			var bare, rows, election time.Duration
			b.ReportAllocs()
			for b.Loop() {
				start := time.Now()
				bareRead(b, c.county)
				bare += time.Since(start)

				start = time.Now()
				s, err := ReadFS(c.county)
				require.NoError(b, err)
				rows += time.Since(start)

				start = time.Now()
				e, err := s.Election()
				require.NoError(b, err)
				election += time.Since(start)
				require.GreaterOrEqual(b, len(e.Styles), 5000)
			}
			b.ReportMetric(float64(bare.Milliseconds())/float64(b.N), "ms-bare")
			b.ReportMetric(float64(rows.Milliseconds())/float64(b.N), "ms-rows")
			b.ReportMetric(float64(election.Milliseconds())/float64(b.N), "ms-election")
			b.ReportMetric(float64(rows+election)/float64(bare), "x-bare")
		})
	}
}
