package main

import (
	"bytes"
	"compress/gzip"
	"debug/elf"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"counterproof/model/program"
)

// debianPackages are the packages of Debian 12 that hold the libraries that the desktop links to.
var debianPackages = map[string]string{"libGL.so.1": "libgl1", "libX11.so.6": "libx11-6"}

// opened are the packages of the libraries that GLFW opens by name while it runs (x11_init.c).
var opened = []string{"libxcursor1", "libxi6", "libxinerama1", "libxrandr2", "libxxf86vm1"}

// deb writes the package for Debian and its relatives.
func (r *release) deb() error {
	list, err := r.contents("linux")
	if err != nil {
		return err
	}
	needs, err := needed(r.built["linux "+desktop])
	if err != nil {
		return err
	}
	pages, err := r.manPages()
	if err != nil {
		return err
	}
	tree := filepath.Join(r.work, "deb")
	size := 0
	var laid []file
	for _, f := range list {
		switch {
		case f.program:
			f.name = "usr/bin/" + f.name
		case f.name == "LICENCES.txt":
			f.name = "usr/share/doc/counterproof/copyright"
		default:
			f.name = "usr/share/doc/counterproof/" + f.name
		}
		laid = append(laid, f)
	}
	for _, f := range append(desktopFiles(), pages...) {
		f.name = "usr/share/" + f.name
		laid = append(laid, f)
	}
	for _, f := range laid {
		size += len(f.data)
	}
	control := fmt.Sprintf(`Package: counterproof
Version: %s
Architecture: amd64
Maintainer: The makers of Counterproof <counterproof@localhost>
Installed-Size: %d
Depends: %s
Section: misc
Priority: optional
Description: proves an election's set-up before its memory cards are used
 The second person in an election office keys every ballot again from the
 printed ballot proof. Counterproof compares both entries and says each
 difference once. It has no network access.
`, program.Version, (size+1023)/1024, strings.Join(needs, ", "))
	if err := r.lay(tree, append(laid, file{name: "DEBIAN/control", data: []byte(control)})); err != nil {
		return err
	}
	// Modes of folders must not depend on the umask.
	if err := filepath.WalkDir(tree, func(path string, entry os.DirEntry, err error) error {
		if err == nil && entry.IsDir() {
			err = os.Chmod(path, 0o755)
		}
		return err
	}); err != nil {
		return err
	}
	return r.run(r.work, "dpkg-deb", "--root-owner-group", "-Zxz", "--build", tree,
		filepath.Join(r.out, "counterproof_"+program.Version+"_amd64.deb"))
}

// needed are the packages that a program needs: those of its libraries, and the C library of at least
// the version whose symbols it uses.
func needed(path string) ([]string, error) {
	f, err := elf.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close() // only read
	libraries, err := f.ImportedLibraries()
	if err != nil {
		return nil, err
	}
	symbols, err := f.ImportedSymbols()
	if err != nil {
		return nil, err
	}
	minor := 0
	for _, s := range symbols {
		if v, ok := strings.CutPrefix(s.Version, "GLIBC_2."); ok {
			v, _, _ = strings.Cut(v, ".")
			if n, err := strconv.Atoi(v); err == nil {
				minor = max(minor, n)
			}
		}
	}
	list := append([]string{fmt.Sprintf("libc6 (>= 2.%d)", minor)}, opened...)
	for _, l := range libraries {
		name, known := debianPackages[l]
		switch {
		case known && !slices.Contains(list, name):
			list = append(list, name)
		case !known && !slices.Contains([]string{"libc.so.6", "libm.so.6", "libdl.so.2", "libpthread.so.0", "librt.so.1",
			"ld-linux-x86-64.so.2"}, l):
			return nil, fmt.Errorf("the desktop links to %s, of no package in debianPackages", l)
		}
	}
	slices.Sort(list)
	return list, nil
}

// zipped is a file as Debian wants man pages: compressed, without name and time.
func zipped(name string, text []byte) (file, error) {
	var b bytes.Buffer
	w, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		return file{}, err
	}
	if _, err := w.Write(text); err != nil {
		return file{}, err
	}
	err = w.Close()
	return file{name: name, data: b.Bytes()}, err
}
