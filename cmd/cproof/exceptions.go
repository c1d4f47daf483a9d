package main

import (
	"fmt"
	"strings"

	"counterproof/checks/review"
)

// exceptionsNamed reads "ID=REASON": the identity of something that is left to do, or an
// unambiguous beginning of it, and the reason for signing without it.
func exceptionsNamed(missing []review.Missing, words []string) (map[string]string, error) {
	exceptions := map[string]string{}
	for _, text := range words {
		id, reason, err := exceptionIn(missing, text)
		if err != nil {
			return nil, err
		}
		if reason == "" {
			return nil,
				fmt.Errorf("--exception %q: no reason is given; write ID=REASON, which the report's front page will show", text)
		}
		if exceptions[id] != "" {
			return nil, fmt.Errorf("--exception: %s is named twice; each exception is written down once", id)
		}
		exceptions[id] = reason
	}
	return exceptions, nil
}

// exceptionIn finds what an exception is about. An identity may itself contain an equals sign, in
// the name of a precinct.
func exceptionIn(missing []review.Missing, text string) (id, reason string, err error) {
	for _, m := range missing {
		if rest, ok := strings.CutPrefix(text, m.ID+"="); ok && len(m.ID) > len(id) {
			id, reason = m.ID, rest
		}
	}
	if id != "" {
		return id, strings.TrimSpace(reason), nil
	}
	begin, reason, _ := strings.Cut(text, "=")
	var found []string
	for _, m := range missing {
		if begin != "" && strings.HasPrefix(m.ID, begin) {
			found = append(found, m.ID)
		}
	}
	switch len(found) {
	case 1:
		return found[0], strings.TrimSpace(reason), nil
	case 0:
		return "", "", fmt.Errorf("--exception %q: nothing of this identity is left to do; sign without it lists what is",
			text)
	}
	return "", "", fmt.Errorf("--exception %q: %d things that are left to do begin so; name it in full: %s", text,
		len(found), strings.Join(found, ", "))
}
