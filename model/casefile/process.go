package casefile

import (
	"os/user"
	"path/filepath"
)

func dirOf(path string) string { return filepath.Dir(path) }

func account() string {
	if u, err := user.Current(); err == nil {
		if u.Name != "" {
			return u.Name
		}
		return u.Username
	}
	return ""
}
