package session

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/assets/demo"
	"counterproof/model/casefile"
)

func demoSession(t *testing.T) *Session {
	t.Helper()
	s := &Session{}
	require.NoError(t, s.CreateDemo(t.TempDir()))
	t.Cleanup(func() { _ = s.Close() })
	return s
}

func TestTheDemoLeavesOneBallotFaceToKey(t *testing.T) {
	s := demoSession(t)
	assert.True(t, s.IsDemo())
	assert.Equal(t, []string{"4-02", "4-03", "4-04", "4-05"}, s.Case().Unkeyed(casefile.ScopeBallots))
	next, ok := NextStep(s.Steps(nil))
	require.True(t, ok)
	assert.Equal(t, StepKey, next.ID)
	assert.Equal(t, "20 of 24 precincts keyed.", next.Detail)
	for _, seat := range s.Seats() {
		assert.False(t, seat.Unlocked, "nobody is unlocked before they unlock")
		require.NoError(t, s.Case().Unlock(seat.Person.ID, s.DemoPassphrase(seat.Person.ID)))
	}
	_, both := s.PairUnlocked()
	assert.True(t, both)
	dir := filepath.Dir(s.Case().Path())
	require.Len(t, s.State().CurrentProofs(), 11, "ten faces and the card headers")
	for _, p := range s.State().CurrentProofs() {
		assert.NoError(t, p.Check(s.Case().Path()))
	}
	require.Len(t, s.State().ProofsOf(casefile.ScopeBallots, DemoFace), 1)
	assert.Equal(t, "proofs/BS-10.pdf", s.State().ProofsOf(casefile.ScopeBallots, DemoFace)[0].Name)
	assert.Equal(t, "proofs/card headers.pdf", s.State().ProofsOf(casefile.ScopeUnits, "")[0].Name)
	assert.NoFileExists(t, filepath.Join(dir, "unfinished.counterproof"))
	assert.NoFileExists(t, filepath.Join(dir, "unfinished.counterproof.lease"))
}

func TestTheDemoIsOpenedAgainAsItStands(t *testing.T) {
	dir := t.TempDir()
	s := &Session{}
	require.NoError(t, s.CreateDemo(dir))
	before := s.State().Head
	require.NoError(t, s.Close())
	require.NoError(t, s.CreateDemo(dir))
	assert.Equal(t, before, s.State().Head)
	require.NoError(t, s.Close())
}

func TestOpeningWhatIsNoCaseKeepsTheOpenOne(t *testing.T) {
	s := demoSession(t)
	bad := filepath.Join(t.TempDir(), "notes.counterproof")
	require.NoError(t, os.WriteFile(bad, []byte("minutes of the board"), 0o644))
	require.ErrorIs(t, s.Open(bad), casefile.ErrNotCase)
	assert.True(t, s.IsDemo())
	head := s.State().Head
	require.NoError(t, s.Open(s.Case().Path()), "what is open already stays open")
	assert.Equal(t, head, s.State().Head)
}

func TestNoExportComesInBeforeTheBallotsAreSealed(t *testing.T) {
	s := demoSession(t)
	export := filepath.Join(filepath.Dir(s.Case().Path()), "export.xml")
	_, err := s.LookAtExport(t.Context(), export)
	require.ErrorContains(t, err, "seal the ballots first")
	assert.Empty(t, s.State().Exports)

	digests, err := s.NoteDigests(t.Context(), export)
	require.NoError(t, err)
	b, err := demo.FS.ReadFile("export.xml")
	require.NoError(t, err)
	assert.Equal(t, []casefile.Digest{casefile.DigestOf(b)}, digests)
	require.Len(t, s.CameIn(), 1)
	assert.Equal(t, "digest noted", s.CameIn()[0].What)

	// Sealed, the same export comes in.
	it, _ := s.Holder(casefile.SeatSecond)
	require.NoError(t, s.Case().Unlock(it.ID, s.DemoPassphrase(it.ID)))
	require.NoError(t, s.Case().Seal(it.ID, casefile.Seal{Scope: casefile.ScopeBallots,
		Without: s.Case().Unkeyed(casefile.ScopeBallots)}))
	assert.Equal(t, "General Election (invented) · ballots sealed · Counterproof", s.Title())
	in, err := s.LookAtExport(t.Context(), export)
	require.NoError(t, err)
	assert.Empty(t, s.State().Exports, "what is looked at is not in the case")
	assert.NotContains(t, s.IncomingFacts(in)[5].Value, "voting unit", "the units are not sealed")
	assert.Contains(t, s.IncomingFacts(in)[0].Value, "its digest was noted before, in entry")
	_, err = s.BringIn(t.Context(), it.ID, in)
	require.NoError(t, err)
	assert.Equal(t, it.Name, s.CameIn()[1].By)
	assert.Equal(t, "comparing", s.StateWords())
	assert.Equal(t, digests[0], s.State().Exports[0].Digest)
}

