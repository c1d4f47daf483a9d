package ui

import (
	"strings"
	"sync"

	"fyne.io/fyne/v2/lang"
)

// DayFirst reports whether people who use this machine write the day before the month. The United
// States and a few others do not (common practice; from memory, no source).
var DayFirst = sync.OnceValue(func() bool {
	locale := lang.SystemLocale().String()
	_, region, _ := strings.Cut(strings.ReplaceAll(locale, "_", "-"), "-")
	region, _, _ = strings.Cut(region, "-")
	switch region {
	case "", "US", "PH", "PR", "GU", "VI", "AS", "MP", "CA":
		return false
	}
	return true
})
