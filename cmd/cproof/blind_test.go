package main

import (
	"bytes"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/alecthomas/kong"
	"github.com/stretchr/testify/require"

	"counterproof/checks/review"
	"counterproof/model/casefile"
	"counterproof/model/results"
	"counterproof/model/sheets"
)

// blindMark stands in what is blind, and nowhere else.
const blindMark = "ZZBLINDZZ"

// blindPass are the passphrases of HV, IT and NC.
var blindPass = map[casefile.PersonID]string{"p1": "hearth programmer", "p2": "meridian second party",
	"p3": "growers supervisor"}

func blindSheets(judge, unit, site string) *sheets.Sheets {
	return &sheets.Sheets{
		Precincts: []sheets.PrecinctRow{{Precinct: "1-01", Site: site}, {Precinct: "1-02", Site: site}},
		Contests: []sheets.ContestRow{
			{Contest: "exec", Title: "County Executive", Kind: "candidate", VoteFor: "1"},
			{Contest: "judge", Title: judge, Kind: "candidate", VoteFor: "2"},
		},
		Choices: []sheets.ChoiceRow{
			{Contest: "exec", Position: "1", Name: "Ilse Brandywine", PartyLines: "HAR"},
			{Contest: "judge", Position: "1", Name: "Anneke Voss", PartyLines: "HAR|MEA"},
		},
		Ballots: []sheets.BallotRow{{Style: "A", Position: "1", Contest: "exec"}, {Style: "A", Position: "2",
			Contest: "judge"}},
		Styles: []sheets.StyleRow{{Style: "A", Precinct: "1-01"}, {Style: "A", Precinct: "1-02"}},
		Units:  []sheets.UnitRow{{Unit: unit, Site: site, Precinct: "1-01"}, {Unit: unit, Site: site, Precinct: "1-02"}},
	}
}

// blindCase is a case that is being made for the test.
type blindCase struct {
	t    *testing.T
	c    *casefile.Case
	path string
}

func newBlindCase(t *testing.T) *blindCase {
	t.Helper()
	path := filepath.Join(t.TempDir(), "case"+casefile.Extension)
	c, err := casefile.Create(path, casefile.Start{
		Election: casefile.Election{Name: "General Election", Date: "2027-11-02", Jurisdiction: "Tarnwick County"},
		Parties:  []string{"Hearth Party", "Meridian Party"},
	}, casefile.Options{WorkFactor: 1})
	require.NoError(t, err)
	t.Cleanup(func() { _ = c.Close() })
	for _, p := range []casefile.NewPerson{
		{Name: "Hollis Varga", Initials: "HV", Party: "Hearth Party", Seat: casefile.SeatProgrammer},
		{Name: "Imre Tallow", Initials: "IT", Party: "Meridian Party", Seat: casefile.SeatSecond},
		{Name: "Noor Castellane", Initials: "NC", Party: "no party", Seat: casefile.SeatSupervisor},
	} {
		p.Passphrase = blindPass[casefile.PersonID("p"+string(rune('1'+len(c.State().People))))]
		enrolled, err := c.Enrol(p)
		require.NoError(t, err)
		require.NoError(t, c.Unlock(enrolled.ID, p.Passphrase))
	}
	return &blindCase{t, c, path}
}

func (b *blindCase) key(rows *sheets.Sheets) {
	k, err := b.c.Keying("p2")
	require.NoError(b.t, err)
	require.NoError(b.t, k.Load("the proof", rows))
}

func (b *blindCase) set(changes ...casefile.Change) {
	k, err := b.c.Keying("p2")
	require.NoError(b.t, err)
	require.NoError(b.t, k.Set(changes...))
}

func (b *blindCase) seal(scopes ...casefile.Scope) {
	for _, scope := range scopes {
		require.NoError(b.t, b.c.Seal("p2", casefile.Seal{Scope: scope, Without: b.c.Unkeyed(scope)}))
	}
}

func (b *blindCase) bring(export []byte) {
	_, err := review.New(b.c).BringIn("p1", review.File{Name: "export.xml", Data: export})
	require.NoError(b.t, err)
}

