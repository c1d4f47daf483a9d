package session

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestARecentCaseIsToldByItsFolderAndItsDate(t *testing.T) {
	home := t.TempDir()
	t.Setenv("HOME", home)
	t.Setenv("USERPROFILE", home)
	path := filepath.Join(home, "2027", "general.counterproof")
	assert.Equal(t, "in "+filepath.Join("~", "2027"), Whereabouts(path), "a file that is gone has no date")
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o700))
	require.NoError(t, os.WriteFile(path, nil, 0o600))
	at := time.Date(2027, 9, 14, 9, 5, 0, 0, time.Local)
	require.NoError(t, os.Chtimes(path, at, at))
	assert.Equal(t, "in "+filepath.Join("~", "2027")+", changed September 14, 2027, 09:05", Whereabouts(path))
	assert.Equal(t, "in "+home+"stead", Whereabouts(filepath.Join(home+"stead", "x.counterproof")),
		"a folder that only begins like the home folder")
}
