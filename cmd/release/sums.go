package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

// namespace is what a signature is made for, so that one for another purpose does not serve
// (ssh-keygen(1), -Y sign).
const namespace = "counterproof-release"

// sums writes SHA256SUMS, in the form for "sha256sum -c", and signs it if there is a key.
func (r *release) sums(key string) error {
	held, err := os.ReadDir(r.out)
	if err != nil {
		return err
	}
	var lines strings.Builder
	for _, f := range held {
		digest, err := digestOf(filepath.Join(r.out, f.Name()))
		if err != nil {
			return err
		}
		fmt.Fprintf(&lines, "%s  %s\n", digest, f.Name())
	}
	file := filepath.Join(r.out, "SHA256SUMS")
	if err := os.WriteFile(file, []byte(lines.String()), 0o644); err != nil {
		return err
	}
	fmt.Print(lines.String())
	if key == "" {
		fmt.Println("not signed: no --key was given")
		return nil
	}
	c := exec.Command("ssh-keygen", "-Y", "sign", "-f", key, "-n", namespace, file)
	c.Stdin, c.Stdout, c.Stderr = os.Stdin, os.Stdout, os.Stderr // it may ask for a passphrase
	return c.Run()
}
