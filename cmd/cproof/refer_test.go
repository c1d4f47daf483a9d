package main

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/assets/demo"
)

// A pair that disagrees refers with one signature. What was referred is decided with the supervisor's.
func TestOneOfThePairRefersAndTheSupervisorDecides(t *testing.T) {
	folder := open(t, "export.xml")
	var id string
	for _, f := range standingOf(t, folder).Findings {
		if f.Check == "vote-for" && strings.Contains(f.Message, "County Judge") {
			id = f.ID
		}
	}
	require.NotEmpty(t, id)
	decide := func(lines, who, outcome string, more ...string) ran {
		return with(t, lines, folder, append([]string{"decide", demo.CaseName, id, "--outcome", outcome, "--reason",
			"we read the list differently", "--signed-by", who}, more...)...)
	}
	document := []string{"--document", "Certified list, 1 October"}
	oneLineError(t, decide(secondLine, "IT", "fix-configuration", document...), "programmer")
	assert.Contains(t, does(t, decide(secondLine, "IT", "refer")).out, "referred to the supervisor")
	oneLineError(t, decide(pairLines, "HV,IT", "fix-configuration", document...), "supervisor, who signs")
	does(t, decide(pairLines+supervisorLine, "HV,IT,NC", "fix-configuration", document...))
	oneLineError(t, decide(secondLine, "IT", "refer"), "both of them refer it")
	log := does(t, cproofIn(t, folder, "log", demo.CaseName)).out
	assert.Contains(t, log, "signed by Imre Tallow (IT)\n")
}
