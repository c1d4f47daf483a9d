package files

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestAFolderOfACloudClient(t *testing.T) {
	t.Setenv("OneDrive", `C:\Users\Clerk\Cloud`)
	for path, want := range map[string]bool{
		`C:\Users\Clerk\Cloud\tarnwick.counterproof`:      true,
		`c:\users\clerk\CLOUD\2027\tarnwick.counterproof`: true,
		`C:\Users\Clerk\Clouds\tarnwick.counterproof`:     false,
		`C:\Users\Clerk\Documents\tarnwick.counterproof`:  false,
		`D:\tarnwick.counterproof`:                        false,
	} {
		assert.Equal(t, want, Synchronized(path) != "", path)
	}
}
