//go:build !windows

package main

// terminalName is the terminal that a program was started from.
const terminalName = "/dev/tty"
