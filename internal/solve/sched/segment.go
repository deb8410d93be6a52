package sched

// segment is a stretch of jobs that, whatever the order, come after all jobs
// of the segments before it and before all jobs of those behind it. What holds
// for one segment may be added up with what holds for the others.
type segment struct {
	jobs    []int32 // in a topological order
	sources []int32 // those without a predecessor in the segment
	sinks   []int32 // those without a successor in the segment
}

// segments cuts the jobs at every place where the lags allow it.
//
// In any order that keeps the lags, a job has at most n-1-(number of jobs that
// must follow) places in front of it. If exactly k jobs are sure to be among
// the first k, the order has a cut behind them.
func (m *model) segments() []segment {
	ends := make([]int, m.n+1) // how many jobs have their latest place here
	latest := make([]int, m.n)
	for j := range m.n {
		latest[j] = m.n - 1 - m.reach[j].count()
		ends[latest[j]]++
	}
	number := make([]int, m.n) // latest place → segment
	segs := 0
	sum := 0
	for k := range m.n {
		number[k] = segs
		if sum += ends[k]; sum == k+1 {
			segs++
		}
	}
	list := make([]segment, segs)
	of := func(j int32) int { return number[latest[j]] }
	for _, j := range m.topo {
		s := &list[of(j)]
		s.jobs = append(s.jobs, j)
		if !m.anyIn(m.into[j], of, of(j)) {
			s.sources = append(s.sources, j)
		}
		if !m.anyIn(m.out[j], of, of(j)) {
			s.sinks = append(s.sinks, j)
		}
	}
	return list
}

func (m *model) anyIn(arcs []arc, of func(int32) int, seg int) bool {
	for _, a := range arcs {
		if of(a.job) == seg {
			return true
		}
	}
	return false
}
