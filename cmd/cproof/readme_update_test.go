package main

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// updateShown writes into a document what a command prints now, where that was shown
// otherwise, and returns what is shown then.
func updateShown(t *testing.T, path string, r shownRun, printed string) shownRun {
	t.Helper()
	anew := shownRun{r.command, shownAnew(r.shown, printed)}
	if anew.shown != r.shown {
		text := readDocument(t, path)
		before, after := "$ "+r.command+"\n"+r.shown, "$ "+r.command+"\n"+anew.shown
		require.Contains(t, text, before)
		require.NoError(t, os.WriteFile(filepath.Join(repository, path),
			[]byte(strings.Replace(text, before, after, 1)), 0o644))
	}
	return anew
}

// shownAnew is what is shown of an output, brought up to date. A stretch between lines
// that are left out, which is not printed any more, becomes what is printed from the
// line most like its first to the line most like its last; one without such lines stays,
// for a person to look at.
func shownAnew(shown, printed string) string {
	rest := strings.Split(strings.TrimSuffix(printed, "\n"), "\n")
	var out, stretch []string
	end := func() {
		if len(stretch) == 0 {
			return
		}
		if at := linesAt(stretch, rest); at >= 0 {
			out, rest = append(out, stretch...), rest[at+len(stretch):]
		} else if first := likest(stretch[0], rest); first < 0 {
			out = append(out, stretch...)
		} else {
			last := first + max(0, likest(stretch[len(stretch)-1], rest[first:]))
			out, rest = append(out, rest[first:last+1]...), rest[last+1:]
		}
		stretch = nil
	}
	for line := range strings.Lines(shown) {
		if line = strings.TrimSuffix(line, "\n"); line != leftOut {
			stretch = append(stretch, line)
			continue
		}
		end()
		out = append(out, leftOut)
	}
	end()
	if len(out) == 0 {
		return ""
	}
	return strings.Join(out, "\n") + "\n"
}

// linesAt is where the stretch begins in the lines, or -1.
func linesAt(stretch, lines []string) int {
	for at := range len(lines) - len(stretch) + 1 {
		if slices.EqualFunc(stretch, lines[at:at+len(stretch)], func(shown, printed string) bool {
			pattern := strings.ReplaceAll(regexp.QuoteMeta(shown), regexp.QuoteMeta(leftOut), `.+`)
			return regexp.MustCompile("^" + pattern + "$").MatchString(printed)
		}) {
			return at
		}
	}
	return -1
}

// likest is the first line that shares most words with the one given, and at least half
// of them, or -1.
func likest(line string, lines []string) int {
	words := strings.Fields(line)
	best, at := (len(words)+1)/2, -1
	for i, other := range lines {
		same, there := 0, strings.Fields(other)
		for _, word := range words {
			if slices.Contains(there, word) {
				same++
			}
		}
		if same > best || same == best && at < 0 && same > 0 {
			best, at = same, i
		}
	}
	return at
}

func TestReadmeUpdateShowsWhatIsPrintedNow(t *testing.T) {
	printed := "Head 12ab\n\n  1  The export lets a voter\n     vote for 1. [vote-for]\n     line 7\n  2  Other\nFoot\n"
	for name, c := range map[string]struct{ shown, want string }{
		"nothing changed": {"Head […]\n[…]\n  2  Other\n[…]\n", "Head […]\n[…]\n  2  Other\n[…]\n"},
		"a sentence is longer": {"[…]\n  1  The export lets a voter vote\n     line 7\n[…]\n",
			"[…]\n  1  The export lets a voter\n     vote for 1. [vote-for]\n     line 7\n[…]\n"},
		"nothing like it is printed": {"[…]\nGone altogether\n", "[…]\nGone altogether\n"},
		"nothing is shown":           {"", ""},
	} {
		assert.Equal(t, c.want, shownAnew(c.shown, printed), name)
	}
}
