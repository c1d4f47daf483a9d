package report

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestADocumentIsCertifiedOnlyIfItsNameSaysSo(t *testing.T) {
	for document, want := range map[string]bool{
		"Certified list of candidates, 1 October 2027": true,
		"list as certified 3":                          true,
		"CERTIFICATION of 2 October":                   true,
		"uncertified list 3":                           false,
		"list, not certified":                          false,
		"draft, not yet certified":                     false,
		"decertified list":                             false,
		"Ballot proof, 8 October 2027":                 false,
		"":                                             false,
	} {
		require.Equal(t, want, namedAsCertified(document), document)
	}
}
