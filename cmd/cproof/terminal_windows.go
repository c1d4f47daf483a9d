package main

import "syscall"

// terminalName is the terminal from which the program was started.
const terminalName = "CONIN$"

var setConsoleMode = syscall.NewLazyDLL("kernel32.dll").NewProc("SetConsoleMode")

// enableEscapes has a console obey escape sequences. Windows 10 and later can; without being asked,
// the older console shows their characters (Microsoft, "Console Virtual Terminal Sequences":
// ENABLE_VIRTUAL_TERMINAL_PROCESSING).
func enableEscapes(console uintptr) error {
	const virtualTerminalProcessing = 0x4
	var mode uint32
	if err := syscall.GetConsoleMode(syscall.Handle(console), &mode); err != nil {
		return err
	}
	if mode&virtualTerminalProcessing != 0 {
		return nil
	}
	if ok, _, err := setConsoleMode.Call(console, uintptr(mode|virtualTerminalProcessing)); ok == 0 {
		return err
	}
	return nil
}
