package machines

import (
	"strings"

	"counterproof/checks/loading"
	"counterproof/model/cards"
)

// Rules makes of what is typed what the office says of its machines: lists have commas between their parts.
// Date is the day of the election, YYYY-MM-DD. The error says what is wrong with the time zone.
func Rules(zone string, changesItself bool, keys, seals, counters, date string) (cards.Rules, error) {
	rules := cards.Rules{Zone: strings.TrimSpace(zone), ChangesItself: changesItself, Keys: parts(keys),
		Seals:    parts(seals),
		Counters: parts(counters)}
	_, err := loading.ClockOf(rules, date)
	return rules, err
}

func parts(text string) (out []string) {
	for _, one := range strings.Split(text, ",") {
		if one = strings.Join(strings.Fields(one), " "); one != "" {
			out = append(out, one)
		}
	}
	return out
}
