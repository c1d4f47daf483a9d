// Command cproof is the terminal program of Counterproof. It compares an election's configuration
// with the entry that the second party keyed independently, and reports each difference once.
//
// It decides nothing itself. It reads both sides (entries.go), package checks compares them, and
// text.go, json.go and csv.go write the result.
//
// Exit status: 0 means that the task is done, or that no finding above a note needs action. 1 means
// that findings are open or a record is not intact, or that something is left to do before a seal
// or a signature and nothing was recorded. 2 means that the input cannot be used; one line on
// standard error says where, what is wrong and what would be right.
package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"runtime/debug"
	"strings"

	"github.com/alecthomas/kong"

	"counterproof/checks/wording"
	"counterproof/model/guard"
	"counterproof/model/program"
)

// The exit statuses.
const (
	exitAgreed   = 0
	exitFindings = 1
	exitUnusable = 2
)

// session is the environment of a command: where it writes, and the outcome it reports.
type session struct {
	out, err io.Writer
	getenv   func(string) string
	// found is set by a command that reports a finding above a note.
	found bool
}

// commandLine is the command line.
type commandLine struct {
	Compare compareCommand `cmd:"" group:"plain" help:"Compare an export with the second entry and say what differs."`
	Inspect inspectCommand `cmd:"" group:"plain" help:"Say what an export holds, and the faults that it shows by itself."`
	Tables  tablesCommand  `cmd:"" group:"plain" help:"Propose what the columns of an office's lists mean, so that they are an export."`
	Checks  checksCommand  `cmd:"" group:"plain" help:"Say what the checks look for, and how to read their findings."`
	Export  exportCommand  `cmd:"" group:"plain" help:"Write the second entry as an SP 1500-100 file, to hand it on."`
	Deck    deckCommand    `cmd:"" group:"plain" help:"Make test decks of the second entry, say what they cannot see, and count them: the answer key of what machines must report."`
	Demo    demoCommand    `cmd:"" group:"plain" help:"Write the demo election: an export with planted mistakes, and its second entry."`

	New      newCommand      `cmd:"" group:"begin" help:"Begin a case."`
	Enrol    enrolCommand    `cmd:"" group:"begin" help:"Enrol a person: programmer, second party or supervisor."`
	Key      keyCommand      `cmd:"" group:"begin" help:"Bring in what the second party keyed."`
	Witness  witnessCommand  `cmd:"" group:"begin" help:"Bring in a certified document: candidates, districts or sites."`
	Announce announceCommand `cmd:"" group:"begin" help:"Record an export by its digest alone, before the seal."`
	Join     joinCommand     `cmd:"" group:"begin" help:"Bring in another keyer's case."`
	Seal     sealCommand     `cmd:"" group:"begin" help:"Close the second entry: the ballots, or the units."`

	Countersign countersignCommand `cmd:"" group:"begin" help:"The programmer signs the head of the seal, before an export comes in."`
	Heads       headsCommand       `cmd:"" group:"begin" help:"Write the page with the heads of the seals and the keys, to be pinned up."`

	ExportIn exportInCommand `cmd:"" group:"decide" help:"Bring in an export; say what it clears and what changed unasked."`
	Withdraw withdrawCommand `cmd:"" group:"decide" help:"Take back an export that came in by mistake; the pair signs."`
	Findings findingsCommand `cmd:"" group:"decide" help:"Say each finding and how far it is."`
	Decide   decideCommand   `cmd:"" group:"decide" help:"Record what the pair makes of findings."`
	Correct  correctCommand  `cmd:"" group:"decide" help:"Correct a sealed value of the second entry."`
	Map      mapCommand      `cmd:"" group:"decide" help:"Say that two things of the two entries are one."`
	Amend    amendCommand    `cmd:"" group:"decide" help:"Reopen contests that an order changes after the seal."`

	Cards cardsCommand `cmd:"" group:"decide" help:"Cards at the machine: what each unit must show, shows, and what is wrong."`

	Report   reportCommand   `cmd:"" group:"prove" help:"Write the comparison report: JSON, HTML and PDF."`
	Sign     signCommand     `cmd:"" group:"prove" help:"Sign the report: the pair and the supervisor."`
	Evidence evidenceCommand `cmd:"" group:"prove" help:"Write all the evidence to one folder, to be kept."`
	Verify   verifyCommand   `cmd:"" group:"prove" help:"Check that a case, a report or an evidence folder holds, and is the one that was printed."`
	Log      logCommand      `cmd:"" group:"prove" help:"Say in words what happened in a case."`
	Backup   backupCommand   `cmd:"" group:"prove" help:"Copy a case, even while it is in use."`

	Version versionFlag `help:"Say which program this is: version, commit, Go version, digest of its own file."`
}

