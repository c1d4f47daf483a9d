package locale

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestALanguageIsGivenWhereNoneIsNamed(t *testing.T) {
	for _, c := range []struct{ name, value, letters, messages string }{
		{"", "", "C.UTF-8", "en_US.UTF-8"},
		{"LANG", "C", "C.UTF-8", "en_US.UTF-8"},
		{"LANG", "C.UTF-8", "C.UTF-8", "en_US.UTF-8"},
		{"LC_ALL", "POSIX", "C.UTF-8", "en_US.UTF-8"},
		{"LC_ALL", "C.utf8", "C.utf8", "en_US.UTF-8"},
		{"LC_MESSAGES", "C", "C.UTF-8", "en_US.UTF-8"},
		{"LANG", "de_DE.UTF-8", "", ""},
		{"LC_ALL", "en_US", "", ""},
		{"LANG", "fr_FR@euro", "", ""},
	} {
		env := map[string]string{}
		if c.name != "" {
			env[c.name] = c.value
		}
		Mend(func(n string) string { return env[n] }, func(n, v string) error { env[n] = v; return nil })
		assert.Equal(t, c.letters, env["LC_CTYPE"], "%s=%s", c.name, c.value)
		if c.messages != "" {
			assert.Equal(t, c.messages, env["LC_MESSAGES"], "%s=%s", c.name, c.value)
			assert.Empty(t, env["LC_ALL"], "it would hide the others")
		}
	}
}

func TestAKeyboardsLettersStay(t *testing.T) {
	env := map[string]string{"LANG": "C", "LC_CTYPE": "pl_PL.ISO-8859-2"}
	Mend(func(n string) string { return env[n] }, func(n, v string) error { env[n] = v; return nil })
	assert.Equal(t, "pl_PL.ISO-8859-2", env["LC_CTYPE"])
}
