package files

import (
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What must not be lost is refused, whatever it is called and whether or not files may
// be replaced; an ordinary file is replaced where that is asked for.
func TestWhatIsNeverWrittenOver(t *testing.T) {
	folder := t.TempDir()
	at := func(name string) string { return filepath.Join(folder, name) }
	const database = "SQLite format 3\x00 and more"
	require.NoError(t, os.Mkdir(at("second"), 0o777))
	put(t, folder, "export.xml", "<export/>")
	put(t, at("second"), "contests.csv", "contest,title")
	put(t, folder, "general.counterproof", database)
	put(t, folder, "plain.txt", "yesterday")
	for name, bytes := range map[string]string{
		"renamed.bak": database, "any.db": database, "half-empty.db": database,
		"log.bin": "\x37\x7f\x06\x82 log", "log2.bin": "\x37\x7f\x06\x83 log",
		"journal.bin":          "\xd9\xd5\x05\xf9\x20\xa1\x63\xd7",
		"damaged.counterproof": "no database at all", "any.db-wal": "w", "any.db-journal": "",
		"general.counterproof-wal": "w", "general.counterproof-shm": "s",
		"general.counterproof-journal": "", "general.counterproof.lease": "{}",
	} {
		put(t, folder, name, bytes)
	}
	require.NoError(t, os.Link(at("export.xml"), at("hard.xml")))
	require.NoError(t, os.Link(at("second/contests.csv"), at("hard.csv")))
	require.NoError(t, os.Link(at("general.counterproof"), at("hard.case")))
	linked := os.Symlink(at("export.xml"), at("soft.xml")) == nil &&
		os.Symlink(at("general.counterproof"), at("soft")) == nil &&
		os.Symlink(at("second"), at("soft-folder")) == nil
	names := []string{"export.xml", "hard.xml", "second/contests.csv", "hard.csv", "second/new.csv",
		"second/../export.xml", "second",
		"general.counterproof", "hard.case", "renamed.bak", "any.db", "log.bin", "log2.bin", "journal.bin",
		"damaged.counterproof",
		"any.db-wal", "any.db-journal", "any.db-shm", "new.counterproof", "NEW.CounterProof", "new.counterproof-wal",
		"general.counterproof-wal", "general.counterproof-shm", "general.counterproof-journal", "general.counterproof.lease",
		""}
	if linked {
		names = append(names, "soft.xml", "soft", "soft-folder/contests.csv", "soft-folder/new.csv")
	}
	before := map[string]string{}
	for _, name := range held(t, folder) {
		if info, err := os.Stat(at(name)); err == nil && info.Mode().IsRegular() {
			before[name] = content(t, at(name))
		}
	}
	for _, name := range names {
		for _, replace := range []bool{false, true} {
			p := Place{Path: at(name), Replace: replace, Inputs: []string{at("export.xml"), at("second"), at("gone"), ""}}
			if name == "" {
				p.Path = ""
			}
			err := p.Write(func(io.Writer) error { t.Errorf("%s: nothing is written", name); return nil })
			require.ErrorIs(t, err, ErrRefused, name)
			refusal(t, err, p.Path)
			require.ErrorIs(t, p.Check(), ErrRefused, name)
		}
	}
	for name, was := range before {
		assert.Equal(t, was, content(t, at(name)), name)
	}

	// What is left may be written.
	p := Place{Path: at("plain.txt"), Inputs: []string{at("export.xml"), at("second")}}
	require.ErrorIs(t, p.Check(), ErrThere)
	require.ErrorIs(t, p.Write(says("today")), ErrThere)
	assert.Equal(t, "yesterday", content(t, at("plain.txt")))
	p.Replace = true
	require.NoError(t, p.Check())
	require.NoError(t, p.Write(says("today")))
	assert.Equal(t, "today", content(t, at("plain.txt")))
	for _, name := range []string{"new.txt", "plain-wal", "notes.lease", "second.csv"} {
		require.NoError(t, Place{Path: at(name), Inputs: p.Inputs}.Check(), name)
	}
}

// A case may be called like one, and is not put beside what SQLite would take for its
// log: a log of another case would be played into it.
func TestAPlaceForACase(t *testing.T) {
	folder := t.TempDir()
	at := func(name string) string { return filepath.Join(folder, name) }
	require.NoError(t, Place{Path: at("copy.counterproof"), Case: true}.Write(says("SQLite format 3\x00")))
	for _, end := range []string{"-wal", "-shm", "-journal", ".lease"} {
		put(t, folder, "left"+end+".counterproof"+end, "x")
		p := Place{Path: at("left" + end + ".counterproof"), Case: true}
		require.ErrorIs(t, p.Check(), ErrRefused)
		refusal(t, p.Check(), p.Path, end)
	}
	put(t, folder, "damaged.counterproof", "a case that lost its head")
	for _, name := range []string{"copy.counterproof", "damaged.counterproof"} {
		require.ErrorIs(t, Place{Path: at(name), Case: true, Replace: true}.Check(), ErrRefused)
	}
}

// What the program's own output goes to is not replaced below it.
func TestWhatTheOutputGoesTo(t *testing.T) {
	path := filepath.Join(t.TempDir(), "out.txt")
	f, err := os.Create(path)
	require.NoError(t, err)
	defer f.Close()
	was := os.Stdout
	os.Stdout = f
	defer func() { os.Stdout = was }()
	require.ErrorIs(t, Place{Path: path, Replace: true}.Check(), ErrRefused)
}