func (b *blindCase) amend(rows ...casefile.Row) {
	require.NoError(b.t, b.c.Amend(casefile.Amendment{Document: "Order 12", Date: "2027-10-15", Reason: "one seat",
		Contests: rows}, "p1", "p2"))
}

// join brings in what another keyer keyed.
func (b *blindCase) join(rows *sheets.Sheets) {
	other := newBlindCase(b.t)
	other.key(rows)
	require.NoError(b.t, other.c.Close())
	_, err := b.c.Join("p2", other.path)
	require.NoError(b.t, err)
}

// sign has the case signed as it stands, in spite of all that is left to do.
func (b *blindCase) sign() {
	require.NoError(b.t, b.c.Close())
	run := blindRun(b.t, filepath.Dir(b.path), "hearth programmer\nmeridian second party\ngrowers supervisor\n",
		append([]string{"sign", b.path, "--signed-by", "HV,IT,NC", "--passphrase-fd", "0"}, exceptAll(b.t, b.path)...)...)
	require.Equal(b.t, exitAgreed, run.status, run.out+run.err)
	c, err := casefile.Open(b.path, casefile.Options{WorkFactor: 1})
	require.NoError(b.t, err)
	b.t.Cleanup(func() { _ = c.Close() })
	for id, pass := range blindPass {
		require.NoError(b.t, c.Unlock(id, pass))
	}
	b.c = c
}

func exceptAll(t *testing.T, path string) (flags []string) {
	c, err := casefile.Open(path, casefile.Options{ReadOnly: true})
	require.NoError(t, err)
	defer c.Close()
	missing, err := review.New(c).MissingToSign()
	require.NoError(t, err)
	for _, m := range missing {
		if m.ID != "compared" {
			flags = append(flags, "--exception", m.ID+"=it comes later")
		}
	}
	return flags
}

func blindRun(t *testing.T, folder, passphrases string, arguments ...string) ran {
	t.Helper()
	return cproofApart(t, passphrases, folder, arguments) // several at a time
}

