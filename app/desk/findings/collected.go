package findings

import (
	"fmt"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/finding"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// Collected is the list of decisions that the pair will sign. It lies in the case as unsigned
// entries, so that it survives a crash; it settles nothing.
type Collected struct {
	r *review.Review
	// who is who collects, for the record; nobody if both of the pair are there.
	who func() casefile.PersonID
}

// NewCollected is the list of a case. who may be nil.
func NewCollected(r *review.Review, who func() casefile.PersonID) *Collected {
	if who == nil {
		who = func() casefile.PersonID { return "" }
	}
	return &Collected{r, who}
}

// Add puts a verdict on the list: findings, outcome, reason, document, and for a keying slip its
// correction. It takes the place of what is on the list about the same findings. It compares the
// entries as if all corrections on the list were made, which may take seconds: call it away from
// the window's goroutine. The error says in words why the verdict cannot be signed.
func (l *Collected) Add(v review.Verdict) error { return l.r.Collect(l.who(), v) }

// TakeOff takes a decision off the list.
func (l *Collected) TakeOff(seq int64) error { return l.r.Uncollect(l.who(), seq) }

// Line is a decision of the list, in words to be read before it is signed.
type Line struct {
	Seq int64
	// Outcome is the label of the outcome. Messages are the sentences of the findings.
	Outcome  string
	Messages []string
	Changes  []FieldChange
	Document string
	Reason   string
	// Dropped says why it can no longer be signed; empty if it can.
	Dropped string
	// Verdict is the decision itself, Items its findings as they are now, nil for one that is gone.
	Verdict review.Verdict
	Items   []*review.Item
}

// Lines puts the list of a snapshot into words.
func Lines(c *casefile.Case, s *review.Snapshot) (out []Line) {
	for _, x := range s.Collected {
		l := Line{Seq: x.Seq, Outcome: Label(x.Outcome), Document: x.Document, Reason: x.Reason, Dropped: x.Dropped,
			Verdict: x.Verdict, Items: x.Items}
		for _, m := range x.Messages {
			l.Messages = append(l.Messages, finding.Capital(m))
		}
		l.Changes = Changes(c, x.Correction)
		out = append(out, l)
	}
	return out
}

// Label is the label of an outcome.
func Label(o casefile.Outcome) string {
	for _, known := range Outcomes {
		if known.Outcome == o {
			return known.Label
		}
	}
	return string(o)
}

// ListSigners returns who must sign the list: the pair, and a supervisor if something on it was
// referred.
func ListSigners(s *review.Snapshot) []casefile.Person {
	var items []*review.Item
	for i := range s.Collected {
		c := &s.Collected[i]
		if c.Dropped == "" && c.Outcome != casefile.OutcomeRefer {
			items = append(items, c.Items...)
		}
	}
	return Signers(s.State, items, "")
}

// ListSize is on how many findings a decision is on the list; one that can no longer be signed counts too.
func ListSize(s *review.Snapshot) int {
	about := map[string]bool{}
	for _, c := range s.Collected {
		for _, id := range c.Findings {
			about[id] = true
		}
	}
	return len(about)
}

// ListWords says in a sentence what is on the list and can be signed: "5 decisions on 7 findings: 4
// fix the configuration, 1 keying slip."
func ListWords(s *review.Snapshot) string {
	count := map[casefile.Outcome]int{}
	decisions, about := 0, 0
	for i := range s.Collected {
		if c := &s.Collected[i]; c.Dropped == "" {
			decisions, about = decisions+1, about+len(c.Findings)
			count[c.Outcome]++
		}
	}
	if decisions == 0 {
		return "Nothing is on the list to be signed."
	}
	var parts []string
	for _, o := range Outcomes {
		if n := count[o.Outcome]; n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, strings.ToLower(o.Label)))
		}
	}
	return fmt.Sprintf("%s on %s: %s.", english.Plural(decisions, "decision", ""), english.Plural(about, "finding", ""),
		strings.Join(parts, ", "))
}
