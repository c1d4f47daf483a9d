package cdf

// Bounds on what a hostile file can make the program hold or do. No export comes
// near them.
const (
	maxTag        = 1 << 20  // bytes of a tag with its attributes
	maxText       = 16 << 20 // bytes of a text, comment, CDATA section, processing instruction or JSON value
	maxReport     = 1 << 30  // bytes of one part, as UTF-8
	maxNames      = 10_000   // different names of elements and attributes
	maxDepth      = 256      // elements or values within each other
	maxNamespaces = 100      // declarations in force at one place
	maxPhrases    = 1000     // texts of one InternationalizedText
	maxElections  = 1000     // elections of one report
	maxInside     = 1 << 26  // precincts that all districts name together
	maxUnited     = 1 << 17  // ballots of united elections together
	maxContent    = 1 << 23  // contests on all of them together
)

const absurd = "no ballot needs that: the file is damaged, or not an export"
