package report

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/wording"
	"counterproof/model/casefile"
	"counterproof/model/files"
	"counterproof/model/sheets"
)

// The names of the files that are only in evidence folders.
const (
	caseFile   = "case" + casefile.Extension
	sumsFile   = "SHA256SUMS"
	readmeFile = "README.txt"
)

// ErrUnsigned means that a case has no signed report.
var ErrUnsigned = errors.New("no report of this case is signed yet")

// ErrStillBlind means that a case contains something that only its keyer may see yet.
var ErrStillBlind = errors.New("something in the case is still blind")

// Evidence writes all the evidence of a case to a new folder: the case itself, complete in one
// file, the exports as received, the sheets that the last report covers, every signed report and
// its annex in three forms each with the signatures, the public keys, a README.txt that explains how to check
// everything with ordinary tools, and SHA256SUMS for "sha256sum -c". Equal cases give equal bytes.
//
// The error is ErrUnsigned for a case without a signed report, and ErrStillBlind for a case that is
// still blind in part. A nonempty folder is refused. The folder gets its name only when every byte
// is on the disk; after an error no folder exists.
func Evidence(c *casefile.Case, dir string) error {
	if len(c.State().SignOffs) == 0 {
		return fmt.Errorf("%w; sign it first", ErrUnsigned)
	}
	if err := nothingBlind(c); err != nil {
		return err
	}
	return newFolder(dir, func(to string) (err error) {
		// Everything is made from the copy, so that it is consistent even if somebody continues to
		// work in the case.
		at := filepath.Join(to, caseFile)
		if err := c.BackupTo(context.Background(), files.Place{Path: at}); err != nil {
			return err
		}
		copied, err := casefile.Open(at, casefile.Options{ReadOnly: true})
		if err != nil {
			return err
		}
		defer func() { err = errors.Join(err, copied.Close()) }()
		if err := nothingBlind(copied); err != nil {
			return err // keyed in the meantime
		}
		digest, err := digestOf(at)
		if err != nil {
			return err
		}
		signed, err := Signed(copied)
		if err != nil {
			return err
		}
		parts, err := evidenceParts(copied, signed)
		if err != nil {
			return err
		}
		sums := sums{{caseFile, digest}}
		for _, p := range parts {
			digest, err := p.save(to)
			if err != nil {
				return err
			}
			sums = append(sums, sum{p.name, digest})
		}
		_, err = part{name: sumsFile, write: writes(sums.bytes())}.save(to)
		return err
	})
}

// nothingBlind refuses a case that is still blind in part.
func nothingBlind(c *casefile.Case) error {
	blind := c.Blind()
	if len(blind) == 0 {
		return nil
	}
	var what, ends []string
	for _, b := range blind {
		what = append(what, b.What)
		if !slices.Contains(ends, b.Ends) {
			ends = append(ends, b.Ends)
		}
	}
	return fmt.Errorf("%w: %s; the evidence holds the whole case and so would show it: %s first. The signed report by "+
		"itself can be had at any time",
		ErrStillBlind, english.WordSeries(what, "and"), english.WordSeries(ends, "and"))
}

// sum is a line of SHA256SUMS.
type sum struct {
	name   string
	digest casefile.Digest
}

type sums []sum

// bytes writes the lines in the form for "sha256sum -c", ordered by name.
func (s sums) bytes() []byte {
	sorted := slices.SortedFunc(slices.Values(s), func(a, b sum) int { return strings.Compare(a.name, b.name) })
	var b bytes.Buffer
	for _, x := range sorted {
		fmt.Fprintf(&b, "%s  %s\n", x.digest, x.name)
	}
	return b.Bytes()
}

// evidenceParts returns all files of an evidence folder except the case and SHA256SUMS, made from
// the case and its signed reports.
func evidenceParts(c *casefile.Case, signed []*Report) ([]part, error) {
	if len(signed) == 0 {
		return nil, ErrUnsigned
	}
	last := signed[len(signed)-1]
	parts := last.parts("")
	state := c.State()
	for _, p := range state.People {
		parts = append(parts, keyPart(string(p.ID), p.Name, p.PublicKey))
	}
	for i, r := range signed[:len(signed)-1] {
		parts = append(parts, r.parts(fmt.Sprintf("earlier-%d/", i+1))...)
	}
	exports, err := exportParts(c, state, last.Clock)
	if err != nil {
		return nil, err
	}
	if last.Rendering >= journalSince {
		parts = append(parts, journalPart(c))
	}
	parts = append(append(parts, exports...), certifiedParts(c, state, last.Clock)...)
	parts = append(append(parts, deckParts(c, state, last.Clock)...), teamParts(c, state, last.Clock)...)
	entered, err := sheetParts(c, state, last)
	if err != nil {
		return nil, err
	}
	parts = append(parts, entered...)
	return append(parts, part{name: readmeFile, words: "this text", write: writes(readme(state, signed, parts)),
		rendering: last.Rendering}), nil
}

