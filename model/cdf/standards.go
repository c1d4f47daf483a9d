package cdf

import (
	"fmt"
	"strings"
)

// standard is a format that is read. NIST SP 1500-20 describes an election as SP 1500-100 does, names
// some things otherwise and adds others (their XML schemas): one reader and one builder serve both.
type standard struct {
	number, version string
	root            string // the class of the outermost object
	namespace       string // in XML
	prefix          string // before the class in every @type of JSON
	// concrete are, by abstract class, the classes of which a thing must be one.
	concrete map[string]string
}

var results = &standard{
	number: "1500-100", version: "2", root: "ElectionReport", namespace: namespace, prefix: "ElectionResults",
	concrete: map[string]string{
		"Contest":          "CandidateContest, BallotMeasureContest, RetentionContest or PartyContest",
		"ContestSelection": "CandidateSelection, BallotMeasureSelection or PartySelection",
		"GpUnit":           "ReportingUnit or ReportingDevice",
		"OrderedContent":   "OrderedContest or OrderedHeader",
	},
}

var definition = &standard{
	number: "1500-20", version: "1", root: "BallotDefinition", namespace: "http://itl.nist.gov/ns/voting/1500-20/v1",
	prefix: "BallotDefinition",
	concrete: map[string]string{
		"Contest": "CandidateContest, BallotMeasureContest, RetentionContest, PartyContest, ActivationContest, " +
			"PartyPreferenceContest or StraightPartyContest",
		"ContestOption":  "CandidateOption, BallotMeasureOption, PartyOption or ActivationOption",
		"GpUnit":         "ReportingUnit",
		"OrderedContent": "OrderedContest or OrderedHeader",
	},
}

var formats = []*standard{results, definition}

// String names the standard: "SP 1500-100".
func (s *standard) String() string { return "SP " + s.number }

// onlyIn is the standard that alone has a class or member of that name, among those that are used;
// nil for a name that both have, or none.
func onlyIn(name string) *standard {
	switch name {
	case "ElectionReport", "Format", "Status", "ReportingDevice", "SerialNumber", "DeviceClass", "ContestSelection",
		"CandidateSelection", "BallotMeasureSelection", "PartySelection", "OrderedContestSelectionIds":
		return results
	case "BallotDefinition", "ActivationContest", "PartyPreferenceContest", "StraightPartyContest",
		"ControlledContestIds", "RanksAllowed", "ContestOption", "CandidateOption", "BallotMeasureOption", "PartyOption",
		"ActivationOption", "OrderedContestOptionIds":
		return definition
	}
	return nil
}

// has reports whether a class or member of that name, which a node knows, may stand in files of the
// standard.
func (s *standard) has(name string) bool {
	only := onlyIn(name)
	return only == nil || only == s
}

const wantReport = "give the ElectionReport of SP 1500-100 version 2, or the BallotDefinition of SP 1500-20 " +
	"version 1, that the election management system exports"

// notAsStandard is the remedy for what the standard does not allow.
func (s *standard) notAsStandard() string {
	return "the file does not follow " + s.String() + ": export it again"
}

// standardOf returns the standard whose root an XML file has, and says what any other root is.
func standardOf(t *qname, ns string) (*standard, *Error) {
	e := &Error{Element: t.whole, Remedy: wantReport}
	for _, s := range formats {
		switch {
		case ns == s.namespace && t.local == s.root:
			return s, nil
		case ns == s.namespace:
			e.Fault = fmt.Sprintf("the root is %s of NIST %s%s, not %s", t.local, s, titled(s.number), s.root)
			return nil, e
		}
	}
	rest, nist := strings.CutPrefix(ns, anyStandard)
	number, version, _ := strings.Cut(rest, "/")
	own := rootStandard(t.local)
	for _, s := range formats {
		switch {
		case nist && number == s.number:
			e.Fault = fmt.Sprintf("this is a file of %s version %s, not version %s", s, strings.TrimPrefix(version, "v"),
				s.version)
			return nil, e
		case !nist && own == s.number:
			e.Fault = fmt.Sprintf("the root %s is in the namespace %s, not in that of %s version %s", t.local, quote(ns), s,
				s.version)
			e.Remedy = fmt.Sprintf("export as %s version %s, whose namespace is %s", s, s.version, s.namespace)
			return nil, e
		}
	}
	const neither = "neither ElectionReport nor BallotDefinition"
	switch {
	case nist:
		e.Fault = fmt.Sprintf("the root is %s of NIST SP %s%s, %s", t.local, number, titled(number), neither)
	case own != "":
		e.Fault = fmt.Sprintf("the root is %s, which belongs to NIST SP %s%s, in the namespace %s", t.local, own,
			titled(own), quote(ns))
	default:
		e.Fault = fmt.Sprintf("the root is %s, %s", quote(t.local), neither)
	}
	return nil, e
}

// standardOfClass returns the standard to which the @type of a JSON object belongs, and its class;
// nil where it belongs to none that is read.
func standardOfClass(class string) (*standard, string) {
	prefix, local, ok := strings.Cut(class, ".")
	for _, s := range formats {
		if ok && prefix == s.prefix {
			return s, local
		}
	}
	return nil, ""
}

// titled names the NIST common data formats by the number of their publication
// (NIST SP 1500-20, -100, -101, -102, -103).
func titled(number string) string {
	switch number {
	case "1500-20":
		return " (ballot definition)"
	case "1500-100":
		return " (election results reporting)"
	case "1500-101":
		return " (election event logging)"
	case "1500-102":
		return " (voter records interchange)"
	case "1500-103":
		return " (cast vote records)"
	}
	return ""
}

// rootStandard tells by its name which standard a root belongs to. The roots of
// 1500-101 and 1500-102 are from memory.
func rootStandard(local string) string {
	switch local {
	case "ElectionReport":
		return "1500-100"
	case "BallotDefinition":
		return "1500-20"
	case "CastVoteRecordReport":
		return "1500-103"
	case "ElectionEventLog", "ElectionEventLogDocumentation":
		return "1500-101"
	case "VoterRecordsRequest", "VoterRecordsResponse", "VoterRecordsResults":
		return "1500-102"
	}
	return ""
}