// versionFlag is "cproof --version".
type versionFlag bool

// BeforeReset answers before anything else of the command line is looked at, as --help does.
func (versionFlag) BeforeReset(app *kong.Kong) error {
	b := program.Running()
	_, err := fmt.Fprintf(app.Stdout, "%s\nSHA-256 of this program: %s\n", b.Line(), b.SHA256)
	app.Exit(0)
	return err
}

// groupsOfCommands are the headings of the commands in the help.
var groupsOfCommands = []kong.Group{
	{Key: "plain", Title: "Without a case: an export and a folder of sheets"},
	{Key: "begin", Title: "A case: begin it, key, seal"},
	{Key: "decide", Title: "After the seal: compare and decide"},
	{Key: "prove", Title: "The record"},
}

const description = `Counterproof proves an election's set-up before its memory cards are used.

One person programs the election. A second person, of another party, keys every
ballot again from the printed ballot proof, without seeing that set-up.
cproof compares the two and says each difference once, with the precincts it
touches.

Try it on an invented election:

  cproof demo demo
  cproof compare --primary demo/export.xml --second demo/second

A whole cross-check of it, from the beginning of a case to its proof. Here the
passphrases come from a pipe; without --passphrase-fd each person types theirs.

  cproof new t.counterproof --election-name "General Election" \
    --date 2027-11-02 --jurisdiction "Tarnwick County" \
    --party "Hearth Party" --party "Meridian Party"
  echo hearth programmer | cproof enrol t.counterproof --seat programmer \
    --name "Hollis Varga" --initials HV --party "Hearth Party" --passphrase-fd 0
  echo meridian second party | cproof enrol t.counterproof --seat second-party \
    --name "Imre Tallow" --initials IT --party "Meridian Party" --passphrase-fd 0
  echo growers supervisor | cproof enrol t.counterproof --seat supervisor \
    --name "Noor Castellane" --initials NC --party "no party" --passphrase-fd 0
  cproof key t.counterproof --by IT demo/second
  cproof announce t.counterproof --by HV demo/export.xml
  echo meridian second party | cproof seal t.counterproof ballots --by IT \
    --passphrase-fd 0
  echo meridian second party | cproof seal t.counterproof units --by IT \
    --passphrase-fd 0
  echo hearth programmer | cproof countersign t.counterproof --by HV \
    --passphrase-fd 0
  cproof heads t.counterproof --out heads.txt
  cproof export-in t.counterproof --by HV demo/export.xml
  cproof findings t.counterproof --status open
  printf 'hearth programmer\nmeridian second party\n' |
    cproof decide t.counterproof vote-for-10e6 choice-name-46dc \
    --outcome keying-slip --as-primary --reason "misread" \
    --document "Ballot proof, 8 October" --signed-by HV,IT --passphrase-fd 0
  printf 'hearth programmer\nmeridian second party\n' |
    cproof decide t.counterproof wrong-style contest-missing measure-text-4204 \
    measure-text-78d0 vote-for-2cc1 lookalike choice-name-a9d1 party-line candidate-unlinked \
    choice-order unit-header unit-site contest-title \
    --outcome fix-configuration --reason "the proof is right" --document "Ballot proof, 8 October" \
    --signed-by HV,IT --passphrase-fd 0
  cproof export-in t.counterproof --by HV demo/corrected.xml
  cproof findings t.counterproof
  printf 'hearth programmer\nmeridian second party\ngrowers supervisor\n' |
    cproof sign t.counterproof --signed-by HV,IT,NC --passphrase-fd 0
  cproof report t.counterproof --out report
  cproof log t.counterproof
  cproof evidence t.counterproof evidence
  cproof verify evidence

Exit status: 0 it is done, or nothing is left to do; 1 findings are open, or something
does not hold; 2 the input cannot be used, and one line says why.

It checks a configuration; it does not certify one, and it takes the place of
no test that law or your board's procedure requires.`