func exportParts(c *casefile.Case, state *casefile.State, local clock) ([]part, error) {
	var parts []part
	for i, x := range state.Exports {
		data, err := c.Export(x.Digest)
		if err != nil {
			return nil, err
		}
		parts = append(parts, part{
			name: fmt.Sprintf("exports/export-%d%s", i+1, endOf(data)),
			words: fmt.Sprintf("%s as it was received on %s, entry %d%s", exportWords(x), local.moment(x.At), x.Seq,
				withdrawnIn(x)),
			write: func(w io.Writer) error {
				data, err := c.Export(x.Digest)
				if err != nil {
					return err
				}
				_, err = w.Write(data)
				return err
			},
		})
		if x.Tables != nil {
			parts = append(parts, tableParts(c, i+1, x.Tables)...)
		}
	}
	return parts, nil
}

func withdrawnIn(x casefile.Export) string {
	if x.Withdrawn == 0 {
		return ""
	}
	return fmt.Sprintf("; withdrawn in entry %d, and compared with nothing", x.Withdrawn)
}

// endOf chooses a file extension by the first character: an export is XML or a JSON object, in any
// encoding; anything else is a card list.
func endOf(data []byte) string {
	switch data = bytes.TrimLeft(data, "\ufeff\xff\xfe\x00 \t\r\n"); {
	case bytes.HasPrefix(data, []byte("<")):
		return ".xml"
	case bytes.HasPrefix(data, []byte("{")):
		return ".json"
	}
	return ".csv"
}

// sheetParts returns the second entry that the report covers, with corrections: one set of sheets
// for each case, if several were joined.
func sheetParts(c *casefile.Case, state *casefile.State, r *Report) ([]part, error) {
	var parts []part
	for source := 0; source <= len(state.Joined); source++ {
		rows, err := c.SheetsAt(r.Entries, source)
		if err != nil {
			return nil, err
		}
		if rows == nil {
			continue
		}
		folder, whose := "sheets/", "the second entry"
		if len(state.Joined) > 0 {
			folder, whose = fmt.Sprintf("sheets-%d/", source+1), "the second entry keyed in this case"
		}
		if source > 0 {
			whose = fmt.Sprintf("the second entry of the case that was joined in entry %d", state.Joined[source-1].Seq)
		}
		files, err := rows.Files()
		if err != nil {
			return nil, err
		}
		for _, f := range files {
			if r.Rendering >= windowsSince {
				f.Data = append([]byte(sheets.ByteOrderMark), f.Data...)
			}
			parts = append(parts, part{name: folder + f.Name, words: whose + ", corrections included", write: writes(f.Data)})
		}
	}
	return parts, nil
}

// readme writes README.txt.
func readme(state *casefile.State, signed []*Report, parts []part) []byte {
	last := signed[len(signed)-1]
	t := &plainText{}
	t.line("Evidence of a cross-check of election definitions")
	t.line("==================================================")
	t.line("")
	t.wrap("", fmt.Sprintf("%s, %s, %s.", state.Election.Name, day(state.Election.Date), state.Election.Jurisdiction))
	t.wrap("", fmt.Sprintf("Case %s, %s. The report that was signed last is of entry %d.", state.ID,
		english.Plural(int(state.Seq), "entry", "entries"), last.Entries))
	t.line("")
	t.wrap("", "Result: "+last.Result)
	if last.Limit != "" {
		t.wrap("", last.Limit)
	}
	if last.Superseded != "" {
		t.wrap("", "Superseded. "+last.Superseded+" It stays valid for what it covered.")
	}
	for _, m := range last.Missing {
		if m.Exception != "" {
			t.wrap("Exception: ", m.Words+" Signed in spite of it: "+m.Exception)
		}
	}
	t.head("What is here")
	t.entry(caseFile, "the case: everything that was keyed, decided and signed, in order (an SQLite database; any "+
		"program for SQLite reads it)")
	for _, p := range parts {
		t.entry(p.name, p.words)
	}
	t.entry(sumsFile, "the SHA-256 digest of every other file")
	t.head("Heads and keys, for comparing with printed pages")
	t.line("Head of the last report, after entry " + fmt.Sprint(last.Entries) + ":")
	t.digest(groups(last.Head))
	t.line(fmt.Sprintf("Head of the case, after entry %d:", state.Seq))
	t.digest(state.Head.Groups())
	for _, p := range state.People {
		place := fmt.Sprintf("%s: %s, %s, %s", string(p.ID)+keyEnd, p.Name, p.Seat.Words(), p.Party)
		if !p.Active() {
			place += fmt.Sprintf(", replaced in entry %d", p.Until)
		}
		t.wrap("", place)
		t.digest(p.Fingerprint.Groups())
	}
	t.head("How to check it with ordinary tools")
	if last.Rendering >= windowsSince {
		t.windows()
		t.wrap("", "On Linux, in this folder, with openssl 3.0 or later; on macOS, \"shasum -a 256\" stands for "+
			"\"sha256sum\":")
	} else {
		t.wrap("", "In this folder, on Linux, with openssl 3.0 or later. On macOS, \"shasum -a 256\" stands for "+
			"\"sha256sum\". On Windows, \"Get-FileHash -Algorithm SHA256 FILE\" (PowerShell) or \"certutil -hashfile FILE "+
			"SHA256\" gives the digest of one file, to be compared with its line in "+sumsFile+"; the openssl commands are the "+
			"same, each in one line without the \"\\\".")
	}
	t.line("")
	t.line("  sha256sum -c " + sumsFile)
	for _, r := range signed {
		prefix := ""
		if r != last {
			prefix = fmt.Sprintf("earlier-%d/", slices.Index(signed, r)+1)
		}
		for _, s := range r.Signatures {
			t.line(fmt.Sprintf("  openssl pkeyutl -verify -pubin -inkey %s%s -rawin \\", s.Person, keyEnd))
			t.line(fmt.Sprintf("    -in %s%s -sigfile %s%s%s", prefix, jsonFile, prefix, s.Person, signedEnd))
		}
	}
	t.line("")
	t.wrap("", "Each line of sha256sum must end in OK, and each openssl must answer: Signature Verified Successfully. "+
		"That proves that somebody with the key signed the report. That the key is that person's, only a printed page "+
		"shows that carries the key's fingerprint, which this prints"+fingerprintOnWindows(last)+":")
	t.line("")
	t.line("  openssl pkey -pubin -in p1.pem -outform DER | tail -c 32 | sha256sum")
	if last.Rendering >= journalSince {
		t.line("")
		t.wrap("", "The digest of the last line of "+journalFile+", without its line feed, is the head of the case:")
		t.line("")
		t.line("  tail -n 1 " + journalFile + " | tr -d '\\n' | sha256sum")
	}
	t.head("How to check it with Counterproof")
	t.wrap("", "In the folder above this one, with this folder's name, and the head and fingerprints of a printed page "+
		"that was kept elsewhere:")
	t.line("")
	t.line("  cproof verify FOLDER --head HEAD --key FINGERPRINT --key FINGERPRINT ...")
	t.line("")
	t.wrap("", "It checks every file, every signature and the whole case, and makes the reports again from the case.")
	t.head("What to know")
	t.wrap("  - ", "Sheets and exports hold text as it was typed and received. A spreadsheet may take a cell that "+
		"begins with = + - or @ for a formula: import them as text.")
	for _, caution := range append(slices.Clone(last.Cautions), "It cannot see: "+strings.Join(last.CannotSee, " ")) {
		t.wrap("  - ", caution)
	}
	return t.b.Bytes()
}

