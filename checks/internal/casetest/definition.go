package casetest

import (
	"strings"
	"testing"

	"github.com/beevik/etree"
	"github.com/stretchr/testify/require"
)

// inDefinition are the names of SP 1500-20 for those of SP 1500-100, by the two XML schemas.
var inDefinition = strings.NewReplacer("1500-100/v2", "1500-20/v1", "ElectionReport", "BallotDefinition",
	"ContestSelectionIds", "ContestOptionIds", "ContestSelection", "ContestOption", "CandidateSelection",
	"CandidateOption", "BallotMeasureSelection", "BallotMeasureOption", "PartySelection", "PartyOption")

// Definition rewrites a report of SP 1500-100 in XML as a ballot definition of SP 1500-20, which has no
// voting units.
func Definition(t testing.TB, report []byte) []byte {
	t.Helper()
	doc := etree.NewDocument()
	require.NoError(t, doc.ReadFromBytes(report))
	devices := map[string]bool{}
	for _, unit := range doc.FindElements("//GpUnit[@xsi:type='ReportingDevice']") {
		devices[unit.SelectAttrValue("ObjectId", "")] = true
		unit.Parent().RemoveChild(unit)
	}
	for _, ids := range doc.FindElements("//ComposingGpUnitIds") {
		var left []string
		for _, id := range strings.Fields(ids.Text()) {
			if !devices[id] {
				left = append(left, id)
			}
		}
		if ids.SetText(strings.Join(left, " ")); len(left) == 0 {
			ids.Parent().RemoveChild(ids)
		}
	}
	for _, name := range []string{"Format", "Status"} {
		doc.Root().RemoveChild(doc.Root().SelectElement(name))
	}
	doc.Root().CreateElement("Version").SetText("1.0.0")
	out, err := doc.WriteToString()
	require.NoError(t, err)
	return []byte(inDefinition.Replace(out))
}
