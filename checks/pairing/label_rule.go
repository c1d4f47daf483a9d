package pairing

import (
	"slices"
	"strings"
	"unicode"

	"counterproof/checks/wording"
	"counterproof/model/harm"
)

// LabelRule is the one rule by which the precinct labels of the two sides differ throughout: other
// punctuation, leading zeros, or a word before or after each label. It pairs precincts that no name,
// number or identifier pairs.
type LabelRule struct {
	// Before and After are what stands before and after each label of one side: of the export if
	// InPrimary is set. Words is set if each side has a word of its own before its numbers. Where
	// nothing is added, Zeros and Punctuation say if leading zeros, or spaces and punctuation, differ.
	Zeros, Punctuation, Words bool
	Before, After             string
	InPrimary                 bool
	// Pairs are the precincts that pair by it, in the order of the second entry.
	Pairs []LabelPair
}

// LabelPair is a pair of precincts with the labels that the rule compares.
type LabelPair struct {
	Primary, Second           int
	PrimaryLabel, SecondLabel string
}

const (
	// fewestByRule is how many precincts a rule must pair. Fewer may be single slips.
	fewestByRule = 3
	// ruleShare of the unpaired precincts, of the side that has fewer, must pair by the rule.
	ruleShare = 0.75
	// mostLabelParts is how many numbers and words a label may have, so that the cost stays bounded.
	mostLabelParts = 12
	// mostAffixParts is how many of them a rule may add before or after a label.
	mostAffixParts = 3
	// mostCodes is how many identifiers of a precinct are tried as its label.
	mostCodes = 4
)

// precinctLabel is a label in parts: its numbers and words, without what stands between.
type precinctLabel struct {
	precinct int
	text     string
	parts    []string
	ballot   bool // it has a ballot of its own
}

// pairByRule pairs the precincts that are still unpaired by the one rule by which their labels
// differ. It pairs nothing if there is no such rule, or if two rules contradict each other.
func (pp *Precincts) pairByRule(p, s *Side) {
	var second []precinctLabel
	for j, name := range s.PrecinctName {
		if pp.ToPrimary[j] < 0 && len(pp.Rivals[j]) == 0 {
			second = appendLabel(second, j, wording.Normal(name), len(Carriers(s, j)) > 0)
		}
	}
	unpaired := 0
	for i := range p.Precincts {
		if pp.ToSecond[i] < 0 && len(p.StylesOf[i]) > 0 {
			unpaired++
		}
	}
	if len(second) < fewestByRule || unpaired < fewestByRule {
		return
	}
	least := max(fewestByRule, int(ruleShare*float64(min(len(second), unpaired))))
	whole := !slices.ContainsFunc(pp.ToSecond, func(j int) bool { return j >= 0 })
	var found *LabelRule
	for k := range 2 + mostCodes {
		rule := ruleFor(pp.exportLabels(p, k), second, least, whole)
		switch {
		case rule == nil:
		case found == nil:
			found = rule
		case found.contradicts(rule):
			return
		case len(rule.Pairs) > len(found.Pairs):
			found = rule
		}
	}
	if found == nil {
		return
	}
	for _, m := range found.Pairs {
		pp.ToSecond[m.Primary], pp.ToPrimary[m.Second] = m.Second, m.Primary
	}
	pp.Rule = found
}

// exportLabels returns one kind of label of the unpaired precincts: the name, the number, or one of
// the further identifiers. The XML identifier is none: files number theirs in any order.
func (pp *Precincts) exportLabels(p *Side, kind int) []precinctLabel {
	var out []precinctLabel
	for i := range p.Precincts {
		if pp.ToSecond[i] >= 0 {
			continue
		}
		label := ""
		switch codes := p.Origins.Precinct(i).Codes; {
		case kind == 0:
			label = p.Words(p.Precincts[i].Name)
		case kind == 1:
			label = wording.Normal(p.Precincts[i].Number)
		case kind-2 < len(codes):
			label = wording.Normal(codes[kind-2])
		}
		out = appendLabel(out, i, label, len(p.StylesOf[i]) > 0)
	}
	return out
}

