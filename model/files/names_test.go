package files

import (
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestWhatAColonMeansToWindows(t *testing.T) {
	for path, says := range map[string]string{
		`a:b.csv`:                    "names a drive without a folder",
		`C:report.pdf`:               "names a drive without a folder",
		`result.csv:hidden`:          "holds a colon",
		`C:\cases\result.csv:hidden`: "holds a colon",
		`cases/1:2.csv`:              "holds a colon",
		`C:\cases\result.csv`:        "",
		`C:/cases/result.csv`:        "",
		`C:\`:                        "",
		`C:`:                         "",
		`\\server\share\result.csv`:  "",
		`\\?\C:\cases\result.csv`:    "",
		`\\?\UNC\server\share\a.csv`: "",
		`result.csv`:                 "",
		``:                           "",
	} {
		if says == "" {
			assert.Empty(t, colon(path), path)
		} else {
			assert.Contains(t, colon(path), says, path)
		}
	}
}

// On other systems a colon is a letter like any other.
func TestANameWithAColon(t *testing.T) {
	err := Place{Path: "a:b.csv"}.Check()
	if runtime.GOOS == "windows" {
		require.ErrorIs(t, err, ErrRefused)
		assert.ErrorContains(t, err, "a:b.csv: names a drive without a folder")
		assert.Error(t, CheckFolderName(`b:c`))
		assert.ErrorContains(t, Place{Path: `cases\nul`}.Check(), "is the name of a device")
		return
	}
	assert.NoError(t, err)
}
