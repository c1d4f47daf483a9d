package desk

import (
	"fmt"
	"regexp"
	"strings"

	"counterproof/model/casefile"
)

// LineKind is the kind that a line of a pasted list seems to be.
type LineKind uint8

// The kinds of lines.
const (
	LineOther LineKind = iota
	LineContest
	LineChoice
	LineWriteIn
)

// Line is one line of a proposal. Nothing of it is keyed until it is confirmed.
type Line struct {
	Kind LineKind
	// Text is the line as pasted.
	Text string
	// Title and VoteFor belong to a contest, Name and Lines to a choice. VoteFor and Lines are
	// empty if the list does not state them.
	Title, VoteFor string
	Name, Lines    string
	// Done lines were confirmed; Skipped lines were skipped.
	Done, Skipped bool
}

// Words says what confirming the line will key.
func (l *Line) Words() string {
	switch l.Kind {
	case LineContest:
		if l.VoteFor == "" {
			return fmt.Sprintf("contest: %s", l.Title)
		}
		return fmt.Sprintf("contest: %s, vote for %s", l.Title, l.VoteFor)
	case LineChoice:
		if l.Lines == "" {
			return "choice: " + l.Name
		}
		return fmt.Sprintf("choice: %s, on %s", l.Name, strings.ReplaceAll(l.Lines, "|", " and "))
	case LineWriteIn:
		return "write-in"
	}
	return "nothing: this line is passed over"
}

// Proposal is a certified list, pasted as plain text, with the apparent meaning of each line, to be
// confirmed line by line. The list itself is not an entry: by confirming a line, the user says that
// they checked it against the paper.
type Proposal struct {
	Lines []Line
	// At is the next line to confirm; len(Lines) at the end.
	At int
	// Cut is set if the list was too long, so that its end is missing here.
	Cut bool

	k       *Keying
	contest int
	place   int
}

const (
	maxPaste      = 1 << 20
	maxPasteLines = 20000
)

var (
	voteForAt = regexp.MustCompile(
		`(?i)^(.*?)[\s,;:–—-]*[(\[]?\s*(?:vote\s+for|elect|choose)\s+(?:(?:any|up\s+to|not\s+more\s+than|no\s+more\s+than)\s+)?(\d{1,3}|one|two|three|four|five|six|seven|eight|nine|ten)\s*[)\]]?\s*\.?$`)
	writeInAt  = regexp.MustCompile(`(?i)^[_\s]*write[\s-]?in[_\s:.]*$`)
	bulletAt   = regexp.MustCompile(`^(?:\d{1,3}[.)]|[•*–○◯☐□-]|\( ?\)|\[ ?\])\s+`)
	numberWord = map[string]string{"one": "1", "two": "2", "three": "3", "four": "4", "five": "5", "six": "6",
		"seven": "7", "eight": "8", "nine": "9", "ten": "10"}
)

// Paste takes text from the clipboard for the field at the cursor. One line is returned, to be put
// into the field; several precincts come as one line with commas. Several lines of anything else are a
// proposal, to be confirmed line by line. Where they can be neither, both are empty and Message says so.
func (k *Keying) Paste(text string) (line string, list *Proposal) {
	k.message = ""
	var lines []string
	for raw := range strings.SplitSeq(lineEnds.Replace(strings.ToValidUTF8(text, "�")), "\n") {
		if raw = strings.Join(strings.Fields(raw), " "); raw != "" {
			lines = append(lines, raw)
		}
	}
	f := k.focus
	switch {
	case len(lines) < 2:
		return strings.Join(lines, ""), nil
	case f.Kind == MeasureText:
		return strings.Join(lines, " "), nil
	case f.Kind == FacePrecincts || f.Kind == UnitPrecincts:
		return strings.Join(lines, ", "), nil
	case k.language != "" || k.page.Kind == PageUnits || k.page.Kind == PageElection || f.Kind == FaceLabel ||
		f.Kind == FaceParty:
		k.message = fmt.Sprintf("%d lines were pasted, and this field takes one; nothing of them was kept", len(lines))
		return "", nil
	}
	return "", k.Propose(text)
}

// lineEnds makes every kind of line end one of "\n".
var lineEnds = strings.NewReplacer("\r\n", "\n", "\r", "\n", "\u2028", "\n", "\u2029", "\n", "\v", "\n", "\f", "\n")

// Propose reads a certified list. A contest is a line that says how many to vote for, or a line
// after an empty line. The lines after it are its choices, with the codes of their party lines at
// the end. If the cursor is among the choices of a contest, lines before the first contest are
// choices of that one. If a face is open, confirmed contests are added to it; otherwise they are on
// no face.
func (k *Keying) Propose(text string) *Proposal {
	p := &Proposal{k: k}
	gap, inContest := true, false
	switch k.focus.Kind {
	case NextChoice, ChoiceName, ChoiceLines, ChoicePerson:
		if c := k.contestHere(); c > 0 && k.language == "" {
			gap, inContest, p.contest = false, true, c
		}
	}
	if len(text) > maxPaste {
		text, p.Cut = text[:maxPaste], true
	}
	for line := range strings.SplitSeq(lineEnds.Replace(strings.ToValidUTF8(text, "�")), "\n") {
		switch line = trim(line); {
		case line == "":
			gap = true
		case len(p.Lines) >= maxPasteLines:
			p.Cut = true
		default:
			inContest = p.add(line, gap, inContest)
			gap = false
		}
	}
	p.skipOther()
	return p
}

