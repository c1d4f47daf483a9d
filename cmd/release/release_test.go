package main

import (
	"bytes"
	"compress/gzip"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The terminal program's parts, by "go list": each has a licence that is recognized, and its text is
// in the list whole.
func TestThePartsAndTheirLicences(t *testing.T) {
	r := &release{root: filepath.Join("..", ".."), built: map[string]string{"linux " + terminal: os.Args[0]},
		commit: "abc"}
	root, err := filepath.Abs(r.root)
	require.NoError(t, err)
	r.root = root
	of, err := r.components("linux")
	require.NoError(t, err)
	ids := map[string][]string{}
	for _, c := range of {
		ids[c.name] = c.identifiers()
	}
	assert.Equal(t, []string{"BSD-3-Clause"}, ids["Go standard library and runtime"])
	assert.Equal(t, []string{"MIT"}, ids["github.com/alecthomas/kong"])
	assert.Equal(t, []string{"BSD-2-Clause"}, ids["github.com/beevik/etree"])
	assert.Equal(t, []string{"MPL-2.0"}, ids["go.mau.fi/util"])
	assert.NotContains(t, ids, "pgregory.net/rapid", "what only tests use is in no program")
	assert.NotContains(t, ids, "fyne.io/fyne/v2", "it is in the desktop alone")
	text := licences(of)
	for _, c := range of {
		for name, licence := range c.licences {
			assert.Contains(t, text, strings.TrimRight(strings.ReplaceAll(licence, "\r\n", "\n"), "\n"), "%s %s", c.name, name)
		}
	}
	assert.True(t, strings.HasPrefix(text, noLicence))
	assert.Contains(t, text, "go mod download go.mau.fi/util@")
	bill, err := r.bill(of, "linux")
	require.NoError(t, err)
	digest, err := digestOf(os.Args[0])
	require.NoError(t, err)
	assert.Contains(t, string(bill), digest)
	assert.Contains(t, string(bill), `"pkg:golang/github.com/alecthomas/kong@`)
}

func TestAManualPageShowsTheHelpAsItIs(t *testing.T) {
	f, err := zipped("a.1.gz", []byte(verbatim("Usage: a --out DIR\n.hidden\n'quoted' C:\\x\n")))
	require.NoError(t, err)
	z, err := gzip.NewReader(bytes.NewReader(f.data))
	require.NoError(t, err)
	page, err := io.ReadAll(z)
	require.NoError(t, err)
	assert.Equal(t, ".nf\nUsage: a \\-\\-out DIR\n\\&.hidden\n\\&'quoted' C:\\ex\n.fi\n", string(page))
}

func TestCommandsAreFoundInTheHelp(t *testing.T) {
	help := "Flags:\n  -h, --help    Show it.\n\nA case\n  new CASE --date=D    Begin a case.\n  export-in CASE    " +
		"Bring in.\n"
	var names []string
	for _, c := range commandLine.FindAllStringSubmatch(help, -1) {
		names = append(names, c[1])
	}
	assert.Equal(t, []string{"new", "export-in"}, names)
}

// The page names this release's files, and leaves no mark of the text that it is made of.
func TestTheProcedureIsAPage(t *testing.T) {
	page, err := (&release{}).procedure()
	require.NoError(t, err)
	assert.NotContains(t, string(page), "VERSION")
	assert.Contains(t, string(page), name("-windows-amd64-setup.exe"))
	assert.Contains(t, string(page), "<table>")
	assert.Equal(t, 2, strings.Count(string(page), "ssh-keygen -Y verify -f signers -I release -n "+namespace+" "))
}
