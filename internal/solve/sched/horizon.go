package sched

// horizon knows how far into the calendar an order can come that is no worse
// than one known. No window is left for nothing: what is lost at its end is less
// than a job's set-up and one chunk, or Close, unless a job must dry long.
type horizon struct {
	m     *model
	upper int    // an objective known, seconds
	waste int    // the most seconds lost at the end of a window, but for long lags
	long  bitset // jobs that follow a long lag
	dry   int    // the longest of all lags, wall seconds
	short int    // the longest of those that are not long
}

// newHorizon is nil where nothing is sure.
func newHorizon(m *model, upper int) *horizon {
	if m.m > 1 || m.windows[0] == nil || m.p.Patience > 0 {
		return nil
	}
	h := &horizon{m: m, upper: upper, long: newBitset(m.n)}
	chunk, setup, makes := 0, 0, 0
	for j := range m.n {
		c := m.class[j]
		for _, s := range m.p.Jobs[j].Chunks {
			chunk = max(chunk, s)
		}
		setup = max(setup, m.p.First[c])
		for a := range m.c {
			setup = max(setup, m.switchCost(int32(a), c))
		}
		if m.mix[c] >= 0 {
			makes = max(makes, m.makes[c])
		}
		for _, a := range m.into[j] {
			h.dry = max(h.dry, a.dry)
			if a.long {
				h.long.set(j)
			} else {
				h.short = max(h.short, a.dry)
			}
		}
	}
	h.waste = max(chunk+setup+makes, m.p.Close)
	return h
}

// windows is how many windows, from the first on, the work may lie in that is
// done up to the end of job j.
func (h *horizon) windows(j int) int {
	if h == nil {
		return none
	}
	m := h.m
	list := m.windows[0]
	long, bench := 0, h.upper
	for i := range m.n {
		if m.reach[j].has(i) {
			bench -= m.work[i]
		} else if h.long.has(i) {
			long++
		}
	}
	// To come to window w, those in front of it must be full, but for what each
	// long lag may cost: the window it ends, and those that begin until it is dry.
	least, lost, first := none, 0, 0
	for w := range list {
		if w > 0 {
			last := list[w-1]
			if list[w].Start-last.End < h.short {
				return len(list)
			}
			least = min(least, last.End-last.Start)
			for list[w-1].Start >= list[first].End+h.dry && first < w-1 {
				first++
			}
			lost = max(lost, w-first)
		}
		if full := w - lost*long; full > 0 && least > h.waste && full*(least-h.waste) > bench {
			return w
		}
	}
	return len(list)
}
