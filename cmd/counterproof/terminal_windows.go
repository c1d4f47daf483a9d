package main

import (
	"os"
	"syscall"
	"unsafe"
)

// A program with windows has no console of its own, so that none opens beside its window.
var (
	attach     = syscall.NewLazyDLL("kernel32.dll").NewProc("AttachConsole")
	messageBox = syscall.NewLazyDLL("user32.dll").NewProc("MessageBoxW")
	// visible is whether somebody sees what is written to standard error.
	visible bool
)

// attachConsole has the program write to the console from which it was started, if it was, and if
// its output goes nowhere else.
func attachConsole() {
	if _, err := os.Stderr.Stat(); err == nil {
		visible = true
		return
	}
	const parent = ^uintptr(0) // ATTACH_PARENT_PROCESS
	if ok, _, _ := attach.Call(parent); ok == 0 {
		return
	}
	console, err := syscall.Open("CONOUT$", syscall.O_RDWR, 0)
	if err != nil {
		return
	}
	visible = true
	os.Stderr = os.NewFile(uintptr(console), "CONOUT$")
	if _, err := os.Stdout.Stat(); err != nil {
		os.Stdout = os.Stderr
	}
}

// showFailure says in a dialog why the program ends, if nobody sees its standard error.
func showFailure(line string) {
	if visible {
		return
	}
	text, err := syscall.UTF16PtrFromString(line)
	if err != nil {
		return
	}
	title, err := syscall.UTF16PtrFromString("Counterproof")
	if err != nil {
		return
	}
	const iconError = 0x10 // MB_ICONERROR
	_, _, _ = messageBox.Call(0, uintptr(unsafe.Pointer(text)), uintptr(unsafe.Pointer(title)), iconError)
}
