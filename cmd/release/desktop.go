package main

import (
	"fmt"

	"counterproof/assets/icon"
)

// A case has a type of its own on a Linux desktop (freedesktop.org, "Shared MIME-info Database" and
// "Desktop Entry Specification"). A case is an SQLite database with the program's application ID, as
// model/casefile/FORMAT.md says.
const (
	mimeType = "application/x-counterproof"
	entryID  = "org.counterproof.desk"

	mimeInfo = `<?xml version="1.0" encoding="UTF-8"?>
<mime-info xmlns="http://www.freedesktop.org/standards/shared-mime-info">
  <mime-type type="` + mimeType + `">
    <comment>Counterproof case</comment>
    <sub-class-of type="application/vnd.sqlite3"/>
    <icon name="counterproof"/>
    <magic priority="60">
      <match type="string" offset="0" value="SQLite format 3\000">
        <match type="string" offset="68" value="Cprf"/>
      </match>
    </magic>
    <glob pattern="*.counterproof" weight="60"/>
  </mime-type>
</mime-info>
`
	desktopEntry = `[Desktop Entry]
Type=Application
Name=Counterproof
GenericName=Election set-up proof
Comment=Key the ballots again from the printed proof, compare, decide together, sign
Exec=counterproof %f
Icon=counterproof
Categories=Office;
MimeType=` + mimeType + `;
StartupWMClass=Counterproof
`
)

// desktopFiles are the desktop entry, the MIME type and the icons, below "share".
func desktopFiles() []file {
	list := []file{
		{name: "applications/" + entryID + ".desktop", data: []byte(desktopEntry)},
		{name: "mime/packages/counterproof.xml", data: []byte(mimeInfo)},
		{name: "icons/hicolor/scalable/apps/counterproof.svg", data: icon.SVG()},
	}
	for _, size := range icon.Sizes {
		list = append(list, file{name: fmt.Sprintf("icons/hicolor/%dx%[1]d/apps/counterproof.png", size),
			data: icon.PNG(size)})
	}
	return list
}
