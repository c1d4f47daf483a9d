//go:build !windows

package main

// terminalName is the terminal from which the program was started.
const terminalName = "/dev/tty"

// enableEscapes has a terminal obey escape sequences, as every terminal does that is not "dumb".
func enableEscapes(uintptr) error { return nil }
