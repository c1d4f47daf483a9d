package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/assets/demo"
)

// An export of another day is told as that in one line when it comes in and wherever findings
// are shown. Withdrawn, it is gone from there.
func TestAnExportOfAnotherElectionIsWithdrawn(t *testing.T) {
	folder := demoCase(t)
	sealBoth(t, folder)
	does(t, cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", "export.xml"))
	data, err := os.ReadFile(filepath.Join(folder, "export.xml"))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "spring.xml"),
		[]byte(strings.ReplaceAll(string(data), "2027-11-02", "2028-03-14")), 0o644))
	const words = "Look at this first: spring.xml is dated 2028-03-14, and the case is for the election of 2027-11-02."
	for _, command := range [][]string{{"export-in", demo.CaseName, "--by", "HV", "spring.xml"},
		{"findings", demo.CaseName}} {
		out := cproofIn(t, folder, command...)
		require.Equal(t, 1, strings.Count(strings.Join(strings.Fields(out.out), " "), words), out.out)
	}
	does(t, with(t, pairLines, folder, "withdraw", demo.CaseName, "spring.xml", "--reason", "the spring election's",
		"--signed-by", "HV,IT"))
	require.NotContains(t, cproofIn(t, folder, "findings", demo.CaseName).out, "Look at this first")
}
