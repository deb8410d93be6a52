package figure

import (
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// What is pruned for a ball has the whole scene's distances there, as far as
// they matter, and is on the right side of them elsewhere. Balls are drawn at
// random near the surface of every casting.
func TestPruneKeepsWhatMatters(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 11))
	around := func(c vec, d float64) vec {
		for {
			p := vec{X: 2*r.Float64() - 1, Y: 2*r.Float64() - 1, Z: 2*r.Float64() - 1}
			if p.Len2() < 1 {
				return c.Add(p.Mul(d))
			}
		}
	}
	list := cases()
	for _, name := range slices.Sorted(maps.Keys(list)) {
		s, err := assemble(list[name])
		if err != nil {
			t.Fatal(err)
		}
		pieces, asked, inside := 0, 0, 0
		for range 150 {
			c := around(s.lo.Lerp(s.hi, 0.5), 30)
			for range 8 { // towards the surface
				c = c.Sub(s.normal(c, 0.01).Mul(0.9 * s.dist(c)))
			}
			w := where{around(c, 1), 0.2 + 1.5*r.Float64(), -0.3, 0.3, &arena{}}
			if d := s.dist(w.c); math.Abs(d) > lipschitz*w.r {
				continue
			}
			small := s.scene.prune(w)
			pieces += len(small.parts)
			for range 40 {
				p := around(w.c, w.r)
				want, got := s.dist(p), small.dist(p)
				asked++
				switch {
				case want < w.lo && got < w.lo, want > w.hi && got > w.hi:
				case math.Abs(want-got) < 0.008: // where fillets run into fillets
					inside++
				default:
					t.Fatalf("%s: %.4f for %.4f at %v, in %+v", name, got, want, p, w)
				}
			}
		}
		if inside < asked/10 || pieces == 0 {
			t.Errorf("%s: %d of %d places had a distance that matters", name, inside, asked)
		}
	}
}

// The lens can be seen through both ways, and stretches no more than it says.
func TestLens(t *testing.T) {
	l := newLens(vec{X: 1, Y: 2, Z: 3}, 2, 0.4)
	r := rand.New(rand.NewPCG(3, 5))
	dart := func(size float64) vec {
		return vec{X: size * (2*r.Float64() - 1), Y: size * (2*r.Float64() - 1), Z: size * (2*r.Float64() - 1)}
	}
	for range 2000 {
		u := dart(20)
		if back := l.back(l.through(u)); back.Sub(u).Len() > 1e-9 {
			t.Fatalf("%v comes back as %v", u, back)
		}
		v := u.Add(dart(2))
		d := v.Sub(u).Len()
		if moved := l.through(v).Sub(l.through(u)).Len(); moved > d*l.stretch(u, d)+1e-9 {
			t.Fatalf("%.3f mm become %.3f at %v", d, moved, u)
		}
		lo, hi := vec{X: -3, Y: -4, Z: -5}, vec{X: 4, Y: 5, Z: 6}
		from, to := l.cover(lo, hi)
		p := vec{X: lo.X + r.Float64()*(hi.X-lo.X), Y: lo.Y + r.Float64()*(hi.Y-lo.Y), Z: lo.Z + r.Float64()*(hi.Z-lo.Z)}
		if q := l.back(p); q.Max(to) != to || q.Min(from) != from {
			t.Fatalf("%v is at %v, outside %v to %v", p, q, from, to)
		}
	}
	if d := l.through(l.c.Add(vec{X: 1})).Sub(l.c).Len(); math.Abs(d-0.4) > 1e-12 {
		t.Error("in the middle cells are not 0.4 as large")
	}
}
