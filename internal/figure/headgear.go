package figure

func (s *sculpture) headgear(b *body, d *Dress, f *flesh) {
	h := b.head
	switch d.Headgear {
	case CockedHat:
		s.cockedHat(h, d)
	case Bicorne:
		s.bicorne(h, d)
	case Shako:
		s.shako(h, d)
	case FurCap:
		s.furCap(h, d)
	case Helmet:
		s.helmet(h, d)
	case RoundHat:
		s.roundHat(h, d)
	case ForageCap:
		s.forageCap(h, d)
	case BareHead:
		s.crownHair(h)
	}
}

// crownHair is the hair on top of a bare head.
func (s *sculpture) crownHair(h frame) {
	top := all(ellipsoid(h.move(0, -0.3, 0.55), 1.68, 2.0, 1.85), below(h.at(0, 1.0, 1.25), h.dir(0, 0.7, -1)), below(h.at(0, 0, 0.1), h.z.Neg()))
	s.add("hair", &wave{n: top, axis: h.dir(1, 0.2, 0), length: 0.6, high: 0.08, centre: h.at(0, 0, 1.5), reach: 3})
}

// cockedHat has a round crown and a wide brim turned up on three sides.
func (s *sculpture) cockedHat(h frame, d *Dress) {
	h = h.move(0, -0.1, 1.0).turnX(4)
	crown := loft(h, 2, 0.5,
		station{-0.35, 0, 0, 1.76, 2.02},
		station{0.9, 0, 0, 1.62, 1.85},
		station{1.9, 0, 0, 1.3, 1.5})
	s.add("hat", crown)
	// Three flaps, leaning outward, meet in three corners.
	corner := [3]vec{{X: 0, Y: 3.9}, {X: -3.3, Y: -1.9}, {X: 3.3, Y: -1.9}}
	for i := range corner {
		a, c := corner[i], corner[(i+1)%3]
		mid := a.Lerp(c, 0.5)
		out := mid.Unit()
		half := c.Sub(a).Len() / 2
		u := c.Sub(a).Unit()
		f := frame{h.at(mid.X, mid.Y, 0), h.dir(u.X, u.Y, 0), h.z, h.dir(out.X, out.Y, 0)}
		f = f.turnX(-14)
		flap := extrude(f, 0.5, 0.2, -half, -0.2, half, -0.2, half-0.15, 0.5, half*0.5, 1.75, 0, 2.0, -half*0.5, 1.75, -half+0.15, 0.5)
		s.add("hat", flap)
		edge := curve(4, f.at(-half+0.1, 0.5, 0), f.at(-half*0.5, 1.7, 0), f.at(0, 1.95, 0), f.at(half*0.5, 1.7, 0), f.at(half-0.1, 0.5, 0))
		s.add("hat lace", chain(0.05, edge, fill(len(edge), 0.31)))
	}
	s.add("hat", extrude(h, 0.6, 0.2, 0, 3.8, -3.2, -1.85, 3.2, -1.85))
	if d.Cockade {
		s.cockade(h.at(-1.75, 1.05, 1.15), h.dir(-0.85, 0.52, 0.24))
	}
	if d.Plume {
		s.plume(h.at(-1.9, 1.0, 1.4), h.dir(-0.15, 0, 1), 4.4, 0.72)
	}
}

// cockade is a round bow of ribbon facing out.
func (s *sculpture) cockade(at, out vec) {
	f := along(at, at.Add(out), vec{Z: 1})
	s.add("cockade", join(0.15, ellipsoid(f, 0.78, 0.78, 0.32), torus(f.move(0, 0, 0.15), 0.5, 0.2, 0.2)))
}

// plume is an upright feather plume from at along dir.
func (s *sculpture) plume(at, dir vec, long, thick float64) {
	u := dir.Unit()
	f := along(at, at.Add(u), vec{Y: 1})
	n := loft(f, 2, 0.4, station{-0.3, 0, 0, 0.42 * thick, 0.42 * thick}, station{0.25 * long, 0, 0, 0.85 * thick, 0.85 * thick},
		station{0.7 * long, 0, 0.05, thick, thick}, station{long, 0, 0.15, 0.45 * thick, 0.45 * thick})
	s.add("plume", feathered(n, f))
}

// feathered gives a solid the look of feathers or fur lying along z of f.
func feathered(n node, f frame) node {
	return &tufts{n: n, f: f, length: 0.66, high: 0.1, stretch: 0.38}
}

