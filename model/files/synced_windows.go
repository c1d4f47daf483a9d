package files

import (
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"unsafe"
)

var syncRoot = syscall.NewLazyDLL("cldapi.dll").NewProc("CfGetSyncRootInfoByPath")

// synchronized asks the system (Microsoft, "Cloud Filter API"; Windows 10 1709 and later), and looks
// at the folders that the client that comes with Windows names in the environment.
func synchronized(folder string) bool {
	for _, name := range []string{"OneDrive", "OneDriveCommercial", "OneDriveConsumer"} {
		if of := os.Getenv(name); of != "" && below(folder, of) {
			return true
		}
	}
	path, err := syscall.UTF16PtrFromString(folder)
	if err != nil || syncRoot.Find() != nil {
		return false
	}
	const basic = 0 // CF_SYNC_ROOT_INFO_BASIC, 8 bytes
	var info [8]byte
	var length uint32
	failed, _, _ := syncRoot.Call(uintptr(unsafe.Pointer(path)), basic, uintptr(unsafe.Pointer(&info)),
		uintptr(len(info)), uintptr(unsafe.Pointer(&length)))
	return failed == 0
}

// below reports whether a folder is another one or lies in it.
func below(folder, in string) bool {
	way, err := filepath.Rel(strings.ToLower(in), strings.ToLower(folder))
	return err == nil && filepath.IsLocal(way)
}