func TestANewCaseAsksForPeopleFirstThenForTheRoster(t *testing.T) {
	s := &Session{Options: casefile.Options{WorkFactor: 1}}
	path := filepath.Join(t.TempDir(), "general")
	require.NoError(t, s.Create(path, casefile.Start{Election: casefile.Election{Name: "General", Date: "2027-11-02"},
		Parties: []string{"Hearth", "Meridian"}}))
	t.Cleanup(func() { _ = s.Close() })
	assert.Equal(t, path+".counterproof", s.Case().Path())
	next, _ := NextStep(s.Steps(nil))
	assert.Equal(t, StepPeople, next.ID)
	assert.ErrorContains(t, s.KeepRoster([]RosterLine{{Precinct: "1-01"}}), "enrol that person first")
	assert.Empty(t, s.DemoPassphrase("p1"))
	for i, seat := range casefile.Seats {
		_, err := s.Case().Enrol(casefile.NewPerson{Name: string(seat), Initials: []string{"X", "Y", "Z"}[i],
			Party: []string{"Hearth", "Meridian", "Growers"}[i], Seat: seat, Passphrase: "twelve letters"})
		require.NoError(t, err)
	}
	next, _ = NextStep(s.Steps(nil))
	assert.Equal(t, StepRoster, next.ID)

	first := []RosterLine{{"1-01", "Fire Hall", ""}, {"1-02", "Fire Hall, rear", ""}, {"1-02", "Town Hall", "early"}}
	require.NoError(t, s.KeepRoster(first))
	assert.Equal(t, first, s.Roster())
	assert.Equal(t, 2, s.RosterPrecincts())
	head := s.State().Head
	require.NoError(t, s.KeepRoster(first))
	assert.Equal(t, head, s.State().Head, "the same roster again is no entry")
	// A site changes, a precinct goes, another comes.
	second := []RosterLine{{"1-01", "Middle School", ""}, {"1-03", "", ""}, {"1-02", "Town Hall", "early"}}
	require.NoError(t, s.KeepRoster(second))
	assert.ElementsMatch(t, second, s.Roster())
	next, _ = NextStep(s.Steps(nil))
	assert.Equal(t, StepKey, next.ID)
}

