package tables

import (
	"encoding/json"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Whatever a mapping says is among its words: each text and number of each key, those of the
// README's example and of a mapping that uses every key.
func TestTheWordsOfAMappingLeaveNothingOut(t *testing.T) {
	page, err := os.ReadFile("README.md")
	require.NoError(t, err)
	example := regexp.MustCompile("(?s)```json\n(.*?)```").FindSubmatch(page)
	require.NotNil(t, example)
	every := `{"format": "counterproof-mapping/1", "language": "es", "tables": [{"file": "f*.xlsx", "sheet": "sh*", "header": 41,
		"skip": 42, "headers": ["h1", "h2"], "fill": ["f1"], "rows": {"choices": [{"columns": {"contest": "{co}",
		"party_lines": "{pl}", "name": "{na}"}, "repeat": "re *", "split": ";", "times": "{ti}", "where": {"{wh}": ["w1", "!w2"]},
		"separators": {"name": "&"}, "replace": {"party_lines": {"from": "to"}}, "distinct": true}]}}]}`
	for _, text := range []string{string(example[1]), every} {
		m, err := ParseMapping("m.json", []byte(text))
		require.NoError(t, err)
		words, err := json.Marshal(m.Words())
		require.NoError(t, err)
		said := strings.NewReplacer(`\u0026`, "&").Replace(string(words))
		var raw struct{ Tables []any }
		require.NoError(t, json.Unmarshal([]byte(text), &raw))
		each(raw.Tables, func(v string) { assert.Contains(t, said, v) })
		if text == every {
			assert.Contains(t, said, "equal rows once")
		}
	}
}

// each visits every text and number of a JSON value, and every key but those of the format.
func each(value any, take func(string)) {
	switch v := value.(type) {
	case map[string]any:
		for key, inner := range v {
			if !strings.Contains(" file sheet header skip headers fill rows columns repeat split times where separators "+
				"replace distinct ", " "+key+" ") {
				take(key)
			}
			each(inner, take)
		}
	case []any:
		for _, inner := range v {
			each(inner, take)
		}
	case string:
		take(v)
	case float64:
		b, _ := json.Marshal(v)
		take(string(b))
	}
}
