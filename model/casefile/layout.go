package casefile

import (
	"context"
	"database/sql"
	"encoding/binary"
	"fmt"
	"io"
	"os"
	"slices"
)

// schemaRow is a row of sqlite_schema (SQLite file format, section 2.6).
type schemaRow struct{ kind, name, table, sql string }

// schemaRows returns every row of sqlite_schema for the layout, in no particular order. The index
// is the one that SQLite creates for the primary key of blob.
func schemaRows() []schemaRow {
	rows := []schemaRow{{"index", "sqlite_autoindex_blob_1", "blob", ""}}
	for _, l := range layout {
		row := schemaRow{"table", l.name, l.name, l.sql}
		if l.on != "" {
			row.kind, row.table = "trigger", l.on
		}
		rows = append(rows, row)
	}
	return rows
}

// checkLayout checks that the database has the tables and triggers of the layout and nothing else.
// The *BrokenError names the first deviation.
func checkLayout(conn *sql.Conn, path string) error {
	faults, err := layoutFaults(conn)
	if err == nil && len(faults) > 0 {
		err = &BrokenError{path, 0, faults[0]}
	}
	return err
}

// layoutFaults describes in words how the tables deviate from the layout.
func layoutFaults(conn *sql.Conn) (faults []string, err error) {
	rows, err := conn.QueryContext(context.Background(),
		`SELECT type, name, tbl_name, coalesce(sql, '') FROM sqlite_schema ORDER BY rowid`)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	missing := schemaRows()
	for rows.Next() {
		var r schemaRow
		if err := rows.Scan(&r.kind, &r.name, &r.table, &r.sql); err != nil {
			return nil, err
		}
		if i := slices.Index(missing, r); i >= 0 {
			missing = slices.Delete(missing, i, i+1)
			continue
		}
		if i := slices.IndexFunc(missing, func(m schemaRow) bool { return m.name == r.name }); i >= 0 {
			missing = slices.Delete(missing, i, i+1)
			faults = append(faults,
				fmt.Sprintf("its %s is not as the layout has it: the tables were changed with another program", r.name))
			continue
		}
		faults = append(faults,
			fmt.Sprintf("it holds the %s %q, which the layout does not have: it was put in with another program", r.kind,
				r.name))
	}
	for _, m := range missing {
		faults = append(faults, fmt.Sprintf("its %s %s is missing: the tables were changed with another program", m.kind,
			m.name))
	}
	return faults, rows.Err()
}

// The parts of a database file's header that the layout fixes (SQLite file format, section 1.3).
// Unused parts could otherwise hide other content.
const headerSize = 100

// headerFaults describes in words what a database file contains besides its pages in use: bytes
// after the last page, free pages, and a header that deviates from the layout. It reads only the
// file itself. pages is how many pages the files beside it may add.
func headerFaults(file string, pages int64) ([]string, error) {
	f, err := os.Open(file)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return nil, err
	}
	h := make([]byte, headerSize)
	if _, err := io.ReadFull(f, h); err != nil {
		return nil, err
	}
	page := pageSize(h)
	if page == 0 {
		return []string{"its header gives no size of a page"}, nil
	}
	var faults []string
	add := func(format string, values ...any) { faults = append(faults, fmt.Sprintf(format, values...)) }
	inUse := max(int64(binary.BigEndian.Uint32(h[28:])), pages)
	switch size := inUse * page; {
	case info.Size() > size:
		add("%d bytes lie after its last page: they were put there with another program", info.Size()-size)
	case info.Size() < size && pages == 0:
		add("it is %d bytes shorter than its header says: it was cut off", size-info.Size())
	case info.Size()%page != 0:
		add("%d bytes of it are no whole page", info.Size()%page)
	}
	if n := binary.BigEndian.Uint32(h[36:]); n != 0 || binary.BigEndian.Uint32(h[32:]) != 0 {
		add("it has free pages (%d), which may hold anything: this program leaves none", n)
	}
	for _, part := range []struct {
		at, size int
		want     uint32
		what     string
	}{
		{20, 1, 0, "bytes reserved on each page"},
		{48, 4, 0, "size of the page cache"},
		{52, 4, 0, "largest root page"},
		{56, 4, 1, "text encoding"},
		{64, 4, 0, "incremental vacuum"},
	} {
		got := uint32(h[part.at])
		if part.size == 4 {
			got = binary.BigEndian.Uint32(h[part.at:])
		}
		if got != part.want {
			add("its header's %s is %d where the layout has %d: it was changed with another program", part.what, got, part.want)
		}
	}
	if slices.ContainsFunc(h[72:92], func(b byte) bool { return b != 0 }) {
		add("its header holds bytes where the format has none: they were put there with another program")
	}
	return faults, nil
}

// pageSize returns a database's page size in bytes, from its header; 0 if the header has none.
func pageSize(header []byte) int64 {
	switch n := int64(binary.BigEndian.Uint16(header[16:])); {
	case n == 1:
		return 65536
	case n >= 512 && n&(n-1) == 0:
		return n
	}
	return 0
}

// needs returns the layout that an entry requires.
func needs(e *Entry) int64 {
	switch {
	case slices.Contains(kindsSince4, e.Kind):
		return 4
	case slices.Contains(kindsSince3, e.Kind), e.Kind == KindDecided && signedByOne(e):
		return 3
	case slices.Contains(kindsSince2, e.Kind):
		return 2
	}
	return 1
}

// layoutOf returns the layout that a database states.
func layoutOf(conn *sql.Conn) (version int64, err error) {
	err = conn.QueryRowContext(context.Background(), "PRAGMA user_version").Scan(&version)
	return version, err
}
