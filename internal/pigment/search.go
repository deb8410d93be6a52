package pigment

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"facings/internal/colour"
)

// Limits of a search. Whole parts beyond MostParts cannot be counted out in
// drops with any hope.
const (
	MostPaints   = 3
	MostParts    = 20
	DefaultParts = 8
)

// distanceStep is what distances are rounded to before they are compared, so
// that a last bit, which may differ between machines, decides nothing.
const distanceStep = 1e-4

// Query asks for a mix.
type Query struct {
	Setting Setting
	Target  colour.Lab // under the setting's view
	Paints  int        // how many at most, 1 to MostPaints
	Parts   int        // the greatest sum of parts, 1 to MostParts
}

// Recipe is a mix of paints of a rack in whole parts. Indexes rise; parts have
// no common divisor.
type Recipe struct {
	Paints   []int
	Parts    []int
	Lab      colour.Lab
	DeltaE00 float64 // to the target, in steps of 0.0001
}

// Total is the sum of the parts.
func (r *Recipe) Total() int {
	n := 0
	for _, p := range r.Parts {
		n += p
	}
	return n
}

// Compare orders recipes: the smaller distance, then fewer paints, then fewer
// parts, then the earlier paints of the rack, then more of the earlier.
func (r *Recipe) Compare(q *Recipe) int {
	return cmp.Or(cmp.Compare(r.DeltaE00, q.DeltaE00), cmp.Compare(len(r.Paints), len(q.Paints)),
		cmp.Compare(r.Total(), q.Total()), slices.Compare(r.Paints, q.Paints), slices.Compare(q.Parts, r.Parts))
}

// Best returns the first of all mixes that the query allows, in the order of
// Recipe.Compare. No mix is better: what is not tried is bounded to be farther
// off than the one returned, by bounds that are derived, but for what rounding may
// do to them, which is measured: filmOff. The answer does not depend on the number of
// processors. A cancelled context ends the search with its error.
func Best(ctx context.Context, rack []KS, q Query) (Recipe, error) {
	switch {
	case len(rack) == 0:
		return Recipe{}, fmt.Errorf("no paints to mix")
	case q.Paints < 1 || q.Paints > MostPaints:
		return Recipe{}, fmt.Errorf("%d paints asked for; a mix has 1 to %d", q.Paints, MostPaints)
	case q.Parts < 1 || q.Parts > MostParts:
		return Recipe{}, fmt.Errorf("%d parts asked for; give 1 to %d", q.Parts, MostParts)
	}
	s := newSearch(rack, q)
	s.begin()
	if q.Paints == 1 || q.Parts == 1 || len(rack) == 1 {
		return *s.best.Load(), ctx.Err()
	}
	s.prepare()
	s.everywhere(ctx)
	return *s.best.Load(), ctx.Err()
}

// seeds is about how many nodes workers share out.
const seeds = 512

// everywhere searches all mixes of more than one paint: breadth first until there
// are nodes enough for all workers, then those first whose middle is nearest.
func (s *search) everywhere(ctx context.Context) {
	first := newWorker(s)
	first.todo = s.roots()
	for len(first.todo) > 0 && len(first.todo) < seeds && ctx.Err() == nil {
		n := first.todo[0]
		first.todo = first.todo[1:]
		first.visit(n)
	}
	todo := first.nearestFirst()
	var taken atomic.Int64
	var wg sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			w := newWorker(s)
			for ctx.Err() == nil {
				n := int(taken.Add(1)) - 1
				if n >= len(todo) {
					return
				}
				w.run(ctx, todo[n])
			}
		})
	}
	wg.Wait()
}

// search is what all workers share; only best and region change.
type search struct {
	query    Query
	rack     []KS
	target   colour.Target
	lobes    [lobeCount]lobe
	frame    *frame
	scene    scene
	view     view
	order    []int      // the paints, so that those of each cluster follow one another
	octets   []octet    // of eight paints in that order, and one of none
	films    []spectrum // of each paint in that order, and one of none
	clusters []cluster  // the first is of all
	none     int32      // the cluster of no paint
	ratios   []ratios
	region   atomic.Pointer[region]
	closer   sync.Mutex // held while a region is made
	best     atomic.Pointer[Recipe]
}

