package main

import (
	"fmt"
	"slices"
	"strings"
)

// noLicence is what is said of the project itself.
const noLicence = "Counterproof itself has no licence yet: its owner has still to choose one."

// licences is one text with all licences of what the programs are made of.
func licences(of []component) string {
	var b strings.Builder
	b.WriteString(noLicence + "\n\nThe programs contain the work of others, under these licences:\n\n")
	for _, c := range of {
		fmt.Fprintf(&b, "  %s %s: %s\n", c.name, c.version, strings.Join(c.identifiers(), ", "))
	}
	var mozilla []component
	for _, c := range of {
		if slices.Contains(c.identifiers(), "MPL-2.0") {
			mozilla = append(mozilla, c)
		}
	}
	if len(mozilla) > 0 {
		b.WriteString("\nUnder the Mozilla Public License 2.0, section 3.2, whoever gets a program may have the sources of\n" +
			"these parts, which are unchanged. Anybody gets them with Go's own command:\n\n")
		for _, c := range mozilla {
			fmt.Fprintf(&b, "  go mod download %s@%s\n", c.name, c.version)
		}
	}
	for _, c := range of {
		for _, file := range sortedKeys(c.licences) {
			fmt.Fprintf(&b, "\n\n%[1]s\n%[2]s %[3]s, %[4]s\n%[1]s\n\n%[5]s\n", strings.Repeat("=", 78), c.name, c.version, file,
				strings.TrimRight(strings.ReplaceAll(c.licences[file], "\r\n", "\n"), "\n"))
		}
	}
	return b.String()
}
