package casefile

import (
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"
)

// The kinds of entry for an export that is tables: the mapping that the pair signs, and the tables
// themselves.
const (
	KindTablesMapped   Kind = "tables-mapped"
	KindTablesReceived Kind = "tables-received"
)

// maxTables limits the files of one export.
const maxTables = 1000

// NamedDigest is a stored file: its name without a folder, and the digest of its bytes.
type NamedDigest struct {
	Name   string `json:"name"`
	SHA256 Digest `json:"sha256"`
}

// TablesMapping is what the pair signs before tables come in: the mapping that reads them, because
// it decides what is compared. The case keeps its bytes.
type TablesMapping struct {
	// Name is the name of its file, SHA256 the digest of its bytes.
	Name   string `json:"name"`
	Reason string `json:"reason"`
	SHA256 Digest `json:"sha256"`
}

// TablesList names the files of an export that is tables. The digest of the export is that of this
// list as canonical JSON.
type TablesList struct {
	// Files are the digests of the tables by name.
	Files map[string]Digest `json:"files"`
	// Mapping is the mapping that reads them; nil if they are sheets, which need none.
	Mapping *NamedDigest `json:"mapping,omitzero"`
}

// tablesBody is the body of a KindTablesReceived entry. Size is that of all its tables, in bytes.
type tablesBody struct {
	Files   map[string]Digest `json:"files"`
	Mapping *NamedDigest      `json:"mapping,omitzero"`
	SHA256  Digest            `json:"sha256"`
	Size    int64             `json:"size"`
}

// TablesFile is a file of tables, or their mapping, to be stored.
type TablesFile struct {
	Name string
	Data []byte
}

// ListTables makes the list of tables. It refuses two files of one name. Folders in names are left
// out.
func ListTables(files []TablesFile, mapping *TablesFile) (TablesList, error) {
	list := TablesList{Files: map[string]Digest{}}
	for _, f := range files {
		name := filepath.Base(f.Name)
		if _, twice := list.Files[name]; twice {
			return list, refuse(ErrRule, "%s: two files of the export have this name; give each table once", name)
		}
		list.Files[name] = DigestOf(f.Data)
	}
	if mapping != nil {
		list.Mapping = &NamedDigest{filepath.Base(mapping.Name), DigestOf(mapping.Data)}
	}
	return list, nil
}

// JSON returns the list as canonical JSON.
func (l TablesList) JSON() ([]byte, error) { return canonical(l) }

// Named are the tables in the order of their names.
func (l TablesList) Named() (out []NamedDigest) {
	for _, name := range slices.Sorted(maps.Keys(l.Files)) {
		out = append(out, NamedDigest{name, l.Files[name]})
	}
	return out
}

// Name names the tables, for people: the first three of many.
func (l TablesList) Name() string {
	names := slices.Sorted(maps.Keys(l.Files))
	const most = 3
	if rest := len(names) - most; rest > 1 {
		return fmt.Sprintf("%s and %d more", strings.Join(names[:most], ", "), rest)
	}
	return strings.Join(names, ", ")
}

// MapTables records the mapping that reads tables, byte for byte. The ballots must be sealed, and no
// amendment may be open: a mapping shows something of the export.
func (c *Case) MapTables(name string, mapping []byte, reason string, signedBy ...PersonID) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	if err := c.writable(); err != nil {
		return err
	}
	by, err := c.signers(signedBy)
	if err != nil {
		return err
	}
	if len(by) == 0 {
		return refuse(ErrRule, "nobody signs this; it needs signatures")
	}
	terms := TablesMapping{Name: filepath.Base(name), Reason: reason, SHA256: DigestOf(mapping)}
	// Check first, before any bytes reach the file.
	if err := c.state.mayTakeExport(terms.SHA256); err != nil {
		return err
	}
	return c.commit([][]byte{mapping}, draft{KindTablesMapped, actor(signedBy), terms, by})
}