// appendLabel appends a label in parts. A date that a spreadsheet made of a label is none: which of
// its numbers came first is not certain.
func appendLabel(list []precinctLabel, precinct int, text string, ballot bool) []precinctLabel {
	parts := labelParts(text)
	if len(parts) == 0 || len(parts) > mostLabelParts || harm.Form(text) != harm.None {
		return list
	}
	return append(list, precinctLabel{precinct, text, parts, ballot})
}

// labelParts returns the numbers and words of a label.
func labelParts(label string) (parts []string) {
	const other, number, word = 0, 1, 2
	label = wording.Fold(label)
	last, start := other, 0
	end := func(at int) {
		if last != other {
			parts = append(parts, label[start:at])
		}
	}
	for at, r := range label {
		kind := other
		switch {
		case unicode.IsDigit(r):
			kind = number
		case unicode.IsLetter(r):
			kind = word
		}
		if kind != last {
			end(at)
			last, start = kind, at
		}
	}
	end(len(label))
	return parts
}

// labelForm is a form in which the labels of both sides are compared.
type labelForm func(parts []string) string

func apartForm(parts []string) string { return strings.Join(parts, "\x00") }

func joinedForm(parts []string) string { return strings.Join(parts, "") }

// zerolessForm drops leading zeros.
func zerolessForm(parts []string) string {
	var b strings.Builder
	for _, part := range parts {
		b.WriteString(withoutZeros(part))
		b.WriteByte(0)
	}
	return b.String()
}

func withoutZeros(part string) string {
	if rest := strings.TrimLeft(part, "0"); rest != "" || part == "" {
		return rest
	}
	return "0"
}

// ruleFor finds the strictest rule that pairs at least so many labels one to one. whole is set if no
// precinct at all is paired otherwise.
func ruleFor(primary, second []precinctLabel, least int, whole bool) *LabelRule {
	if len(primary) < least {
		return nil
	}
	forms := []labelForm{apartForm, zerolessForm}
	if evenParts(primary) && evenParts(second) {
		forms = append(forms, joinedForm)
	}
	for _, form := range forms {
		if pairs := pairLabels(primary, second, form, form); len(pairs) >= least {
			return describeRule(&LabelRule{Pairs: pairs})
		}
	}
	for _, form := range forms {
		for _, inPrimary := range []bool{true, false} {
			if rule := affixRule(primary, second, form, inPrimary); rule != nil && len(rule.Pairs) >= least {
				return rule
			}
		}
	}
	if whole { // else it may be the other town of two
		numbers := func(parts []string) string {
			if at := slices.IndexFunc(parts, isNumber); at > 0 {
				return zerolessForm(parts[at:])
			}
			return ""
		}
		if pairs := pairLabels(primary, second, numbers, numbers); len(pairs) >= least {
			return &LabelRule{Words: true, Pairs: pairs}
		}
	}
	return nil
}

func isNumber(part string) bool { return part[0] >= '0' && part[0] <= '9' }

// evenParts reports whether all labels with numbers and words in the same order agree in the length
// of each part but the first, so that labels without punctuation still tell where a part ends: 1-11
// and 11-01 do, 1-11 and 11-1 do not.
func evenParts(labels []precinctLabel) bool {
	lengths := map[string][]string{} // by order of numbers and words
	for _, l := range labels {
		order := ""
		for _, part := range l.parts {
			order += map[bool]string{true: "1", false: "A"}[isNumber(part)]
		}
		first, known := lengths[order]
		if !known {
			lengths[order] = l.parts
			continue
		}
		for k := 1; k < len(l.parts); k++ {
			if len(first[k]) != len(l.parts[k]) {
				return false
			}
		}
	}
	return true
}

