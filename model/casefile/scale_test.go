package casefile

import (
	"context"
	"database/sql"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"counterproof/model/sheets"
)

// A county of 5,000 precincts with a face each, of 30 contests out of 60.
const (
	countyPrecincts = 5000
	countyContests  = 60
	onOneBallot     = 30
)

func countySheets(precincts int) *sheets.Sheets {
	s := &sheets.Sheets{}
	for c := range countyContests {
		code := fmt.Sprintf("c%02d", c+1)
		s.Contests = append(s.Contests, sheets.ContestRow{Contest: code, Title: "Member of the County Council, District " +
			itoa(c+1), Kind: "candidate", VoteFor: "1", Source: "Proof A"})
		for i := range 4 {
			s.Choices = append(s.Choices, sheets.ChoiceRow{Contest: code, Position: itoa(i + 1),
				Name: fmt.Sprintf("Candidate %d of %d", i+1, c+1), PartyLines: "HAR|MEA"})
		}
	}
	for p := range precincts {
		name, style := fmt.Sprintf("%d-%03d", p/100+1, p%100+1), fmt.Sprintf("S%04d", p+1)
		s.Precincts = append(s.Precincts, sheets.PrecinctRow{Precinct: name, Site: fmt.Sprintf("Hall %d", p/4)})
		s.Styles = append(s.Styles, sheets.StyleRow{Style: style, Precinct: name})
		for i := range onOneBallot {
			s.Ballots = append(s.Ballots, sheets.BallotRow{Style: style, Position: itoa(i + 1),
				Contest: fmt.Sprintf("c%02d", (p+i*7)%countyContests+1)})
		}
		s.Units = append(s.Units, sheets.UnitRow{Unit: "U" + itoa(p/4), Site: fmt.Sprintf("Hall %d", p/4), Precinct: name})
	}
	return s
}

// keyOneByOne keys every cell of the rows as an entry of its own, the way it is done
// on the desktop; a contest is put on a face by one entry. To make a large case
// in reasonable time the entries of a thousand rows share one sync.
func keyOneByOne(t testing.TB, c *Case, s *sheets.Sheets) {
	t.Helper()
	loaded := fromSheets(s)
	var entries []Entry
	flush := func() {
		require.NoError(t, c.write(nil, append(entries, Entry{})[:len(entries)]))
		entries = entries[:0]
	}
	at := stamp(c.now())
	for tab := range tables {
		for row := 1; row <= loaded.Last(tab); row++ {
			body := keyedBody{}
			one := func() {
				if len(body) == 0 {
					return
				}
				b, err := canonical(body)
				require.NoError(t, err)
				e := Entry{Seq: c.state.Seq + 1, At: at, Who: "p2", Kind: KindKeyed, Body: string(b), Prev: c.state.Head}
				e.Hash = DigestOf(e.Canonical())
				require.NoError(t, c.state.fold(&e))
				entries = append(entries, e)
				body = keyedBody{}
			}
			for column, value := range loaded.rowCells(tab, row) {
				if value == "" {
					continue
				}
				body.put(Field{0, tab, row, schema[tab].columns[column]}, value)
				// A placement, an assignment, a header is one act.
				if tab != Placements && tab != Assignments && tab != Headers {
					one()
				}
			}
			one()
			if len(entries) >= 1000 {
				flush()
			}
		}
	}
	if len(entries) > 0 {
		flush()
	}
}

func sheetBytes(t testing.TB, s *sheets.Sheets) int64 {
	t.Helper()
	dir := t.TempDir()
	var total int64
	stored, err := s.Stored()
	require.NoError(t, err)
	for _, f := range stored {
		total += int64(len(f.Data))
		require.NoError(t, os.WriteFile(filepath.Join(dir, f.Name), f.Data, 0o600))
	}
	return total
}

// BenchmarkOpenCounty opens and folds a county's case beside reading the same rows
// with a bare SELECT, in the same run. Keyed one by one the rows are the journal's;
// brought in as sheets they are those of plain tables. The contract is a ratio of at
// most 3. It also reports the size of the file against the sheets, at most 8.
func BenchmarkOpenCounty(b *testing.B) {
	county := countySheets(countyPrecincts)
	csv := sheetBytes(b, county)
	for _, form := range []string{"keyed one by one", "brought in as sheets"} {
		b.Run(form, func(b *testing.B) {
			path := newPath(b)
			c := staffed(b, path)
			plainTable := filepath.Join(b.TempDir(), "plain.db")
			var bare func() int
			if form == "keyed one by one" {
				keyOneByOne(b, c, county)
				bare = func() int { return bareJournal(b, path) }
			} else {
				require.NoError(b, keying(b, c).Load("county", county))
				plainRows(b, plainTable, county)
				bare = func() int { return barePlain(b, plainTable) }
			}
			require.NoError(b, c.Close())
			info, err := os.Stat(path)
			require.NoError(b, err)
			var reading, opening, whole time.Duration
			rows := 0
			b.ResetTimer()
			for b.Loop() {
				start := time.Now()
				rows = bare()
				reading += time.Since(start)
				start = time.Now()
				c, err := Open(path, quick())
				require.NoError(b, err)
				opening += time.Since(start)
				s, err := c.Sheets(0)
				whole += time.Since(start)
				require.NoError(b, err)
				require.Len(b, s.Ballots, len(county.Ballots))
				require.NoError(b, c.Close())
			}
			b.ReportMetric(float64(rows), "rows")
			b.ReportMetric(float64(reading.Milliseconds())/float64(b.N), "select-ms")
			b.ReportMetric(float64(opening)/float64(reading), "open/select")
			b.ReportMetric(float64(whole)/float64(reading), "open+rows/select")
			b.ReportMetric(float64(info.Size())/float64(csv), "file/sheets")
		})
	}
}

