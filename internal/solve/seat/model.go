package seat

import (
	"fmt"
	"sort"
)

// far is a place within reach, with what a repeat there costs.
type far struct{ place, cost int32 }

// partner lists values of another trait that a value may not meet.
type partner struct {
	trait int
	mask  uint64
}

// wish is a preference seen from one of its two values.
type wish struct{ trait, value, weight int }

// position is a Place by number of block; each loose place is its own block.
type position struct{ block, rank, file int32 }

// model is a Problem turned into what the engines look up.
type model struct {
	p      *Problem
	n, t   int
	values []int
	dist   [][]int32 // [trait][a*values+b], weight included; zero if hidden
	radix  []int     // of the trait in a place's combination; 0 if hidden

	at      []position
	near    [][]int32    // neighbours of a place
	edges   [][2]int32   // neighbour pairs, lower place first
	lines   [][3]int32   // three in line
	through [][][2]int32 // the two others of each line through a place
	away    [][]far      // places within reach but not neighbours

	allow   [][]uint64 // [trait][place] values allowed
	bar     [][][]partner
	wishes  [][][]wish
	kind    [][]int32    // [trait][place]: which Counts the place falls under
	blocked [][][]uint64 // [trait][kind][kind]: values that may not be exchanged
	counted [][]uint64   // [trait][kind]: values under a Count
}

// Standard gives factors under which fewer breaches come before everything
// else, then preferred pairs, then distance and runs together (a run costs
// what the main trait can gain at most between two neighbours), then repeats.
func Standard(p *Problem) Weights {
	m := &model{p: p, n: len(p.Places), t: len(p.Traits)}
	m.geometry()
	repeats := 0
	for i, list := range m.away {
		for _, f := range list {
			if int(f.place) > i {
				repeats += int(f.cost)
			}
		}
	}
	w := Weights{Repeat: 1, Neighbour: repeats + 1}
	top := 0
	for i := range p.Traits {
		top += p.Traits[i].farthest()
	}
	if p.Main >= 0 {
		w.Run = w.Neighbour * max(1, p.Traits[p.Main].farthest())
	}
	w.Prefer = 1 + repeats + w.Neighbour*top*len(m.edges) + w.Run*len(m.lines)
	wanted := 0
	for _, pr := range p.Prefer {
		wanted += pr.Weight * m.n
	}
	w.Breach = w.Prefer * (wanted + 1)
	return w
}

// farthest is the largest distance within a trait, weight included.
func (tr *Trait) farthest() int {
	if tr.Hidden || tr.Values < 2 {
		return 0
	}
	if tr.Distance == nil {
		return tr.Weight
	}
	top := 0
	for _, row := range tr.Distance {
		for _, d := range row {
			top = max(top, d*tr.Weight)
		}
	}
	return top
}

// checkWeights keeps the whole range of the objective within 2^60.
func (p *Problem) checkWeights() error {
	w := p.Weights
	size, pair := 0.0, 0.0
	for i, f := range []int{w.Breach, w.Prefer, w.Neighbour, w.Run, w.Repeat} {
		if f < 0 {
			return fmt.Errorf("weights: factor %d is negative", i)
		}
	}
	n := float64(len(p.Places))
	for i := range p.Traits {
		pair += float64(p.Traits[i].farthest()) * float64(w.Neighbour)
	}
	size += 4 * n * pair
	for _, pr := range p.Prefer {
		size += n * float64(pr.Weight) * float64(w.Prefer)
	}
	size += 4*n*(float64(w.Breach)+float64(w.Run)) + 1000*n*float64(w.Repeat)
	if size > 1<<60 {
		return fmt.Errorf("weights: the objective could exceed 2^60; make the factors smaller")
	}
	if pair > 1<<40 {
		return fmt.Errorf("weights: one neighbour pair could be worth more than 2^40; make neighbour smaller")
	}
	return nil
}

// maxKinds bounds the table of exchanges between kinds of places.
const maxKinds = 512

func newModel(p *Problem) (*model, error) {
	m := &model{p: p, n: len(p.Places), t: len(p.Traits)}
	combos := 1
	for i := range p.Traits {
		tr := &p.Traits[i]
		m.values = append(m.values, tr.Values)
		d := make([]int32, tr.Values*tr.Values)
		for a := range tr.Values {
			for b := range tr.Values {
				switch {
				case tr.Hidden || a == b:
				case tr.Distance == nil:
					d[a*tr.Values+b] = int32(tr.Weight)
				default:
					d[a*tr.Values+b] = int32(tr.Weight * tr.Distance[a][b])
				}
			}
		}
		m.dist = append(m.dist, d)
		if tr.Hidden {
			m.radix = append(m.radix, 0)
			continue
		}
		m.radix = append(m.radix, combos)
		if combos > (1<<60)/tr.Values {
			return nil, fmt.Errorf("traits: too many combinations of values; hide a trait")
		}
		combos *= tr.Values
	}
	m.geometry()
	m.rules()
	return m, m.kinds()
}

