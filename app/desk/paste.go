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
	linesAtEnd = regexp.MustCompile(
		`^(.*?\S)(?:\s{2,}|\t\s*|\s*\(\s*|\s+[–—-]\s+)([\p{L}\p{N}]{1,8}(?:\s*[,|/]\s*[\p{L}\p{N}]{1,8})*)\s*\)?$`)
	writeInAt  = regexp.MustCompile(`(?i)^[_\s]*write[\s-]?in[_\s:.]*$`)
	bulletAt   = regexp.MustCompile(`^(?:\d{1,3}[.)]|[•*–-])\s+`)
	numberWord = map[string]string{"one": "1", "two": "2", "three": "3", "four": "4", "five": "5", "six": "6",
		"seven": "7", "eight": "8", "nine": "9", "ten": "10"}
)

// Propose reads a certified list. A contest is a line that says how many to vote for, or a line
// after an empty line. The lines after it are its choices, with the codes of their party lines
// after two spaces, after a tab or in brackets. If a face is open, confirmed contests are added to
// it; otherwise they are on no face.
func (k *Keying) Propose(text string) *Proposal {
	p := &Proposal{k: k}
	if len(text) > maxPaste {
		text = text[:maxPaste]
	}
	gap, inContest := true, false
	for _, raw := range strings.Split(strings.ToValidUTF8(text, "�"), "\n") {
		line := trim(raw)
		if line == "" {
			gap = true
			continue
		}
		if len(p.Lines) >= maxPasteLines {
			break
		}
		l := Line{Text: line}
		bare := bulletAt.ReplaceAllString(line, "")
		found := linesAtEnd.FindStringSubmatch(bare)
		if found != nil && strings.ToUpper(found[2]) != found[2] && k.ownCode(found[2]) == found[2] &&
			!k.knownCodes(found[2]) {
			// "Town of  Brightwater" has no party line: codes are in capitals, or already known.
			found = nil
		}
		switch vote := voteForAt.FindStringSubmatch(line); {
		case vote != nil && trim(vote[1]) != "":
			l.Kind, l.Title, l.VoteFor = LineContest, trim(vote[1]), strings.ToLower(vote[2])
			if n, ok := numberWord[l.VoteFor]; ok {
				l.VoteFor = n
			}
			inContest = true
		case vote != nil && inContest && len(p.Lines) > 0 && p.Lines[len(p.Lines)-1].Kind == LineContest &&
			p.Lines[len(p.Lines)-1].VoteFor == "":
			// A separate line "Vote for two" belongs to the title above.
			n := strings.ToLower(vote[2])
			if w, ok := numberWord[n]; ok {
				n = w
			}
			p.Lines[len(p.Lines)-1].VoteFor = n
			p.Lines[len(p.Lines)-1].Text += " / " + line
			gap = false
			continue
		case writeInAt.MatchString(line):
			if inContest {
				l.Kind = LineWriteIn
			}
		case inContest && found != nil:
			var list []string
			for _, code := range strings.FieldsFunc(found[2], func(r rune) bool { return r == ',' || r == '|' || r == '/' }) {
				list = append(list, k.ownCode(trim(code)))
			}
			l.Kind, l.Name, l.Lines = LineChoice, trim(found[1]), strings.Join(list, "|")
		case gap:
			l.Kind, l.Title = LineContest, line
			inContest = true
		case inContest:
			l.Kind, l.Name = LineChoice, bare
		}
		gap = false
		p.Lines = append(p.Lines, l)
	}
	p.skipOther()
	return p
}

func (k *Keying) knownCodes(list string) bool {
	for _, code := range strings.FieldsFunc(list, func(r rune) bool { return r == ',' || r == '|' || r == '/' }) {
		if k.e.lines[k.ownCode(trim(code))] == 0 {
			return false
		}
	}
	return true
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
		n := k.e.Next(casefile.Choices)
		changes = append(changes, casefile.Set(casefile.Choices, n, "contest", itoa(p.contest)),
			casefile.Set(casefile.Choices, n, "position",
				k.e.between(casefile.Choices, k.e.choices[p.contest], len(k.e.choices[p.contest]))))
		if l.Kind == LineWriteIn {
			changes = append(changes, casefile.Set(casefile.Choices, n, "name", "Write-in"),
				casefile.Set(casefile.Choices, n, "write_in", "yes"))
			break
		}
		changes = append(changes, casefile.Set(casefile.Choices, n, "name", l.Name))
		if l.Lines != "" {
			changes = append(changes, casefile.Set(casefile.Choices, n, "party_lines", l.Lines))
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
