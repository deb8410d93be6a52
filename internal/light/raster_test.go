package light

import (
	"maps"
	"math"
	"math/rand/v2"
	"testing"
)

// Every sample finds the nearest triangle that covers it, as asking each triangle
// tells.
func TestRasterIsBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 9))
	const size = 40
	var corners []corner
	for range 60 {
		corners = append(corners, corner{60*r.Float64() - 10, 60*r.Float64() - 10, r.Float64()})
	}
	for i := range 5 { // on the samples' own places
		corners = append(corners, corner{float64(4*i) + 1.0/16, float64(7*i) + 7.0/16, 2})
	}
	var f [][3]int32
	for range 120 {
		n := int32(len(corners))
		f = append(f, [3]int32{r.Int32N(n), r.Int32N(n), r.Int32N(n)})
	}
	seen := map[[2]int][]piece{}
	new(Easel).raster(f, corners, size, size, false, func(x, y int, pieces []piece) {
		seen[[2]int{x, y}] = append([]piece(nil), pieces...)
	})
	asked := 0
	for y := range size {
		for x := range size {
			share, tied := map[int32]float64{}, false
			for _, o := range samples {
				best, nearest := int32(-1), math.Inf(-1)
				for i, t := range f {
					p, q, c := corners[t[0]], corners[t[1]], corners[t[2]]
					det := (q.x-p.x)*(c.y-p.y) - (q.y-p.y)*(c.x-p.x)
					if det == 0 {
						continue
					}
					wp, wq, wr := weights(p, q, c, float64(x)+o[0]/16, float64(y)+o[1]/16, 1/det)
					if min(wp, wq, wr) < -1e-12 {
						continue
					}
					n := wp*p.near + wq*q.near + wr*c.near
					tied = tied || math.Abs(n-nearest) < 1e-9
					if n > nearest {
						best, nearest = int32(i), n
					}
				}
				if best >= 0 {
					share[best] += 1.0 / float64(sampleCount)
				}
			}
			if tied {
				continue
			}
			got := map[int32]float64{}
			for _, p := range seen[[2]int{x, y}] {
				got[p.face] += p.share
			}
			if !maps.Equal(got, share) {
				t.Fatalf("pixel %d, %d: %v, want %v", x, y, got, share)
			}
			asked++
		}
	}
	if asked < 1000 {
		t.Errorf("only %d pixels asked", asked)
	}
}

// Of a solid the same is seen without the faces that look away.
func TestSolidHidesItsBack(t *testing.T) {
	s := ball()
	s.GroundShadow = true
	st, err := NewStage(s)
	if err != nil {
		t.Fatal(err)
	}
	if !st.solid {
		t.Fatal("a ball is no solid")
	}
	with, err := st.Draw(Paint{})
	if err != nil {
		t.Fatal(err)
	}
	st.solid = false
	without, err := st.Draw(Paint{})
	if err != nil {
		t.Fatal(err)
	}
	for i := range with.Pix {
		if math.Abs(with.Pix[i].G-without.Pix[i].G) > 0.02 || math.Abs(with.A[i]-without.A[i]) > 1e-9 {
			t.Fatalf("pixel %d: %v of %v, or %v of %v", i, with.Pix[i], with.A[i], without.Pix[i], without.A[i])
		}
	}
}

// Spreading from the rims only gives what asking the whole disc gives.
func TestSpreadMax(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 1))
	const w, h, radius = 37, 29, 4
	v := make([]float64, w*h)
	for y := range h {
		for x := range w {
			if (x/9+y/7)%2 == 0 || r.Float64() < 0.02 {
				v[y*w+x] = min(1, 2*r.Float64())
			}
		}
	}
	got := spreadMax(nil, v, w, h, radius)
	for y := range h {
		for x := range w {
			want := 0.0
			for dy := -radius; dy <= radius; dy++ {
				for dx := -radius; dx <= radius; dx++ {
					if u, n := x+dx, y+dy; dx*dx+dy*dy <= radius*radius+radius && u >= 0 && n >= 0 && u < w && n < h {
						want = max(want, v[n*w+u])
					}
				}
			}
			if got[y*w+x] != want {
				t.Fatalf("%g at %d, %d, want %g", got[y*w+x], x, y, want)
			}
		}
	}
}

// A place on the ground is found again from the pixel it is seen at.
func TestOnLevel(t *testing.T) {
	m := ball().Mesh
	for _, field := range []float64{0, 40} {
		s := Camera{AzimuthDeg: 70, ElevationDeg: 15, FieldDeg: field, Margin: 0.1}.frame(m.V, 300, 200)
		for _, want := range m.V[:40] {
			x, y, _ := s.project(want)
			got, ok := s.onLevel(x, y, want.Z)
			if !ok || got.Sub(want).Len() > 1e-9 {
				t.Errorf("field %g: %v, want %v", field, got, want)
			}
		}
	}
}
