package sched

// construct builds a first order: again and again, of all jobs whose
// predecessors are placed, the one (and the worker) that costs the least idle
// time now, the longest tail among equals.
func (s *sim) construct() {
	m := s.m
	left := make([]int, m.n)
	var open []int32
	for j := range left {
		left[j] = len(m.into[j])
		if left[j] == 0 {
			open = append(open, int32(j))
		}
	}
	classes := make([]int, m.c) // jobs open of each class
	for _, j := range open {
		classes[m.class[j]]++
	}
	k := m.m * m.mixes
	for i := range m.n {
		now, next := s.before[i*m.m:i*m.m+m.m], s.before[(i+1)*m.m:(i+1)*m.m+m.m]
		copy(next, now)
		best, bestWho, bestScore := -1, uint8(0), 0
		for o, j := range open {
			rel := 0
			for _, a := range m.into[j] {
				rel = max(rel, s.start[a.job]+a.dist)
			}
			for w := range m.m {
				if m.allowed[j]&(1<<w) == 0 {
					continue
				}
				score := s.score(&now[w], j, rel)
				if best < 0 || score < bestScore ||
					score == bestScore && m.tail[j] > m.tail[open[best]] {
					best, bestWho, bestScore = o, uint8(w), score
				}
			}
		}
		j := open[best]
		open[best] = open[len(open)-1]
		open = open[:len(open)-1]
		s.order[i], s.pos[j], s.who[j] = j, int32(i), bestWho
		var made []int
		if k > 0 {
			copy(s.mixB[(i+1)*k:(i+1)*k+k], s.mixB[i*k:i*k+k])
			at := (i+1)*k + int(bestWho)*m.mixes
			made = s.mixB[at : at+m.mixes]
		}
		if !s.place(&next[bestWho], made, j) {
			// The calendar is over; go on as if the day began again, so that
			// there is an order at all. load will say that it is too short.
			s.start[j] = next[bestWho].at
		}
		for _, a := range m.out[j] {
			if left[a.job]--; left[a.job] == 0 {
				open = append(open, a.job)
			}
		}
	}
	s.steps += int64(m.n) * 4
	order := append([]int32(nil), s.order...)
	who := append([]uint8(nil), s.who...)
	s.load(order, who)
}

// score is what it costs to do job j next at desk d: for one worker the idle
// time, for several the time at which the work starts.
func (s *sim) score(d *desk, j int32, rel int) int {
	m := s.m
	setup := m.p.First[m.class[j]]
	if d.class >= 0 {
		setup = m.switchCost(d.class, m.class[j])
	}
	start := max(d.at+setup, rel)
	if m.m > 1 {
		return 4*start - m.tail[j]
	}
	return 4 * (start - d.at)
}
