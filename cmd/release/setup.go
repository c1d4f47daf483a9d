package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"counterproof/assets/icon"
	"counterproof/model/program"
)

// setupScript is the installer's script (NSIS 3). It installs for one person, into their own folder,
// and asks for no administrator. It removes only what it installed: cases are elsewhere.
const setupScript = `Unicode true
Name "Counterproof %[1]s"
OutFile "%[2]s"
RequestExecutionLevel user
InstallDir "$LOCALAPPDATA\Programs\Counterproof"
InstallDirRegKey HKCU "Software\Counterproof" "Folder"
SetCompressor /SOLID lzma
SetDateSave off
Icon "icon.ico"
UninstallIcon "icon.ico"
BrandingText "Counterproof %[1]s"
VIProductVersion "%[1]s.0"
VIAddVersionKey "ProductName" "Counterproof"
VIAddVersionKey "ProductVersion" "%[1]s"
VIAddVersionKey "FileVersion" "%[1]s"
VIAddVersionKey "FileDescription" "Installs Counterproof for one person"
VIAddVersionKey "LegalCopyright" ""
Page directory
Page instfiles
UninstPage uninstConfirm
UninstPage instfiles

!define GONE "Software\Microsoft\Windows\CurrentVersion\Uninstall\Counterproof"
!define TYPE "Software\Classes\Counterproof.Case"

Section
  SetShellVarContext current
  SetOutPath "$INSTDIR"
%[3]s  WriteUninstaller "$INSTDIR\uninstall.exe"
  CreateDirectory "$SMPROGRAMS\Counterproof"
  CreateShortCut "$SMPROGRAMS\Counterproof\Counterproof.lnk" "$INSTDIR\counterproof.exe"
  CreateShortCut "$SMPROGRAMS\Counterproof\Procedure.lnk" "$INSTDIR\PROCEDURE.html"
  WriteRegStr HKCU "Software\Counterproof" "Folder" "$INSTDIR"
  WriteRegStr HKCU "Software\Classes\.counterproof" "" "Counterproof.Case"
  WriteRegStr HKCU "${TYPE}" "" "Counterproof case"
  WriteRegStr HKCU "${TYPE}\DefaultIcon" "" '"$INSTDIR\counterproof.exe",0'
  WriteRegStr HKCU "${TYPE}\shell\open\command" "" '"$INSTDIR\counterproof.exe" "%%1"'
  WriteRegStr HKCU "${GONE}" "DisplayName" "Counterproof"
  WriteRegStr HKCU "${GONE}" "DisplayVersion" "%[1]s"
  WriteRegStr HKCU "${GONE}" "DisplayIcon" "$INSTDIR\counterproof.exe"
  WriteRegStr HKCU "${GONE}" "UninstallString" '"$INSTDIR\uninstall.exe"'
  WriteRegDWORD HKCU "${GONE}" "NoModify" 1
  WriteRegDWORD HKCU "${GONE}" "NoRepair" 1
  System::Call 'shell32::SHChangeNotify(i 0x08000000, i 0, p 0, p 0)'
SectionEnd

Section Uninstall
  SetShellVarContext current
%[4]s  Delete "$INSTDIR\uninstall.exe"
  RMDir "$INSTDIR"
  Delete "$SMPROGRAMS\Counterproof\Counterproof.lnk"
  Delete "$SMPROGRAMS\Counterproof\Procedure.lnk"
  RMDir "$SMPROGRAMS\Counterproof"
  DeleteRegKey HKCU "${GONE}"
  DeleteRegKey HKCU "${TYPE}"
  DeleteRegKey HKCU "Software\Classes\.counterproof"
  DeleteRegKey HKCU "Software\Counterproof"
  System::Call 'shell32::SHChangeNotify(i 0x08000000, i 0, p 0, p 0)'
SectionEnd
`

// setup writes the installer for Windows.
func (r *release) setup() error {
	list, err := r.contents("windows")
	if err != nil {
		return err
	}
	folder := filepath.Join(r.work, "setup")
	var puts, removes strings.Builder
	for _, f := range list {
		fmt.Fprintf(&puts, "  File %q\n", f.name)
		fmt.Fprintf(&removes, "  Delete \"$INSTDIR\\%s\"\n", f.name)
	}
	result := filepath.Join(r.out, name("-windows-amd64-setup.exe"))
	script := fmt.Sprintf(setupScript, program.Version, result, puts.String(), removes.String())
	list = append(list, file{name: "icon.ico", data: icon.ICO()}, file{name: "setup.nsi", data: []byte(script)})
	if err := r.lay(folder, list); err != nil {
		return err
	}
	if err := r.run(folder, "makensis", "-V2", "-XTarget amd64-unicode", "setup.nsi"); err != nil {
		return err
	}
	return os.Chmod(result, 0o644)
}
