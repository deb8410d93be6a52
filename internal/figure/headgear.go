package figure

func (s *sculpture) headgear(b *body, d *Dress, f *flesh) {
	h := b.head
	switch d.Headgear {
	case CockedHat:
		s.cockedHat(h, d)
	}
}

// cockedHat has a round crown and a wide brim turned up on three sides.
func (s *sculpture) cockedHat(h frame, d *Dress) {
	h = h.move(0, -0.1, 1.05).turnX(4)
	crown := loft(h, 2, 0.5,
		station{-0.3, 0, 0, 1.75, 2.0},
		station{0.9, 0, 0, 1.62, 1.85},
		station{1.9, 0, 0, 1.3, 1.5})
	s.add("hat", crown)
	// Three flaps, leaning outward, meet in three corners.
	corner := [3]vec{{X: 0, Y: 4.0}, {X: -3.3, Y: -1.9}, {X: 3.3, Y: -1.9}}
	for i := range corner {
		a, c := corner[i], corner[(i+1)%3]
		mid := a.Lerp(c, 0.5)
		out := mid.Unit()
		half := c.Sub(a).Len() / 2
		f := frame{h.at(mid.X, mid.Y, 0), h.dir(c.Sub(a).Unit().X, c.Sub(a).Unit().Y, 0), h.z, h.dir(out.X, out.Y, 0)}
		f = f.turnX(-14)
		flap := extrude(f, 0.5, 0.2, -half, -0.2, half, -0.2, half-0.15, 0.5, half*0.5, 1.75, 0, 2.0, -half*0.5, 1.75, -half+0.15, 0.5)
		s.add("hat", flap)
		edge := curve(4, f.at(-half+0.1, 0.55, 0), f.at(-half*0.5, 1.75, 0), f.at(0, 2.0, 0), f.at(half*0.5, 1.75, 0), f.at(half-0.1, 0.55, 0))
		s.add("hat lace", chain(0.05, edge, fill(len(edge), 0.34)))
	}
	floor := extrude(h.move(0, 0, 0), 0.6, 0.2, 0, 3.9, -3.2, -1.85, 3.2, -1.85)
	s.add("hat", floor)
	if d.Cockade {
		s.add("cockade", ellipsoid(h.move(-1.75, 1.35, 1.3), 0.65, 0.65, 0.65))
	}
	if d.Plume {
		s.plume(h.at(-1.7, 1.2, 1.6), h.dir(-0.2, 0, 1), 4.2, 0.75)
	}
}

// plume is an upright feather plume from at along dir.
func (s *sculpture) plume(at, dir vec, long, thick float64) {
	u := dir.Unit()
	f := along(at, at.Add(u), vec{Y: 1})
	n := loft(f, 2, 0.3, station{-0.2, 0, 0, 0.4 * thick, 0.4 * thick}, station{0.3 * long, 0, 0, 0.9 * thick, 0.9 * thick},
		station{0.7 * long, 0, 0, thick, thick}, station{long, 0, 0, 0.5 * thick, 0.5 * thick})
	s.add("plume", &wave{n: n, axis: f.dir(0.6, 0.5, 0.7), length: 0.8, high: 0.11, centre: f.at(0, 0, long/2), reach: long})
}

func fill(n int, v float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = v
	}
	return out
}
