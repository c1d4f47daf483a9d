package main

import (
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"counterproof/checks/review"
	"counterproof/model/casefile"
	"counterproof/model/files"
)

// onCase is the argument of every command that works on a case.
type onCase struct {
	Case string `arg:"" placeholder:"CASE" help:"The case file (NAME.counterproof)."`
}

// by names one person who acts. Bringing something in needs no passphrase.
type by struct {
	By string `required:"" placeholder:"PERSON" help:"Who does it, by initials or number (p2)."`
}

// signed names the people who sign an act, and where their passphrases come from.
type signed struct {
	SignedBy []string `required:"" placeholder:"P1,P2" help:"Who signs, by initials or number (p1), in the order in which the passphrases are asked for."`
	passphraseSource
}

// onCaseToWrite is the argument of every command that records something in a case.
type onCaseToWrite struct {
	onCase
	TakeOver bool `help:"Write though a note beside the case says that another computer has it open. Use it when that computer is off or crashed."`
}

// writing opens a case, calls do to record something in it, and closes it. who is the name that is
// shown to anybody else who wants to write at the same time.
func writing(s *session, c onCaseToWrite, who string, do func(*casefile.Case) error) (err error) {
	of, err := casefile.Open(c.Case, casefile.Options{Person: who, TakeOver: c.TakeOver})
	if err != nil {
		return err
	}
	defer func() {
		if closed := of.Close(); err == nil {
			err = closed
		}
	}()
	if why := of.ReadOnly(); why != "" {
		return fmt.Errorf("%s: %s", c.Case, why)
	}
	if before := of.TookOver(); before != nil {
		fmt.Fprintf(s.err, "%s: %s\n", c.Case, before.TakenOver())
	}
	return do(of)
}

// reading opens a case only for reading, even if another program has it open.
func reading(path string, do func(*casefile.Case) error) error {
	c, err := casefile.Open(path, casefile.Options{ReadOnly: true})
	if err != nil {
		return err
	}
	defer c.Close() // nothing was written
	return do(c)
}

// isCase distinguishes a case file, or any other SQLite database, from a folder of sheets. Opening
// it shows whether it is a case.
func isCase(path string) bool {
	info, err := os.Stat(path)
	if err != nil || !info.Mode().IsRegular() {
		return false
	}
	if strings.HasSuffix(path, casefile.Extension) {
		return true
	}
	file, err := files.Open(path)
	if err != nil {
		return false
	}
	defer file.Close()
	// SQLite file format, "Magic Header String".
	magic := make([]byte, 16)
	_, err = io.ReadFull(file, magic)
	return err == nil && string(magic) == "SQLite format 3\x00"
}

// personIn finds a person of the roster by number or initials.
func personIn(state *casefile.State, word string) (casefile.PersonID, error) {
	word = strings.TrimSpace(word)
	if p, ok := state.Person(casefile.PersonID(strings.ToLower(word))); ok {
		return p.ID, nil
	}
	var found []casefile.Person
	var known []string
	for _, p := range state.People {
		if !p.Active() {
			continue
		}
		known = append(known, fmt.Sprintf("%s (%s, %s)", p.Initials, p.ID, p.Name))
		if strings.EqualFold(p.Initials, word) {
			found = append(found, p)
		}
	}
	switch {
	case len(found) == 1:
		return found[0].ID, nil
	case len(found) > 1:
		return "", fmt.Errorf("the initials %q are those of several people; name them by number: %s", word,
			strings.Join(known, ", "))
	case len(known) == 0:
		return "", fmt.Errorf("nobody is enrolled in this case, so %q can do nothing; enrol the people first", word)
	}
	return "", fmt.Errorf("%q is nobody's number or initials; there are %s", word, strings.Join(known, ", "))
}

// unlock finds the people who sign and unlocks their keys, one after the other.
func (f *signed) unlock(s *session, c *casefile.Case) ([]casefile.PersonID, error) {
	return f.unlockPeople(s, c, f.SignedBy)
}

// unlockPeople asks for the passphrase of each named person and unlocks the key. It finds all the
// people before it asks for the first passphrase.
func (f *passphraseSource) unlockPeople(s *session, c *casefile.Case, words []string) ([]casefile.PersonID, error) {
	state := c.State()
	people := make([]casefile.PersonID, 0, len(words))
	for _, word := range words {
		id, err := personIn(state, word)
		if err != nil {
			return nil, err
		}
		if slices.Contains(people, id) {
			return nil, fmt.Errorf("%q is named twice; each person signs once", word)
		}
		people = append(people, id)
	}
	for _, id := range people {
		p, _ := state.Person(id)
		passphrase, err := f.ask(s, fmt.Sprintf("Passphrase of %s (%s): ", p.Name, p.Initials))
		if err != nil {
			return nil, err
		}
		if err := c.Unlock(id, passphrase); err != nil {
			return nil, err
		}
	}
	return people, nil
}

// say writes text in the layout for the current output.
func (s *session) say(write func(*sheet)) error {
	text := &sheet{page: pageFor(s.out, s.getenv)}
	write(text)
	if _, err := io.WriteString(s.out, text.text.String()); err != nil {
		return files.Unwritten("standard output", err)
	}
	return nil
}

// missing lists what is left to do.
func (s *sheet) missing(list []review.Missing) {
	for _, m := range list {
		s.hanging("  - ", "", m.Words)
	}
}

// nameIn returns a person's name with initials: "Imre Tallow (IT)".
func nameIn(state *casefile.State, id casefile.PersonID) string {
	if id == "" {
		return "the machine"
	}
	if p, ok := state.Person(id); ok {
		return fmt.Sprintf("%s (%s)", p.Name, p.Initials)
	}
	return string(id)
}

// namesIn returns the names of several people.
func namesIn(state *casefile.State, people []casefile.PersonID) string {
	names := make([]string, len(people))
	for i, id := range people {
		names[i] = nameIn(state, id)
	}
	return strings.Join(names, ", ")
}
