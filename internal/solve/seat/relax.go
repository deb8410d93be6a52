package seat

// Where tables do not fit, the Counts are priced instead of kept: a value too
// often used costs, one too seldom used earns, and whatever the prices, the
// best sum under prices less what the Counts would pay bounds the best sum
// under Counts. Blocks too wide for one sweep are cut into strips that share
// a line of places; a pair within a shared line counts half in each, and
// further prices draw the two copies of a place together. Prices are moved by
// subgradients, and every bound is worked out in integers, so it is proved
// whatever rounding the prices went through.
//
// The same serves one trait (letters are its values) and all traits together
// (letters are the combinations allowed).
//
// Ref: held1974.
type relax struct {
	m       *model
	letters [][]int // letter → value by trait, -1 for traits left out
	worth   []int   // [a*letters+b] of a neighbour pair
	own     []int   // by letter, of the place itself
	chains  []chain
	prices  []price
	ties    []tie
	copies  [][]spot // by place
	book    func(int) bool
}

// chain is one sweep: all of a block or a strip of it.
type chain struct {
	steps  []step
	states []int
	gain   [][]int
	earn   [][]int // [step][letter] under the present prices
	best   [][]int
	pick   []int // the letters of a best assignment
}

// spot is a step of a chain.
type spot struct{ chain, step int }

// price is what each place of a Count pays for the value counted.
type price struct {
	count  Count
	places []int
	now    int // in 1/whole
	off    int // twice how far the picks miss the Count
}

// tie draws the two copies of a place together: what a letter earns in one it
// costs in the other.
type tie struct {
	a, b spot
	now  []int
}

// barredEarn is what a letter earns where it is not allowed.
const barredEarn = -1 << 52

// newRelax prepares the relaxation for some traits, with sweeps of no more
// than limit states; nil if there are too many letters for that.
func (m *model) newRelax(traits []int, w Weights, limit int, book func(int) bool) *relax {
	r := &relax{m: m, book: book}
	if !r.spell(traits, w) {
		return nil
	}
	for _, places := range m.blocks() {
		strips := m.strips(places, len(r.letters), limit)
		if strips == nil {
			return nil
		}
		for _, st := range strips {
			r.chains = append(r.chains, chain{steps: m.sweep(st)})
		}
	}
	r.join()
	k := len(r.letters)
	g := newGains(k, 1, r.worth)
	for c := range r.chains {
		ch := &r.chains[c]
		ch.pick = make([]int, len(ch.steps))
		for i := range ch.steps {
			n, ok := power(k, ch.steps[i].width, limit)
			if !ok {
				return nil
			}
			ch.states = append(ch.states, n)
			ch.gain = append(ch.gain, g.of(&ch.steps[i], n))
			ch.best = append(ch.best, make([]int, n))
			ch.earn = append(ch.earn, make([]int, k))
		}
		ch.states = append(ch.states, 1)
		ch.best = append(ch.best, []int{0})
	}
	for _, c := range m.p.Counts {
		for _, t := range traits {
			if c.Trait == t {
				r.prices = append(r.prices, price{count: c, places: m.placesOf(c.Places)})
			}
		}
	}
	return r
}

// maxLetters bounds the alphabet of a relaxation.
const maxLetters = 64

