package casefile

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Every test that FORMAT.md names is there.
func TestTheTestsThatTheFormatNamesAreThere(t *testing.T) {
	page, err := os.ReadFile("FORMAT.md")
	require.NoError(t, err)
	var sources strings.Builder
	for _, dir := range []string{".", "../../cmd/cproof", "../../checks/report", "../../checks/review", "../../app"} {
		files, err := filepath.Glob(filepath.Join(dir, "*_test.go"))
		require.NoError(t, err)
		for _, f := range files {
			b, err := os.ReadFile(f)
			require.NoError(t, err)
			sources.Write(b)
		}
	}
	named := regexp.MustCompile("`(Test[A-Za-z0-9]+)`").FindAllStringSubmatch(string(page), -1)
	require.Greater(t, len(named), 20)
	for _, n := range named {
		require.Contains(t, sources.String(), "func "+n[1]+"(", "FORMAT.md names a test that is not there")
	}
}