// ReceiveTables stores an export that is tables, byte for byte, and returns its digest. The rules
// are those of Receive; both of the pair must have signed the mapping (MapTables).
func (c *Case) ReceiveTables(who PersonID, files []TablesFile, mapping *TablesFile) (Digest, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if err := c.writable(); err != nil {
		return Digest{}, err
	}
	list, err := ListTables(files, mapping)
	if err != nil {
		return Digest{}, err
	}
	body := tablesBody{Files: list.Files, Mapping: list.Mapping}
	var blobs [][]byte
	for _, f := range files {
		body.Size += int64(len(f.Data))
		blobs = append(blobs, f.Data)
	}
	if body.Size > maxBlob {
		return Digest{}, refuse(ErrRule, "the tables have %d bytes; a case keeps exports of at most %d", body.Size, maxBlob)
	}
	if mapping != nil {
		blobs = append(blobs, mapping.Data)
	}
	b, err := list.JSON()
	if err != nil {
		return Digest{}, err
	}
	body.SHA256 = DigestOf(b)
	// Check first, before any bytes reach the file.
	if _, err := c.state.mayReceiveTables(body); err != nil {
		return body.SHA256, err
	}
	return body.SHA256, c.commit(blobs, draft{KindTablesReceived, who, body, nil})
}

// TablesFile returns a file of received tables, or a mapping that the pair signed, byte for byte.
func (c *Case) TablesFile(digest Digest) ([]byte, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	for _, x := range c.state.Exports {
		if x.Tables != nil && slices.Contains(x.Tables.digests(), digest) {
			return c.blob(digest)
		}
	}
	if c.state.TablesMapped(digest) {
		return c.blob(digest)
	}
	return nil, refuse(ErrRule, "no table or mapping with the digest %s is in this case", digest)
}

// digests are those of all files of a list.
func (l TablesList) digests() []Digest {
	all := slices.Collect(maps.Values(l.Files))
	if l.Mapping != nil {
		all = append(all, l.Mapping.SHA256)
	}
	return all
}

// TablesMapped reports whether both of the pair signed a mapping with this digest.
func (s *State) TablesMapped(mapping Digest) bool {
	return slices.ContainsFunc(s.TablesMappings, func(a Act[TablesMapping]) bool { return a.Terms.SHA256 == mapping })
}

func (s *State) planTablesMapped(e *Entry) (func(), error) {
	a, err := planAct[TablesMapping](s, e, SeatProgrammer, SeatSecond)
	if err != nil {
		return nil, err
	}
	if err := s.mayTakeExport(a.Terms.SHA256); err != nil {
		return nil, err
	}
	if a.Terms.SHA256.IsZero() || a.Terms.Name == "" {
		return nil, refuse(ErrRule, "a mapping is signed by its name and digest")
	}
	return func() { s.TablesMappings = append(s.TablesMappings, a) }, nil
}

// mayReceiveTables enforces the rules of an export that is tables, and returns the export.
func (s *State) mayReceiveTables(body tablesBody) (Export, error) {
	list := TablesList{body.Files, body.Mapping}
	x := Export{Digest: body.SHA256, Size: body.Size, Name: list.Name(), Tables: &list}
	if err := s.mayReceive(body.SHA256); err != nil {
		return x, err
	}
	if len(list.Files) == 0 || len(list.Files) > maxTables {
		return x, refuse(ErrRule, "an export has between 1 and %d tables", maxTables)
	}
	for name := range list.Files {
		if name == "" || name == "." || strings.ContainsAny(name, `/\`) {
			return x, refuse(ErrRule, "%q is no name of a table's file", name)
		}
	}
	b, err := list.JSON()
	if err != nil {
		return x, err
	}
	if DigestOf(b) != body.SHA256 {
		return x, refuse(ErrTampered, "the digest of the tables is not that of their list")
	}
	if m := list.Mapping; m != nil && !s.TablesMapped(m.SHA256) {
		return x, refuse(ErrRule, "%s: both of the pair sign the mapping before tables come in through it, because it "+
			"decides what is compared (sha256 %s)", m.Name, m.SHA256)
	}
	return x, nil
}

func (s *State) planTablesReceived(e *Entry) (func(), error) {
	var body tablesBody
	if err := decode(e.Body, &body); err != nil {
		return nil, err
	}
	x, err := s.mayReceiveTables(body)
	if err != nil {
		return nil, err
	}
	x.Seq, x.At, x.Who = e.Seq, e.At, e.Who
	return func() { s.received(x) }, nil
}
