package sop

import (
	"cmp"
	"slices"
)

// gather collects the labels of one place. Of labels with the same memory it
// keeps the cheapest; labels that another one makes useless, being no dearer
// and remembering no more, are dropped as far as that is quickly seen.
type gather struct {
	list  []label
	slots []int32 // hash table over list: index+1, 0 if empty; in use above few labels
}

// few is the number of labels that are compared one with another.
const few = 24

func (g *gather) clear() {
	if len(g.list) > few {
		clear(g.slots)
	}
	g.list = g.list[:0]
}

// add takes a label in and returns the steps it took.
func (g *gather) add(l label) int {
	if len(g.list) > few {
		return g.addHashed(l)
	}
	w := 0
	for i := range g.list {
		o := &g.list[i]
		if o.cost <= l.cost && o.mem&^l.mem == 0 {
			return i + 1 // none was dropped: o would make it useless too
		}
		if l.cost <= o.cost && l.mem&^o.mem == 0 {
			continue
		}
		if w != i {
			g.list[w] = *o
		}
		w++
	}
	g.list = append(g.list[:w], l)
	if len(g.list) > few {
		g.rehash()
	}
	return w + 1
}

func (g *gather) addHashed(l label) int {
	if 2*(len(g.list)+1) > len(g.slots) {
		g.rehash()
	}
	mask := uint64(len(g.slots) - 1)
	for h := hashWord(l.mem) & mask; ; h = (h + 1) & mask {
		i := int(g.slots[h]) - 1
		if i < 0 {
			g.list = append(g.list, l)
			g.slots[h] = int32(len(g.list))
			return 4
		}
		if o := &g.list[i]; o.mem == l.mem {
			if l.cost < o.cost {
				*o = l
			}
			return 4
		}
	}
}

func (g *gather) rehash() {
	size := 256
	for size < 4*len(g.list) {
		size *= 2
	}
	if size > len(g.slots) {
		g.slots = make([]int32, size)
	} else {
		clear(g.slots)
	}
	mask := uint64(len(g.slots) - 1)
	for i := range g.list {
		h := hashWord(g.list[i].mem) & mask
		for g.slots[h] != 0 {
			h = (h + 1) & mask
		}
		g.slots[h] = int32(i + 1)
	}
}

func hashWord(x uint64) uint64 {
	x *= 0x9e3779b97f4a7c15
	return x ^ x>>32
}

// sorted returns the labels, cheapest first.
func (g *gather) sorted() []label {
	slices.SortFunc(g.list, func(a, b label) int {
		if c := cmp.Compare(a.cost, b.cost); c != 0 {
			return c
		}
		return cmp.Compare(a.mem, b.mem)
	})
	if len(g.list) <= few {
		return g.list
	}
	kept := 0
	for _, l := range g.list {
		if !slices.ContainsFunc(g.list[:min(kept, few)], func(o label) bool { return o.mem&^l.mem == 0 }) {
			g.list[kept] = l
			kept++
		}
	}
	return g.list[:kept]
}
