//go:build !windows

package main

// terminalName is the terminal from which the program was started.
const terminalName = "/dev/tty"
