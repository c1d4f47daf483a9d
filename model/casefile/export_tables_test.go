package casefile

import (
	"fmt"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

var (
	listOfCandidates = TablesFile{"lists/candidates.csv", []byte("Office,Candidate\nJudge,Ilse\n")}
	listOfDistricts  = TablesFile{"lists/districts.xlsx", []byte("PK\x03\x04")}
	mappingOfLists   = TablesFile{"lists/mapping.json", []byte(`{"format":"counterproof-mapping/1"}`)}
)

// Tables come in after the seal, through a mapping that both of the pair signed, and never before.
func TestTablesComeInThroughAMappingThatBothSigned(t *testing.T) {
	path := newPath(t)
	c := staffed(t, path)
	files := []TablesFile{listOfCandidates, listOfDistricts}
	list, err := ListTables(files, &mappingOfLists)
	require.NoError(t, err)
	inWords, err := list.JSON()
	require.NoError(t, err)
	// The form that FORMAT.md states.
	require.Equal(t, fmt.Sprintf(`{"files":{"candidates.csv":"%s","districts.xlsx":"%s"},`+
		`"mapping":{"name":"mapping.json","sha256":"%s"}}`, DigestOf(listOfCandidates.Data),
		DigestOf(listOfDistricts.Data), DigestOf(mappingOfLists.Data)), string(inWords))
	require.NoError(t, c.Announce("p1", list.Name(), DigestOf(inWords), 0))
	require.NoError(t, keying(t, c).Load("proof A", smallEntry()))

	mapped := func(by ...PersonID) error { return c.MapTables(mappingOfLists.Name, mappingOfLists.Data, "why", by...) }
	require.ErrorIs(t, mapped("p1", "p2"), ErrNotSealed)
	_, err = c.ReceiveTables("p1", files, &mappingOfLists)
	require.ErrorIs(t, err, ErrNotSealed)
	require.NoError(t, c.Seal("p2", Seal{Scope: ScopeBallots}))

	_, err = c.ReceiveTables("p1", files, &mappingOfLists)
	require.ErrorContains(t, err, "both of the pair sign the mapping")
	require.ErrorContains(t, mapped("p1"), "second party")
	require.ErrorContains(t, mapped("p2"), "programmer")
	require.NoError(t, mapped("p1", "p2"))
	other := TablesFile{"mapping.json", append([]byte(" "), mappingOfLists.Data...)}
	_, err = c.ReceiveTables("p1", files, &other)
	require.ErrorContains(t, err, "both of the pair sign the mapping", "a byte of it makes another mapping")
	_, err = c.ReceiveTables("p1", append(files, TablesFile{"candidates.csv", nil}), &mappingOfLists)
	require.ErrorContains(t, err, "two files of the export have this name")

	digest, err := c.ReceiveTables("p1", files, &mappingOfLists)
	require.NoError(t, err)
	_, err = c.ReceiveTables("p1", files, &mappingOfLists)
	require.ErrorContains(t, err, "came in last")
	_, err = c.ReceiveTables("p1", files[:1], &mappingOfLists)
	require.NoError(t, err, "a later export needs no further signature")
	_, err = c.ReceiveTables("p1", []TablesFile{{"contests.csv", []byte("contest")}}, nil)
	require.NoError(t, err, "sheets need no mapping")

	c = reopen(t, c)
	x := c.State().Exports[0]
	require.Equal(t, "candidates.csv, districts.xlsx", x.Name)
	require.EqualValues(t, len(listOfCandidates.Data)+4, x.Size)
	require.NotZero(t, x.Announced)
	require.Equal(t, list, *x.Tables)
	stored, err := c.Export(digest)
	require.NoError(t, err)
	require.Equal(t, digest, DigestOf(stored))
	require.Equal(t, string(inWords), string(stored))
	for _, f := range append(files, mappingOfLists) {
		b, err := c.TablesFile(DigestOf(f.Data))
		require.NoError(t, err)
		require.Equal(t, string(f.Data), string(b), filepath.Base(f.Name))
	}
	_, err = c.TablesFile(digest)
	require.Error(t, err)
	require.NoError(t, c.Close())
	r, err := Verify(path, Expect{})
	require.NoError(t, err)
	require.True(t, r.Good(), r.Words())
	require.EqualValues(t, userVersion, versionOf(t, path))
	var kept []string
	for _, b := range r.Blobs {
		kept = append(kept, b.What)
	}
	require.Subset(t, kept, []string{"table candidates.csv", "table districts.xlsx", "mapping mapping.json",
		"table contests.csv"})
}

// Any change of a stored table, its mapping or the list shows.
func TestAnyChangeOfStoredTablesShows(t *testing.T) {
	path := newPath(t)
	c := sealedCase(t, path)
	require.NoError(t, c.MapTables("mapping.json", mappingOfLists.Data, "why", "p1", "p2"))
	_, err := c.ReceiveTables("p1", []TablesFile{listOfCandidates}, &mappingOfLists)
	require.NoError(t, err)
	require.NoError(t, c.Close())
	for name, f := range map[string]TablesFile{
		"table candidates.csv": listOfCandidates, "mapping mapping.json": mappingOfLists,
	} {
		r, err := Verify(change(t, path, fmt.Sprintf(`UPDATE blob SET bytes = CAST('x' AS BLOB) WHERE sha256 = x'%s'`,
			DigestOf(f.Data))), Expect{})
		require.NoError(t, err)
		require.Contains(t, r.Words(), name)
	}
	for _, body := range []string{
		`{"files":{"candidates.csv":"%[1]s"},"sha256":"%[1]s","size":1}`,
		`{"files":{},"sha256":"%[1]s","size":1}`, `{"files":{"a/b":"%[1]s"},"sha256":"%[1]s","size":1}`,
	} {
		s := newState(nil)
		s.sealed[ScopeBallots] = []*Tables{}
		e := Entry{Seq: 2, Kind: KindTablesReceived, Body: fmt.Sprintf(body, DigestOf(listOfCandidates.Data))}
		_, err := s.plan(&e)
		require.Error(t, err, body)
	}
}
