package files

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// held lists a folder.
func held(t *testing.T, folder string) (names []string) {
	t.Helper()
	list, err := os.ReadDir(folder)
	require.NoError(t, err)
	for _, entry := range list {
		names = append(names, entry.Name())
	}
	return names
}

func content(t *testing.T, path string) string {
	t.Helper()
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	return string(b)
}

func says(words string) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := io.WriteString(w, words)
		return err
	}
}

func TestAFileThatCannotBeWrittenStaysAsItWas(t *testing.T) {
	folder := t.TempDir()
	path := put(t, folder, "result.json", "the result of yesterday")
	away := errors.New("the disk went away")
	err := Place{Path: path, Replace: true}.Write(func(w io.Writer) error {
		_, _ = io.WriteString(w, strings.Repeat("half a result ", 100000))
		return away
	})
	require.ErrorIs(t, err, away)
	assert.ErrorContains(t, err, path)
	assert.ErrorContains(t, err, "the disk went away")
	assert.Equal(t, "the result of yesterday", content(t, path))
	assert.Equal(t, []string{"result.json"}, held(t, folder), "nothing half written is left behind")

	require.NoError(t, Place{Path: path, Replace: true}.Write(says("the result of today")))
	assert.Equal(t, "the result of today", content(t, path))
	assert.Equal(t, []string{"result.json"}, held(t, folder))
}

func TestAFileHasItsNameOnlyWhenItIsWhole(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "report.pdf")
	require.NoError(t, Place{Path: path}.Write(func(w io.Writer) error {
		assert.NoFileExists(t, path)
		return says("whole")(w)
	}))
	assert.Equal(t, "whole", content(t, path))
	filled := filepath.Join(folder, "copy")
	require.NoError(t, Place{Path: filled}.Fill(func(part string) error {
		assert.NoFileExists(t, filled)
		assert.Equal(t, folder, filepath.Dir(part), "on the same disk")
		return os.WriteFile(part, []byte("by name"), 0o644)
	}))
	assert.Equal(t, "by name", content(t, filled))
	assert.Equal(t, []string{"copy", "report.pdf"}, held(t, folder))
}

// A file that appears while another is written is not lost, and neither is a case that
// takes the place of an ordinary file that may be replaced.
func TestWhatAppearsMeanwhileIsKept(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "result.txt")
	err := Place{Path: path}.Write(func(w io.Writer) error {
		put(t, folder, "result.txt", "somebody else's")
		return says("ours")(w)
	})
	require.ErrorIs(t, err, ErrThere)
	assert.Equal(t, "somebody else's", content(t, path))
	err = Place{Path: path, Replace: true}.Write(func(w io.Writer) error {
		put(t, folder, "result.txt", "SQLite format 3\x00 a case")
		return says("ours")(w)
	})
	require.ErrorIs(t, err, ErrRefused)
	assert.Contains(t, content(t, path), "a case")
	err = Place{Path: path + "2"}.Write(func(w io.Writer) error {
		require.NoError(t, os.Mkdir(path+"2", 0o777))
		return says("ours")(w)
	})
	require.ErrorIs(t, err, ErrRefused)
	assert.Equal(t, []string{"result.txt", "result.txt2"}, held(t, folder), "nothing half written is left behind")
	// The last moment, after every look.
	from := put(t, folder, "from", "ours")
	require.ErrorIs(t, move(from, path, false), os.ErrExist)
	assert.Contains(t, content(t, path), "a case")
}

func TestWritingThroughALinkReplacesWhatItNames(t *testing.T) {
	folder, elsewhere := t.TempDir(), t.TempDir()
	file, link := put(t, elsewhere, "result.txt", "old"), filepath.Join(folder, "latest.txt")
	if err := os.Symlink(file, link); err != nil {
		t.Skip("no link can be made here")
	}
	require.ErrorIs(t, Place{Path: link}.Write(says("new")), ErrThere)
	require.NoError(t, Place{Path: link, Replace: true}.Write(says("new")))
	assert.Equal(t, "new", content(t, file))
	info, err := os.Lstat(link)
	require.NoError(t, err)
	assert.NotZero(t, info.Mode()&os.ModeSymlink, "the link is still a link")
	assert.Equal(t, []string{"latest.txt"}, held(t, folder))
	assert.Equal(t, []string{"result.txt"}, held(t, elsewhere))

	require.NoError(t, os.Remove(file))
	for _, replace := range []bool{false, true} {
		err := Place{Path: link, Replace: replace}.Write(says("new"))
		require.ErrorIs(t, err, ErrRefused)
		refusal(t, err, link, "leads nowhere")
	}
}

func TestAFolderThatIsNotThere(t *testing.T) {
	path := filepath.Join(t.TempDir(), "gone", "result.txt")
	refusal(t, Place{Path: path}.Write(says("x")), path, "create it first")
	refusal(t, NewFolder(path, func(string) error { return nil }), path, "create it first")
}

func TestAFolderIsMadeAllAtOnce(t *testing.T) {
	above := t.TempDir()
	dir := filepath.Join(above, "evidence")
	fill := func(to string) error {
		assert.NoDirExists(t, dir)
		return Place{Path: filepath.Join(to, "README.txt")}.Write(says("read me"))
	}
	away := errors.New("the stick was pulled out")
	require.ErrorIs(t, NewFolder(dir, func(to string) error { return errors.Join(fill(to), away) }), away)
	assert.Empty(t, held(t, above))
	require.NoError(t, NewFolder(dir, fill))
	assert.Equal(t, []string{"README.txt"}, held(t, dir))
	assert.Equal(t, []string{"evidence"}, held(t, above))

	for _, dir := range []string{dir, put(t, above, "file", "x"), filepath.Join(above, "t.counterproof-wal")} {
		err := NewFolder(dir, func(string) error { t.Error("nothing is made"); return nil })
		require.ErrorIs(t, err, ErrRefused)
		refusal(t, err, dir)
		require.ErrorIs(t, CheckFolder(dir), ErrRefused)
	}
	empty := filepath.Join(above, "empty")
	require.NoError(t, os.Mkdir(empty, 0o777))
	require.NoError(t,
		NewFolder(empty, func(to string) error { return Place{Path: filepath.Join(to, "a")}.Write(says("a")) }))
	assert.Equal(t, []string{"a"}, held(t, empty))
	// Somebody puts something there meanwhile.
	dir = filepath.Join(above, "other")
	require.Error(t, NewFolder(dir, func(to string) error {
		require.NoError(t, os.Mkdir(dir, 0o777))
		put(t, dir, "theirs", "x")
		return nil
	}))
	assert.Equal(t, []string{"theirs"}, held(t, dir))
	assert.Equal(t, []string{"empty", "evidence", "file", "other"}, held(t, above))
}

func TestRenamingReplacesNothing(t *testing.T) {
	folder := t.TempDir()
	from, to := put(t, folder, "draft", "ours"), put(t, folder, "there", "theirs")
	require.ErrorIs(t, Rename(from, to), ErrThere)
	assert.Equal(t, "theirs", content(t, to))
	require.NoError(t, Rename(from, filepath.Join(folder, "new")))
	assert.Equal(t, []string{"new", "there"}, held(t, folder))
}
