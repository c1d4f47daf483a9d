package main

import "testing"

// A fault in the command line points to the help of that very command.
func TestAFaultOfTheCommandLineNamesItsHelp(t *testing.T) {
	oneLineError(t, cproofIn(t, t.TempDir(), "cards", "team", "--frob"), `"cproof cards team --help" explains`)
	oneLineError(t, cproofIn(t, t.TempDir(), "compare", "--frob"), `"cproof compare --help" explains`)
}
