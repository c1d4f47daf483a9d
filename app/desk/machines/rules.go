package machines

import (
	"errors"
	"strings"

	"counterproof/checks/loading"
	"counterproof/model/cards"
)

// ErrDaylight: nobody said whether the machines change to and from daylight saving time by themselves.
var ErrDaylight = errors.New("say whether the machines begin and end daylight saving time by themselves: key y or n")

// Rules makes of what is typed what the office says of its machines: changes is y or n, and lists have
// commas between their parts. Date is the day of the election, YYYY-MM-DD. The error is ErrDaylight, or
// says what is wrong with the time zone.
func Rules(zone, changes, keys, seals, counters, date string) (cards.Rules, error) {
	rules := cards.Rules{Zone: zoneNamed(zone), Keys: parts(keys), Seals: parts(seals), Counters: parts(counters)}
	if _, err := loading.ClockOf(rules, date); err != nil {
		return rules, err
	}
	switch strings.ToLower(strings.TrimSpace(changes)) {
	case "y", "yes":
		rules.ChangesItself = true
	case "n", "no":
	default:
		return rules, ErrDaylight
	}
	return rules, nil
}

func parts(text string) (out []string) {
	for _, one := range strings.Split(text, ",") {
		if one = strings.Join(strings.Fields(one), " "); one != "" {
			out = append(out, one)
		}
	}
	return out
}