// fingerprintOnWindows says where to find the same for Windows.
func fingerprintOnWindows(last *Report) string {
	if last.Rendering >= windowsSince {
		return ""
	}
	return " (the last part of the report has it for Windows)"
}

// windows says how to check the folder with what Windows has. PowerShell's commands are written from
// their documentation.
func (t *plainText) windows() {
	t.wrap("", "On Windows, in this folder, with PowerShell (in the folder's window, type powershell where its path "+
		"stands). This prints a line for each file, which must end in OK:")
	t.line("")
	t.line("  Get-Content " + sumsFile + " | ForEach-Object { $d, $f = $_ -split '  ', 2;")
	t.line("    if ((Get-FileHash -Algorithm SHA256 $f).Hash -eq $d) { \"$f OK\" }")
	t.line("    else { \"$f WAS CHANGED\" } }")
	t.line("")
	t.wrap("", "Windows itself has nothing that checks the signatures: \"cproof verify\" does (below), and so does "+
		"openssl "+
		"3.0 or later, which has to be installed there. Its commands are those for Linux, each in one line without "+
		"the \"\\\". A fingerprint is the SHA-256 digest of the last 32 bytes of a key:")
	t.line("")
	t.line("  $k = [Convert]::FromBase64String((Get-Content p1.pem)[1])")
	t.line("  $s = [Security.Cryptography.SHA256]::Create().ComputeHash($k, $k.Length - 32, 32)")
	t.line("  [BitConverter]::ToString($s)")
	t.line("")
}

// plainText is plain text for any reader, wrapped at 78 characters where possible.
type plainText struct{ b bytes.Buffer }

const textWidth = 78

func (t *plainText) line(text string) { t.b.WriteString(text + "\n") }

func (t *plainText) head(text string) {
	t.line("")
	t.line("")
	t.line(text)
	t.line(strings.Repeat("-", len(text)))
	t.line("")
}

// wrap writes lead and text; further lines of the text are indented below the first.
func (t *plainText) wrap(lead, text string) {
	margin := strings.Repeat(" ", len(lead))
	line := lead
	for i, word := range strings.Fields(wording.Visible(text)) {
		if i > 0 && len([]rune(line))+1+len([]rune(word)) > textWidth {
			t.line(line)
			line = margin
		} else if i > 0 {
			line += " "
		}
		line += word
	}
	t.line(line)
}

func (t *plainText) entry(name, words string) {
	t.line("  " + name)
	t.wrap("      ", words)
}

// digest writes a digest in groups of four, on two lines.
func (t *plainText) digest(groups string) {
	const half = 39 // eight groups of four, with blanks between
	t.line("  " + groups[:half])
	t.line("  " + groups[half+1:])
}
