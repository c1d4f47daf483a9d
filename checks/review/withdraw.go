package review

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/wording"
	"counterproof/model"
	"counterproof/model/casefile"
)

// Exported finds the export that a user names, by its file name, the first digits of its digest, or
// the number of the entry by which it came in. It returns the entries of all its files and of its
// card lists.
func (r *Review) Exported(words string) (entries []int64, err error) {
	state := r.of.State()
	if err := unsealed(state); err != nil {
		return nil, err
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	rounds, err := r.rounds(state)
	if err != nil {
		return nil, err
	}
	rounds = append(rounds, r.came.others...)
	var found []casefile.Export
	for _, x := range state.ActiveExports() {
		if x.Name == words || holdsTable(x, words) || strconv.FormatInt(x.Seq, 10) == words ||
			len(words) >= 8 && strings.HasPrefix(x.Digest.String(), words) {
			found = append(found, x)
		}
	}
	with := map[int64]bool{}
	for _, x := range found {
		with[x.Seq] = true
		for _, round := range rounds {
			if !slices.ContainsFunc(round.Files, func(f casefile.Export) bool { return f.Seq == x.Seq }) {
				continue
			}
			for _, f := range append(slices.Clone(round.Files), cardsOf(round)...) {
				with[f.Seq] = true
			}
		}
	}
	for _, x := range state.ActiveExports() {
		if with[x.Seq] {
			entries = append(entries, x.Seq)
		}
	}
	// Files of one report are one export; two reports that came in one after the other are not.
	if len(found) > 1 {
		var list []string
		for _, x := range found {
			list = append(list, fmt.Sprint(x.Seq))
		}
		return nil, fmt.Errorf("%q came in by the entries %s; name the entry", words, english.WordSeries(list, "and"))
	}
	if len(found) == 0 {
		return nil, fmt.Errorf("no export %q stands in this case; \"cproof log\" shows what came in, entry by entry", words)
	}
	return entries, nil
}

// holdsTable reports whether an export is tables, and one of them has this name.
func holdsTable(x casefile.Export, name string) bool {
	if x.Tables == nil {
		return false
	}
	_, ok := x.Tables.Files[name]
	return ok
}

func cardsOf(x Round) []casefile.Export {
	if x.Cards == nil {
		return nil
	}
	return []casefile.Export{*x.Cards}
}

// Withdrawable says what to do about an export of another election.
const Withdrawable = "If it came in by mistake, the pair can withdraw it before anything is decided."

// OtherElection says in one sentence that the last export has another date or another election name
// than the case; empty if there is no sign of that. The office may call the case by a name that is
// not in the export, so names are reported only if the second entry also states another name, or
// none.
func (s *Snapshot) OtherElection() string {
	if s.State == nil || s.Primary == nil || s.Second == nil {
		return ""
	}
	return otherElection(s.Latest.Name(), s.Primary.Facts, s.Second.Facts, s.State.Election, s.Options.Language)
}

// otherElection is Snapshot.OtherElection for the facts of an export and of the second entry.
func otherElection(export string, facts, second model.Facts, of casefile.Election, language string) string {
	var says []string
	if facts.Date.Known && facts.Date.Value != of.Date {
		says = append(says, fmt.Sprintf("is dated %s, and the case is for the election of %s", facts.Date.Value, of.Date))
	}
	if name := wordsOfText(facts.Name.Value, language); facts.Name.Known && name != "" &&
		unlike(name, of.Name) && unlike(name, wordsOfText(second.Name.Value, language)) {
		says = append(says, fmt.Sprintf("is named %q, and the case is for %q", name, of.Name))
	}
	if len(says) == 0 {
		return ""
	}
	return fmt.Sprintf("%s %s.", export, english.WordSeries(says, "and"))
}

func wordsOfText(t model.Text, language string) string { return wording.Normal(t.In(language)) }

// unlike reports whether two names of elections use different words, and neither contains the
// other.
func unlike(a, b string) bool {
	if b == "" {
		return true
	}
	d := wording.Compare(a, b)
	x, y := wording.Fold(a), wording.Fold(b)
	return !d.Same && !d.Minor && !strings.Contains(x, y) && !strings.Contains(y, x)
}
