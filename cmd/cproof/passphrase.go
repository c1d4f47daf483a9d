package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"

	"golang.org/x/term"
)

// passphraseSource says where passphrases come from: the terminal, or an open file descriptor. They
// are never taken from arguments or the environment, because other programs on the machine could
// read those.
type passphraseSource struct {
	PassphraseFD int `name:"passphrase-fd" default:"-1" placeholder:"N" help:"Read the passphrases from open file descriptor N, a line for each person in the order asked (3< file, or 0 behind a pipe). Unless given they are asked for on the terminal, without showing them."`
}

// longestPassphrase limits a line, in bytes.
const longestPassphrase = 4096

// ask asks for one passphrase.
func (f *passphraseSource) ask(s *session, prompt string) (string, error) {
	if f.PassphraseFD >= 0 {
		return readPassphrase(f.PassphraseFD, prompt)
	}
	return askTerminal(s, prompt)
}

// askNew asks for a new passphrase; on a terminal twice, because the input is invisible.
func (f *passphraseSource) askNew(s *session, name string) (string, error) {
	first, err := f.ask(s, fmt.Sprintf("New passphrase of %s: ", name))
	if err != nil || f.PassphraseFD >= 0 {
		return first, err
	}
	again, err := f.ask(s, "The same once more: ")
	if err != nil {
		return "", err
	}
	if first != again {
		return "", errors.New("the two passphrases differ; nothing was recorded, do it again")
	}
	return first, nil
}

// readPassphrase reads one line from a file descriptor, byte by byte, so that the rest stays
// available for the next reader.
func readPassphrase(fd int, prompt string) (string, error) {
	file := os.Stdin
	if fd != 0 {
		file = os.NewFile(uintptr(fd), "passphrases")
	}
	prompt = strings.TrimSuffix(prompt, ": ")
	if file == nil {
		return "", fmt.Errorf("--passphrase-fd: %d is no file descriptor; give the number of one that is open for reading",
			fd)
	}
	var line []byte
	one := make([]byte, 1)
	for {
		n, err := file.Read(one)
		if n == 1 && one[0] == '\n' {
			break
		}
		line = append(line, one[:n]...)
		if errors.Is(err, io.EOF) && len(line) > 0 {
			break
		}
		if errors.Is(err, io.EOF) {
			return "", fmt.Errorf("--passphrase-fd: there is no line left for this: %s; give a line for each person, in the "+
				"order in which they are named", prompt)
		}
		if err != nil {
			return "",
				fmt.Errorf("--passphrase-fd: file descriptor %d cannot be read (%w); give one that is open for reading, as in "+
					"3< file", fd, err)
		}
		if len(line) > longestPassphrase {
			return "", fmt.Errorf("--passphrase-fd: a line is longer than %d bytes; that is no passphrase", longestPassphrase)
		}
	}
	return strings.TrimSuffix(string(line), "\r"), nil
}

// askTerminal asks on the terminal, even if standard input is something else.
func askTerminal(s *session, prompt string) (string, error) {
	terminal := os.Stdin
	if !term.IsTerminal(int(terminal.Fd())) {
		opened, err := os.OpenFile(terminalName, os.O_RDWR, 0)
		if err != nil {
			return "",
				errors.New("there is no terminal to ask for the passphrase on; run this in a terminal, or give --passphrase-fd N")
		}
		defer opened.Close()
		terminal = opened
	}
	fd := int(terminal.Fd())
	// If the user interrupts, the terminal must show typed text again.
	shown, err := term.GetState(fd)
	if err != nil {
		return "", fmt.Errorf("the terminal cannot ask for a passphrase (%w); give --passphrase-fd N", err)
	}
	broken, done := make(chan os.Signal, 1), make(chan struct{})
	signal.Notify(broken, os.Interrupt)
	defer signal.Stop(broken)
	defer close(done)
	go func() {
		select {
		case <-broken:
			_ = term.Restore(fd, shown)
			fmt.Fprintln(s.err)
			os.Exit(exitUnusable)
		case <-done:
		}
	}()
	fmt.Fprint(s.err, oneLine(prompt)+" ")
	typed, err := term.ReadPassword(fd)
	fmt.Fprintln(s.err)
	if err != nil {
		return "", fmt.Errorf("no passphrase was typed (%w); nothing was recorded", err)
	}
	return string(typed), nil
}
