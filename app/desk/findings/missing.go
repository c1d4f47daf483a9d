package findings

import (
	"fmt"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/review"
)

// MissingGroup is what is left to do of one kind before a report may be signed: a supervisor may
// write down one reason for all of it.
type MissingGroup struct {
	// Head says what it is, without a full stop; empty for a thing that stands alone.
	Head string
	// Missing are its things, in their order.
	Missing []review.Missing
}

// GroupMissing groups what is left to do by what has to be done and, where several findings of one
// check or cause are left, by that. The order is that in which the first of each group stands.
func GroupMissing(list []review.Missing, s *review.Snapshot) []MissingGroup {
	var groups []MissingGroup
	at := map[string]int{}
	causes := map[string]string{}
	if s != nil {
		for _, c := range s.Result.Causes {
			causes[c.ID] = c.Message
		}
	}
	var heads []func(n int) string
	for _, m := range list {
		key, head := missingKind(m, s, causes)
		n, ok := at[key]
		if !ok {
			n = len(groups)
			at[key] = n
			groups, heads = append(groups, MissingGroup{}), append(heads, head)
		}
		groups[n].Missing = append(groups[n].Missing, m)
	}
	for n := range groups {
		if k := len(groups[n].Missing); k > 1 {
			groups[n].Head = heads[n](k)
		}
	}
	return groups
}

// missingKind returns the group that something missing belongs to, and how its head is worded.
func missingKind(m review.Missing, s *review.Snapshot, causes map[string]string) (key string, head func(int) string) {
	if strings.HasPrefix(m.ID, "precinct ") {
		return "precinct", func(n int) string {
			return english.Plural(n, "precinct is", "precincts are") + " neither keyed nor stated as having no election"
		}
	}
	if s == nil {
		return m.ID, nil
	}
	i := s.Item(m.ID)
	if i == nil {
		return m.ID, nil
	}
	about, what := string(i.Check), purpose(string(i.Check))
	if words := causes[i.Cause]; i.Cause != "" && words != "" {
		about, what = "cause "+i.Cause, strings.TrimSuffix(words, ".")
	}
	return string(i.Status) + "\n" + about, func(n int) string {
		return fmt.Sprintf("%s, %s: %s", english.Plural(n, "finding", ""), i.Status.Words(), what)
	}
}

// Excepted are the things that are left and that one reason of the supervisor stands for.
type Excepted struct {
	Reason  string
	Missing []review.Missing
}

// ByReason groups what is left by the reason to sign in spite of it, in the order in which the reasons
// first stand. Things without a reason are left out.
func ByReason(list []review.Missing, reasons map[string]string) (out []Excepted) {
	at := map[string]int{}
	for _, m := range list {
		why := reasons[m.ID]
		if why == "" {
			continue
		}
		if _, ok := at[why]; !ok {
			at[why] = len(out)
			out = append(out, Excepted{Reason: why})
		}
		out[at[why]].Missing = append(out[at[why]].Missing, m)
	}
	return out
}