// blindCommands are ways to use each command on the case "case.counterproof", with
// "export.xml", "other.counterproof" and the folder of sheets "second" beside it.
var blindCommands = map[string][]string{
	"compare": {
		"--primary export.xml --second CASE", "--primary export.xml --second CASE --format json", "--primary export.xml " +
			"--second CASE --format csv --out out.csv",
		"--primary CASE --second second",
	},
	"inspect": {"CASE", "export.xml"}, "tables": {"propose second/contests.csv second/choices.csv", "propose CASE"},
	"checks": {"", "vote-for"}, "export": {"--second CASE --out out.xml"},
	"deck": {"count --second CASE deck.csv", "count --second CASE deck.csv --by-unit --format json", "make --second CASE",
		"make --second CASE --unit S-1", "lint --second CASE deck.csv",
		"lint --second CASE deck.csv --precinct 1-01 --format json",
		"record CASE deck.csv --name D --signed-by HV,IT --passphrase-fd 0",
		"record CASE deck.csv --name D --unit S-1 --signed-by HV,IT --passphrase-fd 0", "show CASE",
		"results CASE deck.csv --deck D --signed-by HV,IT --passphrase-fd 0",
		"decide CASE deck-1 --outcome refer --reason r --signed-by HV,IT --passphrase-fd 0",
		"compare --second CASE --key key.csv --deck deck.csv --results export.xml",
		"compare --second CASE --key key.csv --results key.csv --format json"},
	"demo":  {"demo"},
	"new":   {"CASE --election-name E --date 2027-11-02 --jurisdiction J --party A --party B"},
	"enrol": {"CASE --name Liv --initials LA --party Meridian_Party --seat second-party --passphrase-fd 0"},
	"key": {
		"CASE --by IT second", "CASE --by IT --set contest/judge/vote_for=1", "CASE --by IT --set contest/2/vote_for=x",
		"CASE --by IT --set unit/1/use=early",
		"CASE --by IT --set unit/S-1/use=early", "CASE --by HV second",
	},
	"witness": {"CASE second/contests.csv --kind candidates --document d --as-of 1 --signed-by IT --passphrase-fd 0",
		"CASE roster.csv --kind sites --document d --as-of 1 --signed-by IT --passphrase-fd 0"},
	"announce": {"CASE --by HV export.xml"}, "join": {"CASE --by IT other.counterproof"},
	"seal": {"CASE ballots --by IT", "CASE units --by IT", "CASE units --by HV --passphrase-fd 0", "CASE " +
		"ballots --by HV --passphrase-fd 0"},
	"countersign": {"CASE --by HV --passphrase-fd 0", "CASE --by IT --passphrase-fd 0"}, "heads": {"CASE", "CASE " +
		"--out out.txt"},
	"export-in": {"CASE --by HV export.xml", "CASE --by HV --countersign export.xml --passphrase-fd 0"},
	"withdraw":  {"CASE export.xml --reason r --signed-by HV,IT --passphrase-fd 0"},
	"findings":  {"CASE", "CASE --format json", "CASE --format csv --out out.csv", "CASE --status cleared"},
	"decide": {
		"CASE vote-for --outcome refer --reason r --signed-by HV,IT --passphrase-fd 0",
		"CASE vote-for --outcome keying-slip --set contest/2/title=x --reason r --document d --signed-by HV,IT " +
			"--passphrase-fd 0",
		"CASE vote-for --outcome keying-slip --as-primary --reason r --document d --signed-by HV,IT --passphrase-fd 0",
	},
	"correct": {
		"CASE --set contest/2/title=x --document d --reason r --signed-by HV,IT --passphrase-fd 0",
		"CASE --set 1:contest/2/title=x --document d --reason r --signed-by HV,IT --passphrase-fd 0",
		"CASE --set choice/2/name=x --document d --reason r --signed-by HV,IT --passphrase-fd 0",
		"CASE --set unit/1/unit=x --document d --reason r --signed-by HV,IT --passphrase-fd 0",
		"CASE --set precinct/1-01/site=x --document d --reason r --signed-by HV,IT --passphrase-fd 0",
		"CASE --set precinct/1-01/precinct=x --document d --reason r --signed-by HV,IT --passphrase-fd 0",
		"CASE --set contest/exec/title=x --document d --reason r --signed-by HV,IT --passphrase-fd 0",
	},
	"map": {"CASE --kind unit --primary a --second b --reason r --signed-by HV,IT --passphrase-fd 0"},
	"amend": {
		"CASE --document d --date 2027-10-16 --reason r --contest judge --signed-by HV,IT --passphrase-fd 0",
		"CASE --document d --date 2027-10-16 --reason r --contest 2 --signed-by HV,IT --passphrase-fd 0",
	},
	"report": {"CASE", "CASE --out out", "CASE --format json", "CASE --format html", "CASE --format pdf --out " +
		"out.pdf", "CASE --signed 1", "CASE --signed 1 --out out"},
	"sign":     {"CASE --signed-by HV,IT,NC --passphrase-fd 0", "CASE --signed-by HV,IT,NC --passphrase-fd 0 EXCEPTIONS"},
	"evidence": {"CASE out"}, "verify": {"CASE", "CASE --head " + strings.Repeat("01", 32)}, "log": {"CASE", "CASE " +
		"--after 3"},
	"cards": {"findings CASE", "findings CASE --format json", "plan CASE", "plan CASE --format csv --out out.csv",
		"plan CASE --format sheets --out sheets.pdf",
		"seals CASE", "ledger CASE --by HV roster.csv", "at CASE S-1 --by IT --card C-1 --header 1-01",
		"rules CASE --zone UTC --changes-itself --signed-by HV,IT --passphrase-fd 0",
		"sign CASE S-1 --signed-by HV,IT --passphrase-fd 0",
		"decide CASE wrong-card --outcome accept --reason r --signed-by HV,IT --passphrase-fd 0",
		"team CASE North S-1 --by HV --out team.counterproof", "join CASE other.counterproof --by HV"},
	// A copy of the file is the file: FORMAT.md says so. What is printed is looked at.
	"backup": {"CASE copy.counterproof"},
}

