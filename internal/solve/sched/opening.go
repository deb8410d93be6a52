package sched

import (
	"cmp"
	"container/heap"
	"slices"
)

// opening is the beginning of an order and the waiting in it.
type opening struct {
	jobs []int32
	wait int
}

// openings is a heap, the least waiting first, among equals the longest.
type openings []opening

func (h openings) Len() int { return len(h) }
func (h openings) Less(i, k int) bool {
	return cmp.Or(cmp.Compare(h[i].wait, h[k].wait), cmp.Compare(len(h[k].jobs), len(h[i].jobs))) < 0
}
func (h openings) Swap(i, k int) { h[i], h[k] = h[k], h[i] }
func (h *openings) Push(x any)   { *h = append(*h, x.(opening)) }
func (h *openings) Pop() any {
	last := len(*h) - 1
	o := (*h)[last]
	*h = (*h)[:last]
	return o
}

// mostOpenings is how many jobs waitInFront may place.
const mostOpenings = 200_000

// waitInFront is the waiting that every order begins with, before the first
// segment behind the start that is sure to open a window. It goes on with the
// opening that waited least until one is complete or there are too many; the
// least waiting of those left is then sure.
func (c *calendarBound) waitInFront() int {
	m := c.m
	last := len(c.segs)
	if len(c.cuts) > 1 {
		last = c.cuts[1]
	}
	var jobs []int32
	for s := range c.segs[:last] {
		jobs = append(jobs, c.segs[s].jobs...)
	}
	sim, left := newSim(m), make([]int, m.n)
	made, before := make([]int, m.mixes), make([]int, m.mixes)
	list := openings{{}}
	for placed := 0; len(list) > 0; {
		o := heap.Pop(&list).(opening)
		if placed += len(o.jobs) + len(jobs); len(o.jobs) == len(jobs) || placed > mostOpenings {
			return o.wait
		}
		for _, j := range jobs {
			left[j] = len(m.into[j])
		}
		d := desk{class: -1}
		for x := range made {
			made[x] = never
		}
		for _, j := range o.jobs {
			sim.place(&d, made, j)
			left[j] = -1
			for _, a := range m.out[j] {
				left[a.job]--
			}
		}
		copy(before, made)
		for _, j := range jobs {
			if left[j] != 0 {
				continue
			}
			next := d
			if sim.place(&next, made, j) {
				heap.Push(&list, opening{append(slices.Clip(o.jobs), j), next.wait})
			}
			copy(made, before)
			placed++
		}
	}
	return 0 // no order fits the calendar
}
