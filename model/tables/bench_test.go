package tables_test

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"runtime"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"counterproof/model/tables"
)

// county is one table of 5,000 precincts with 30 contests each, and a small one with the choices.
func county(t fataler) (list []plain, maps []tables.Table) {
	t.Helper()
	big := plain{"ballots", [][]string{{"Precinct", "Style", "Place", "Contest", "Title", "Kind", "Vote for"}}}
	for p := range 5000 {
		for c := range 30 {
			contest := c
			if c >= 20 {
				contest = 20 + (p/100)*10 + c - 20 // contests of the precinct's own district
			}
			big.rows = append(big.rows, []string{fmt.Sprintf("P-%04d", p), fmt.Sprintf("Style %d", p/100),
				strconv.Itoa(c + 1),
				fmt.Sprintf("C%d", contest), fmt.Sprintf("Member of the Board, Seat %d", contest), "candidate",
				strconv.Itoa(contest%3 + 1)})
		}
	}
	choices := plain{"choices", [][]string{{"Contest", "Name"}}}
	for c := range 520 {
		for i := range 4 {
			choices.rows = append(choices.rows, []string{fmt.Sprintf("C%d", c), fmt.Sprintf("Candidate %d of %d", i, c)})
		}
	}
	return []plain{big, choices}, []tables.Table{
		{File: "ballots", Rows: map[string][]tables.Source{
			"precincts": {{Columns: map[string]string{"precinct": "{Precinct}"}}},
			"contests": {{Columns: map[string]string{"contest": "{Contest}", "title": "{Title}", "kind": "{Kind}",
				"vote_for": "{Vote for}"}}},
			"ballots": {{Columns: map[string]string{"precinct": "{Precinct}", "style": "{Style}", "position": "{Place}",
				"contest": "{Contest}"}}},
		}},
		{File: "choices", Rows: rows("choices", tables.Source{Columns: map[string]string{"contest": "{Contest}",
			"name": "{Name}"}})},
	}
}

func walkBook(t fataler, data []byte) {
	f, err := excelize.OpenReader(bytes.NewReader(data))
	require.NoError(t, err)
	for _, sheet := range f.GetSheetList() {
		rows, err := f.Rows(sheet)
		require.NoError(t, err)
		for rows.Next() {
			_, err := rows.Columns()
			require.NoError(t, err)
		}
	}
}

func walkCSV(t fataler, data []byte) {
	r := csv.NewReader(bytes.NewReader(data))
	r.ReuseRecord = true
	for {
		_, err := r.Read()
		if errors.Is(err, io.EOF) {
			return
		}
		require.NoError(t, err)
	}
}

// BenchmarkCounty reports how many times as long reading takes as a bare walk over the rows by the
// same library, and the most memory in use at once.
func BenchmarkCounty(b *testing.B) {
	list, maps := county(b)
	for name, of := range map[string]struct {
		files []tables.File
		m     *tables.Mapping
		walk  func(fataler, []byte)
	}{
		"CSV":  {asCSV(b, list), mapping(b, maps, false), walkCSV},
		"XLSX": {asWorkbook(b, list), mapping(b, maps, true), walkBook},
	} {
		b.Run(name, func(b *testing.B) {
			var walked, read time.Duration
			peak := uint64(0)
			for b.Loop() {
				start := time.Now()
				for _, f := range of.files {
					of.walk(b, f.Data)
				}
				walked += time.Since(start)
				runtime.GC()
				stop := watch(&peak)
				start = time.Now()
				_, _, err := tables.Read(of.files, of.m, tables.Options{})
				read += time.Since(start)
				stop()
				require.NoError(b, err)
			}
			b.ReportMetric(float64(read)/float64(walked), "times-the-walk")
			b.ReportMetric(read.Seconds()/float64(b.N), "s/read")
			b.ReportMetric(float64(peak>>20), "MB-in-use")
		})
	}
}

// watch looks at the memory in use until it is stopped.
func watch(peak *uint64) (stop func()) {
	done, ended := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(ended)
		for {
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			*peak = max(*peak, m.Sys-m.HeapReleased)
			select {
			case <-done:
				return
			case <-time.After(20 * time.Millisecond):
			}
		}
	}()
	return func() { close(done); <-ended }
}