// TestNoCommandShowsWhatIsBlind runs every command in every state of a case: what is
// blind is on no screen and in no file that is written. The short run has one way to use each
// command, and three states, one for each thing that can be blind: the ballots, the units,
// an amendment.
func TestNoCommandShowsWhatIsBlind(t *testing.T) {
	parser, err := kong.New(&commandLine{}, kong.Exit(func(int) {}), kong.Vars(helpVars()),
		kong.ExplicitGroups(groupsOfCommands))
	require.NoError(t, err)
	for _, command := range parser.Model.Children {
		require.NotEmpty(t, blindCommands[command.Name], "a new command: say in blindCommands how it is used on a case")
	}
	plain := blindSheets("County Judge", "S-1", "Mill Hall")
	export := blindExport(t, blindSheets("County Judges", "S-2", "Town Hall"))
	judge := casefile.Row{Table: casefile.Contests, Row: 2}
	states := map[string]func(b *blindCase){
		"keying": func(b *blindCase) { b.key(blindSheets(blindMark, blindMark, blindMark)) },
		"keying, joined": func(b *blindCase) {
			b.key(plain)
			b.join(blindSheets(blindMark, blindMark, blindMark))
		},
		"ballots sealed": func(b *blindCase) {
			b.key(blindSheets("County Judge", blindMark, blindMark))
			b.seal(casefile.ScopeBallots)
		},
		"ballots sealed, export in": func(b *blindCase) {
			b.key(blindSheets("County Judge", blindMark, blindMark))
			b.seal(casefile.ScopeBallots)
			b.bring(export)
		},
		"units that cannot be read, export in": func(b *blindCase) {
			b.key(blindSheets("County Judge", "S-1", "Mill Hall"))
			b.seal(casefile.ScopeBallots)
			b.bring(export)
			b.set(casefile.Set(casefile.Headers, 1, "precinct", blindMark), casefile.Set(casefile.Units, 1, "use", blindMark))
		},
		"signed without the units": func(b *blindCase) {
			b.key(blindSheets("County Judge", blindMark, blindMark))
			b.seal(casefile.ScopeBallots)
			b.bring(export)
			b.sign()
		},
		"units of two keyers who differ": func(b *blindCase) {
			b.key(plain)
			b.join(blindSheets("County Judge", blindMark, blindMark))
			b.seal(casefile.ScopeBallots)
			b.bring(export)
		},
		"amendment open": func(b *blindCase) {
			b.key(plain)
			b.seal(casefile.ScopeBallots, casefile.ScopeUnits)
			b.amend(judge)
			b.set(casefile.Set(casefile.Contests, 2, "title", blindMark), casefile.Set(casefile.Choices, 2, "name", blindMark))
		},
		"amendment open, a deck recorded before": func(b *blindCase) {
			b.key(plain)
			b.seal(casefile.ScopeBallots, casefile.ScopeUnits)
			r := review.New(b.c)
			require.NoError(b.t, r.RecordDeck(review.NewDeck{Name: "D", Marks: []results.Mark{{Ballot: 1, Precinct: "1-01",
				Contest: "judge", Position: 1, Votes: 1}}}, "p1", "p2"))
			require.NoError(b.t, r.BringDeckResults(review.NewResults{Deck: b.c.State().Seq, Unit: "S-1",
				Name: "printout", Typed: []results.Count{{Unit: "S-1", Precinct: "1-01|1-02", Contest: "judge", Position: "1",
					Choice: "Anneke Voss", Count: 4}}}, "p1", "p2"))
			b.amend(judge)
			b.set(casefile.Set(casefile.Contests, 2, "title", blindMark), casefile.Set(casefile.Choices, 2, "name", blindMark))
		},
		"amendment open, signed before": func(b *blindCase) {
			b.key(plain)
			b.seal(casefile.ScopeBallots, casefile.ScopeUnits)
			b.bring(export)
			require.NoError(b.t, b.c.Correct("list", "slip", []casefile.Change{casefile.Set(casefile.Choices, 2, "name",
				"Anneke Vos")}, "p1", "p2"))
			b.sign()
			b.amend(judge)
			b.set(casefile.Set(casefile.Contests, 2, "title", blindMark), casefile.Set(casefile.Contests, 2, "contest",
				blindMark),
				casefile.Set(casefile.Choices, 2, "name", blindMark), casefile.Set(casefile.Contests, 3, "title", blindMark))
		},
		"amendment open, units not sealed": func(b *blindCase) {
			b.key(blindSheets("County Judge", blindMark, blindMark))
			b.seal(casefile.ScopeBallots)
			b.bring(export)
			b.amend(judge)
			b.set(casefile.Set(casefile.Contests, 2, "title", blindMark))
		},
		"amendment open, joined": func(b *blindCase) {
			b.key(plain)
			b.join(blindSheets("County Judge", "S-1", "Mill Hall"))
			b.seal(casefile.ScopeBallots, casefile.ScopeUnits)
			b.bring(export)
			b.amend(judge, casefile.Row{Source: 1, Table: casefile.Contests, Row: 2})
			b.set(casefile.Set(casefile.Contests, 2, "title", blindMark))
			other := casefile.Set(casefile.Contests, 2, "title", blindMark)
			other.Source = 1
			b.set(other)
		},
	}
	runs := 0
	for state, make := range states {
		t.Run(state, func(t *testing.T) {
			if testing.Short() && state != "keying, joined" {
				t.Skip("each state takes a run of the program for each command: long; run without -short")
			}
			t.Parallel()
			b := newBlindCase(t)
			make(b)
			require.NotEmpty(t, b.c.Blind())
			require.NoError(t, b.c.Close())
			whole, err := os.ReadFile(b.path)
			require.NoError(t, err)
			for name, ways := range blindCommands {
				if testing.Short() {
					ways = ways[:1]
				}
				for _, way := range ways {
					way = name + " " + way
					folder := blindFolder(t, whole, export)
					passphrases := "hearth programmer\nmeridian second party\ngrowers supervisor\n"
					switch name {
					case "enrol":
						passphrases = "plum ferry under bridges\n"
					case "witness":
						passphrases = "meridian second party\n"
					case "countersign", "export-in", "seal":
						passphrases = "hearth programmer\n"
					}
					var arguments []string
					for _, word := range strings.Fields(way) {
						switch word {
						case "CASE":
							word = "case.counterproof"
						case "EXCEPTIONS":
							arguments = append(arguments, exceptAll(t, b.path)...)
							continue
						}
						arguments = append(arguments, strings.ReplaceAll(word, "_Party", " Party"))
					}
					run := blindRun(t, folder, passphrases, arguments...)
					require.Less(t, run.status, 3, way)
					require.NotContains(t, run.out+run.err, blindMark, way)
					searched(t, folder, way, blindMark)
					runs++
				}
			}
		})
	}
	t.Cleanup(func() { t.Logf("%d runs", runs) })

	t.Run("it could be found", func(t *testing.T) {
		b := newBlindCase(t)
		b.key(blindSheets(blindMark, blindMark, blindMark))
		b.seal(casefile.ScopeBallots, casefile.ScopeUnits)
		b.bring(export)
		require.NoError(t, b.c.Correct("list", "slip", []casefile.Change{casefile.Set(casefile.Contests, 2, "vote_for",
			"1")}, "p1", "p2"))
		require.NoError(t, b.c.Close())
		folder := filepath.Dir(b.path)
		for _, way := range [][]string{{"findings", "--format", "csv"}, {"report", "--format", "html"}, {"log"}} {
			run := blindRun(t, folder, "", append([]string{way[0], b.path}, way[1:]...)...)
			require.Contains(t, run.out, blindMark, way)
		}
	})
}

