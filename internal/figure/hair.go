package figure

import "math"

// mane lays locks over the crest of the neck to the horse's right side, and a
// forelock between the ears.
func (s *sculpture) mane(h *steed) {
	f := h.neck
	// A ridge along the crest, and a thin layer of hair under the locks.
	var crest []vec
	for t := 13.4; t > 0.6; t -= 1.6 {
		crest = append(crest, crestOf(h, t).Add(f.y.Mul(0.2)))
	}
	n := &blend{k: 0.2, kids: []node{taper(0.55, 0.62, crest...)}}
	const locks = 22
	for i := range locks {
		t := 13.5 - 12.6*float64(i)/(locks-1)
		wob := 0.45 * math.Sin(2.3*float64(i)+0.6*math.Sin(5.1*float64(i)))
		top := crestOf(h, t)
		long := 4.3 + 0.75*math.Sin(1.7*float64(i))
		pts := []vec{top.Add(f.y.Mul(0.1)).Add(f.x.Mul(0.25))}
		for k := 1; k <= 4; k++ {
			// Hang down the side, just outside the neck.
			u := float64(k) / 4
			p := top.Add(f.x.Mul(5)).Add(f.y.Mul(long * u * 0.82)).Add(f.z.Mul(-long*u*0.42 + wob*u*u))
			if q, ok := hit(h.neckN, p, f.x.Neg()); ok {
				p = q.Add(f.x.Mul(0.12 + 0.12*math.Sin(3*u+float64(i))))
			}
			pts = append(pts, p)
		}
		n.kids = append(n.kids, taper(0.46, 0.14, pts...))
	}
	hf := h.head
	for i, x := range []float64{-0.35, -0.05, 0.25, 0.5} {
		n.kids = append(n.kids, taper(0.4, 0.13, hf.at(x*0.7, -0.8, -0.7), hf.at(x, 0.7, 0), hf.at(x*1.2, 1.2, 1.5), hf.at(x*1.5+0.1, 1.28, 2.7+0.5*math.Sin(float64(i)*2))))
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
	for i := range 11 {
		a := float64(i) * 2 * math.Pi / 11
		x, y := math.Cos(a), math.Sin(a)
		w := 0.3 * math.Sin(3*a+1)
		n.kids = append(n.kids, taper(0.55, 0.18,
			r.at(0.2*x, -13.2+0.2*y, 25.2),
			r.at(0.4*x, -15.0+0.35*y, 25.2),
			r.at(0.8*x, -16.5+0.65*y, 22.2),
			r.at(1.25*x+w, -16.9+1.0*y, 17.2),
			r.at(1.25*x-w, -16.6+1.1*y, 12.2),
			r.at(0.7*x+1.4*w, -17.0+0.7*y, 7.6+1.1*math.Sin(5*a))))
	}
	n.kids = append(n.kids, taper(0.8, 0.75, r.at(0, -13.2, 25.2), r.at(0, -15, 25.2), r.at(0, -16.4, 22), r.at(0, -16.8, 15), r.at(0, -16.7, 11)))
	s.add("tail", n)
}
