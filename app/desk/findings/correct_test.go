package findings

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/assets/demo"
	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// demoReview is the demo sealed, with its first export.
func demoReview(t *testing.T) *review.Review {
	t.Helper()
	path := filepath.Join(t.TempDir(), demo.CaseName)
	require.NoError(t, demo.WriteCase(path))
	c, err := casefile.Open(path, casefile.Options{Idle: 24 * time.Hour})
	require.NoError(t, err)
	t.Cleanup(func() { _ = c.Close() })
	for _, p := range c.State().People {
		for _, known := range demo.People {
			if known.Name == p.Name {
				require.NoError(t, c.Unlock(p.ID, known.Passphrase))
			}
		}
	}
	second := c.State().Holders(casefile.SeatSecond)[0].ID
	for _, scope := range []casefile.Scope{casefile.ScopeBallots, casefile.ScopeUnits} {
		require.NoError(t, c.Seal(second, casefile.Seal{Scope: scope, Without: c.Unkeyed(scope)}))
	}
	export, err := demo.FS.ReadFile("export.xml")
	require.NoError(t, err)
	r := review.New(c)
	_, err = r.BringIn("", review.File{Name: "export.xml", Data: export})
	require.NoError(t, err)
	return r
}

func TestEveryFindingCanBeCorrectedByTypingOrSaysWhatToDoInstead(t *testing.T) {
	r := demoReview(t)
	for _, check := range checks.All() {
		t.Run(string(check.Code), func(t *testing.T) {
			i := item("x", check.Code, "County Judge", "", finding.MustFix, review.StatusOpen, "1-06", "3-03")
			i.Unit, i.Style, i.Second = "TW-3201", "BS-03", "BS-03"
			lines, why, err := FieldLines(r.Case(), &i)
			require.NoError(t, err)
			assert.True(t, (lines == "") != (why == ""), "lines %q, words %q", lines, why)
			changes, err := ReadFieldLines(r.Case(), lines)
			require.NoError(t, err)
			assert.Empty(t, changes, "lines that nobody touched change nothing")
		})
	}
	gone := item("x", "unit-unkeyed", "", "", finding.MustFix, review.StatusOpen, "1-06")
	gone.Unit = "TW-9999"
	lines, _, err := FieldLines(r.Case(), &gone)
	require.NoError(t, err)
	assert.Contains(t, lines, "left out", "a unit that was not keyed can be keyed")
}

func TestACorrectionTypedForSeveralFindingsListsWhatEachIsAboutOnce(t *testing.T) {
	r := demoReview(t)
	a := item("a", "vote-for", "County Judge", "", finding.MustFix, review.StatusOpen, "1-06")
	b := item("b", "choice-missing", "County Judge", "", finding.MustFix, review.StatusOpen, "1-06")
	c := item("c", "choice-missing", "County Clerk", "", finding.MustFix, review.StatusOpen, "1-06")
	all, why, err := FieldLines(r.Case(), &a, &b, &b, &c)
	require.NoError(t, err)
	require.Empty(t, why)
	have := strings.Split(all, "\n")
	field := func(line string) bool { return strings.Contains(line, " = ") }
	seen := map[string]bool{}
	for _, line := range have {
		assert.False(t, field(line) && seen[line], "twice: %s", line)
		seen[line] = true
	}
	begin := 0
	for _, i := range []*review.Item{&a, &b, &c} {
		lines, _, err := FieldLines(r.Case(), i)
		require.NoError(t, err)
		for _, line := range strings.Split(lines, "\n") {
			if _, value, ok := strings.Cut(line, " = "); ok && value != "" && !strings.HasPrefix(line, "+") {
				assert.Contains(t, have, line, i.ID)
			}
		}
		begin += strings.Count(lines, "A choice that was left out")
	}
	assert.Equal(t, 2, begin)
	assert.Equal(t, begin, strings.Count(all, "A choice that was left out"), "a new choice for each contest")
	unread := item("d", "unasked-change", "County Judge", "", finding.MustFix, review.StatusOpen)
	_, why, err = FieldLines(r.Case(), &a, &unread)
	require.NoError(t, err)
	assert.NotEmpty(t, why)
}

// retype changes what stands in the fields of a column: with is given each value in
// turn, and what stands after it on the line of "#" above.
func retype(lines, table, column string, with func(row, was string) string) string {
	list := strings.Split(lines, "\n")
	for n, line := range list {
		path, was, ok := strings.Cut(line, " = ")
		parts := strings.Split(path, "/")
		if ok && len(parts) >= 3 && parts[len(parts)-3] == table && parts[len(parts)-1] == column {
			list[n] = path + " = " + with(parts[len(parts)-2], was)
		}
	}
	return strings.Join(list, "\n")
}

