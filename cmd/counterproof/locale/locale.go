// Package locale gives the program a language where the environment names none.
//
// The toolkit reads the language while it is initialised, before main, and complains
// on the terminal where it is "C". Packages are initialised in the order of their
// import paths, as far as their own imports allow it: this one imports next to nothing
// and comes before the toolkit. Its test starts the program and looks.
package locale

import (
	"os"
	"strings"
)

func init() { Mend(os.Getenv, os.Setenv) }

// Mend sets a language for messages where none is named, and otherwise changes
// nothing. The set of letters stays as it is, or becomes UTF-8 where none is named, so
// that accents can be typed.
func Mend(get func(string) string, set func(name, value string) error) {
	at := ""
	for _, name := range []string{"LC_ALL", "LC_MESSAGES", "LANG"} {
		if get(name) != "" {
			at = name
			break
		}
	}
	if at != "" && named(get(at)) {
		return
	}
	letters := get("LC_CTYPE")
	if all := get("LC_ALL"); all != "" {
		letters = all
		_ = set("LC_ALL", "") // it would hide the others
	} else if letters == "" {
		letters = get("LANG")
	}
	if !named(letters) && !strings.Contains(strings.ToUpper(letters), "UTF") {
		letters = "C.UTF-8"
	}
	_ = set("LC_CTYPE", letters)
	_ = set("LC_MESSAGES", "en_US.UTF-8")
}

// named reports whether a locale names a language: "C", "POSIX" and "C.UTF-8" do not.
func named(l string) bool {
	l, _, _ = strings.Cut(l, ".")
	l, _, _ = strings.Cut(l, "@")
	return l != "" && l != "C" && l != "POSIX"
}
