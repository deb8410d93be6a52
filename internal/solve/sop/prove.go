package sop

import "iter"

// prover raises the lower bound: assignment first, then spanning trees, then
// the path relaxation with better and better prices, more and more memory and
// fewer and fewer arcs, and from time to time an attempt to finish by dynamic
// programming. It runs as a coroutine, so that it can be given work in slices
// of any size.
type prover struct {
	in     *instance
	b      *budget
	memory int64
	lower  int   // proved: no order costs less
	raised int64 // steps used when lower last rose
	upper  int   // cost of the best order known
	found  elite // an order better than upper, if the prover found one itself

	resume  func() (struct{}, bool)
	release func()
	yield   func(struct{}) bool
	done    bool

	tail        []int64 // prices of the last assignment
	g           *graph
	ahead, back table
	bestPrice   []int64
	best        int64 // bound at bestPrice, scaled
}

// maxRelaxNodes is the size above which the assignment bound has to do.
const maxRelaxNodes = 1500

// patience is the number of steps after which all sets of few nodes are gone
// through rather than the bound raised further.
const patience = 30_000_000

func newProver(in *instance, b *budget, memory int64) *prover {
	p := &prover{in: in, b: b, memory: memory, found: elite{cost: noArc}}
	p.resume, p.release = iter.Pull(func(yield func(struct{}) bool) {
		p.yield = yield
		p.prove()
	})
	return p
}

// advance works for up to about n steps against an order of cost upper and
// returns how many it took.
func (p *prover) advance(n int64, upper int) int64 {
	if p.done {
		return 0
	}
	p.upper = upper
	was := p.b.used
	p.b.left = n
	if _, ok := p.resume(); !ok {
		p.done = true
	}
	return p.b.used - was
}

// spend charges steps, hands back when they are used up and reports whether
// to go on.
func (p *prover) spend(n int) bool {
	if p.b.spend(n) {
		return true
	}
	return p.yield(struct{}{}) && !p.b.stop.Load()
}

func (p *prover) raise(bound int) {
	if bound = min(bound, p.upper); bound > p.lower {
		p.lower, p.raised = bound, p.b.used
	}
}

// closed reports whether the best order is proved.
func (p *prover) closed() bool { return p.lower >= p.upper }

// goal is the scaled cost above which nothing is of interest: only orders that
// cost less than the best known are.
func (p *prover) goal() int64 { return int64(p.upper-1) * scale }

// prove takes the assignment bound, then the one of trees, then goes on with
// the path relaxation over whichever costs do better at first: the true ones,
// or what the trees leave of them.
func (p *prover) prove() {
	n := p.in.n
	cost := p.scaled()
	if !p.prepare(cost, 0) || p.closed() || n > maxRelaxNodes {
		return
	}
	bound, rest, ok := p.growTrees(p.tail, 4000, 200_000_000)
	if !ok || p.closed() || !p.sketch() || p.closed() {
		return
	}
	plain, reached := p.g, p.best
	if !p.prepare(rest, bound) || !p.sketch() || p.closed() {
		return
	}
	if p.best < reached {
		p.g = plain
	}
	p.relax()
}

// sketch finds prices without memory.
func (p *prover) sketch() bool { return p.climb(600, 100_000_000, 1<<30, 0) }

// prepare sets up the graph for some costs, with the prices of the assignment.
func (p *prover) prepare(cost []int64, base int64) bool {
	n := p.in.n
	tail, head, ok := assignment(n, cost, p.spend)
	if !ok {
		return false
	}
	p.tail = tail
	sum := base
	for i := range n {
		sum += tail[i] + head[i]
	}
	p.raise(int((sum + scale - 1) / scale))
	if p.closed() || n > maxRelaxNodes {
		return true
	}
	if p.g, ok = newGraph(p.in, cost, base, p.spend); !ok {
		return false
	}
	for j := 1; j < n-1; j++ {
		p.g.move(j, tail[j]+head[j])
	}
	return true
}

// relax alternates between prices, memory, fewer arcs and the attempt to
// finish, until the best order is proved or nothing more can be done.
func (p *prover) relax() {
	labels := int(p.memory / 4 / 24)
	gap, tried := noPath, int64(0) // at the last attempt to finish
	exhausted := false
	for level := 0; ; level++ {
		if !p.climb(100, p.b.used, labels, min(4*level, 24)) || p.closed() {
			return
		}
		if !p.thin(labels) {
			return
		}
		if p.patienceLost() && !exhausted {
			exhausted = true
			was := p.lower
			if p.exhaust(p.goal(), p.memory*3/4) == calledOff || p.closed() {
				return
			}
			if p.lower > was { // the optimum, but not yet its order
				p.finish(int64(p.lower)*scale, p.memory*3/4, 1<<60)
				return
			}
		}
		// Twice as much for the attempt as for all before it: little is lost
		// whether it succeeds at once or never. None where the last one failed
		// and little has changed since.
		left := p.goal() - p.best
		if left < gap/4*3 || p.b.used > 2*tried {
			gap, tried = left, p.b.used
			if p.finish(p.goal(), p.memory*3/4, 2*p.b.used) == calledOff || p.closed() {
				return
			}
		}
	}
}

// patienceLost reports whether to go through all sets.
func (p *prover) patienceLost() bool {
	return p.in.n <= fewNodes && p.upper < lowCost && p.b.used > patience
}
