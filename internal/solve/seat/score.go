package seat

// Score works out the terms of an assignment from their definitions, place by
// place, and the neighbour pairs alike. Values is [place][trait], in range.
func Score(p *Problem, values [][]int) (Terms, [][2]int) {
	m := &model{p: p, n: len(p.Places), t: len(p.Traits)}
	m.geometry()
	var t Terms
	var breaches [][2]int
	alike := func(a, b int) bool {
		for i, tr := range p.Traits {
			if !tr.Hidden && values[a][i] != values[b][i] {
				return false
			}
		}
		return true
	}
	for i, e := range m.edges {
		a, b := int(e[0]), int(e[1])
		d := p.apart(values[a], values[b])
		t.Distance += d
		if i == 0 || d < t.Closest {
			t.Closest = d
		}
		if alike(a, b) {
			t.Breaches++
			breaches = append(breaches, [2]int{a, b})
		}
	}
	for q := range values {
		for _, w := range p.Prefer {
			if values[q][w.TraitA] == w.A && values[q][w.TraitB] == w.B {
				t.Preferred += w.Weight
			}
		}
		for _, f := range m.away[q] {
			if int(f.place) > q && alike(q, int(f.place)) {
				t.Repeats += int(f.cost)
			}
		}
	}
	if p.Main >= 0 {
		for _, l := range m.lines {
			v := values[l[0]][p.Main]
			if values[l[1]][p.Main] == v && values[l[2]][p.Main] == v {
				t.Runs++
			}
		}
	}
	return t, breaches
}

// apart is the distance between two places' values.
func (p *Problem) apart(a, b []int) int {
	d := 0
	for i, tr := range p.Traits {
		switch {
		case tr.Hidden || a[i] == b[i]:
		case tr.Distance == nil:
			d += tr.Weight
		default:
			d += tr.Weight * tr.Distance[a[i]][b[i]]
		}
	}
	return d
}