// rowWith is the row of a table in the lines whose column holds a value.
func rowWith(t *testing.T, lines, table, column, value string) (rows []string) {
	t.Helper()
	retype(lines, table, column, func(row, was string) string {
		if was == value {
			rows = append(rows, row)
		}
		return was
	})
	require.NotEmpty(t, rows, "no %s with %s = %s in\n%s", table, column, value, lines)
	return rows
}

func TestTypedCorrectionsEndTheDemosFindings(t *testing.T) {
	r := demoReview(t)
	s, err := r.Now()
	require.NoError(t, err)
	set := func(table, column string, on []string, value string) func(string) string {
		return func(lines string) string {
			return retype(lines, table, column, func(row, was string) string {
				if slices.Contains(on, row) {
					return value
				}
				return was
			})
		}
	}
	tried := map[string]bool{}
	for n := range s.Items {
		i := &s.Items[n]
		lines, why, err := FieldLines(r.Case(), i)
		require.NoError(t, err)
		require.Empty(t, why, i.Message)
		var do func(string) string
		switch i.Check {
		case "vote-for":
			do = set("contest", "vote_for", rowWith(t, lines, "contest", "vote_for", i.Second), i.Primary)
		case "measure-text":
			column := "text"
			if i.Language != "" {
				column += "[" + i.Language + "]"
			}
			do = set("contest", column, rowWith(t, lines, "contest", column, i.Second), i.Primary)
		case "contest-title":
			do = set("contest", "title", rowWith(t, lines, "contest", "title", "Proposition Two"), i.Primary)
			first := do
			do = func(lines string) string {
				return retype(first(lines), "contest", "subtitle", func(_, _ string) string { return "" })
			}
		case "choice-name", "lookalike":
			do = set("choice", "name", rowWith(t, lines, "choice", "name", i.Second), i.Primary)
		case "party-line":
			do = set("choice", "party_lines", rowWith(t, lines, "choice", "party_lines", "LAN"), "-")
			if i.Choice != "" {
				rows := rowWith(t, lines, "choice", "name", i.Choice)
				do = func(lines string) string {
					for _, row := range rows {
						if slices.Contains(rowWith(t, lines, "choice", "party_lines", "LAN"), row) {
							for _, c := range casefile.Choices.Columns() {
								lines = set("choice", c, []string{row}, "")(lines)
							}
							break
						}
					}
					return lines
				}
			}
		case "wrong-style":
			face := rowWith(t, lines, "face", "style", i.Primary)[0]
			do = set("give", "face", rowWith(t, lines, "give", "precinct", "1-06"), face)
		case "contest-missing":
			contest := rowWith(t, lines, "contest", "title", "Superintendent of Highways")
			do = func(lines string) string {
				for _, c := range contest {
					for _, place := range rowWith(t, lines, "place", "contest", c) {
						for _, column := range casefile.Placements.Columns() {
							lines = set("place", column, []string{place}, "")(lines)
						}
					}
				}
				return lines
			}
		case "choice-order":
			a, b := rowWith(t, lines, "choice", "name", "Fergus MacAlloway"),
				rowWith(t, lines, "choice", "name", "Yuki Tanabe-Orr")
			do = func(lines string) string {
				return set("choice", "position", b, "2.5")(set("choice", "position", a, "2.7")(lines))
			}
		case "unit-site":
			do = set("unit", "site", rowWith(t, lines, "unit", "unit", i.Unit), i.Primary)
		case "unit-header":
			free := rowWith(t, lines, "header", "precinct", "")
			do = set("header", "precinct", free[:1], "3-03")
		default:
			continue
		}
		t.Run(string(i.Check)+" "+i.Contest+i.Unit, func(t *testing.T) {
			changes, err := ReadFieldLines(r.Case(), do(lines))
			require.NoError(t, err)
			require.NotEmpty(t, changes, lines)
			left, err := r.Try(changes)
			require.NoError(t, err)
			assert.NotContains(t, left, i.ID, "the typed correction ends the finding\n%s", do(lines))
		})
		tried[string(i.Check)] = true
	}
	for _, check := range []string{"wrong-style", "contest-missing", "choice-order", "unit-header", "unit-site",
		"vote-for", "choice-name"} {
		assert.True(t, tried[check], "the demo has a finding of %s", check)
	}
}