// pairLabels pairs labels of equal form one to one. A form that two labels of a side have pairs
// nothing, unless one of them alone has a ballot.
func pairLabels(primary, second []precinctLabel, ofPrimary, ofSecond labelForm) []LabelPair {
	index := func(labels []precinctLabel, form labelForm) map[string]int {
		const several = -1
		out := make(map[string]int, len(labels))
		for k := range labels {
			f := form(labels[k].parts)
			other, known := out[f]
			switch {
			case f == "":
			case !known || other >= 0 && labels[k].ballot && !labels[other].ballot:
				out[f] = k
			case other >= 0 && labels[k].ballot == labels[other].ballot:
				out[f] = several
			}
		}
		return out
	}
	x, y := index(primary, ofPrimary), index(second, ofSecond)
	var pairs []LabelPair
	for k := range second {
		f := ofSecond(second[k].parts)
		if at, ok := x[f]; ok && at >= 0 && y[f] == k && f != "" {
			pairs = append(pairs, LabelPair{primary[at].precinct, second[k].precinct, primary[at].text, second[k].text})
		}
	}
	return pairs
}

// affixRule finds what stands before or after each label of one side and not of the other. No other
// such addition may explain more than a few of the labels.
func affixRule(primary, second []precinctLabel, form labelForm, inPrimary bool) *LabelRule {
	longer, shorter := primary, second
	if !inPrimary {
		longer, shorter = second, primary
	}
	known := make(map[string]bool, len(shorter))
	for _, l := range shorter {
		known[form(l.parts)] = true
	}
	type affix struct{ before, after string }
	votes := map[affix]int{}
	eachCut := func(parts []string, visit func(a affix, core []string)) {
		for i := 0; i < len(parts) && i <= mostAffixParts; i++ {
			for j := len(parts); j > i && len(parts)-j <= mostAffixParts; j-- {
				if i > 0 || j < len(parts) {
					visit(affix{strings.Join(parts[:i], " "), strings.Join(parts[j:], " ")}, parts[i:j])
				}
			}
		}
	}
	for _, l := range longer {
		eachCut(l.parts, func(a affix, core []string) {
			if known[form(core)] {
				votes[a]++
			}
		})
	}
	var best affix
	most, next := 0, 0
	for a, n := range votes {
		switch {
		case n > most:
			best, most, next = a, n, most
		case n > next:
			next = n
		}
	}
	if most < fewestByRule || 4*next > most {
		return nil
	}
	cut := func(parts []string) (out string) {
		eachCut(parts, func(a affix, core []string) {
			if a == best {
				out = form(core)
			}
		})
		return out
	}
	rule := &LabelRule{Before: best.before, After: best.after, InPrimary: inPrimary}
	if inPrimary {
		rule.Pairs = pairLabels(primary, second, cut, form)
	} else {
		rule.Pairs = pairLabels(primary, second, form, cut)
	}
	return rule
}

// describeRule notes what differs in labels to which nothing is added.
func describeRule(rule *LabelRule) *LabelRule {
	marks := func(label string) string {
		return strings.Map(func(r rune) rune {
			if unicode.IsLetter(r) || unicode.IsDigit(r) {
				return -1
			}
			return r
		}, label)
	}
	for _, m := range rule.Pairs {
		a, b := labelParts(m.PrimaryLabel), labelParts(m.SecondLabel)
		rule.Zeros = rule.Zeros || joinedForm(a) != joinedForm(b)
		rule.Punctuation = rule.Punctuation || marks(m.PrimaryLabel) != marks(m.SecondLabel)
	}
	return rule
}

// contradicts reports whether two rules pair one precinct with two others.
func (r *LabelRule) contradicts(o *LabelRule) bool {
	toSecond, toPrimary := map[int]int{}, map[int]int{}
	for _, m := range r.Pairs {
		toSecond[m.Primary], toPrimary[m.Second] = m.Second, m.Primary
	}
	return slices.ContainsFunc(o.Pairs, func(m LabelPair) bool {
		j, ok := toSecond[m.Primary]
		i, known := toPrimary[m.Second]
		return ok && j != m.Second || known && i != m.Primary
	})
}
