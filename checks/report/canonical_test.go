package report_test

import (
	"encoding/hex"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	reference "github.com/cyberphone/json-canonicalization/go/src/webpki.org/jsoncanonicalizer"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"counterproof/checks/report"
)

// RFC 8785, section 3.2.2 gives this input and section 3.2.4 its bytes. Both are typed
// from memory; TestThePublishedFilesOfTheCanonicalForm holds the same from a file.
func TestTheExampleOfTheCanonicalForm(t *testing.T) {
	const input = `{
  "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
  "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
  "literals": [null, true, false]
}`
	const output = `7b226c69746572616c73223a5b6e756c6c2c747275652c66616c73655d2c226e756d62657273223a5b` +
		`3333333333333333332e333333333333332c31652b33302c342e352c302e3030322c31652d32375d2c` +
		`22737472696e67223a22e282ac245c75303030665c6e4127425c225c5c5c5c5c222f227d`
	want, err := hex.DecodeString(output)
	require.NoError(t, err)
	got, err := report.Canonical([]byte(input))
	require.NoError(t, err)
	require.Equal(t, string(want), string(got))
}

// RFC 8785, section 3.2.3: names are sorted by their UTF-16 code units.
func TestTheOrderOfNamesInTheCanonicalForm(t *testing.T) {
	got, err := report.Canonical([]byte(`{
  "\u20ac": "Euro Sign",
  "\r": "Carriage Return",
  "\ufb33": "Hebrew Letter Dalet With Dagesh",
  "1": "One",
  "\ud83d\ude00": "Emoji: Grinning Face",
  "\u0080": "Control",
  "\u00f6": "Latin Small Letter O With Diaeresis"
}`))
	require.NoError(t, err)
	at := 0
	for _, value := range []string{"Carriage Return", "One", "Control", "Latin Small", "Euro Sign", "Emoji",
		"Hebrew Letter"} {
		next := strings.Index(string(got), value)
		require.Greater(t, next, at, value)
		at = next
	}
}

// RFC 8785, appendix B: numbers by their IEEE 754 bits. The values are typed from
// memory and held against a second library as well.
func TestTheNumbersOfTheCanonicalForm(t *testing.T) {
	for bits, want := range map[uint64]string{
		0x0000000000000000: "0", 0x8000000000000000: "0",
		0x0000000000000001: "5e-324", 0x8000000000000001: "-5e-324",
		0x7fefffffffffffff: "1.7976931348623157e+308", 0xffefffffffffffff: "-1.7976931348623157e+308",
		0x4340000000000000: "9007199254740992", 0xc340000000000000: "-9007199254740992",
		0x4430000000000000: "295147905179352830000",
		0x44b52d02c7e14af5: "9.999999999999997e+22", 0x44b52d02c7e14af6: "1e+23",
		0x44b52d02c7e14af7: "1.0000000000000001e+23",
		0x444b1ae4d6e2ef4e: "999999999999999700000", 0x444b1ae4d6e2ef4f: "999999999999999900000", 0x444b1ae4d6e2ef50: "1e+21",
		0x3eb0c6f7a0b5ed8c: "9.999999999999997e-7", 0x3eb0c6f7a0b5ed8d: "0.000001",
		0x41b3de4355555553: "333333333.3333332", 0x41b3de4355555554: "333333333.33333325",
		0x41b3de4355555555: "333333333.3333333",
		0x41b3de4355555556: "333333333.3333334", 0x41b3de4355555557: "333333333.33333343",
		0xbecbf647612f3696: "-0.0000033333333333333333", 0x43143ff3c1cb0959: "1424953923781206.2",
	} {
		value := math.Float64frombits(bits)
		for _, format := range []byte{'e', 'g'} {
			got, err := report.Canonical([]byte(strconv.FormatFloat(value, format, 17, 64)))
			require.NoError(t, err)
			require.Equal(t, want, string(got), "%016x", bits)
		}
		second, err := reference.NumberToJSON(value)
		require.NoError(t, err)
		require.Equal(t, want, second, "%016x by the second library", bits)
	}
}

// The files that the author of RFC 8785 publishes with the second library, among them
// the example of section 3.2.2 (values.json).
func TestThePublishedFilesOfTheCanonicalForm(t *testing.T) {
	out, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", "github.com/cyberphone/json-canonicalization").Output()
	require.NoError(t, err)
	folder := filepath.Join(strings.TrimSpace(string(out)), "testdata")
	inputs, err := filepath.Glob(filepath.Join(folder, "input", "*.json"))
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(inputs), 6)
	for _, name := range inputs {
		input, err := os.ReadFile(name)
		require.NoError(t, err)
		want, err := os.ReadFile(filepath.Join(folder, "output", filepath.Base(name)))
		require.NoError(t, err)
		got, err := report.Canonical(input)
		require.NoError(t, err)
		require.Equal(t, string(want), string(got), name)
	}
}

// Any text that a report can hold is spelt by both libraries alike.
func TestTwoLibrariesSpellAlike(t *testing.T) {
	_, made := signed(t)
	b, err := made.JSON()
	require.NoError(t, err)
	second, err := reference.Transform(b)
	require.NoError(t, err)
	require.Equal(t, string(second), string(b))
	rapid.Check(t, func(t *rapid.T) {
		value := map[string]any{}
		for range rapid.IntRange(0, 5).Draw(t, "members") {
			value[rapid.String().Draw(t, "name")] = []any{
				rapid.String().Draw(t, "text"), rapid.Float64().Draw(t, "number"), rapid.Int32().Draw(t, "whole"),
				rapid.Bool().Draw(t, "bool"), nil,
			}
		}
		b, err := json.MarshalIndent(value, " ", "\t")
		require.NoError(t, err)
		got, err := report.Canonical(b)
		require.NoError(t, err)
		want, err := reference.Transform(b)
		require.NoError(t, err)
		require.Equal(t, string(want), string(got))
	})
}
