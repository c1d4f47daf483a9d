package findings

import "counterproof/checks/review"

// leads are the plain words with which a finding of a check begins, and the name of
// the proofreader's mark that goes with it.
var leads = map[string][2]string{
	"precinct-absent":    {"missing precinct", "missing"},
	"precinct-unkeyed":   {"extra precinct", "extra"},
	"contest-missing":    {"missing contest", "missing"},
	"contest-extra":      {"extra contest", "extra"},
	"choice-missing":     {"missing choice", "missing"},
	"choice-extra":       {"extra choice", "extra"},
	"unit-absent":        {"missing unit", "missing"},
	"unit-unkeyed":       {"extra unit", "extra"},
	"contest-title":      {"other spelling", "spelling"},
	"choice-name":        {"other spelling", "spelling"},
	"party-name":         {"other spelling", "spelling"},
	"heading":            {"other heading", "spelling"},
	"measure-text":       {"other text", "spelling"},
	"style-label":        {"other label", "spelling"},
	"election":           {"other election", "spelling"},
	"lookalike":          {"look-alike letters", "spelling"},
	"contest-kind":       {"other kind", "spelling"},
	"primary-party":      {"other party", "line"},
	"contest-order":      {"other order", "order"},
	"choice-order":       {"other order", "order"},
	"vote-for":           {"other number", "number"},
	"vote-for-range":     {"impossible number", "number"},
	"write-in":           {"other number of write-ins", "number"},
	"unit-load":          {"many precincts", "number"},
	"party-line":         {"other line", "line"},
	"party-line-twice":   {"line twice", "line"},
	"choice-duplicate":   {"choice twice", "extra"},
	"candidate-unlinked": {"votes not added", "line"},
	"wrong-style":        {"wrong ballot", "place"},
	"style-conflict":     {"conflicting ballots", "place"},
	"style-unused":       {"unused ballot", "extra"},
	"district-coverage":  {"other district", "place"},
	"unit-header":        {"other precincts", "place"},
	"unit-site":          {"other site", "place"},
	"precinct-unserved":  {"served by no unit", "place"},
	"dangling-reference": {"points at nothing", "missing"},
	"unasked-change":     {"changed unasked", "number"},
	"keyers-differ":      {"keyed differently", "spelling"},
}

// Lead returns the plain word that a finding begins with, and its mark: the name of
// a proofreader's mark of the look.
func Lead(i *review.Item) (word, mark string) {
	if l, ok := leads[string(i.Check)]; ok {
		return l[0], l[1]
	}
	return "other entry", "spelling"
}
