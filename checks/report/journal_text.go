package report

import (
	"io"

	"counterproof/model/casefile"
)

// journalFile is the journal as text: one line for each entry, its canonical JSON (RFC 8785) and a
// line feed. The SHA-256 of a line without its line feed is the hash of the entry. It is "prev" of
// the next line; for the last line, it is the head of the journal.
const journalFile = "journal.jsonl"

// journalSince is the first rendering with a text journal: an evidence folder has one if the last
// report has this rendering or a later one.
const journalSince = 2

// windowsSince is the first rendering whose evidence folder says what to do on Windows, and whose
// sheets begin with a byte order mark.
const windowsSince = 6

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
