package review

// Rounds returns the exports in sequence, with what each changed against the baseline of
// then. While the units are not sealed nothing of them is said.
func (r *Review) Rounds() ([]Round, error) {
	s, err := r.Now()
	if err != nil {
		return nil, err
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	rounds, err := r.rounds(s.State)
	if err != nil {
		return nil, err
	}
	q, err := r.follow(s.State, rounds, s)
	if err != nil {
		return nil, err
	}
	for i := range rounds {
		rounds[i].Asked, rounds[i].Unasked = q.steps[i].asked, q.steps[i].unasked
	}
	return rounds, nil
}
