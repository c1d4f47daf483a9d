package files

import (
	"io/fs"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
)

// The numbers are Microsoft's, "System Error Codes (0-499)": ERROR_WRITE_PROTECT, ERROR_HANDLE_DISK_FULL,
// ERROR_DISK_FULL.
func TestAFullDiskAndAProtectedStick(t *testing.T) {
	failed := func(code syscall.Errno) error { return &fs.PathError{Op: "write", Path: "a", Err: code} }
	for code, says := range map[syscall.Errno]string{
		19:  "the disk or stick is write-protected",
		39:  "the disk is full",
		112: "the disk is full",
		5:   "you may not write there",
	} {
		err := failed(code)
		assert.Equal(t, code == 39 || code == 112, NoRoom(err), code)
		assert.Equal(t, code == 19, Protected(err), code)
		assert.ErrorContains(t, Unwritten("a", err), says)
	}
}
