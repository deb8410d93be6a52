package sched

import (
	"cmp"
	"slices"
)

// beam builds good orders from whole stints. It keeps the most promising
// beginnings side by side, judged by set-up and waiting so far and the
// cheapest way to load each level that is still open. Times are exact.
type beam struct {
	*stage
	width int
	// calm says how little it matters that long chains are begun early: of so
	// many seconds of a chain, one is counted.
	calm int
	jobs []int32
}

// block is a state of the beam: a beginning of an order, by its last stint.
type block struct {
	prev *block
	jobs []placed // done in this stint
	mark
	made []int  // mix → when it was last made
	hash uint64 // of the set of jobs done
	urge int    // part of the urgency of what is left, seconds
}

// placed is a job with its times.
type placed struct {
	job   int32
	times undo
}

func (b *block) value() int { return b.desk.idle + b.ahead + b.urge }

// compare puts the cheaper first, among equals what did more, then what ends
// earlier.
func (b *block) compare(o *block) int {
	return cmp.Or(cmp.Compare(b.value(), o.value()), cmp.Compare(o.count, b.count), cmp.Compare(b.desk.end, o.desk.end),
		cmp.Compare(b.hash, o.hash), cmp.Compare(b.desk.class, o.desk.class))
}

// build returns the best order found of the jobs in question, which the stage
// was reset to; nil if none fits the calendar or stop says so first.
func (b *beam) build(stop func() bool) []int32 {
	total := len(b.jobs)
	var best *block
	front := []*block{{mark: b.mark, made: slices.Clone(b.made)}}
	for len(front) > 0 {
		if stop() {
			return nil
		}
		next := b.grow(front)
		next = slices.DeleteFunc(next, func(t *block) bool {
			if t.count == total && (best == nil || t.compare(best) < 0) {
				best = t
			}
			return t.count == total
		})
		if best != nil {
			next = slices.DeleteFunc(next, func(t *block) bool { return t.value() >= best.value() })
		}
		slices.SortFunc(next, (*block).compare)
		front = next[:min(len(next), b.width)]
	}
	if best == nil {
		return nil
	}
	out := make([]int32, total)
	for at := total; best.prev != nil; best = best.prev {
		for _, p := range slices.Backward(best.jobs) {
			at--
			out[at] = p.job
		}
	}
	return out
}

// grow returns what follows from the given states, the best of those that did
// the same jobs and have the same class loaded.
func (b *beam) grow(front []*block) []*block {
	type key struct {
		hash  uint64
		class int32
	}
	seen := map[key]int{}
	var next []*block
	for _, s := range front {
		b.rebuild(s)
		for c := range b.mates {
			if int32(c) == s.desk.class && s.prev != nil || !b.anyReady(c) {
				continue
			}
			count := 0
			for _, p := range []patience{dryOnly, allWet} {
				t := b.take(s, int32(c), p)
				if t == nil || t.count == count {
					continue
				}
				count = t.count
				k := key{t.hash, t.desk.class}
				if i, old := seen[k]; !old {
					seen[k] = len(next)
					next = append(next, t)
				} else if t.compare(next[i]) < 0 {
					next[i] = t
				}
			}
		}
	}
	return next
}

func (g *stage) anyReady(c int) bool {
	return slices.ContainsFunc(g.mates[c], func(j int32) bool { return !g.done[j] && g.need[j] == 0 })
}

// rebuild brings the stage to s.
func (b *beam) rebuild(s *block) {
	b.rewind(mark{})
	var chain []*block
	for t := s; t.prev != nil; t = t.prev {
		chain = append(chain, t)
	}
	for _, t := range slices.Backward(chain) {
		for _, p := range t.jobs {
			b.start[p.job], b.ends[p.job], b.cut[p.job] = p.times.start, p.times.ends, p.times.cut
			b.did(p.job)
		}
	}
	b.steps += int64(len(b.jobs))
	b.mark = s.mark
	copy(b.made, s.made)
}

// take does a stint of class c behind s, and leaves the stage as it was; nil
// if nothing can be done.
func (b *beam) take(s *block, c int32, p patience) *block {
	n := b.stint(c, p)
	if n == 0 {
		return nil
	}
	t := &block{prev: s, mark: b.mark, made: s.made, hash: s.hash, jobs: make([]placed, 0, n)}
	for _, j := range b.log[s.count:] {
		t.jobs = append(t.jobs, placed{j, undo{b.start[j], b.ends[j], b.cut[j]}})
		t.hash ^= spread(uint64(j) + 1)
	}
	if b.m.mix[c] >= 0 {
		t.made = slices.Clone(b.made)
		copy(b.made, s.made)
	}
	t.urge = b.urgency() / b.calm
	b.rewind(s.mark)
	return t
}

// spread spreads the bits of x over the word.
func spread(x uint64) uint64 {
	x ^= x >> 30
	x *= 0xbf58476d1ce4e5b9
	x ^= x >> 27
	x *= 0x94d049bb133111eb
	return x ^ x>>31
}