// geometry finds neighbours, lines of three and places within reach.
func (m *model) geometry() {
	at := map[Place]int32{}
	block := map[int]int32{}
	m.at = make([]position, m.n)
	for i, pl := range m.p.Places {
		if pl.Loose {
			m.at[i] = position{block: int32(-1 - i)}
			continue
		}
		at[pl] = int32(i)
		if _, ok := block[pl.Block]; !ok {
			block[pl.Block] = int32(len(block))
		}
		m.at[i] = position{block[pl.Block], int32(pl.Rank), int32(pl.File)}
	}
	m.near = make([][]int32, m.n)
	m.through = make([][][2]int32, m.n)
	m.away = make([][]far, m.n)
	for i, pl := range m.p.Places {
		if pl.Loose {
			continue
		}
		step := func(dr, df int) (int32, bool) {
			q, ok := at[Place{Block: pl.Block, Rank: pl.Rank + dr, File: pl.File + df}]
			return q, ok
		}
		reach := max(1, m.p.Reach)
		for dr := -reach; dr <= reach; dr++ {
			for df := -reach; df <= reach; df++ {
				q, ok := step(dr, df)
				d := max(dr, -dr, df, -df)
				switch {
				case !ok || d == 0:
				case d == 1:
					m.near[i] = append(m.near[i], q)
					if int32(i) < q {
						m.edges = append(m.edges, [2]int32{int32(i), q})
					}
				default:
					m.away[i] = append(m.away[i], far{q, int32(m.p.Reach + 1 - d)})
				}
			}
		}
		for _, dir := range [][2]int{{0, 1}, {1, 0}, {1, 1}, {1, -1}} {
			q, ok1 := step(dir[0], dir[1])
			r, ok2 := step(2*dir[0], 2*dir[1])
			if ok1 && ok2 {
				m.lines = append(m.lines, [3]int32{int32(i), q, r})
			}
		}
	}
	for _, l := range m.lines {
		m.through[l[0]] = append(m.through[l[0]], [2]int32{l[1], l[2]})
		m.through[l[1]] = append(m.through[l[1]], [2]int32{l[0], l[2]})
		m.through[l[2]] = append(m.through[l[2]], [2]int32{l[0], l[1]})
	}
}

func maskOf(values []int) uint64 {
	mask := uint64(0)
	for _, v := range values {
		mask |= 1 << v
	}
	return mask
}

func all(values int) uint64 { return ^uint64(0) >> (64 - values) }

// rules compiles Allow, Forbid and Prefer.
func (m *model) rules() {
	m.allow = make([][]uint64, m.t)
	m.bar = make([][][]partner, m.t)
	m.wishes = make([][][]wish, m.t)
	for t := range m.t {
		m.allow[t] = make([]uint64, m.n)
		for i := range m.allow[t] {
			m.allow[t][i] = all(m.values[t])
		}
		m.bar[t] = make([][]partner, m.values[t])
		m.wishes[t] = make([][]wish, m.values[t])
	}
	for _, a := range m.p.Allow {
		for _, q := range a.Places {
			m.allow[a.Trait][q] &= maskOf(a.Values)
		}
	}
	bar := func(s, a, t, b int) {
		for i := range m.bar[s][a] {
			if m.bar[s][a][i].trait == t {
				m.bar[s][a][i].mask |= 1 << b
				return
			}
		}
		m.bar[s][a] = append(m.bar[s][a], partner{t, 1 << b})
	}
	for _, f := range m.p.Forbid {
		bar(f.TraitA, f.A, f.TraitB, f.B)
		bar(f.TraitB, f.B, f.TraitA, f.A)
	}
	for _, w := range m.p.Prefer {
		m.wishes[w.TraitA][w.A] = append(m.wishes[w.TraitA][w.A], wish{w.TraitB, w.B, w.Weight})
		m.wishes[w.TraitB][w.B] = append(m.wishes[w.TraitB][w.B], wish{w.TraitA, w.A, w.Weight})
	}
}

// kinds sorts the places of each trait by the Counts they fall under.
func (m *model) kinds() error {
	m.kind = make([][]int32, m.t)
	m.blocked = make([][][]uint64, m.t)
	m.counted = make([][]uint64, m.t)
	for t := range m.t {
		under := make([][]int, m.n)
		for i, c := range m.p.Counts {
			if c.Trait != t {
				continue
			}
			for _, q := range m.placesOf(c.Places) {
				under[q] = append(under[q], i)
			}
		}
		index := map[string]int32{}
		var sets [][]int
		m.kind[t] = make([]int32, m.n)
		for q := range m.n {
			key := fmt.Sprint(under[q])
			k, ok := index[key]
			if !ok {
				k = int32(len(sets))
				index[key] = k
				sets = append(sets, under[q])
			}
			m.kind[t][q] = k
		}
		if len(sets) > maxKinds {
			return fmt.Errorf("counts: trait %d is counted over more than %d different groups of places", t, maxKinds)
		}
		m.blocked[t] = make([][]uint64, len(sets))
		m.counted[t] = make([]uint64, len(sets))
		for a, sa := range sets {
			for _, i := range sa {
				m.counted[t][a] |= 1 << m.p.Counts[i].Value
			}
			m.blocked[t][a] = make([]uint64, len(sets))
			for b, sb := range sets {
				m.blocked[t][a][b] = m.onlyOne(sa, sb) | m.onlyOne(sb, sa)
			}
		}
	}
	return nil
}

// onlyOne gives the values of the Counts in the sorted set a but not in b.
func (m *model) onlyOne(a, b []int) uint64 {
	mask := uint64(0)
	for _, i := range a {
		if j := sort.SearchInts(b, i); j == len(b) || b[j] != i {
			mask |= 1 << m.p.Counts[i].Value
		}
	}
	return mask
}

func (m *model) placesOf(list []int) []int {
	if list != nil {
		return list
	}
	every := make([]int, m.n)
	for i := range every {
		every[i] = i
	}
	return every
}
