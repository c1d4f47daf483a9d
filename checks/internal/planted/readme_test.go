package planted

import (
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// README.md states how many kinds and changes were tried, each in 20 counties.
func TestTheReadmeCountsKindsAndChanges(t *testing.T) {
	text, err := os.ReadFile("README.md")
	require.NoError(t, err)
	for pattern, want := range map[string]int{
		`All (\d+) kinds of mistake\*\*, planted ([\d,]+) times`:       len(Kinds()),
		`All (\d+) changes that mean nothing\*\*, made ([\d,]+) times`: len(Variants()),
	} {
		found := regexp.MustCompile(pattern).FindStringSubmatch(string(text))
		require.NotNil(t, found, "README.md says nothing of the form %s", pattern)
		require.Equal(t, strconv.Itoa(want), found[1], "run the table again and write down what it says")
		require.Equal(t, strconv.Itoa(20*want), strings.ReplaceAll(found[2], ",", ""), "each is tried in 20 counties")
	}
}