// add reads a line; it reports whether the next line is in a contest.
func (p *Proposal) add(line string, gap, inContest bool) bool {
	l := Line{Text: line}
	vote := voteForAt.FindStringSubmatch(line)
	last := len(p.Lines) - 1
	switch {
	case vote != nil && trim(vote[1]) != "":
		l.Kind, l.Title, l.VoteFor = LineContest, trim(vote[1]), votes(vote[2])
	case vote != nil && inContest && last >= 0 && p.Lines[last].Kind == LineContest && p.Lines[last].VoteFor == "":
		// A separate line "Vote for two" belongs to the title above.
		p.Lines[last].VoteFor = votes(vote[2])
		p.Lines[last].Text += " / " + line
		return true
	case vote != nil:
	case writeInAt.MatchString(line):
		if inContest {
			l.Kind = LineWriteIn
		}
	default:
		name, lines, sure := p.k.linesAtEnd(bulletAt.ReplaceAllString(line, ""))
		switch {
		case inContest && (sure || !gap):
			l.Kind, l.Name, l.Lines = LineChoice, name, lines
		case gap:
			l.Kind, l.Title = LineContest, line
		}
	}
	p.Lines = append(p.Lines, l)
	return inContest || l.Kind == LineContest
}

func votes(words string) string {
	words = strings.ToLower(words)
	if n, ok := numberWord[words]; ok {
		return n
	}
	return words
}

// Confirm keys the next line, as one act.
func (p *Proposal) Confirm() bool {
	if p.At >= len(p.Lines) {
		return false
	}
	k, l := p.k, &p.Lines[p.At]
	k.message = ""
	var changes []casefile.Change
	switch l.Kind {
	case LineContest:
		c := k.e.Next(casefile.Contests)
		changes = append(changes, casefile.Set(casefile.Contests, c, "title", l.Title))
		if l.VoteFor != "" {
			changes = append(changes, casefile.Set(casefile.Contests, c, "vote_for", l.VoteFor))
		}
		if k.document != "" {
			changes = append(changes, casefile.Set(casefile.Contests, c, "source", k.document))
		}
		if k.page.Kind == PageFace {
			p.place = k.e.Next(casefile.Placements)
			changes = append(changes, k.placement(c)...)
		}
		p.contest = c
	case LineChoice, LineWriteIn:
		if p.contest == 0 {
			k.message = "the contest above was not confirmed, so this choice belongs nowhere; skip it"
			return false
		}
		changes = k.choiceChanges(p.contest, l.Name)
		if l.Kind == LineWriteIn {
			changes = k.writeInChanges(p.contest, k.lastWriteIn())
		} else if l.Lines != "" {
			changes = append(changes, casefile.Set(casefile.Choices, changes[0].Row, "party_lines", l.Lines))
		}
	}
	if len(changes) > 0 && !k.set(changes...) {
		return false
	}
	l.Done = true
	p.At++
	p.skipOther()
	k.keepFocus()
	return true
}

// Turn reads the next line another way: a choice with the party lines at its end, a choice of that
// whole name, a contest.
func (p *Proposal) Turn() {
	if p.At >= len(p.Lines) {
		return
	}
	l := &p.Lines[p.At]
	bare := bulletAt.ReplaceAllString(l.Text, "")
	name, lines, _ := p.k.linesAtEnd(bare)
	switch {
	case l.Kind == LineChoice && l.Lines != "":
		l.Name, l.Lines = bare, ""
	case l.Kind == LineChoice || p.contest == 0:
		l.Kind, l.Title, l.VoteFor = LineContest, l.Text, ""
	default:
		l.Kind, l.Name, l.Lines = LineChoice, name, lines
	}
}

// Skip skips the next line. If it is a contest, its choices are skipped too.
func (p *Proposal) Skip() {
	if p.At >= len(p.Lines) {
		return
	}
	contest := p.Lines[p.At].Kind == LineContest
	p.Lines[p.At].Skipped = true
	p.At++
	if contest {
		p.contest = 0
		for p.At < len(p.Lines) && p.Lines[p.At].Kind != LineContest {
			p.Lines[p.At].Skipped = true
			p.At++
		}
	}
	p.skipOther()
}

func (p *Proposal) skipOther() {
	for p.At < len(p.Lines) && p.Lines[p.At].Kind == LineOther {
		p.Lines[p.At].Skipped = true
		p.At++
	}
}