// Whether a guess at what is blind is right cannot be asked.
func TestAGuessAtWhatIsBlindIsNotAnswered(t *testing.T) {
	b := newBlindCase(t)
	b.key(blindSheets("County Judge", "Unit-Right", "Mill Hall"))
	b.seal(casefile.ScopeBallots)
	b.amend(casefile.Row{Table: casefile.Contests, Row: 2})
	b.set(casefile.Set(casefile.Contests, 2, "title", "Title-Right"), casefile.Set(casefile.Contests, 3, "title",
		"Fresh-Right"))
	require.NoError(t, b.c.Close())
	signed := []string{"--document", "d", "--reason", "r", "--signed-by", "HV,IT", "--passphrase-fd", "0"}
	for _, guess := range [][]string{
		append([]string{"correct", b.path, "--set", "unit/Unit-Right/use=x"}, signed...),
		append([]string{"correct", b.path, "--set", "contest/Title-Right/title=x"}, signed...),
		append([]string{"correct", b.path, "--set", "contest/Fresh-Right/title=x"}, signed...),
		append([]string{"amend", b.path, "--date", "2027-10-16", "--contest", "Title-Right"}, signed...),
		append([]string{"amend", b.path, "--date", "2027-10-16", "--contest", "Fresh-Right"}, signed...),
	} {
		var wrong []string
		for _, word := range guess {
			wrong = append(wrong, strings.ReplaceAll(word, "Right", "Wrong"))
		}
		right, other := blindRun(t, t.TempDir(), "", guess...), blindRun(t, t.TempDir(), "", wrong...)
		require.Equal(t, exitUnusable, right.status)
		require.Equal(t, other.status, right.status)
		require.Equal(t, other.out+other.err, strings.ReplaceAll(right.out+right.err, "Right", "Wrong"), guess)
	}
	for _, rows := range [][2]string{{"unit/1/use", "unit/900/use"}, {"contest/3/title", "contest/900/title"}} {
		there := blindRun(t, t.TempDir(), "", append([]string{"correct", b.path, "--set", rows[0] + "=x"}, signed...)...)
		not := blindRun(t, t.TempDir(), "", append([]string{"correct", b.path, "--set", rows[1] + "=x"}, signed...)...)
		require.Equal(t, exitUnusable, there.status)
		require.Equal(t, strings.ReplaceAll(not.err, rows[1], rows[0]), there.err, "nor how many there are")
	}
}

