package sop

import (
	"math/rand/v2"
	"slices"
	"sync/atomic"
	"testing"

	"pgregory.net/rapid"
)

// The prover by itself, told of no good order, must arrive at the optimum: a
// bound too high by anything would make it claim more.
func TestTheProverAloneFindsTheOptimum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := small(t, 7)
		if p.N == 0 {
			return
		}
		want := cheapest(p)
		known := want + rapid.IntRange(1, 1000).Draw(t, "slack")
		var stop atomic.Bool
		pr := newProver(newInstance(p), &budget{stop: &stop}, 64<<20)
		defer pr.release()
		for !pr.done && pr.b.used < 50_000_000 {
			pr.advance(rapid.Int64Range(1, 200_000).Draw(t, "slice"), known)
			if pr.lower > want {
				t.Fatalf("bound %d, optimum %d, order known for %d", pr.lower, want, known)
			}
		}
		if pr.lower != want || pr.found.cost != want {
			t.Fatalf("bound %d, found %d, optimum %d", pr.lower, pr.found.cost, want)
		}
	})
}

// Prices that end on a small instance's optimum are no test of those that do
// not: on larger ones every stage must stay below the published optimum.
// Source: testdata/SOURCE.txt, bounds.csv.
func TestBoundsStayBelowPublishedOptima(t *testing.T) {
	bounds := published(t)
	for _, name := range []string{"ESC25", "br17.10", "ft53.4", "p43.1", "prob.42", "rbg048a"} {
		in := newInstance(load(t, name))
		var stop atomic.Bool
		pr := newProver(in, &budget{stop: &stop}, 64<<20)
		upper := bounds[name][1]
		for !pr.done && pr.b.used < 12_000_000 {
			pr.advance(1_000_000, upper+upper/20+1)
		}
		pr.release()
		if pr.lower > upper {
			t.Errorf("%s: bound %d, published optimum %d", name, pr.lower, upper)
		}
	}
}

// Every kind of move gives the gain it promises, keeps the precedences, keeps
// the tour's tables right and can be undone.
func TestMovesGainWhatTheyPromise(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := small(t, 14)
		if p.N < 2 {
			return
		}
		in := newInstance(p)
		var stop atomic.Bool
		s := newSearch(in, upTo32(in.n), followers(in), 1, 1, &budget{left: 1 << 60, stop: &stop})
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "shuffle"), 1))
		for range 20 {
			s.disturb()
		}
		q, y := rng.IntN(in.n-1), 1+rng.IntN(in.n-1)
		g := int(s.t.w[q]) - int(in.c[int(s.t.p[q])*in.n+int(s.t.p[y])])
		const low = -1 << 40 // so that losses are taken as well
		kinds := []func(m *move) int{
			func(m *move) int { return s.growRight(q, y-1, g, low, m) },
			func(m *move) int { return s.growLeft(q, y-1, g, low, m) },
			func(m *move) int { return s.turnLater(q, y, g, low, m) },
		}
		if y < q {
			kinds = []func(m *move) int{
				func(m *move) int { return s.cutInside(y-1, q, g, low, m) },
				func(m *move) int { return s.turnEarlier(q, y, g, low, m) },
			}
		} else if y <= q+1 {
			return
		}
		for i, kind := range kinds {
			var m move
			gain := kind(&m)
			if gain == low {
				continue
			}
			was, cost := slices.Clone(s.t.p), s.t.cost
			s.done = s.done[:0]
			s.make(m)
			if cost-s.t.cost != gain || in.cost(s.t.p) != s.t.cost {
				t.Fatalf("kind %d, %+v: promised %d, gained %d, order costs %d, tour says %d", i, m, gain, cost-s.t.cost, in.cost(s.t.p), s.t.cost)
			}
			fresh := newTour(in, s.t.p)
			if !slices.Equal(fresh.lp, s.t.lp) || !slices.Equal(fresh.fs, s.t.fs) || !slices.Equal(fresh.w, s.t.w) || !slices.Equal(fresh.wr, s.t.wr) {
				t.Fatalf("kind %d, %+v: tables differ from a fresh tour's", i, m)
			}
			if _, err := p.CostOf(in.userOrder(s.t.p)); err != nil {
				t.Fatalf("kind %d, %+v: %v", i, m, err)
			}
			s.undo(0)
			if !slices.Equal(was, s.t.p) || s.t.cost != cost {
				t.Fatalf("kind %d, %+v: undone to %v at %d, was %v at %d", i, m, s.t.p, s.t.cost, was, cost)
			}
		}
	})
}

