package seat

// wanted bounds the sum of preferences: for every two traits with a wish
// between them, the best that could be had if nothing but their own Counts,
// what places allow and what is forbidden between the two stood in the way.
// Each is a flow of all places from the values of one trait to those of the
// other, sent along the most profitable paths first. No combination that
// makes two places alike is used more than alike times.
func (m *model) wanted(alike int) int {
	total := 0
	for s := range m.t {
		for t := s + 1; t < m.t; t++ {
			profit := make([]int, m.values[s]*m.values[t])
			any := false
			for _, pr := range m.p.Prefer {
				switch {
				case pr.TraitA == s && pr.TraitB == t:
					profit[pr.A*m.values[t]+pr.B] += pr.Weight
					any = true
				case pr.TraitA == t && pr.TraitB == s:
					profit[pr.B*m.values[t]+pr.A] += pr.Weight
					any = true
				}
			}
			if any {
				limit := m.n
				if m.decide(s, t) {
					limit = alike
				}
				total += m.bestPairs(s, t, profit, limit)
			}
		}
	}
	return total
}

// decide says whether places that agree in two traits are alike.
func (m *model) decide(s, t int) bool {
	for u := range m.t {
		if u != s && u != t && m.radix[u] != 0 && m.values[u] > 1 {
			return false
		}
	}
	return true
}

// tiles bounds how many of the places can be alike without two of them
// touching: squares of two by two that cover them hold at most one each.
func (m *model) tiles(places []step) int {
	best := len(places)
	for shift := range 4 {
		type tile struct{ block, rank, file int }
		used := map[tile]bool{}
		loose := 0
		for _, st := range places {
			pl := m.p.Places[st.place]
			if pl.Loose {
				loose++
				continue
			}
			used[tile{pl.Block, (pl.Rank + shift&1) >> 1, (pl.File + shift>>1) >> 1}] = true
		}
		best = min(best, len(used)+loose)
	}
	return best
}

// most gives how many places can have each value of a trait.
func (m *model) most(t int) []int {
	most := make([]int, m.values[t])
	for v := range most {
		for q := range m.n {
			most[v] += int(m.allow[t][q] >> v & 1)
		}
	}
	for _, c := range m.p.Counts {
		if c.Trait == t && len(m.placesOf(c.Places)) == m.n {
			most[c.Value] = min(most[c.Value], c.N)
		}
	}
	return most
}

// bestPairs is the largest sum of profits when all places are paired up.
func (m *model) bestPairs(s, t int, profit []int, limit int) int {
	a, b := m.most(s), m.most(t)
	room := make([][]int, len(a)) // places that may have both values
	sent := make([][]int, len(a))
	for i := range a {
		room[i], sent[i] = make([]int, len(b)), make([]int, len(b))
		for j := range b {
			for q := range m.n {
				room[i][j] += int(m.allow[s][q] >> i & (m.allow[t][q] >> j) & 1)
			}
			room[i][j] = min(room[i][j], limit)
			for _, bar := range m.bar[s][i] {
				if bar.trait == t && bar.mask>>j&1 != 0 {
					room[i][j] = 0
				}
			}
		}
	}
	sum := 0
	for placed := 0; placed < m.n; {
		n, gain := bestPath(a, b, room, sent, profit, m.n-placed)
		if n == 0 {
			break
		}
		placed += n
		sum += n * gain
	}
	return sum
}

// bestPath sends as much as fits along the most profitable path from a value
// of the first trait with some left to one of the second; profits are few, so
// Bellman and Ford's repeated passes are fast enough.
func bestPath(a, b []int, room, sent [][]int, profit []int, limit int) (n, gain int) {
	const far = -1 << 60
	k := len(b)
	da, db := make([]int, len(a)), make([]int, k)
	fromA, fromB := make([]int, k), make([]int, len(a))
	for i := range a {
		da[i], fromB[i] = far, -1
		if a[i] > 0 {
			da[i] = 0
		}
	}
	for j := range db {
		db[j] = far
	}
	for moved := true; moved; {
		moved = false
		for i := range a {
			for j := range b {
				if d := da[i] + profit[i*k+j]; da[i] > far && room[i][j] > sent[i][j] && d > db[j] {
					db[j], fromA[j], moved = d, i, true
				}
				if d := db[j] - profit[i*k+j]; db[j] > far && sent[i][j] > 0 && d > da[i] {
					da[i], fromB[i], moved = d, j, true
				}
			}
		}
	}
	end := -1
	for j := range b {
		if b[j] > 0 && db[j] > far && (end < 0 || db[j] > db[end]) {
			end = j
		}
	}
	if end < 0 {
		return 0, 0
	}
	n = min(limit, b[end])
	walk := func(visit func(i, j int, forward bool)) int {
		j := end
		for {
			i := fromA[j]
			visit(i, j, true)
			if fromB[i] < 0 {
				return i
			}
			j = fromB[i]
			visit(i, j, false)
		}
	}
	start := walk(func(i, j int, forward bool) {
		if forward {
			n = min(n, room[i][j]-sent[i][j])
		} else {
			n = min(n, sent[i][j])
		}
	})
	n = min(n, a[start])
	walk(func(i, j int, forward bool) {
		if forward {
			sent[i][j] += n
		} else {
			sent[i][j] -= n
		}
	})
	a[start] -= n
	b[end] -= n
	return n, db[end]
}