// main runs the garbage collector somewhat more often than Go's default. Two entries of a large
// county fill most of the memory for as long as the program runs: a quarter more garbage saves no
// measurable time and takes a tenth more memory.
func main() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(75)
	}
	os.Exit(run(os.Args[1:], &session{out: os.Stdout, err: os.Stderr, getenv: os.Getenv}))
}

// run runs one command line and returns the exit status. In any case the user gets an answer, or
// one line that says why there is none. Everything runs in guard.Run, including the goroutines of
// the readers, because the guard here would not catch a panic there.
func run(arguments []string, s *session) (status int) {
	err := guard.Run("running the command", func() error {
		status = s.run(arguments)
		return nil
	})
	if err != nil {
		status = s.fail(err)
	}
	return status
}

func (s *session) run(arguments []string) int {
	var commands commandLine
	helped := false
	parser, err := kong.New(&commands,
		kong.Name("cproof"),
		kong.Description(description),
		kong.Writers(s.out, s.err),
		kong.Exit(func(int) { helped = true }),
		kong.ConfigureHelp(kong.HelpOptions{NoAppDescFormat: true, NoExpandSubcommands: true, FlagsLast: true, Compact: true,
			WrapUpperBound: 90}),
		kong.Vars(helpVars()),
		kong.ExplicitGroups(groupsOfCommands),
	)
	if err != nil {
		return s.fail(err)
	}
	if len(arguments) == 0 {
		return s.fail(errors.New(`no command given; begin with compare, inspect, demo or new ("cproof --help" explains ` +
			`them all)`))
	}
	context, err := parser.Parse(arguments)
	if helped {
		return exitAgreed
	}
	if err != nil {
		return s.fail(usageError(err))
	}
	if err := context.Run(s); err != nil {
		return s.fail(err)
	}
	if s.found {
		return exitFindings
	}
	return exitAgreed
}

// usageError adds a pointer to the help to an error in the command line.
func usageError(err error) error {
	command := "cproof"
	var parse *kong.ParseError
	if errors.As(err, &parse) && parse.Context != nil {
		words := []string{}
		for node := parse.Context.Selected(); node != nil && node.Parent != nil; node = node.Parent {
			words = append([]string{node.Name}, words...)
		}
		command = strings.Join(append([]string{command}, words...), " ")
	}
	said := strings.Replace(err.Error(), `must be one of "",`, "must be one of ", 1) // "" is for the omitted flag
	return fmt.Errorf("%s; %q explains the command", said, command+" --help")
}

// fail writes one line that says why there is no answer.
func (s *session) fail(err error) int {
	fmt.Fprintln(s.err, oneLine("cproof: "+err.Error()))
	return exitUnusable
}

// longestError limits the line on standard error, so that it is readable for a fault in a file of
// any size.
const longestError = 1000

// oneLine turns a message into one line that cannot control a terminal.
func oneLine(message string) string {
	parts := strings.FieldsFunc(message, func(r rune) bool { return r == '\n' || r == '\r' })
	for i, part := range parts {
		parts[i] = strings.TrimSpace(part)
	}
	line := []rune(wording.Visible(strings.Join(parts, "; ")))
	if len(line) > longestError {
		half := longestError / 2
		line = append(append(line[:half:half], []rune(" […] ")...), line[len(line)-half:]...)
	}
	return string(line)
}
