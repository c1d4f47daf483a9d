package files

import (
	"bytes"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// put writes a file for a test, and returns its path.
func put(t *testing.T, folder, name, content string) string {
	t.Helper()
	path := filepath.Join(folder, name)
	require.NoError(t, os.WriteFile(path, []byte(content), 0o644))
	return path
}

// refusal asserts an error of one line with the file, a fault and a remedy.
func refusal(t *testing.T, err error, path string, words ...string) {
	t.Helper()
	var e *Error
	require.ErrorAs(t, err, &e)
	assert.Equal(t, path, e.Path)
	assert.NotEmpty(t, e.Fault)
	assert.NotEmpty(t, e.Remedy, e.Fault)
	assert.NotContains(t, err.Error(), "\n")
	for _, w := range words {
		assert.Contains(t, err.Error(), w)
	}
}

func TestAFileIsReadToItsEnd(t *testing.T) {
	path := put(t, t.TempDir(), "export.xml", "all of it")
	for _, read := range []func() ([]byte, error){
		func() ([]byte, error) { return Read(path, 9) },
		func() ([]byte, error) { return fs.ReadFile(Folder(filepath.Dir(path)), "export.xml") },
		func() ([]byte, error) {
			f, err := OpenPlain(path)
			require.NoError(t, err)
			defer f.Close()
			return io.ReadAll(f)
		},
	} {
		b, err := read()
		require.NoError(t, err)
		assert.Equal(t, "all of it", string(b))
	}
	_, err := Read(path, 8)
	require.ErrorIs(t, err, ErrTooLong)
	refusal(t, err, path, "9 bytes")
	empty, err := Read(put(t, t.TempDir(), "empty", ""), 0)
	require.NoError(t, err)
	assert.Empty(t, empty)
}

// A file ends where it ended when it was opened: what is appended meanwhile makes it no
// longer, and is said; so is what was cut off.
func TestAFileThatChangesWhileItIsRead(t *testing.T) {
	path := put(t, t.TempDir(), "export.xml", "0123456789")
	f, err := Open(path)
	require.NoError(t, err)
	defer f.Close()
	four := make([]byte, 4)
	_, err = io.ReadFull(f, four)
	require.NoError(t, err)
	more, err := os.OpenFile(path, os.O_WRONLY|os.O_APPEND, 0)
	require.NoError(t, err)
	_, err = more.WriteString("and more")
	require.NoError(t, err)
	require.NoError(t, more.Close())
	rest, err := io.ReadAll(f)
	assert.Equal(t, "456789", string(rest), "no byte beyond the size that it had")
	require.ErrorIs(t, err, ErrChanged)
	refusal(t, err, path, "grew")

	f, err = Open(path)
	require.NoError(t, err)
	defer f.Close()
	require.NoError(t, os.Truncate(path, 3))
	rest, err = io.ReadAll(f)
	assert.Equal(t, "012", string(rest))
	require.ErrorIs(t, err, ErrChanged)
	refusal(t, err, path, "shorter")
}

func TestWhatIsNoFileIsNotRead(t *testing.T) {
	folder := t.TempDir()
	_, err := Open(folder)
	refusal(t, err, folder, "is a folder")
	gone := filepath.Join(folder, "gone")
	_, err = Open(gone)
	require.ErrorIs(t, err, fs.ErrNotExist)
	refusal(t, err, gone, "there is no such file; check the name")

	link := filepath.Join(folder, "link")
	if os.Symlink(put(t, folder, "file", "content"), link) != nil {
		t.Skip("no link can be made here")
	}
	b, err := Read(link, 100)
	require.NoError(t, err)
	assert.True(t, bytes.Equal(b, []byte("content")))
	_, err = OpenPlain(link)
	refusal(t, err, link, "is a link")
}
