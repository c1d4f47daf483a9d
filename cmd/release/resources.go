package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"counterproof/assets/icon"
	"counterproof/model/program"
)

// manifest says to Windows that the program draws at the resolution of each screen, takes paths longer
// than 260 characters, and asks for no administrator (Microsoft, "Application manifests").
const manifest = `<?xml version="1.0" encoding="UTF-8" standalone="yes"?>
<assembly xmlns="urn:schemas-microsoft-com:asm.v1" manifestVersion="1.0">
  <trustInfo xmlns="urn:schemas-microsoft-com:asm.v3"><security><requestedPrivileges>
    <requestedExecutionLevel level="asInvoker" uiAccess="false"/>
  </requestedPrivileges></security></trustInfo>
  <compatibility xmlns="urn:schemas-microsoft-com:compatibility.v1"><application>
    <supportedOS Id="{8e0f7a12-bfb3-4fe8-b9a5-48fd50a15a9a}"/>
  </application></compatibility>
  <application xmlns="urn:schemas-microsoft-com:asm.v3"><windowsSettings>
    <dpiAware xmlns="http://schemas.microsoft.com/SMI/2005/WindowsSettings">true/pm</dpiAware>
    <dpiAwareness xmlns="http://schemas.microsoft.com/SMI/2016/WindowsSettings">PerMonitorV2, PerMonitor</dpiAwareness>
    <longPathAware xmlns="http://schemas.microsoft.com/SMI/2016/WindowsSettings">true</longPathAware>
  </windowsSettings></application>
</assembly>
`

// resources gives a Windows program its icon, version and manifest: an object file in its folder,
// which Go links in because of its name. Git ignores it; the caller removes it.
func (r *release) resources(name string) (string, error) {
	folder := filepath.Join(r.work, "resources-"+name)
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return "", err
	}
	for file, content := range map[string]string{
		"icon.ico": string(icon.ICO()), "manifest.xml": manifest, "resources.rc": script(name),
	} {
		if err := os.WriteFile(filepath.Join(folder, file), []byte(content), 0o644); err != nil {
			return "", err
		}
	}
	object := filepath.Join(r.root, "cmd", name, "resources_windows_amd64.syso")
	return object, r.run(folder, "x86_64-w64-mingw32-windres", "-O", "coff", "resources.rc", object)
}

// script is the resource script of a program (Microsoft, "VERSIONINFO resource").
func script(name string) string {
	what := "Counterproof: proves an election's set-up"
	if name == terminal {
		what += " (terminal)"
	}
	number := strings.ReplaceAll(program.Version, ".", ",") + ",0"
	return fmt.Sprintf(`1 ICON "icon.ico"
1 24 "manifest.xml"
1 VERSIONINFO
FILEVERSION %[1]s
PRODUCTVERSION %[1]s
FILEOS 0x40004
FILETYPE 1
BEGIN
  BLOCK "StringFileInfo"
  BEGIN
    BLOCK "040904b0"
    BEGIN
      VALUE "ProductName", "Counterproof\0"
      VALUE "FileDescription", "%[2]s\0"
      VALUE "FileVersion", "%[3]s\0"
      VALUE "ProductVersion", "%[3]s\0"
      VALUE "InternalName", "%[4]s\0"
      VALUE "OriginalFilename", "%[4]s.exe\0"
    END
  END
  BLOCK "VarFileInfo"
  BEGIN
    VALUE "Translation", 0x409, 1200
  END
END
`, number, what, program.Version, name)
}
