package session

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Of files of one time the order is natural, and what came in already is behind what did not.
func TestFilesThatDidNotComeInYetAreOfferedFirst(t *testing.T) {
	dir := t.TempDir()
	at := time.Date(2027, 10, 8, 16, 40, 0, 0, time.Local)
	for _, name := range []string{"export 10.xml", "export 9.xml", "export.xml", "Old.xml"} {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, []byte(name), 0o600))
		when := at
		if name == "Old.xml" {
			when = at.Add(-time.Hour)
		}
		require.NoError(t, os.Chtimes(path, when, when))
	}
	names := func(known func(Offer) bool) (out []string) {
		offers, _, err := Browse(dir, []string{".xml"}, known)
		require.NoError(t, err)
		for _, o := range offers {
			out = append(out, o.Name)
		}
		return out
	}
	assert.Equal(t, []string{"export 9.xml", "export 10.xml", "export.xml", "Old.xml"}, names(nil))
	assert.Equal(t, []string{"export 10.xml", "export.xml", "Old.xml", "export 9.xml"},
		names(func(o Offer) bool { return o.Name == "export 9.xml" && o.Size == 12 }))
}

func TestCasesOfOneNameAreToldApart(t *testing.T) {
	list := []string{"/a/one/demo.counterproof", "/a/two/demo.counterproof", "/a/general.counterproof"}
	assert.Equal(t, filepath.Join("a", "one", "demo.counterproof"), NameAmong(list[0], list))
	assert.Equal(t, "general.counterproof", NameAmong(list[2], list))
}
