package report

import (
	"io"

	"counterproof/model/casefile"
)

// journalFile is the journal as text: a line for each entry, its canonical JSON (RFC
// 8785) and a line feed. The SHA-256 of a line without its line feed is the entry's hash:
// "prev" of the next line, and the head of the last one.
const journalFile = "journal.jsonl"

// journalSince is the first rendering of the last report with which an evidence folder
// has the journal as text.
const journalSince = 2

func journalPart(c *casefile.Case) part {
	return part{name: journalFile,
		words: "the journal of the case as text, one line of JSON for each entry; the SHA-256 digest of a line stands in " +
			"the next one as \"prev\"",
		write: func(w io.Writer) error {
			for e, err := range c.Entries(0) {
				if err != nil {
					return err
				}
				if _, err := w.Write(append(e.Canonical(), '\n')); err != nil {
					return err
				}
			}
			return nil
		}}
}