// bicorne is worn across, its two wings up.
func (s *sculpture) bicorne(h frame, d *Dress) {
	h = h.move(0, -0.1, 0.95).turnX(3)
	s.add("hat", loft(h, 2, 0.5, station{-0.35, 0, 0, 1.76, 2.02}, station{1, 0, 0, 1.6, 1.8}, station{2.2, 0, 0, 1.2, 1.2}))
	for i, y := range []float64{1.55, -1.55} {
		w := frame{h.at(0, y*1.05, 0), h.x, h.z, h.x.Cross(h.z)}
		if i == 1 {
			w = w.turnX(16)
		} else {
			w = w.turnX(-16)
		}
		tall := 3.0
		if i == 1 {
			tall = 3.5
		}
		rim := []float64{-3.9, -0.35, -2.2, -0.15, 2.2, -0.15, 3.9, -0.35, 4.1, 0.1, 2.6, tall * 0.72, 0, tall, -2.6, tall * 0.72, -4.1, 0.1}
		flat := extrude(w, 0.55, 0.22, rounded(4, rim...)...)
		s.add("hat", flat)
		if d.Lace {
			e := curve(4, w.at(-3.95, 0.15, 0), w.at(-2.6, tall*0.7, 0), w.at(0, tall-0.05, 0), w.at(2.6, tall*0.7, 0), w.at(3.95, 0.15, 0))
			s.add("hat lace", chain(0.05, e, fill(len(e), 0.3)))
		}
	}
	for _, x := range []float64{-1, 1} {
		s.add("hat", chain(0.2, []vec{h.at(x*1.7, 0, 0.3), h.at(x*4.0, 0, 0.1)}, []float64{1.35, 0.45}))
	}
	if !d.Lace {
		s.add("hat lace", cord(0.24, h.at(-1.15, 2.0, 2.2), h.at(-1.2, 1.85, 0.6)))
	}
	if d.Cockade {
		s.cockade(h.at(-1.2, 2.2, 1.9), h.dir(0, 1, 0.25))
	}
	if d.Plume {
		s.plume(h.at(-1.2, 1.95, 2.1), h.dir(-0.08, 0, 1), 5.4, 0.78)
	}
}

// shako is a stiff cap, a little wider above, with a peak.
func (s *sculpture) shako(h frame, d *Dress) {
	h = h.move(0, -0.15, 0.85).turnX(5)
	const tall = 4.3
	body := loft(h, 2, 0.18, station{-0.3, 0, 0, 1.74, 2.0}, station{2, 0, 0, 1.78, 2.02}, station{tall, 0, 0, 2.08, 2.25})
	body = carve(0.1, body, loft(h, 2, 0.1, station{tall - 0.25, 0, 0, 1.72, 1.9}, station{tall + 1, 0, 0, 1.76, 1.94}))
	s.add("hat", body)
	peak := common(0.1, ellipsoid(h.move(0, 1.3, -0.05).turnX(-16), 1.75, 1.95, 0.32), below(h.at(0, 0.6, 0), h.y.Neg()))
	s.add("hat", peak)
	s.add("hat lace", overlay(body, 0.13, slab(h.at(0, 0, tall-0.5), h.z, 0.7)))
	s.add("hat lace", overlay(body, 0.13, slab(h.at(0, 0, 0.15), h.z, 0.4)))
	plate := extrude(frame{h.o, h.x, h.z, h.x.Cross(h.z)}, 12, 0.05, 0, 0.7, 0.85, 1.15, 0.72, 2.1, 0, 2.75, -0.72, 2.1, -0.85, 1.15)
	s.add("hat plate", all(grow(0.24, body), plate, below(h.o, h.y.Neg())))
	for _, sd := range sides {
		x := float64(sd)
		s.add("hat lace", cord(0.2, h.at(x*1.95, 0.3, tall-0.6), h.at(x*1.5, 1.75, 2.5), h.at(0, 2.2, 1.9+0.1*x)))
		s.add("hat plate", ellipsoid(h.move(x*1.75, 0.15, 0.2), 0.28, 0.42, 0.42))
		s.add("hat plate", cord(0.2, h.at(x*1.78, 0.2, 0.1), h.at(x*1.66, 0.55, -1.2), h.at(x*1.05, 1.1, -2.35), h.at(0, 1.45, -2.75)))
	}
	if d.Cockade {
		s.cockade(h.at(0, 2.15, tall-0.5), h.y)
	}
	if d.Plume {
		s.plume(h.at(0, 2.05, tall-0.1), h.dir(0, 0.04, 1), 4.6, 0.72)
	}
}

// furCap is a tall bearskin.
func (s *sculpture) furCap(h frame, d *Dress) {
	h = h.move(0, -0.1, 0.8).turnX(4)
	n := loft(h, 2, 0.9, station{-0.4, 0, 0, 1.8, 2.05}, station{1.4, 0, 0.05, 2.15, 2.3}, station{3.4, 0, 0, 2.15, 2.3}, station{5.4, 0, -0.2, 1.5, 1.7})
	s.add("hat", feathered(n, h))
	s.add("hat lace", cord(0.24, h.at(2.0, 0.6, 3.2), h.at(1.4, 2.05, 2.0), h.at(0, 2.5, 1.6), h.at(-1.4, 2.05, 2.4), h.at(-2.0, 0.6, 3.6)))
	plate := extrude(frame{h.o, h.x, h.z, h.x.Cross(h.z)}, 12, 0.05, -1.1, -0.1, 1.1, -0.1, 1.2, 1.2, 0.6, 2.2, 0, 2.6, -0.6, 2.2, -1.2, 1.2)
	s.add("hat plate", all(grow(0.22, n), plate, below(h.o, h.y.Neg())))
	s.add("fur", ellipsoid(h.move(0.3, -1.0, 5.0), 1.0, 0.8, 0.5))
	if d.Cockade {
		s.cockade(h.at(-2.2, 0.6, 2.9), h.dir(-1, 0.25, 0))
	}
	if d.Plume {
		s.plume(h.at(-2.15, 0.5, 2.9), h.dir(-0.15, 0, 1), 4.6, 0.75)
	}
}

