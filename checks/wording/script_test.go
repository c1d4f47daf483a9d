package wording

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func join(steps []Step, without Op) string {
	s := ""
	for _, step := range steps {
		if step.Op != without {
			s += step.Text
		}
	}
	return s
}

// checkScript checks what a script promises.
func checkScript(t require.TestingT, p, s string) {
	steps, back := Script(p, s), Script(s, p)
	require.Equal(t, Normal(p), join(steps, Add), "keep and drop are the export")
	require.Equal(t, Normal(s), join(steps, Drop), "keep and add are the second entry")
	for i, step := range steps {
		require.NotEmpty(t, step.Text)
		if i > 0 {
			require.Contains(t, [][2]Op{{Keep, Drop}, {Keep, Add}, {Drop, Add}, {Drop, Keep}, {Add, Keep}},
				[2]Op{steps[i-1].Op, step.Op}, "runs are merged, drop before add")
		}
	}
	// The other way round it is the same script with drop and add exchanged.
	require.Equal(t, len(steps), len(back))
	for _, op := range []Op{Keep, Drop, Add} {
		var a, b []string
		for _, step := range steps {
			if step.Op == op {
				a = append(a, step.Text)
			}
		}
		for _, step := range back {
			if step.Op == [...]Op{Keep, Add, Drop}[op] {
				b = append(b, step.Text)
			}
		}
		require.Equal(t, a, b)
	}
}

// longest is the length of a longest common subsequence, by its definition.
func longest(a, b []string) int {
	memo := map[[2]int]int{}
	var f func(i, j int) int
	f = func(i, j int) int {
		if i == len(a) || j == len(b) {
			return 0
		}
		if n, ok := memo[[2]int{i, j}]; ok {
			return n
		}
		n := max(f(i+1, j), f(i, j+1))
		if a[i] == b[j] {
			n = max(n, 1+f(i+1, j+1))
		}
		memo[[2]int{i, j}] = n
		return n
	}
	return f(0, 0)
}

func TestAScriptLeadsFromOneWordingToTheOther(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, s := drawTwo(t)
		checkScript(t, p, s)
		a, b := clusters(Normal(p)), clusters(Normal(s))
		// Each step begins and ends where a cluster does, in the text that it is of.
		kept := 0
		edges := map[bool]map[int]bool{false: boundaries(a), true: boundaries(b)}
		inP, inS := 0, 0
		for _, step := range Script(p, s) {
			if step.Op != Add {
				inP += len(step.Text)
				require.True(t, edges[false][inP], "a cluster of the export is split")
			}
			if step.Op != Drop {
				inS += len(step.Text)
				require.True(t, edges[true][inS], "a cluster of the second entry is split")
			}
			if step.Op == Keep {
				kept += count(a, inP-len(step.Text), inP)
			}
		}
		require.Equal(t, longest(a, b), kept, "no script keeps more")
	})
}

func boundaries(clusters []string) map[int]bool {
	at, out := 0, map[int]bool{0: true}
	for _, c := range clusters {
		at += len(c)
		out[at] = true
	}
	return out
}

// count is how many clusters lie between two places.
func count(clusters []string, from, to int) int {
	n, at := 0, 0
	for _, c := range clusters {
		if from <= at && at < to {
			n++
		}
		at += len(c)
	}
	return n
}

func TestClustersAreNeverSplit(t *testing.T) {
	for _, c := range []struct {
		name, p, s string
		want       []Step
	}{
		{"flags", "\U0001f1f3\U0001f1f4", "\U0001f1f3\U0001f1ea",
			[]Step{{Drop, "\U0001f1f3\U0001f1f4"}, {Add, "\U0001f1f3\U0001f1ea"}}},
		{"a letter with a mark that has no composed form", "x\u0301y", "xy",
			[]Step{{Drop, "x\u0301"}, {Add, "x"}, {Keep, "y"}}},
		{"a family", "\U0001f468\u200d\U0001f469\u200d\U0001f467!", "\U0001f468!",
			[]Step{{Drop, "\U0001f468\u200d\U0001f469\u200d\U0001f467"}, {Add, "\U0001f468"}, {Keep, "!"}}},
		{"a misspelt name", "Jon Smith", "John Smyth", []Step{{Keep, "Jo"}, {Add, "h"}, {Keep, "n Sm"}, {Drop, "i"},
			{Add, "y"}, {Keep, "th"}}},
		{"the same", "Maren", "Maren", []Step{{Keep, "Maren"}}},
		{"nothing", "", "", nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.Equal(t, c.want, Script(c.p, c.s))
			checkScript(t, c.p, c.s)
		})
	}
}

func TestLongTextsAreComparedByWords(t *testing.T) {
	p := strings.Repeat("shall the charter be amended ", 300) // 8,700 letters, 1,500 words
	s := "Should" + p[len("shall"):len(p)-len("amended ")] + "repealed "
	steps := Script("Shall"+p[5:], s)
	assert.Equal(t, Step{Drop, "Shall"}, steps[0])
	assert.Equal(t, Step{Add, "Should"}, steps[1])
	assert.Equal(t, "amended", steps[len(steps)-3].Text)
	assert.Equal(t, "repealed", steps[len(steps)-2].Text)
	checkScript(t, p, s)

	p, s = strings.Repeat("a ", 9000), strings.Repeat("b ", 9000)
	checkScript(t, p, s)
	assert.Len(t, Script(p, s), 3, "too long for words as well: one replacement, and the common end")
}

func TestMarkedWordings(t *testing.T) {
	for _, c := range []struct{ name, p, s, wantP, wantS string }{
		{"a letter", "John Smith", "John Smyth", "John Sm[i]th", "John Sm[y]th"},
		{"a letter more", "Jon", "John", "Jon", "Jo[h]n"},
		{"an invisible character", "Mac\u200bDonald", "MacDonald", "Mac[<U+200B>]Donald", "MacDonald"},
		{"a no-break space", "a\u00a0b", "a b", "a[<U+00A0>]b", "a[ ]b"},
		{"brackets of its own", "Lund [R]", "Lund [D]", "Lund [{R}]", "Lund [{D}]"},
		{"brackets and braces of its own", "[{R", "[{D", "[{⟦R⟧", "[{⟦D⟧"},
		{"brackets of all kinds", "[{⟦R", "[{⟦D", "<U+005B>{⟦[R]", "<U+005B>{⟦[D]"},
		{"an escape of its own", "<U+200B>x", "<U+200B>y", "<U+003C>U+200B>[x]", "<U+003C>U+200B>[y]"},
		{"bytes", "\xe9", "", "[<byte E9>]", ""},
		{"the same", "Maren", "Maren", "Maren", "Maren"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, s := Mark(c.p, c.s)
			assert.Equal(t, [2]string{c.wantP, c.wantS}, [2]string{p, s})
		})
	}
}

func TestNothingHidesInVisibleText(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawWording(t, "a"), drawWording(t, "b")
		for _, r := range Visible(a) {
			c := classify(r)
			require.False(t, r == 0xfffd || c == invisible || c == space && r != ' ', "%U is left in", r)
		}
		if a != b {
			require.NotEqual(t, Visible(a), Visible(b), "two texts are shown as one")
		}
		if strings.Trim(a, "aeilmnorsAILMNOS015 .,'-") == "" {
			require.Equal(t, a, Visible(a))
		}
	})
}
