package seat

import "math/bits"

// memory keeps points of the search already explored. Two points at the same
// step with the same leftovers of all Counts, and the same values wherever a
// place ahead looks back, can be completed in the same ways; so the one with
// the lower worth so far need not be explored after the other.
//
// It has a fixed size. Each point may stand in one of two slots: in the first
// unless a point of an earlier step holds it, else in the second.
type memory struct {
	m     *model
	bits  []int // by trait: of a value
	back  []back
	slots []known
}

// back is how many of the last places matter at a step: with all values, with
// the main one, with those not hidden.
type back struct{ all, main, seen int }

// keyWords is the room for a point, in words of 64 bits.
const keyWords = 5

type known struct {
	key   [keyWords]uint64
	step  int32
	worth int
}

// memoryBits is the most bits the number of a slot has.
const memoryBits = 20

// newMemory prepares a memory for a sweep, nil if points do not fit a key.
func newMemory(m *model, backs []back) *memory {
	mem := &memory{m: m, back: backs}
	for t := range m.t {
		mem.bits = append(mem.bits, bits.Len(uint(m.values[t]-1)))
	}
	for _, b := range mem.back {
		size := 0
		for t, n := range mem.bits {
			size += 32 + n*mem.width(b, t)
		}
		if size > 64*keyWords {
			return nil
		}
	}
	mem.slots = make([]known, 1<<min(memoryBits, m.n+6))
	return mem
}

// lookBack works out how far places ahead look back, step by step.
func (m *model) lookBack(steps []step) []back {
	backs := make([]back, len(steps)+1)
	at := make([]int, m.n)
	for i, st := range steps {
		at[st.place] = i
	}
	// look books that the place at a later step looks back at an earlier one.
	look := func(width func(*back) *int, i, j int) {
		for k := min(i, j) + 1; k <= max(i, j); k++ {
			w := width(&backs[k])
			*w = max(*w, k-min(i, j))
		}
	}
	all := func(b *back) *int { return &b.all }
	main := func(b *back) *int { return &b.main }
	seen := func(b *back) *int { return &b.seen }
	for _, e := range m.edges {
		look(all, at[e[0]], at[e[1]])
		look(main, at[e[0]], at[e[1]])
	}
	if m.p.Main >= 0 {
		for _, l := range m.lines {
			look(main, at[l[0]], at[l[2]])
			look(main, at[l[0]], at[l[1]])
			look(main, at[l[1]], at[l[2]])
		}
	}
	for q, list := range m.away {
		for _, f := range list {
			look(seen, at[q], at[f.place])
		}
	}
	return backs
}

// width is how many of the last values of a trait matter.
func (mem *memory) width(b back, t int) int {
	w := b.all
	if t == mem.m.p.Main {
		w = max(w, b.main)
	}
	if mem.m.radix[t] != 0 {
		w = max(w, b.seen)
	}
	return w
}

// seen says whether a point at least as good was explored, and if not notes
// this one.
func (mem *memory) seen(b *branch, i, worth int) bool {
	var key [keyWords]uint64
	at := 0
	put := func(v uint64, n int) {
		w, s := at>>6, at&63
		key[w] |= v << s
		if s+n > 64 {
			key[w+1] |= v >> (64 - s)
		}
		at += n
	}
	for t, n := range mem.bits {
		put(uint64(b.left[t][i]), 32)
		col := b.value[t*mem.m.n:]
		for j := i - mem.width(mem.back[i], t); j < i && n > 0; j++ {
			put(uint64(col[b.steps[j].place]), n)
		}
	}
	h := uint64(i)
	for _, w := range key {
		h = (h ^ w) * 0x9e3779b97f4a7c15
		h ^= h >> 29
	}
	h >>= 8
	last := uint64(len(mem.slots) - 1)
	first, second := &mem.slots[h&last], &mem.slots[h>>20&last]
	for _, s := range []*known{first, second} {
		if s.step == int32(i) && s.key == key {
			if s.worth >= worth {
				return true
			}
			s.worth = worth
			return false
		}
	}
	slot := second
	if first.step == 0 || int(first.step) >= i {
		slot = first
	}
	*slot = known{key, int32(i), worth}
	return false
}
