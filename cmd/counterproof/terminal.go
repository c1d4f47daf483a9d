//go:build !windows

package main

// attachConsole and showFailure have nothing to do where every program has its standard error.
func attachConsole()     {}
func showFailure(string) {}