// blindFolder holds the case and what the commands take beside it.
func blindFolder(t *testing.T, whole, export []byte) string {
	t.Helper()
	folder, err := os.MkdirTemp(t.TempDir(), "run-")
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "case"+casefile.Extension), whole, 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(folder, "export.xml"), export, 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(folder, "roster.csv"), []byte("precinct,site\n1-01,Town Hall\n"), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(folder, "deck.csv"), []byte("ballot,precinct,contest,position,mark\n"+
		"1,1-01,judge,1,1\n"), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(folder, "key.csv"), []byte("precinct,party,contest,position,choice,count\n"+
		"1-01,,judge,1,,1\n"), 0o600))
	second := filepath.Join(folder, "second")
	require.NoError(t, os.Mkdir(second, 0o700))
	rows := blindSheets("County Judge", "S-9", "Other Hall")
	files, err := rows.Files()
	require.NoError(t, err)
	for _, f := range files {
		require.NoError(t, os.WriteFile(filepath.Join(second, f.Name), f.Data, 0o600))
	}
	require.NoError(t, os.WriteFile(filepath.Join(folder, "other"+casefile.Extension), whole, 0o600))
	return folder
}

func blindExport(t *testing.T, rows *sheets.Sheets) []byte {
	t.Helper()
	folder := t.TempDir()
	files, err := rows.Files()
	require.NoError(t, err)
	for _, f := range files {
		require.NoError(t, os.WriteFile(filepath.Join(folder, f.Name), f.Data, 0o600))
	}
	out := filepath.Join(t.TempDir(), "export.xml")
	run := cproof(t, "export", "--second", folder, "--out", out)
	require.Equal(t, exitAgreed, run.status, run.err)
	export, err := os.ReadFile(out)
	require.NoError(t, err)
	return export
}

// searched looks for the mark in every file of a folder that is no case.
func searched(t *testing.T, folder, way, mark string) {
	t.Helper()
	require.NoError(t, filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		// The case itself and copies of it hold it. A PDF is made of the same as the JSON.
		if inside, _ := filepath.Rel(folder, path); strings.Contains(d.Name(), casefile.Extension) && inside == d.Name() {
			return nil
		}
		data, err := os.ReadFile(path)
		if err == nil && bytes.Contains(data, []byte(mark)) {
			t.Errorf("%s: what is blind is in %s", way, path)
		}
		return err
	}))
}
