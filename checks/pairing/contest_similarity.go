package pairing

import (
	"cmp"
	"slices"
	"strings"
	"unicode"

	"counterproof/checks/wording"
	"counterproof/model"
)

// Two contests are one contest with a difference if they share most of their contents. The weights
// of title, choices and precincts add up to 1.
const (
	similarityThreshold = 0.5
	variantThreshold    = 0.7
	unlikeKind          = 0.85 // factor where the kinds differ
	unlikeParty         = 0.75 // factor where they belong to different parties' primaries
	unlikeVoteFor       = 0.97
	rivalsSimilarity    = 0.6  // minimum if the same candidates run against each other
	NameThreshold       = 0.72 // names less similar than this are two people
	maxSimilarities     = 4_000_000
	// A title that holds the other as whole words counts as this similar if it begins with it, and
	// less for each word before it. The precincts have to agree to holdingPlaces.
	holdingTitle, wordBefore = 0.95, 0.05
	holdingPlaces            = 0.75
)

// contestFacts are the features by which a contest is recognized.
type contestFacts struct {
	title, text string
	summary     string // for a measure that also has a full text
	kind        model.Kind
	parties     string   // keys of its primary parties; "" for none
	names       []string // of its choices, sorted; write-ins left out
	voteFor     model.Stated[int]
	areas       Set
	generic     bool // the names are only yes and no
	joined      string
}

// key is equal for contests with equal contents.
func (f *contestFacts) key() string {
	if f.joined == "" {
		f.joined = strings.Join([]string{f.title, string(f.kind), f.parties, strings.Join(f.names, "\x01")}, "\x00")
	}
	return f.joined
}

// gatherFacts collects the facts of a side's contests.
func gatherFacts(v *Side, areas []Set, parties func([]int) string) []contestFacts {
	out := make([]contestFacts, len(v.Compared))
	for i := range v.Compared {
		c := &v.Compared[i]
		f := contestFacts{
			title: Plain(c.Title), text: cmp.Or(Plain(c.Text), Plain(c.Summary)), kind: c.Kind.Value,
			parties: parties(c.PrimaryParties.Value), voteFor: c.VoteFor, areas: areas[i],
			generic: c.Kind.Value == model.KindMeasure || c.Kind.Value == model.KindRetention,
		}
		if f.text != Plain(c.Summary) {
			f.summary = Plain(c.Summary)
		}
		for j := range c.Choices {
			if name := Plain(c.Choices[j].Name); name != "" && !c.Choices[j].WriteIn {
				f.names = append(f.names, name)
			}
		}
		slices.Sort(f.names)
		f.key()
		out[i] = f
	}
	return out
}

// similarity returns how much of their contents two contests share, from 0 to 1. Without places, it
// compares only what is printed.
func similarity(a, b *contestFacts, places bool) float64 {
	there := 0.5
	if places {
		if both := common(a.areas, b.areas); both > 0 {
			there = float64(both) / float64(both+Apart(a.areas, b.areas))
		} else if a.areas.Count() > 0 && b.areas.Count() > 0 {
			there = 0
		}
	}
	if places && there == 0 && a.title != b.title && sharedNames(a.names, b.names) == 0 {
		return 0
	}
	title := 1.0
	if a.title != b.title {
		title = wording.Similarity(a.title, b.title)
		if there >= holdingPlaces && places && a.kind == b.kind && a.parties == b.parties && slices.Equal(a.names, b.names) {
			title = max(title, holdsTitle(a.title, b.title), holdsTitle(b.title, a.title))
		}
	}
	var like float64
	if a.generic && b.generic {
		// Yes and no do not distinguish measures; title, question and place do.
		if a.text != "" && b.text != "" {
			text := 1.0
			if a.text != b.text {
				text = max(wording.Similarity(a.text, b.text), summarySimilarity(a.summary, b.text),
					summarySimilarity(b.summary, a.text))
			}
			title = max(title*0.5+text*0.5, title*0.25+text*0.75)
		}
		if title < 0.5 {
			return 0
		}
		like = blend(places, title, 0.65, 1, 0.05, there, 0.30)
	} else {
		names := namesSimilarity(a.names, b.names)
		if names == 0 && len(a.names)+len(b.names) > 0 {
			// No candidate in common: these can be one contest only if everything else agrees, and
			// if one side has no candidates or at most one candidate would have been replaced. A
			// contest that lost its candidates may also have some wrong precincts.
			nobody := len(a.names) == 0 || len(b.names) == 0
			replaced := distinct(a.names) > 1 || distinct(b.names) > 1
			if title < 0.95 || there < 0.25 || there < 0.5 && !nobody || a.parties != b.parties || replaced && !nobody {
				return 0
			}
			names = 0.4
		}
		if len(a.names)+len(b.names) == 0 {
			names = title
		}
		like = blend(places, title, 0.35, names, 0.45, there, 0.20)
		if names == 1 && distinct(a.names) > 1 {
			like = max(like, rivalsSimilarity) // the same people run against each other
		}
	}
	if a.kind != b.kind && a.kind != "" && b.kind != "" {
		like *= unlikeKind
	}
	if a.parties != b.parties {
		like *= unlikeParty
	}
	if a.voteFor.Known && b.voteFor.Known && a.voteFor != b.voteFor {
		like *= unlikeVoteFor
	}
	return like
}