// helmet has a comb with a crest of hair, a turban round it, and a peak.
func (s *sculpture) helmet(h frame, d *Dress) {
	h = h.move(0, -0.15, 0.6).turnX(3)
	bowl := common(0.15, ellipsoid(h.move(0, 0, 0.1), 1.82, 2.12, 2.1), below(h.at(0, 0, -0.15), h.z.Neg()))
	s.add("hat", bowl)
	s.add("hat", common(0.1, ellipsoid(h.move(0, 1.3, 0).turnX(-14), 1.75, 1.95, 0.32), below(h.at(0, 0.6, 0), h.y.Neg())))
	s.add("hat", common(0.1, ellipsoid(h.move(0, -1.3, -0.1).turnX(22), 1.6, 1.5, 0.3), below(h.at(0, -0.6, 0), h.y)))
	s.add("hat lace", overlay(bowl, 0.16, slab(h.at(0, 0, 0.25), h.z, 0.75)))
	side := frame{h.o, h.y, h.z, h.x}
	comb := extrude(side, 0.75, 0.2, 2.3, 1.0, 2.75, 2.4, 2.2, 3.4, 0.8, 3.7, -1.0, 3.3, -2.2, 2.0, -2.3, 0.6, -1.0, 1.6, 1.0, 1.9)
	s.add("hat plate", comb)
	arc := curve(5, h.at(0, 2.5, 3.1), h.at(0, 1.4, 4.1), h.at(0, -0.6, 4.1), h.at(0, -2.2, 3.0), h.at(0, -2.9, 1.1), h.at(0, -3.0, -1.2), h.at(0, -2.7, -3.0))
	radii := make([]float64, len(arc))
	for i := range radii {
		radii[i] = 0.62 - 0.22*float64(i)/float64(len(arc))
	}
	s.add("plume", feathered(chain(0.3, arc, radii), h))
	for _, sd := range sides {
		x := float64(sd)
		s.add("hat plate", ellipsoid(h.move(x*1.8, 0.3, 0.15), 0.24, 0.45, 0.45))
		s.add("hat plate", cord(0.24, h.at(x*1.78, 0.35, 0), h.at(x*1.62, 0.6, -1.0), h.at(x*1.05, 1.15, -2.1), h.at(0, 1.5, -2.5)))
	}
	if d.Plume {
		s.plume(h.at(-1.95, 0.2, 0.8), h.dir(-0.1, 0, 1), 3.8, 0.62)
	}
}

// roundHat has a brim, a tall crown and one side turned up.
func (s *sculpture) roundHat(h frame, d *Dress) {
	h = h.move(0, -0.1, 0.95).turnX(3)
	crown := loft(h, 2, 0.4, station{-0.3, 0, 0, 1.75, 2.0}, station{1.3, 0, 0, 1.66, 1.9}, station{2.7, 0, 0, 1.7, 1.88})
	s.add("hat", crown)
	s.add("hat", loft(h, 2, 0.15, station{-0.35, 0, 0, 3.1, 3.3}, station{0.05, 0, 0, 3.25, 3.45}))
	s.add("hat lace", overlay(crown, 0.13, slab(h.at(0, 0, 0.55), h.z, 0.7)))
	if d.Cockade {
		s.cockade(h.at(-1.75, 0.5, 1.7), h.dir(-1, 0.25, 0))
	}
	if d.Plume {
		s.plume(h.at(-1.8, 0.4, 1.4), h.dir(-0.1, 0, 1), 4.2, 0.7)
	}
}

// forageCap is a soft cap with a band and a tassel.
func (s *sculpture) forageCap(h frame, d *Dress) {
	h = h.move(0, -0.15, 0.9).turnX(4)
	band := loft(h, 2, 0.2, station{-0.35, 0, 0, 1.76, 2.02}, station{0.95, 0, 0, 1.76, 2.02})
	s.add("hat lace", band)
	s.add("hat", join(0.4, ellipsoid(h.move(0.1, -0.1, 1.3), 2.1, 2.3, 0.75), ellipsoid(h.move(0, 0, 0.9), 1.7, 1.95, 0.6)))
	s.add("hat plate", &ball{h.at(0.1, -0.1, 2.05), 0.32})
	s.add("hat", common(0.1, ellipsoid(h.move(0, 1.35, -0.1).turnX(-18), 1.5, 1.6, 0.28), below(h.at(0, 0.8, 0), h.y.Neg())))
	if d.Cockade {
		s.cockade(h.at(0, 2.05, 0.35), h.y)
	}
}

func fill(n int, v float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = v
	}
	return out
}
