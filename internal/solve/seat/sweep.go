package seat

import (
	"fmt"
	"sort"
)

// A sweep takes the places one after another, block by block, across the
// narrow side of each block, so that few of the places already passed still
// have neighbours ahead. The values of those are all that the rest of the
// sweep needs to know: with h places across, the last h+1.

// link is a neighbour passed back steps ago (0: the one before). Share is the
// part of the pair's worth that this sweep counts, in units of 1/whole.
type link struct{ back, share int }

// whole is the share of a pair that a sweep counts alone.
const whole = 1 << 12

// step is one place in a sweep. Width is how many of the last places are
// known when it is reached.
type step struct {
	place int
	links []link
	width int
}

// sweep orders the given places of one block or several.
func (m *model) sweep(places []int) []step {
	order := append([]int(nil), places...)
	tall := m.tall(places)
	key := func(q int) [4]int {
		pl := m.p.Places[q]
		switch {
		case pl.Loose:
			return [4]int{1, q}
		case tall[pl.Block]:
			return [4]int{0, pl.Block, pl.Rank, pl.File}
		default:
			return [4]int{0, pl.Block, pl.File, pl.Rank}
		}
	}
	sort.Slice(order, func(i, j int) bool {
		a, b := key(order[i]), key(order[j])
		for k := range a {
			if a[k] != b[k] {
				return a[k] < b[k]
			}
		}
		return false
	})
	return m.steps(order)
}

// tall tells the blocks with more ranks than files.
func (m *model) tall(places []int) map[int]bool {
	type box struct{ r0, r1, f0, f1 int }
	boxes := map[int]box{}
	for _, q := range places {
		pl := m.p.Places[q]
		if pl.Loose {
			continue
		}
		b, ok := boxes[pl.Block]
		if !ok {
			b = box{pl.Rank, pl.Rank, pl.File, pl.File}
		}
		boxes[pl.Block] = box{min(b.r0, pl.Rank), max(b.r1, pl.Rank), min(b.f0, pl.File), max(b.f1, pl.File)}
	}
	tall := map[int]bool{}
	for k, b := range boxes {
		tall[k] = b.r1-b.r0 > b.f1-b.f0
	}
	return tall
}

// steps links an order of places.
func (m *model) steps(order []int) []step {
	at := map[int32]int{}
	for i, q := range order {
		at[int32(q)] = i
	}
	steps := make([]step, len(order))
	for i, q := range order {
		steps[i].place = q
		for _, r := range m.near[q] {
			j, here := at[r]
			if !here || j >= i {
				continue
			}
			steps[i].links = append(steps[i].links, link{i - 1 - j, whole})
			for k := j + 1; k <= i; k++ {
				steps[k].width = max(steps[k].width, k-j)
			}
		}
		sort.Slice(steps[i].links, func(a, b int) bool { return steps[i].links[a].back < steps[i].links[b].back })
	}
	return steps
}

// power gives values^width, or false if that exceeds limit.
func power(values, width, limit int) (int, bool) {
	n := 1
	for range width {
		if n *= values; n > limit {
			return 0, false
		}
	}
	return n, true
}

// gains lists, for every state of the last width values (the latest is the
// lowest digit) and every value v of the next place, what v earns with the
// places it is linked to: at [state*values+v], worth times share, in units of
// 1/whole unless unit says otherwise. Equal patterns of links share a list.
type gains struct {
	values, unit int
	worth        []int // [a*values+b]
	lists        map[string][]int
}

func newGains(values, unit int, worth []int) *gains {
	return &gains{values, unit, worth, map[string][]int{}}
}

func (g *gains) of(st *step, states int) []int {
	key := fmt.Sprint(st.width, st.links)
	if list, ok := g.lists[key]; ok {
		return list
	}
	k := g.values
	list := make([]int, states*k)
	for _, l := range st.links {
		div, _ := power(k, l.back, 1<<40)
		for s := range states {
			row := g.worth[s/div%k*k:][:k]
			for v, d := range row {
				list[s*k+v] += d * l.share / g.unit
			}
		}
	}
	g.lists[key] = list
	return list
}

// worth is the distance matrix of a trait as plain ints.
func (m *model) worth(t int) []int {
	w := make([]int, len(m.dist[t]))
	for i, d := range m.dist[t] {
		w[i] = int(d)
	}
	return w
}
