package report

import (
	"strings"
	"time"

	"github.com/dustin/go-humanize/english"

	"counterproof/model/casefile"
)

// compose lays the report out as blocks.
func (r *Report) compose() (*document, error) {
	digest, err := r.Digest()
	if err != nil {
		return nil, err
	}
	d := &document{title: title("Comparison report", r), foot: "Journal head " + groups(r.Head), alone: true}
	c := &composer{Report: r, digest: digest, d: d, decided: map[int64]int{}}
	c.front()
	c.about()
	c.coverage()
	c.findings()
	c.testDecks()
	c.loading()
	if r.Annex == "" { // a report of before rendering 5 holds the ballots itself
		c.ballots(r.Ballots())
	}
	c.keys()
	return d, nil
}

// title names a document on the election and the office, at the head of each page.
func title(kind string, r *Report) string {
	parts := []string{kind}
	for _, x := range []string{r.Election.Jurisdiction, r.Election.Name, day(r.Election.Date)} {
		if x != "" {
			parts = append(parts, x)
		}
	}
	return strings.Join(parts, " · ")
}

type composer struct {
	*Report
	digest casefile.Digest
	d      *document
	// decided is the finding with which an act was shown, by the act's entry.
	decided map[int64]int
}

func (c *composer) add(b ...block) { c.d.blocks = append(c.d.blocks, b...) }

func none(list []words) []words {
	if len(list) == 0 {
		return []words{say("nothing")}
	}
	return list
}

func each(list []string) []words {
	out := []words{}
	for _, x := range list {
		out = append(out, say(x))
	}
	return out
}

func (c *composer) act(document, reason string, by []Who, at string) []fact {
	rows := []fact{}
	if document != "" {
		rows = append(rows, fact{label: "Document", lines: []words{say(document)}})
	}
	if reason != "" {
		rows = append(rows, fact{label: "Reason", lines: []words{say(reason)}})
	}
	return append(rows, fact{label: "By", lines: []words{say(names(by)), say(c.Clock.moment(at))}})
}

// filesWords are the files of a report and its card list.
func (c *composer) filesWords(lists ...[]File) []words {
	var out []words
	for _, list := range lists {
		for _, f := range list {
			out = append(out, c.fileWords(f)...)
		}
	}
	return out
}

func (c *composer) fileWords(f File) []words {
	line := f.Name + ", received " + c.Clock.moment(f.Received)
	if f.By != "" {
		line += " by " + f.By
	}
	if f.Announced != "" {
		line += "; its digest was made known " + c.Clock.moment(f.Announced)
	}
	lines := []words{say(line), code(groups(f.SHA256))}
	for _, part := range f.Tables {
		name := part.Name
		if part.Role == roleMapping {
			name = "read through the mapping " + name
		}
		lines = append(lines, say(name), code(groups(part.SHA256)))
	}
	return lines
}

func seatWord(s string) string {
	switch casefile.Seat(s) {
	case casefile.SeatProgrammer:
		return "Programmer"
	case casefile.SeatSecond:
		return "Second party"
	case casefile.SeatSupervisor:
		return "Supervisor"
	}
	return s
}

func names(list []Who) string {
	var out []string
	for _, w := range list {
		n := w.Name
		if w.Seat != "" {
			n += " (" + w.Party + ", " + strings.ToLower(seatWord(w.Seat)) + ")"
		}
		out = append(out, n)
	}
	return english.WordSeries(out, "and")
}

// plainNames is names without party and seat.
func plainNames(list []Who) string {
	var out []string
	for _, w := range list {
		out = append(out, w.Name)
	}
	return english.WordSeries(out, "and")
}

// groups writes a digest's digits in groups of four.
func groups(digest string) string {
	d, err := casefile.ParseDigest(digest)
	if err != nil {
		return digest
	}
	return d.Groups()
}

func short(digest string) string {
	return strings.Join(strings.Fields(groups(digest))[:min(4, len(strings.Fields(groups(digest))))], " ") + " …"
}

func day(date string) string {
	t, err := time.Parse(time.DateOnly, date)
	if err != nil {
		return date
	}
	return t.Format("2 January 2006")
}
