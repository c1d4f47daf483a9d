package results

import (
	"bytes"
	"fmt"
	"io"
	"math/rand/v2"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"counterproof/model/cdf"
)

// recordStream is cast vote records as they are written, made while they are read: nothing of them is held.
type recordStream struct {
	n, contests, choices int
	json                 bool
	at                   int
	buffer               bytes.Buffer
	rand                 *rand.Rand
	over                 bool
}

func newRecordStream(n int, json bool) *recordStream {
	return &recordStream{n: n, contests: 12, choices: 5, json: json, rand: rand.New(rand.NewPCG(1, 2))}
}

func (s *recordStream) Read(p []byte) (int, error) {
	for s.buffer.Len() < len(p) && !s.over {
		s.write()
	}
	if s.buffer.Len() == 0 {
		return 0, io.EOF
	}
	return s.buffer.Read(p)
}

func (s *recordStream) write() {
	w := &s.buffer
	switch {
	case s.at == 0 && s.json:
		w.WriteString(`{"@type": "CVR.CastVoteRecordReport", "CVR": [`)
	case s.at == 0:
		w.WriteString("<?xml version=\"1.0\"?>\n<CastVoteRecordReport xmlns=\"http://itl.nist.gov/ns/voting/1500-103/v1\" " +
			"xmlns:xsi=\"http://www.w3.org/2001/XMLSchema-instance\">\n")
	}
	if s.at == s.n {
		s.over = true
		s.definition(w)
		return
	}
	s.at++
	if s.json {
		if s.at > 1 {
			w.WriteByte(',')
		}
		fmt.Fprintf(w, "\n{\"@type\": \"CVR.CVR\", \"BallotPrePrintedId\": \"%d\", \"BallotStyleUnitId\": \"p%d\", "+
			"\"CurrentSnapshotId\": \"s%d\", \"CVRSnapshot\": [{\"@type\": \"CVR.CVRSnapshot\", "+
			"\"@id\": \"s%d\", \"CVRContest\": [",
			s.at, s.at%50, s.at%50, s.at%50)
	} else {
		fmt.Fprintf(w,
			"  <CVR>\n    <BallotPrePrintedId>%d</BallotPrePrintedId>\n    <BallotStyleUnitId>p%d</BallotStyleUnitId>\n"+
				"    <CurrentSnapshotId>s%d</CurrentSnapshotId>\n    <CVRSnapshot ObjectId=\"s%d\">\n", s.at, s.at%50, s.at%50,
			s.at%50)
	}
	for c := range s.contests {
		j := s.rand.IntN(s.choices)
		if s.json {
			if c > 0 {
				w.WriteByte(',')
			}
			fmt.Fprintf(w, "\n{\"@type\": \"CVR.CVRContest\", \"ContestId\": \"c%d\", \"CVRContestSelection\": [{\"@type\": "+
				"\"CVR.CVRContestSelection\", \"ContestSelectionId\": \"c%d-%d\", \"SelectionPosition\": [{\"@type\": "+
				"\"CVR.SelectionPosition\", \"HasIndication\": \"yes\", \"IsAllocable\": \"yes\", \"NumberVotes\": 1}]}], "+
				"\"Overvotes\": 0, \"Undervotes\": 0}", c, c, j)
			continue
		}
		fmt.Fprintf(w, "      <CVRContest>\n        <ContestId>c%d</ContestId>\n        <CVRContestSelection>\n"+
			"          <ContestSelectionId>c%d-%d</ContestSelectionId>\n          <SelectionPosition>\n"+
			"            <HasIndication>yes</HasIndication>\n            <IsAllocable>yes</IsAllocable>\n"+
			"            <NumberVotes>1</NumberVotes>\n          </SelectionPosition>\n        </CVRContestSelection>\n"+
			"        <Overvotes>0</Overvotes>\n        <Undervotes>0</Undervotes>\n      </CVRContest>\n", c, c, j)
	}
	if s.json {
		w.WriteString(`], "Type": "original"}]}`)
	} else {
		w.WriteString("      <Type>original</Type>\n    </CVRSnapshot>\n  </CVR>\n")
	}
}

func (s *recordStream) definition(w *bytes.Buffer) {
	if s.json {
		w.WriteString("],\n\"Election\": [{\"@type\": \"CVR.Election\", \"@id\": \"e\", \"Contest\": [")
	} else {
		w.WriteString("  <Election ObjectId=\"e\">\n")
	}
	for c := range s.contests {
		var choices []string
		for j := range s.choices {
			if s.json {
				choices = append(choices, fmt.Sprintf(`{"@type": "CVR.CandidateSelection", "@id": "c%d-%d"}`, c, j))
			} else {
				choices = append(choices, fmt.Sprintf(`<ContestSelection xsi:type="CandidateSelection" ObjectId="c%d-%d"/>`, c, j))
			}
		}
		if s.json {
			if c > 0 {
				w.WriteByte(',')
			}
			fmt.Fprintf(w,
				`{"@type": "CVR.CandidateContest", "@id": "c%d", "Name": "Contest %d", "VotesAllowed": 1, `+
					`"ContestSelection": [%s]}`,
				c, c, strings.Join(choices, ","))
		} else {
			fmt.Fprintf(w,
				`<Contest xsi:type="CandidateContest" ObjectId="c%d">%s<Name>Contest %d</Name>`+
					`<VotesAllowed>1</VotesAllowed></Contest>`,
				c, strings.Join(choices, ""), c)
		}
	}
	if s.json {
		w.WriteString(`]}]}`)
	} else {
		w.WriteString("  </Election>\n</CastVoteRecordReport>\n")
	}
}

// walk reads the tokens of a file and does nothing with them.
func walk(in io.Reader) error {
	s, err := cdf.Open("records", in, cdf.Records)
	if err != nil {
		return err
	}
	for {
		if m, err := s.Next(); err != nil || m.Kind == cdf.Over {
			return err
		}
	}
}

// BenchmarkRecords counts a million records (with -short, a fiftieth) and reports how many times longer
// that takes than a bare walk over the tokens of the same bytes, and the memory that is held in between.
// The time to make the bytes is measured by itself and taken from both.
func BenchmarkRecords(b *testing.B) {
	n := 1_000_000
	if testing.Short() {
		n = 20_000
	}
	for _, json := range []bool{false, true} {
		b.Run(map[bool]string{false: "XML", true: "JSON"}[json], func(b *testing.B) {
			for b.Loop() {
				var bytesMade int64
				made := timed(func() (err error) {
					bytesMade, err = io.Copy(io.Discard, struct{ io.Reader }{newRecordStream(n, json)})
					return err
				})
				bare := timed(func() error { return walk(newRecordStream(n, json)) })
				var r *Results
				counted := timed(func() (err error) {
					r, err = recordsOf(File{"records", func() (io.ReadCloser, error) {
						return io.NopCloser(newRecordStream(n, json)), nil
					}})
					return err
				})
				var m runtime.MemStats
				runtime.ReadMemStats(&m)
				require.Equal(b, n, r.Records)
				b.ReportMetric(float64(counted-made)/float64(bare-made), "times-a-walk")
				b.ReportMetric(float64(bytesMade)/float64(counted-made)*1e3, "MB/s")
				b.ReportMetric(float64(m.HeapInuse)/(1<<20), "MB-held")
			}
		})
	}
}

func timed(f func() error) time.Duration {
	begin := time.Now()
	if err := f(); err != nil {
		panic(err)
	}
	return time.Since(begin)
}
