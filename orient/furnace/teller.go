package furnace

// teller passes progress on, so that it never falls and does not come too often.
type teller struct {
	to   func(stage string, fraction float64)
	done float64
}

func newTeller(to func(stage string, fraction float64)) *teller { return &teller{to: to, done: -1} }

// stage gives a function to be told the share of one stage, which is the whole's
// from lo to hi.
func (t *teller) stage(name string, lo, hi float64) func(share float64) {
	const step = 0.01
	return func(share float64) {
		at := lo + (hi-lo)*min(max(share, 0), 1)
		if t.to == nil || at < t.done+step && !(at == 1 && t.done < 1) {
			return
		}
		t.done = at
		t.to(name, at)
	}
}
