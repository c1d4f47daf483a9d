package wording_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"counterproof/checks/wording"
)

func TestTwoLanguagesSayTheSameInNumbers(t *testing.T) {
	for _, c := range []struct {
		a, in, b, also string
		same           bool
	}{
		{"Vote for two", "en", "Vote por dos", "es", true},
		{"Vote for two", "en", "Vote por tres", "es", false},
		{"Vote for 2", "en", "Vote por dos", "es", true},
		{"Vote for one", "en", "Vote por uno", "es", true},
		{"Vote for one", "en", "Vote por dos", "es", false},
		{"$1,000,000 over 10 years", "en", "$1.000.000 en 10 años", "es", true},
		{"$1,000,000 over 10 years", "en", "$1.000.000 en 12 años", "es", false},
		{"a rate of 2.5 percent", "en", "una tasa de 2,5 por ciento", "es", true},
		{"a rate of 2.5 percent", "en", "una tasa de 25 por ciento", "es", false},
		{"a rate of 2.5 percent", "en", "una tasa de 5,2 por ciento", "es", false},
		{"November 2, 2027", "en", "2 de noviembre de 2027", "es", true},
		{"November 2, 2027", "en", "3 de noviembre de 2027", "es", false},
		{"November 2, 2027", "en", "2 de octubre de 2027", "es", false},
		{"November 2, 2027", "en", "2027年11月2日", "zh-Hant", true},
		{"November 2, 2027", "en", "2027年11月3日", "zh-Hant", false},
		{"The city may levy 3 cents", "en", "La ciudad podrá cobrar 3 centavos", "es", true},
		{"May 4, 2027", "en", "4 de mayo de 2027", "es", true},
		{"three of 12 seats", "en", "12 席中的 3 席", "zh-Hans", true},
		{"three of 12 seats", "en", "12 席中的三席", "zh-Hans", true},
		{"12 seats", "en", "१२ सीटें", "hi", true},
		{"12 seats", "en", "१३ सीटें", "hi", false},
		{"10, 12 and 10", "en", "10, 12 y 12", "es", false},
		{"two (2) members", "en", "dos (2) miembros", "es", true},
		{"Judge", "en", "Juez 3", "es", false},
	} {
		same := wording.SameNumbers(wording.NumbersOf(c.a, c.in), wording.NumbersOf(c.b, c.also))
		assert.Equal(t, c.same, same, "%s / %s", c.a, c.b)
		assert.Equal(t, same, wording.SameNumbers(wording.NumbersOf(c.b, c.also), wording.NumbersOf(c.a, c.in)), "either way")
	}
}