func TestRostersAsPeopleHaveThem(t *testing.T) {
	for name, c := range map[string]struct {
		text   string
		want   []RosterLine
		faults int
	}{
		"names alone": {"1-01\n1-02\n", []RosterLine{{"1-01", "", ""}, {"1-02", "", ""}}, 0},
		"pasted from a table": {"1-01\tFire Hall, rear\r\n1-02\tTown Hall\tearly\r\n",
			[]RosterLine{{"1-01", "Fire Hall, rear", ""}, {"1-02", "Town Hall", "early"}}, 0},
		"a CSV file with its head": {"\ufeffPrecinct,site,use\n1-01,\"Fire Hall, rear\",\n",
			[]RosterLine{{"1-01", "Fire Hall, rear", ""}}, 0},
		"blank lines and blanks":       {"\n 1-01 , Fire Hall \n\n", []RosterLine{{"1-01", "Fire Hall", ""}}, 0},
		"a column that is no roster's": {"Precinct;Name;Ballot style\n101;Ferry Landing;A\n", nil, 1},
		"columns in another order": {"precinct,use,polling place\n1-01,early,Fire Hall\n",
			[]RosterLine{{"1-01", "Fire Hall", "early"}}, 0},
		"a sum below":              {"1-01;Fire Hall\nTotal;;2191\n", nil, 1},
		"a precinct called Total":  {"\"Total\",Fire Hall\n", []RosterLine{{"Total", "Fire Hall", ""}}, 0},
		"no separator in one line": {"101;Ferry Landing\n102 Quarry Hill\n", nil, 1},
		"a name with a blank, among sites": {"\"Ward 1\"\nWard 2,Hall\n",
			[]RosterLine{{"Ward 1", "", ""}, {"Ward 2", "Hall", ""}}, 0},
		"a precinct twice":           {"1-01,A\n1-01,B\n", nil, 1},
		"twice for two uses is fine": {"1-01,A\n1-01,B,early\n", []RosterLine{{"1-01", "A", ""}, {"1-01", "B", "early"}}, 0},
		"no name":                    {",Fire Hall\n", nil, 1},
		"a site with a comma":        {"1-01,Fire Hall, rear,,x\n", nil, 1},
		"a use nobody knows":         {"1-01,A,absentee\n", nil, 1},
		"a quotation mark left open": {"1-01,\"Fire Hall\n1-02,B\n", nil, 1},
		"not text":                   {"1-01,\xff\n", nil, 1},
		"a tab inside quotes":        {"\"1-01\tnorth\"\n", []RosterLine{{"1-01 north", "", ""}}, 0},
		"a precinct of that name":    {"precinct,site\nPrecinct,Fire Hall\n", []RosterLine{{"Precinct", "Fire Hall", ""}}, 0},
		"a byte order mark within":   {"\n\ufeff1-01\n", []RosterLine{{"1-01", "", ""}}, 0},
		"nothing":                    {"", nil, 0},
		"semicolons, as some spreadsheets save it": {"Precinct;Site\n1-01;Fire Hall, rear\n1-02;Town Hall;early\n",
			[]RosterLine{{"1-01", "Fire Hall, rear", ""}, {"1-02", "Town Hall", "early"}}, 0},
		"bars":                      {"1-01 | Fire Hall\n", []RosterLine{{"1-01", "Fire Hall", ""}}, 0},
		"a semicolon within a site": {"1-01,Fire Hall; rear\n", []RosterLine{{"1-01", "Fire Hall; rear", ""}}, 0},
		"commas and semicolons":     {"1-01,Fire Hall\n1-02;Town Hall\n", nil, 1},
		"commas and tabs":           {"1-01\tFire Hall\n1-02,Town Hall\n", nil, 1},
		"semicolons, and a precinct alone": {"1-01;Fire Hall\n1-02\n", []RosterLine{{"1-01", "Fire Hall", ""},
			{"1-02", "", ""}}, 0},
		"blanks between the columns":          {"1-01    Fire Hall\n1-02    Town Hall\n", nil, 2},
		"a dash between":                      {"1-01 - Fire Hall\n", nil, 1},
		"a long dash between":                 {"1-01 – Fire Hall\n", nil, 1},
		"a colon between":                     {"1-01: Fire Hall\n", nil, 1},
		"a dash between, and commas below it": {"1-01 - Fire Hall\n1-02,Town Hall\n", nil, 1},
		"a name with a dash, in quotation marks": {"\"Ward 1 - ED 3\"\n\"Ward 1; ED 4\",Hall\n",
			[]RosterLine{{"Ward 1 - ED 3", "", ""}, {"Ward 1; ED 4", "Hall", ""}}, 0},
		"a name with a dash, and its site": {"Ward 1 - ED 3,Hall\n", []RosterLine{{"Ward 1 - ED 3", "Hall", ""}}, 0},
	} {
		t.Run(name, func(t *testing.T) {
			got, faults := ParseRoster(c.text)
			assert.Len(t, faults, c.faults, "%q", faults)
			if c.faults == 0 {
				assert.Equal(t, c.want, got)
				again, faults := ParseRoster(RosterText(got))
				assert.Empty(t, faults)
				assert.Equal(t, got, again, "written and read again")
			}
		})
	}
}

func FuzzParseRoster(f *testing.F) {
	f.Add("1-01,Fire Hall\n1-02\t\"x\"\n")
	f.Fuzz(func(t *testing.T, text string) {
		lines, faults := ParseRoster(text)
		if len(faults) == 0 {
			again, faults := ParseRoster(RosterText(lines))
			assert.Empty(t, faults)
			assert.Equal(t, lines, again)
		}
	})
}

func TestASessionHasNoGraphics(t *testing.T) {
	out, err := exec.Command("go", "list", "-deps", ".").Output()
	require.NoError(t, err)
	for _, dep := range strings.Fields(string(out)) {
		assert.False(t, strings.HasPrefix(dep, "fyne.io/"), "the session imports %s", dep)
	}
}