func bareJournal(b testing.TB, path string) (n int) {
	db, err := sql.Open("sqlite", path)
	require.NoError(b, err)
	defer db.Close()
	rows, err := db.QueryContext(context.Background(), "SELECT seq, at, who, kind, body, hash FROM journal ORDER BY seq")
	require.NoError(b, err)
	defer rows.Close()
	var seq int64
	var at int64
	var who, kind, body string
	var hash sql.RawBytes
	for rows.Next() {
		require.NoError(b, rows.Scan(&seq, &at, &who, &kind, &body, &hash))
		n++
	}
	require.NoError(b, rows.Err())
	return n
}

func plainRows(b testing.TB, path string, s *sheets.Sheets) {
	db, err := sql.Open("sqlite", path)
	require.NoError(b, err)
	defer db.Close()
	for _, table := range []string{"ballots(precinct,style,party,position,contest,heading,choice_order)",
		"styles(style,precinct,party)", "precincts(precinct,site,use)", "units(unit,site,precinct,use)"} {
		_, err := db.Exec("CREATE TABLE " + table)
		require.NoError(b, err)
	}
	tx, err := db.Begin()
	require.NoError(b, err)
	for _, r := range s.Ballots {
		_, err := tx.Exec("INSERT INTO ballots VALUES (?,?,?,?,?,?,?)", r.Precinct, r.Style, r.Party, r.Position, r.Contest,
			r.Heading, r.ChoiceOrder)
		require.NoError(b, err)
	}
	for _, r := range s.Styles {
		_, err := tx.Exec("INSERT INTO styles VALUES (?,?,?)", r.Style, r.Precinct, r.Party)
		require.NoError(b, err)
	}
	for _, r := range s.Precincts {
		_, err := tx.Exec("INSERT INTO precincts VALUES (?,?,?)", r.Precinct, r.Site, r.Use)
		require.NoError(b, err)
	}
	for _, r := range s.Units {
		_, err := tx.Exec("INSERT INTO units VALUES (?,?,?,?)", r.Unit, r.Site, r.Precinct, r.Use)
		require.NoError(b, err)
	}
	require.NoError(b, tx.Commit())
}

func barePlain(b testing.TB, path string) (n int) {
	db, err := sql.Open("sqlite", path)
	require.NoError(b, err)
	defer db.Close()
	for table, columns := range map[string]int{"ballots": 7, "styles": 3, "precincts": 3, "units": 4} {
		rows, err := db.Query("SELECT * FROM " + table)
		require.NoError(b, err)
		cells := make([]string, columns)
		into := make([]any, columns)
		for i := range cells {
			into[i] = &cells[i]
		}
		for rows.Next() {
			require.NoError(b, rows.Scan(into...))
			n++
		}
		require.NoError(b, rows.Err())
		require.NoError(b, rows.Close())
	}
	return n
}

// BenchmarkCommit keys one value after another beside bare fsynced appends of 4 KiB to
// a file in the same folder, in turn. The contract is a ratio of at most 2.
func BenchmarkCommit(b *testing.B) {
	path := newPath(b)
	c := staffed(b, path)
	k := keying(b, c)
	f, err := os.Create(filepath.Join(filepath.Dir(path), "bare"))
	require.NoError(b, err)
	defer f.Close()
	page := make([]byte, 4096)
	var bare, commit time.Duration
	n := 0
	b.ResetTimer()
	for b.Loop() {
		n++
		start := time.Now()
		_, err := f.Write(page)
		require.NoError(b, err)
		require.NoError(b, f.Sync())
		bare += time.Since(start)
		start = time.Now()
		require.NoError(b, k.Set(Set(Contests, 1, "title", "County Executive "+itoa(n))))
		commit += time.Since(start)
	}
	b.ReportMetric(float64(bare.Microseconds())/float64(n), "append-us")
	b.ReportMetric(float64(commit.Microseconds())/float64(n), "commit-us")
	b.ReportMetric(float64(commit)/float64(bare), "commit/append")
}

// BenchmarkOpenJoined opens a county's case to which another keyer's was joined, beside
// a bare SELECT over a journal of as many entries in the same run.
func BenchmarkOpenJoined(b *testing.B) {
	county := countySheets(countyPrecincts)
	other := staffed(b, newPath(b))
	keyOneByOne(b, other, county)
	require.NoError(b, other.Close())
	main := staffed(b, newPath(b))
	require.NoError(b, keying(b, main).Load("roster", &sheets.Sheets{Precincts: county.Precincts}))
	_, err := main.Join("p2", other.Path())
	require.NoError(b, err)
	require.NoError(b, main.Close())
	info, err := os.Stat(main.Path())
	require.NoError(b, err)
	var reading, opening time.Duration
	for b.Loop() {
		start := time.Now()
		bareJournal(b, other.Path())
		reading += time.Since(start)
		start = time.Now()
		c, err := Open(main.Path(), quick())
		require.NoError(b, err)
		opening += time.Since(start)
		require.NoError(b, c.Close())
	}
	b.ReportMetric(float64(opening)/float64(reading), "open/select")
	b.ReportMetric(float64(info.Size())/float64(sheetBytes(b, county)), "file/sheets")
}
