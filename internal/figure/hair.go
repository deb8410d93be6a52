package figure

import "math"

// mane lays locks over the crest of the neck to the horse's right side, and a
// forelock between the ears.
func (s *sculpture) mane(h *steed) {
	f := h.neck
	n := &blend{k: 0.22}
	const locks = 15
	for i := range locks {
		t := 13.6 - 12.4*float64(i)/(locks-1)
		wob := math.Sin(2.3*float64(i)) * 0.25
		crest := crestOf(h, t)
		long := 3.4 + 0.5*math.Sin(1.7*float64(i))
		pts := []vec{crest.Add(f.x.Mul(-0.35)).Add(f.y.Mul(0.25)), crest.Add(f.y.Mul(-0.22)).Add(f.x.Mul(0.15))}
		for k := 1; k <= 3; k++ {
			// Hang down the side, just outside the neck.
			d := long * float64(k) / 3
			p := crest.Add(f.x.Mul(3)).Add(f.y.Mul(d * 0.8)).Add(f.z.Mul(-d*0.35 + wob*float64(k)/2))
			if q, ok := hit(h.neckN, p, f.x.Neg()); ok {
				p = q.Add(f.x.Mul(0.16))
			}
			pts = append(pts, p)
		}
		n.kids = append(n.kids, taper(0.52, 0.2, pts...))
	}
	hf := h.head
	for i, x := range []float64{-0.3, 0.05, 0.4} {
		n.kids = append(n.kids, taper(0.42, 0.16, hf.at(x*0.8, -0.7, -0.7), hf.at(x, 0.75, 0.1), hf.at(x*1.1, 1.25, 1.5), hf.at(x*1.3+0.1, 1.3, 2.7+0.4*math.Sin(float64(i)*2))))
	}
	s.add("mane", n)
}

// crestOf returns the top of the neck at t along its axis.
func crestOf(h *steed, t float64) vec {
	p, _ := hit(h.neckN, h.neck.at(0, -8, t), h.neck.y)
	return p
}

// tail hangs from the dock in strands.
func (s *sculpture) tail(h *steed) {
	r := h.root
	n := &blend{k: 0.3}
	for i := range 9 {
		a := float64(i) * 2 * math.Pi / 9
		x, y := math.Cos(a), math.Sin(a)
		w := 0.25 * math.Sin(3*a+1)
		n.kids = append(n.kids, taper(0.62, 0.24,
			r.at(0.2*x, -13.6+0.2*y, 25.4),
			r.at(0.45*x, -15.4+0.4*y, 25.1),
			r.at(0.85*x, -16.9+0.75*y, 21.6),
			r.at(1.15*x+w, -17.2+1.0*y, 16.2),
			r.at(1.0*x-w, -17.0+0.95*y, 11.6),
			r.at(0.5*x+w, -16.9+0.5*y, 7.8+0.8*math.Sin(5*a))))
	}
	n.kids = append(n.kids, taper(0.85, 0.7, r.at(0, -13.4, 25.4), r.at(0, -15.3, 25.0), r.at(0, -16.7, 21.4), r.at(0, -17.1, 12)))
	s.add("tail", n)
}