func upTo32(n int) []int32 {
	l := make([]int32, n)
	for i := range l {
		l[i] = int32(i)
	}
	return l
}

// cheapestBySets is the plain dynamic programme over sets, without bounds.
func cheapestBySets(p Problem) int {
	must := make([]int, p.N)
	for _, b := range p.Before {
		must[b[1]] |= 1 << b[0]
	}
	best := make([][]int, 1<<p.N)
	for set := range best {
		best[set] = slices.Repeat([]int{1 << 60}, p.N)
		for v := range p.N {
			rest := set &^ (1 << v)
			if rest == set || must[v]&^rest != 0 {
				continue
			}
			if rest == 0 {
				best[set][v] = 0
			}
			for u := range p.N {
				if rest>>u&1 != 0 {
					best[set][v] = min(best[set][v], best[rest][u]+p.Cost[u][v])
				}
			}
		}
	}
	return slices.Min(best[1<<p.N-1])
}

// Problems large enough that memory, struck arcs and dropped states all come
// into play, in clusters as well, where bounds start far off.
func TestTheProverAgreesWithThePlainProgramme(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 12))
	for range 30 {
		n := 9 + rng.IntN(4)
		p := Problem{N: n, Cost: square(n, 0)}
		group, near, far := upTo(n), 1+rng.IntN(20), 1+rng.IntN(2000)
		for i := range n {
			group[i] = rng.IntN(1 + rng.IntN(4))
		}
		for i := range n {
			for j := range n {
				p.Cost[i][j] = rng.IntN(near)
				if group[i] != group[j] {
					p.Cost[i][j] += far
				}
			}
		}
		for range rng.IntN(2 * n) {
			a, b := rng.IntN(n), rng.IntN(n)
			if a != b {
				p.Before = append(p.Before, [2]int{min(a, b), max(a, b)})
			}
		}
		want := cheapestBySets(p)
		var stop atomic.Bool
		pr := newProver(newInstance(p), &budget{stop: &stop}, 64<<20)
		known := want + 1 + rng.IntN(want/2+2)
		for !pr.done && pr.b.used < 500_000_000 {
			pr.advance(1_000_000, known)
		}
		pr.release()
		if pr.lower != want || pr.found.cost != want {
			t.Errorf("bound %d, found %d, optimum %d, known %d: %+v", pr.lower, pr.found.cost, want, known, p)
		}
	}
}

// Going through all sets must give the optimum where it is within the goal and
// the goal otherwise, whatever the costs of the relaxation are, with and
// without states dropped.
func TestGoingThroughAllSetsAgreesWithThePlainProgramme(t *testing.T) {
	rng := rand.New(rand.NewPCG(13, 14))
	for round := range 24 {
		n := 3 + rng.IntN(12)
		if round%6 == 0 {
			n = 14 // without precedences, enough sets for several ranges
		}
		p := Problem{N: n, Cost: square(n, 0)}
		top := []int{3, 50, 1_000_000}[rng.IntN(3)]
		for i := range n {
			for j := range n {
				p.Cost[i][j] = rng.IntN(top) + (i+j)%3*rng.IntN(top)
			}
		}
		for range round % 6 * n / 4 {
			if a, b := rng.IntN(n), rng.IntN(n); a != b {
				p.Before = append(p.Before, [2]int{min(a, b), max(a, b)})
			}
		}
		want := cheapestBySets(p)
		for _, known := range []int{want, want + 1, want + want/3 + 2, lowCost - 1} {
			for _, trees := range []bool{false, true} {
				if got := exhaustAlone(p, known, trees); got != min(want, known) {
					t.Fatalf("got %d, want %d, known %d, trees %v: %+v", got, want, known, trees, p)
				}
			}
		}
	}
}

// exhaustAlone returns the bound after going through all sets, given an order
// of cost known.
func exhaustAlone(p Problem, known int, trees bool) int {
	var stop atomic.Bool
	pr := newProver(newInstance(p), &budget{left: 1 << 60, stop: &stop}, 64<<20)
	defer pr.release()
	pr.upper = known
	cost, base := pr.scaled(), int64(0)
	pr.prepare(cost, 0)
	if trees {
		base, cost, _ = pr.growTrees(pr.tail, 20, 1_000_000)
		pr.prepare(cost, base)
	}
	if pr.closed() {
		return pr.lower
	}
	pr.climb(3, 1<<40, 1<<20, 0)
	if !pr.closed() {
		pr.lower = 0 // so that the result is not the relaxation's
		pr.exhaust(pr.goal(), 64<<20)
	}
	return pr.lower
}
