package sched

import (
	"cmp"
	"slices"
)

// stage builds an order for one worker from whole stints: load a class, do
// what is ready of it, load the next. It may be limited to some of the jobs.
type stage struct {
	*sim
	least []int // class → cheapest set-up that loads it
	// level numbers the jobs of one class that may share a stint: those of
	// different levels have something of another class between them.
	level []int32

	mates [][]int32 // class → its jobs in question
	need  []int32   // job → predecessors not done
	done  []bool
	open  []int32 // level → jobs not done
	log   []int32 // jobs done, in order
	chain []int   // job → see chains
	mark
	made []int // mix → when it was last made
}

// mark is what is known at the end of a stint.
type mark struct {
	desk  desk
	count int // jobs done
	ahead int // least set-up that the levels still open cost
}

// patience says what a stint waits for.
type patience uint8

const (
	dryOnly patience = iota // for nothing
	oneWet                  // for the first job, if it must
	allWet                  // for every job that may be done
)

func newStage(m *model) *stage {
	g := &stage{sim: newSim(m), need: make([]int32, m.n), done: make([]bool, m.n),
		mates: make([][]int32, m.c), made: make([]int, m.mixes), least: make([]int, m.c)}
	for to := range g.least {
		g.least[to] = m.p.First[to]
		for from := range m.c {
			if from != to {
				g.least[to] = min(g.least[to], m.sw[from*m.c+to])
			}
		}
	}
	var levels int
	g.level, levels = m.levels()
	g.chain = m.chains()
	g.open = make([]int32, levels)
	return g
}

// levels works out, class by class, which jobs can not share a stint.
func (m *model) levels() (level []int32, count int) {
	level = make([]int32, m.n)
	through := make([]int32, m.n)
	for c := range int32(m.c) {
		most := int32(0)
		for _, j := range m.topo {
			v := int32(0)
			for _, a := range m.into[j] {
				t := through[a.job]
				if m.class[j] == c && m.class[a.job] != c {
					t++
				}
				v = max(v, t)
			}
			if m.class[j] == c {
				v = max(v, 1)
				level[j] = int32(count) + v - 1
				most = max(most, v)
			}
			through[j] = v
		}
		count += int(most)
	}
	return level, count
}

// chains gives for each job the longest chain of work and lags that begins with
// it, in seconds; lags that nobody waits for count as none.
func (m *model) chains() []int {
	chain := make([]int, m.n)
	longest := 0 // window
	for _, w := range m.windows[0] {
		longest = max(longest, w.End-w.Start)
	}
	for _, j := range slices.Backward(m.topo) {
		chain[j] = m.work[j]
		for _, a := range m.out[j] {
			d := a.dist
			if a.long || longest > 0 && a.dry > longest {
				d = m.work[j]
			}
			chain[j] = max(chain[j], d+chain[a.job])
		}
	}
	return chain
}

// reset makes the given jobs those in question, all still to be done, with the
// bench as it is before them; their predecessors are among them or have times.
func (g *stage) reset(jobs []int32, d desk, made []int) {
	m := g.m
	for j := range g.done {
		g.done[j] = true
	}
	for c := range g.mates {
		g.mates[c] = g.mates[c][:0]
	}
	for _, j := range jobs {
		g.done[j] = false
		g.need[j] = 0
		g.mates[m.class[j]] = append(g.mates[m.class[j]], j)
	}
	clear(g.open)
	g.mark = mark{desk: d}
	for _, j := range jobs {
		for _, a := range m.out[j] {
			g.need[a.job]++
		}
		if g.open[g.level[j]]++; g.open[g.level[j]] == 1 {
			g.ahead += g.least[m.class[j]]
		}
	}
	g.log = g.log[:0]
	copy(g.made, made)
}

// did books job j.
func (g *stage) did(j int32) {
	g.done[j] = true
	g.log = append(g.log, j)
	g.count++
	if g.open[g.level[j]]--; g.open[g.level[j]] == 0 {
		g.ahead -= g.least[g.m.class[j]]
	}
	for _, a := range g.m.out[j] {
		g.need[a.job]--
	}
}

// rewind goes back to k.
func (g *stage) rewind(k mark) {
	for _, j := range g.log[k.count:] {
		g.done[j] = false
		g.open[g.level[j]]++
		for _, a := range g.m.out[j] {
			g.need[a.job]++
		}
	}
	g.log = g.log[:k.count]
	g.mark = k
}

// stint loads class c and does what it may; it returns how many jobs.
func (g *stage) stint(c int32, p patience) int {
	before := g.count
	for g.sweep(c) || (p == allWet || p == oneWet && g.count == before) && g.await(c) {
	}
	return g.count - before
}

// sweep does every job of class c that is ready and dry, once through.
func (g *stage) sweep(c int32) (any bool) {
	for _, j := range g.mates[c] {
		if g.done[j] || g.need[j] > 0 {
			continue
		}
		if d, made, waits, ok := g.attempt(j); ok && !waits {
			g.settle(j, d, made)
			any = true
		}
	}
	return any
}

// await does the job of class c that costs the least waiting.
func (g *stage) await(c int32) bool {
	best := int32(-1)
	var desk desk
	for _, j := range g.mates[c] {
		if g.done[j] || g.need[j] > 0 {
			continue
		}
		d, _, _, ok := g.attempt(j)
		if ok && (best < 0 || cmp.Or(cmp.Compare(d.idle, desk.idle), cmp.Compare(d.at, desk.at)) < 0) {
			best, desk = j, d
		}
	}
	if best < 0 {
		return false
	}
	d, made, _, _ := g.attempt(best)
	g.settle(best, d, made)
	return true
}

func (g *stage) settle(j int32, d desk, made int) {
	g.desk = d
	if x := g.m.mix[g.m.class[j]]; x >= 0 {
		g.made[x] = made
	}
	g.did(j)
}

// attempt places job j next and returns the desk behind it, when its mix was
// made, and whether it must be waited for; ok is false if the calendar is over.
func (g *stage) attempt(j int32) (d desk, made int, waits, ok bool) {
	g.steps++
	d = g.desk
	x := g.m.mix[g.m.class[j]]
	before := 0
	if x >= 0 {
		before = g.made[x]
	}
	ok = g.place(&d, g.made, j)
	if x >= 0 {
		made, g.made[x] = g.made[x], before
	}
	// Ending a sitting for something wet is waiting too.
	waits = d.wait > g.desk.wait || d.window > g.desk.window && g.wet(j)
	return d, made, waits, ok
}

// wet reports whether something that job j follows is not dry now.
func (g *stage) wet(j int32) bool {
	for _, a := range g.m.into[j] {
		if g.lastEnd(a.job)+a.dry > g.desk.at {
			return true
		}
	}
	return false
}

// urgency is the longest chain of work and short lags that is left, seconds.
func (g *stage) urgency() (most int) {
	for _, mates := range g.mates {
		for _, j := range mates {
			if !g.done[j] && g.need[j] == 0 {
				most = max(most, g.chain[j])
			}
		}
	}
	return most
}