func newSearch(rack []KS, q Query) *search {
	return &search{query: q, rack: rack, target: colour.NewTarget(q.Target)}
}

// prepare works out what the bounds need.
func (s *search) prepare() {
	s.look()
	s.set()
	s.grow()
}

// limit is within what distance a mix is still of use. One within half a step of
// the best is too: it may tie.
func (s *search) limit() float64 { return s.best.Load().DeltaE00 + 0.6*distanceStep + 1e-5 }

// worth tells whether a region for distance d instead of the one at hand is
// worth the work.
func worth(d float64, r *region) bool {
	return r.within-d > 0.25+0.02*r.within || d > far && !r.sharp
}

// closeIn makes a new region if that is worth the work and nobody is at it.
func (s *search) closeIn() {
	if worth(s.limit(), s.region.Load()) && s.closer.TryLock() {
		defer s.closer.Unlock()
		if d, r := s.limit(), s.region.Load(); worth(d, r) {
			s.region.Store(r.closeIn(d, d > far))
		}
	}
}

// offer makes a mix the best one if it is.
func (s *search) offer(r *Recipe) {
	for {
		old := s.best.Load()
		if old != nil && r.Compare(old) >= 0 {
			return
		}
		if s.best.CompareAndSwap(old, r) {
			return
		}
	}
}

// try works out one mix and offers it, if it is near enough.
func (s *search) try(paints, parts []int) {
	if r := s.work(paints, parts); r.DeltaE00 <= s.best.Load().DeltaE00 {
		r.Paints, r.Parts = slices.Clone(paints), slices.Clone(parts)
		s.offer(&r)
	}
}

// work works out what a mix shows. The recipe keeps the slices.
func (s *search) work(paints, parts []int) Recipe {
	var sum KS
	total := 0
	for i, p := range paints {
		sum.Add(&s.rack[p], float64(parts[i]))
		total += parts[i]
	}
	lab := s.query.Setting.LabOfSum(&sum, float64(total))
	return Recipe{Paints: paints, Parts: parts, Lab: lab, DeltaE00: quantise(s.target.DeltaE00(lab))}
}

func quantise(d float64) float64 { return math.Round(d/distanceStep) / (1 / distanceStep) }

// starts is from how many single paints begin sets out.
const starts = 2

// begin finds a good mix to measure the others by: from each of the nearest
// single paints, as long as it helps, the best exchange of one paint and its
// parts.
func (s *search) begin() {
	singles := make([]Recipe, len(s.rack))
	for i := range s.rack {
		singles[i] = s.work([]int{i}, []int{1})
	}
	slices.SortFunc(singles, func(a, b Recipe) int { return a.Compare(&b) })
	var wg sync.WaitGroup
	for i := range min(starts, len(singles)) {
		wg.Go(func() {
			at := singles[i]
			for better := true; better; {
				at, better = s.neighbour(at)
			}
			s.offer(&at)
		})
	}
	wg.Wait()
}

// neighbour returns the best mix that differs from r in one paint and its
// parts, and whether it is better than r.
func (s *search) neighbour(r Recipe) (Recipe, bool) {
	best, better := r, false
	for out := range len(r.Paints) + 1 {
		keep, parts := slices.Clone(r.Paints), slices.Clone(r.Parts)
		if out < len(keep) {
			keep, parts = slices.Delete(keep, out, out+1), slices.Delete(parts, out, out+1)
		}
		if len(keep) == 0 || len(keep) >= s.query.Paints {
			continue
		}
		room := s.query.Parts
		for _, p := range parts {
			room -= p
		}
		for k := range s.rack {
			at, there := slices.BinarySearch(keep, k)
			if there {
				continue
			}
			for c := 1; c <= room; c++ {
				newParts := slices.Insert(slices.Clone(parts), at, c)
				if gcd(newParts...) != 1 {
					continue
				}
				if m := s.work(slices.Insert(slices.Clone(keep), at, k), newParts); m.Compare(&best) < 0 {
					best, better = m, true
				}
			}
		}
	}
	return best, better
}

func gcd(v ...int) int {
	g := 0
	for _, x := range v {
		for x != 0 {
			g, x = x, g%x
		}
	}
	return g
}