// holdsTitle returns how similar a title is to one that it holds as whole words, as "Measure A: Shall
// the county …" holds "Measure A" and "A"; 0 if it does not. A single letter has to be the same
// letter, so that the article "a" is none.
func holdsTitle(long, short string) float64 {
	words, held := strings.Fields(wording.Fold(long)), strings.Fields(wording.Fold(short))
	if len(held) == 0 || len(held) >= len(words) {
		return 0
	}
	if len(short) == 1 {
		letter := func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }
		words, held = strings.FieldsFunc(long, letter), []string{short}
	}
	for at := 0; at+len(held) <= len(words); at++ {
		if like := holdingTitle - wordBefore*float64(at); like <= 0 {
			break
		} else if slices.Equal(words[at:at+len(held)], held) {
			return like
		}
	}
	return 0
}

// summarySimilarity compares with the summary of a measure, for ballots that print it: then the
// summary was keyed, not the full text.
func summarySimilarity(summary, text string) float64 {
	switch summary {
	case "":
		return 0
	case text:
		return 1
	}
	return wording.Similarity(summary, text)
}

func blend(places bool, title, wTitle, names, wNames, there, wThere float64) float64 {
	if !places {
		return (title*wTitle + names*wNames) / (wTitle + wNames)
	}
	return title*wTitle + names*wNames + there*wThere
}

// distinct counts the different names in a sorted list. A candidate on several lines counts once.
func distinct(names []string) int {
	n := 0
	for i := range names {
		if i == 0 || names[i] != names[i-1] {
			n++
		}
	}
	return n
}

// sharedNames counts the names that are in both sorted lists.
func sharedNames(a, b []string) int {
	n, i, j := 0, 0, 0
	for i < len(a) && j < len(b) {
		switch cmp.Compare(a[i], b[j]) {
		case 0:
			n, i, j = n+1, i+1, j+1
		case -1:
			i++
		default:
			j++
		}
	}
	return n
}

// namesSimilarity returns how far two sorted lists of names agree, from 0 to 1 (Dice's coefficient,
// with misspelt names counted by their similarity).
func namesSimilarity(a, b []string) float64 {
	if len(a)+len(b) == 0 {
		return 0
	}
	total := 0.0
	var restA, restB []string
	i, j := 0, 0
	for i < len(a) || j < len(b) {
		switch {
		case j == len(b) || i < len(a) && a[i] < b[j]:
			restA, i = append(restA, a[i]), i+1
		case i == len(a) || a[i] > b[j]:
			restB, j = append(restB, b[j]), j+1
		default:
			total, i, j = total+1, i+1, j+1
		}
	}
	if len(restA) > 0 && len(restB) > 0 && len(restA)*len(restB) <= 400 {
		taken := make([]bool, len(restB))
		for _, x := range restA {
			best, at := 0.0, -1
			for k, y := range restB {
				if taken[k] {
					continue
				}
				if sim := NameSimilarity(x, y); sim >= NameThreshold && sim > best {
					best, at = sim, k
				}
			}
			if at >= 0 {
				taken[at] = true
				total += best
			}
		}
	}
	return 2 * total / float64(len(a)+len(b))
}

// NameSimilarity returns how far two names agree, from 0 to 1. Names that look the same are equal,
// whatever characters they are written with.
func NameSimilarity(a, b string) float64 {
	sim := wording.Similarity(a, b)
	if sim < 1 && wording.Alike(a, b) {
		return 1
	}
	return sim
}