// spell lists the letters and what they earn beside each other and alone.
func (r *relax) spell(traits []int, w Weights) bool {
	m := r.m
	in := make([]bool, m.t)
	for _, t := range traits {
		in[t] = true
	}
	seen := true // whether the letters tell when two places are alike
	for t := range m.t {
		seen = seen && (in[t] || m.radix[t] == 0)
	}
	letter := make([]int, m.t)
	var walk func(t int) bool
	walk = func(t int) bool {
		if t == m.t {
			r.letters = append(r.letters, append([]int(nil), letter...))
			return len(r.letters) <= maxLetters
		}
		if !in[t] {
			letter[t] = -1
			return walk(t + 1)
		}
		for v := range m.values[t] {
			ok := true
			for _, b := range m.bar[t][v] {
				ok = ok && (b.trait > t || letter[b.trait] < 0 || b.mask>>letter[b.trait]&1 == 0)
			}
			letter[t] = v
			if ok && !walk(t+1) {
				return false
			}
		}
		return true
	}
	if !walk(0) || len(r.letters) == 0 {
		return false
	}
	for _, a := range r.letters {
		own := 0
		for _, pr := range m.p.Prefer {
			if a[pr.TraitA] == pr.A && a[pr.TraitB] == pr.B {
				own += w.Prefer * pr.Weight
			}
		}
		r.own = append(r.own, own)
		for _, b := range r.letters {
			worth, alike := 0, seen
			for t := range m.t {
				if in[t] {
					worth += w.Neighbour * int(m.dist[t][a[t]*m.values[t]+b[t]])
					alike = alike && (a[t] == b[t] || m.radix[t] == 0)
				}
			}
			if alike {
				worth -= w.Breach
			}
			r.worth = append(r.worth, worth)
		}
	}
	return true
}

// blocks lists the places of each block in turn, then each loose place.
func (m *model) blocks() [][]int {
	index := map[int]int{}
	var blocks, loose [][]int
	for q, pl := range m.p.Places {
		if pl.Loose {
			loose = append(loose, []int{q})
			continue
		}
		i, ok := index[pl.Block]
		if !ok {
			i = len(blocks)
			index[pl.Block] = i
			blocks = append(blocks, nil)
		}
		blocks[i] = append(blocks[i], q)
	}
	return append(blocks, loose...)
}

// strips cuts a block into as few strips of about equal height as will have
// no more than limit states; neighbouring strips share a line.
func (m *model) strips(places []int, letters, limit int) [][]int {
	if m.p.Places[places[0]].Loose {
		return [][]int{places}
	}
	tall := m.tall(places)[m.p.Places[places[0]].Block]
	across := func(q int) int {
		if tall {
			return m.p.Places[q].File
		}
		return m.p.Places[q].Rank
	}
	low, high := across(places[0]), across(places[0])
	for _, q := range places {
		low, high = min(low, across(q)), max(high, across(q))
	}
	lines := 1 // per strip; a strip of h lines knows h+1 places
	for {
		if _, ok := power(letters, lines+2, limit); !ok || lines > high-low {
			break
		}
		lines++
	}
	if _, ok := power(letters, lines+1, limit); !ok || lines == 1 && high > low {
		return nil
	}
	if high == low {
		return [][]int{places}
	}
	pieces := (high - low + lines - 2) / (lines - 1)
	var strips [][]int
	for i := range pieces {
		from := low + (high-low)*i/pieces
		to := low + (high-low)*(i+1)/pieces
		var strip []int
		for _, q := range places {
			if a := across(q); a >= from && a <= to {
				strip = append(strip, q)
			}
		}
		strips = append(strips, strip)
	}
	return strips
}

// join finds the places with two copies, ties them, and halves the pairs that
// two chains share.
func (r *relax) join() {
	r.copies = make([][]spot, r.m.n)
	for c := range r.chains {
		for i, st := range r.chains[c].steps {
			r.copies[st.place] = append(r.copies[st.place], spot{c, i})
		}
	}
	for _, list := range r.copies {
		if len(list) == 2 {
			r.ties = append(r.ties, tie{list[0], list[1], make([]int, len(r.letters))})
		}
	}
	for c := range r.chains {
		steps := r.chains[c].steps
		for i := range steps {
			for j := range steps[i].links {
				other := steps[i-1-steps[i].links[j].back].place
				if len(r.copies[steps[i].place]) == 2 && r.together(steps[i].place, other) == 2 {
					steps[i].links[j].share = whole / 2
				}
			}
		}
	}
}

// together counts the chains that hold both places.
func (r *relax) together(p, q int) int {
	n := 0
	for _, a := range r.copies[p] {
		for _, b := range r.copies[q] {
			if a.chain == b.chain {
				n++
			}
		}
	}
	return n
}

