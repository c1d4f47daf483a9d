package finding

import (
	"golang.org/x/text/language"
	"golang.org/x/text/language/display"
)

// LanguageName is what a language is called in English: "Spanish" for "es". A tag that nothing is
// known of is its own name.
func LanguageName(tag string) string {
	known, err := language.Parse(tag)
	if err != nil {
		return tag
	}
	if name := display.English.Tags().Name(known); name != "" {
		return name
	}
	return tag
}

// InLanguage says that a sentence is about wordings in a further language.
func InLanguage(tag, sentence string) string { return "In " + LanguageName(tag) + ": " + sentence }
