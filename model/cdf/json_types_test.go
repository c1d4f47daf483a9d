package cdf

import (
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// placeOf says where an object of a class stands, for the classes of SP 1500-100 that are used.
var placeOf = map[string]string{
	"ElectionReport":       "%s",
	"Election":             `"Election": [{%s}]`,
	"BallotStyle":          `"Election": [{"BallotStyle": [{%s}]}]`,
	"OrderedContest":       `"Election": [{"BallotStyle": [{"OrderedContent": [{%s}]}]}]`,
	"OrderedHeader":        `"Election": [{"BallotStyle": [{"OrderedContent": [{%s}]}]}]`,
	"Candidate":            `"Election": [{"Candidate": [{%s}]}]`,
	"CandidateContest":     `"Election": [{"Contest": [{%s}]}]`,
	"BallotMeasureContest": `"Election": [{"Contest": [{%s}]}]`,
	"PartyContest":         `"Election": [{"Contest": [{%s}]}]`,
	"RetentionContest":     `"Election": [{"Contest": [{%s}]}]`,
	"CandidateSelection": `"Election": [{"Contest": [{"@type": "ElectionResults.CandidateContest", ` +
		`"ContestSelection": [{%s}]}]}]`,
	"BallotMeasureSelection": `"Election": [{"Contest": [{"@type": "ElectionResults.CandidateContest", ` +
		`"ContestSelection": [{%s}]}]}]`,
	"PartySelection": `"Election": [{"Contest": [{"@type": "ElectionResults.CandidateContest", ` +
		`"ContestSelection": [{%s}]}]}]`,
	"ReportingUnit":         `"GpUnit": [{%s}]`,
	"ReportingDevice":       `"GpUnit": [{%s}]`,
	"DeviceClass":           `"GpUnit": [{"@type": "ElectionResults.ReportingDevice", "DeviceClass": {%s}}]`,
	"ExternalIdentifier":    `"GpUnit": [{"@type": "ElectionResults.ReportingUnit", "ExternalIdentifier": [{%s}]}]`,
	"Party":                 `"Party": [{%s}]`,
	"Coalition":             `"Party": [{%s}]`,
	"Header":                `"Header": [{%s}]`,
	"InternationalizedText": `"Party": [{"Name": {%s}}]`,
	"LanguageString":        `"Party": [{"Name": {"Text": [{%s}]}}]`,
}

// usedNodes are the same as the reader has them.
var usedNodes = map[string]node{
	"ElectionReport": &report{}, "Election": &election{}, "BallotStyle": &style{}, "OrderedContest": &ordered{},
	"OrderedHeader": &ordered{},
	"Candidate":     &candidate{}, "CandidateContest": &contest{}, "BallotMeasureContest": &contest{},
	"PartyContest":     &contest{},
	"RetentionContest": &contest{}, "CandidateSelection": &selection{}, "BallotMeasureSelection": &selection{},
	"PartySelection": &selection{},
	"ReportingUnit":  &unit{}, "ReportingDevice": &unit{}, "DeviceClass": &deviceClass{}, "ExternalIdentifier": &code{},
	"Party":     &party{},
	"Coalition": &party{}, "Header": &header{}, "InternationalizedText": &international{}, "LanguageString": &phrase{},
}

// further are the classes that SP 1500-20 adds, as one of the others.
var further = map[string]string{"ActivationContest": "BallotMeasureContest", "PartyPreferenceContest": "PartyContest",
	"StraightPartyContest": "PartyContest", "ActivationOption": "BallotMeasureOption"}

// TestMembersHaveTheTypesOfTheStandard gives each member that is read each JSON type
// that the published schema (NIST_V2_election_results_reporting.json,
// NIST_V1_ballot_definition.json) does not have there: each is an error with its line and
// the member's name. Null is left out: it is taken as nothing said.
func TestMembersHaveTheTypesOfTheStandard(t *testing.T) {
	t.Run("SP 1500-100", func(t *testing.T) {
		path := "sp1500-100/NIST_V2_election_results_reporting.json"
		assert.Greater(t, tryTypes(t, results, path, placeOf, usedNodes), 1000)
	})
	t.Run("SP 1500-20", func(t *testing.T) {
		places, nodes := map[string]string{}, map[string]node{}
		for class, place := range placeOf {
			if class != "ReportingDevice" && class != "DeviceClass" {
				as := asDefinition.Replace(class)
				places[as], nodes[as] = asDefinition.Replace(place), usedNodes[class]
			}
		}
		for class, like := range further {
			places[class], nodes[class] = places[like], nodes[like]
		}
		assert.Greater(t, tryTypes(t, definition, "sp1500-20/NIST_V1_ballot_definition.json", places, nodes), 1000)
	})
}

func tryTypes(t *testing.T, is *standard, path string, places map[string]string, nodes map[string]node) (tried int) {
	type schema struct {
		Type       string            `json:"type"`
		Ref        string            `json:"$ref"`
		OneOf      []struct{}        `json:"oneOf"`
		Items      *schema           `json:"items"`
		Properties map[string]schema `json:"properties"`
	}
	var standard struct {
		Definitions map[string]schema `json:"definitions"`
	}
	data, err := os.ReadFile(published(t, path))
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(data, &standard))
	// kind is string, integer, boolean, object, or the like with "array of" before it.
	var kind func(s schema) string
	kind = func(s schema) string {
		switch {
		case s.Ref != "":
			return kind(standard.Definitions[strings.TrimPrefix(s.Ref, "#/definitions/")])
		case s.Type == "array":
			return "array of " + kind(*s.Items)
		case len(s.OneOf) > 0:
			return "object"
		}
		return s.Type
	}
	right := map[string][]string{
		"string": {`"x"`, `"12"`}, "integer": {"1"}, "boolean": {"true", "false"}, "object": {"{}"},
		"array of string": {"[]", `["x"]`}, "array of object": {"[]"},
	}
	values := []string{`"x"`, `"12"`, `"true"`, `""`, "1", "-1.5", "true", "false", "{}", `{"x": 1}`, "[]", `["x"]`, `[1]`,
		`[true]`, `[null]`, `[{"x": 1}]`, "[[]]"}
	may := func(kind, value string) bool {
		if slices.Contains(right[kind], value) {
			return true
		}
		switch kind {
		case "string":
			return value[0] == '"'
		case "integer": // the digits are looked at later
			return value == "-1.5"
		case "object":
			return value[0] == '{'
		case "array of object":
			return strings.HasPrefix(value, "[{")
		}
		return false
	}
	for class, place := range places {
		properties := standard.Definitions[is.prefix+"."+class].Properties
		require.NotEmpty(t, properties, class)
		for member, s := range properties {
			_, identified := nodes[class].(identified)
			switch nodes[class].slot(member).(type) {
			case nil, skipped:
				if member != "@type" && (member != "@id" || !identified) {
					continue
				}
			}
			want := kind(s)
			require.Contains(t, right, want, "%s.%s", class, member)
			for _, value := range values {
				body := fmt.Sprintf("\n%q: %s", member, value)
				if member != "@type" {
					body = fmt.Sprintf("\"@type\": \"%s.%s\", ", is.prefix, class) + body
				}
				text := "{" + fmt.Sprintf(place, body) + "}"
				if class != is.root {
					text = fmt.Sprintf(`{"@type": "%s.%s", `, is.prefix, is.root) + text[1:]
				}
				_, fault := readJSON(strings.NewReader(text), 0, false)
				if may(want, value) {
					// An empty object may lack its class, and "x" be none.
					if want != "object" && want != "array of object" && member != "@type" {
						assert.Nil(t, fault, "%s.%s: %s", class, member, value)
					}
					continue
				}
				tried++
				if assert.NotNil(t, fault, "%s.%s is no %s: %s", class, member, want, value) {
					assert.Equal(t, 2, fault.Line, text)
					assert.Contains(t, fault.Element+fault.Fault, member, text)
				}
			}
		}
	}
	return tried
}