// bound prices every step, sweeps every chain and returns the bound in
// 1/whole; the picks are a best assignment under the prices. False means the
// search is over.
func (r *relax) bound() (int, bool) {
	r.setEarn()
	total := 0
	for i := range r.prices {
		total -= r.prices[i].now * r.prices[i].count.N
	}
	for c := range r.chains {
		ch := &r.chains[c]
		for i := len(ch.steps) - 1; i >= 0; i-- {
			ch.sweep(i, len(r.letters))
			if !r.book(ch.states[i]*len(r.letters)/64 + 1) {
				return 0, false
			}
		}
		total += ch.best[0][0]
		ch.choose(len(r.letters))
	}
	return total, true
}

// setEarn works out what each letter earns at each step.
func (r *relax) setEarn() {
	for q, copies := range r.copies {
		for a, letter := range r.letters {
			earn := r.own[a] * whole / len(copies)
			for t, v := range letter {
				if v >= 0 && r.m.allow[t][q]>>v&1 == 0 {
					earn = barredEarn
				}
			}
			for _, s := range copies {
				r.chains[s.chain].earn[s.step][a] = earn
			}
		}
	}
	for _, p := range r.prices {
		for a, letter := range r.letters {
			if letter[p.count.Trait] != p.count.Value {
				continue
			}
			for _, q := range p.places {
				for j, s := range r.copies[q] {
					half := p.now / len(r.copies[q])
					if j == 1 {
						half = p.now - half
					}
					r.chains[s.chain].earn[s.step][a] += half
				}
			}
		}
	}
	for _, t := range r.ties {
		for a, d := range t.now {
			r.chains[t.a.chain].earn[t.a.step][a] += d
			r.chains[t.b.chain].earn[t.b.step][a] -= d
		}
	}
}

// sweep works out the best from every state at step i.
func (ch *chain) sweep(i, k int) {
	gain, earn, after, best := ch.gain[i], ch.earn[i], ch.best[i+1], ch.best[i]
	if len(after) == 1 {
		for s := range best {
			top := barredEarn * 2
			for v, g := range gain[s*k:][:k] {
				top = max(top, g+earn[v])
			}
			best[s] = top + after[0]
		}
		return
	}
	at := 0
	for s := range best {
		top := barredEarn * 2
		next := after[at:][:k]
		g := gain[s*k:][:k]
		for v, e := range earn {
			top = max(top, g[v]+e+next[v])
		}
		best[s] = top
		if at += k; at == len(after) {
			at = 0
		}
	}
}

// choose walks forward along the best.
func (ch *chain) choose(k int) {
	s := 0
	for i := range ch.steps {
		for v := range k {
			next := (s*k + v) % ch.states[i+1]
			if ch.gain[i][s*k+v]+ch.earn[i][v]+ch.best[i+1][next] == ch.best[i][s] {
				ch.pick[i] = v
				s = next
				break
			}
		}
	}
}

// move shifts the prices against what the picks do wrong, by a step that
// would close the given part of the gap if the bound were linear. It returns
// false when nothing is wrong: the bound cannot be lowered this way.
func (r *relax) move(gap float64) bool {
	norm := 0
	for i := range r.prices {
		p := &r.prices[i]
		p.off = -2 * p.count.N
		for _, q := range p.places {
			for _, s := range r.copies[q] {
				if r.letters[r.chains[s.chain].pick[s.step]][p.count.Trait] == p.count.Value {
					p.off += 2 / len(r.copies[q])
				}
			}
		}
		norm += p.off * p.off
	}
	for _, t := range r.ties {
		if r.chains[t.a.chain].pick[t.a.step] != r.chains[t.b.chain].pick[t.b.step] {
			norm += 8
		}
	}
	if norm == 0 {
		return false
	}
	unit := int(2 * gap / float64(norm))
	for i := range r.prices {
		r.prices[i].now -= unit * r.prices[i].off
	}
	for i := range r.ties {
		t := &r.ties[i]
		a, b := r.chains[t.a.chain].pick[t.a.step], r.chains[t.b.chain].pick[t.b.step]
		if a != b {
			t.now[a] -= 2 * unit
			t.now[b] += 2 * unit
		}
	}
	return true
}
