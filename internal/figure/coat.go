package figure

// torsoLoft is the coat's body from the waist to the neck, in the chest frame
// (origin 21.6 mm over the ground of a standing man).
func torsoLoft(c frame, g float64) node {
	return loft(c, 2, 0.5,
		station{-4.4, 0, -0.1, 2.72 + g, 2.0 + g},
		station{-3.2, 0, -0.05, 2.62 + g, 1.92 + g},
		station{-1.2, 0, 0.1, 3.05 + g, 2.2 + g},
		station{0.9, 0, 0.15, 3.5 + g, 2.35 + g},
		station{2.3, 0, -0.05, 3.45 + g, 2.1 + g},
		station{3.3, 0, -0.2, 2.55 + g, 1.6 + g},
		station{4.3, 0, -0.15, 1.4 + g, 1.25 + g},
	)
}

// skirtLength is how far the coat reaches below the waist; a jacket with
// turnbacks has short tails.
func skirtLength(d *Dress) (front, back float64) {
	c := d.Coat
	if d.Turnbacks && (c == LacedCoat || c == PlainCoat) {
		c = ShortCoat
	}
	switch c {
	case LongCoat:
		return 8.0, 8.7
	case TailedCoat:
		return 0.6, 6.6
	case ShortCoat:
		return 1.4, 3.4
	}
	return 0.7, 0.9
}

func (s *sculpture) coat(b *body, d *Dress, f *flesh, mounted bool) {
	c := b.chest
	f.torso = join(0.7, torsoLoft(c, 0.16),
		rod(c.at(-2.2, -0.15, 2.75), c.at(2.2, -0.15, 2.7), 1.15, 1.15),
		ellipsoid(c.move(0, 1.1, 1.0), 2.5, 1.3, 2.0),
		ellipsoid(c.move(0, -1.0, 1.6), 2.6, 1.2, 2.2),
	)
	whole := join(0.35, f.torso, s.skirt(b, d, f, mounted))
	s.add("jacket", whole)
	f.hips = join(0.3, whole, f.breeches)
	f.trunk = join(0.5, whole, rod(b.shoulder[0], b.elbow[0], 1.38, 1.05), rod(b.shoulder[1], b.elbow[1], 1.38, 1.05))

	// The collar stands round the neck, open a little in front.
	neck := c.move(0, -0.05, 3.75)
	collar := carve(0.05, cylinder(neck.turnX(-6), 1.55, 1.5, 1.38, 0.18), box(neck.move(0, 1.6, 1.2).turnX(20), 0.22, 1, 1.6, 0.05))
	s.add("collar", collar)
	s.add("face", rod(c.at(0, -0.1, 3.8), b.head.at(0, -0.45, -1.0), 1.1, 1.12))

	front := all(below(c.at(0, 0.2, 0), c.y.Neg()), below(c.at(0, 0, 3.6), c.z))
	if d.Lapels {
		for _, sd := range sides {
			x := float64(sd)
			lap := extrude(frame{c.at(0, 2, 0), c.x.Mul(x), c.z, c.x.Mul(x).Cross(c.z)}, 6, 0.05,
				0.12, 3.5, 1.55, 3.3, 2.15, 2.2, 1.75, 0.6, 0.95, -3.4, 0.12, -3.7)
			s.add("lapels", overlay(f.torso, 0.17, all(lap, front)))
		}
	}
	if d.Buttons {
		for n := range 7 {
			z := 2.6 - 0.95*float64(n)
			if d.Lapels {
				for _, sd := range sides {
					x := float64(sd) * (1.25 - 0.08*float64(n))
					s.button(f.torso, c.at(x, 4, z), c.y.Neg(), 0.16)
				}
			} else {
				s.button(f.torso, c.at(0, 4, z), c.y.Neg(), 0)
			}
		}
	}
	if d.Lace && !d.Breastplate {
		s.frogging(b, f)
	}
	if !mounted && !d.drumBefore && d.Lapels && (d.Coat == LongCoat || d.Coat == TailedCoat) {
		// The waistcoat shows where the coat falls open.
		v := extrude(frame{c.o, c.x, c.z, c.x.Cross(c.z)}, 12, 0.05, 0, -1.6, 1.5, -5.3, 0.25, -5.9, -0.25, -5.9, -1.5, -5.3)
		s.add("waistcoat", overlay(join(0.4, f.torso, f.breeches), 0.24, all(v, below(c.at(0, 0.5, 0), c.y.Neg()))))
	}
	if d.Sash {
		sash := overlay(whole, 0.28, slab(c.at(0, 0, -3.6), c.dir(0, 0.08, 1), 1.5))
		s.add("sash", &wave{n: sash, axis: c.z, length: 0.5, high: 0.05, centre: c.at(0, 0, -3.6), reach: 4})
		for n, x := range []float64{-2.2, -1.75} {
			at := c.at(x, 1.4, -3.6)
			s.add("sash", taper(0.3, 0.5, at, c.at(x-0.5, 2.0, -5.2), c.at(x-0.6-0.3*float64(n), 1.9, -7.4-0.5*float64(n))))
		}
	}
	if d.WaistBelt {
		thick := 0.26
		if d.Sash {
			thick = 0.45 // over it
		}
		s.add("waist belt", overlay(whole, thick, slab(c.at(0, 0, -3.7), c.dir(0, 0.04, 1), 0.85)))
		s.buckle(grow(thick-0.2, whole), c.at(0, 4, -3.7), c, 0.5, "buttons")
	}
	if d.Epaulettes {
		s.epaulettes(b, f)
	}
}

// epaulettes are straps on the shoulders that end in fringed pads.
func (s *sculpture) epaulettes(b *body, f *flesh) {
	c := b.chest
	for i, sd := range sides {
		x := float64(sd)
		fr := frame{b.shoulder[i], c.x.Mul(x), c.y.Mul(x), c.z}
		s.add("shoulder straps", overlay(f.trunk, 0.26, box(fr.move(-0.5, 0, 1.2).turnY(12), 1.6, 0.62, 1.5, 0.1)))
		pad := fr.move(0.85, 0, 0.95).turnY(26)
		fringe := overlay(join(0.4, &ball{fr.at(0.05, 0, -0.2), 1.46}, rod(b.shoulder[i], b.elbow[i], 1.46, 1.2)), 0.36,
			all(below(pad.o, pad.z), below(pad.at(0, 0, -1.35), pad.z.Neg()), below(pad.at(-0.75, 0, 0), pad.x.Neg()), &ball{fr.at(0.7, 0, 0.3), 1.9}))
		s.add("shoulder straps", join(0.12, ellipsoid(pad.move(0, 0, -0.02), 1.2, 1.35, 0.42),
			&tufts{n: fringe, f: pad, length: 0.5, high: 0.1, stretch: 0.02}))
	}
}

// button puts a round button on the first surface of n seen from p along dir.
func (s *sculpture) button(n node, p, dir vec, raise float64) {
	if at, ok := hit(n, p, dir); ok {
		s.add("buttons", &ball{at.Sub(dir.Mul(raise + 0.02)), 0.21})
	}
}

// buckle is a square plate on the surface seen from p in front of f.
func (s *sculpture) buckle(n node, p vec, f frame, size float64, area string) {
	if at, ok := hit(n, p, f.y.Neg()); ok {
		g := f
		g.o = at
		s.add(area, box(g.move(0, 0.2, 0), size, 0.2, size, 0.1))
	}
}

// hit walks from p along the unit direction until it meets n.
func hit(n node, p, dir vec) (vec, bool) {
	for range 200 {
		d := n.dist(p)
		if d < 1e-3 {
			return p, true
		}
		p = p.Add(dir.Mul(max(d*0.7, 1e-3)))
		if d > 40 {
			break
		}
	}
	return p, false
}

// frogging is rows of braid across the breast.
func (s *sculpture) frogging(b *body, f *flesh) {
	c := b.chest
	for n := range 6 {
		z := 2.3 - 1.05*float64(n)
		w := 2.1 - 0.16*float64(n)
		vol := all(slab(c.at(0, 0, z), c.z, 0.36), box(c.move(0, 2, z), w, 2, 0.4, 0.05))
		s.add("jacket lace", overlay(f.torso, 0.13, vol))
		for _, x := range []float64{-w, w} {
			if at, ok := hit(f.torso, c.at(x, 4, z), c.y.Neg()); ok {
				s.add("jacket lace", &ball{at, 0.26})
			}
		}
	}
}

// skirt is the coat below the waist: a bell that lies over the thighs, open in
// front and split behind, its corners turned back.
func (s *sculpture) skirt(b *body, d *Dress, f *flesh, mounted bool) node {
	front, back := skirtLength(d)
	p := b.pelvis.move(0, 0, 2.4)
	if mounted {
		return s.ridingSkirt(b, d)
	}
	shell := func(g float64) node {
		l := back
		return loft(p.turnX(180), 2, 0.12,
			station{-0.6, 0, 0.05, 2.66 + g, 1.95 + g},
			station{0.8, 0, 0.0, 2.95 + g, 2.1 + g},
			station{2.4, 0, 0.15, 3.4 + g, 2.45 + g},
			station{max(l, 2.9), 0, 0.3, 3.35 + 0.2*l + g, 2.4 + 0.2*l + g},
		)
	}
	if front < 1 && back < 1 {
		return common(0.1, join(0.5, shell(0.08), grow(0.22, join(0.5, f.thigh[0], f.thigh[1]))), below(p.at(0, 0, -back-0.5), p.dir(0, 0.12, -1)))
	}
	drape := common(0.3, grow(0.3, join(0.8, f.thigh[0], f.thigh[1])), below(p.at(0, 0, -back), p.z.Neg()))
	n := join(0.8, shell(0.08), common(0.2, drape, join(0.3, below(p.at(0, 0, -front-0.8), p.z.Neg()), below(p.at(0, 0.2, 0), p.y))))
	n = &wave{n: n, axis: p.dir(1, 0.25, 0).Unit(), length: 2.3, high: 0.16, centre: p.at(0, 0, -back), reach: back}
	// Hollow from below, so that the legs stand free in it.
	n = carve(0.08, n, common(0.2, shell(-0.56), below(p.at(0, 0, -2.6), p.z)))
	if front < back-2.5 {
		// A tail coat is cut away in front and at the sides.
		n = carve(0.12, n, common(1.2, below(p.at(0, 0, -front), p.dir(0, -0.12, 1)), below(p.at(0, -0.75, 0), p.dir(0, -1, -0.1))))
	} else {
		w := extrude(frame{p.at(0, 3, 0), p.x, p.z, p.x.Cross(p.z)}, 8, 0.05,
			0, 0.2-front*0.12, 0.8, -front*0.5, 2.0, -back-1, -2.0, -back-1, -0.8, -front*0.5)
		n = carve(0.1, n, w)
		n = carve(0.1, n, common(0.3, below(p.at(0, 0, -front), p.z), below(p.at(0, -0.4, 0), p.y.Neg())))
	}
	n = carve(0.06, n, box(p.move(0, -4.5, -back), 0.12, 3, back-1.6, 0.05))
	if d.Turnbacks {
		s.turnbacks(n, p, front, back)
	}
	return n
}

func (s *sculpture) turnbacks(n node, p frame, front, back float64) {
	for _, sd := range sides {
		x := float64(sd)
		fr := frame{p.o, p.x.Mul(x), p.z, p.x.Mul(x).Cross(p.z)}
		behind := extrude(fr, 20, 0.05, 0.05, -back*0.4, 0.3, -back-1, 2.5, -back-1)
		s.add("turnbacks", overlay(n, 0.14, all(behind, below(p.at(0, -0.6, 0), p.y))))
		if front < back-2.5 {
			outer := extrude(frame{p.o, p.y, p.z, p.x}, 20, 0.05, -0.2, -2.2, -0.2, -back-1, -2.9, -back-1)
			s.add("turnbacks", all(grow(0.14, n), outer, below(p.at(0.9*x, 0, 0), p.x.Mul(-x)), outside(grow(-0.1, n))))
			continue
		}
		tri := extrude(fr, 20, 0.05, 0.75, -1.0-front*0.3, 1.9, -back-1, 4.4, -back-1, 2.4, -front*0.75)
		s.add("turnbacks", overlay(n, 0.14, all(tri, below(p.at(0, 0.6, 0), p.y.Neg()))))
	}
}

// ridingSkirt lies over the seat and the thighs of a mounted man.
func (s *sculpture) ridingSkirt(b *body, d *Dress) node {
	_, back := skirtLength(d)
	p := b.pelvis
	hips := ellipsoid(p.move(0, -0.2, 0.9), 3.0, 2.4, 1.9)
	if back < 1 {
		return hips
	}
	l := min(back, 5)
	tails := []node{hips}
	for i, sd := range sides {
		x := float64(sd)
		th := b.knee[i].Sub(b.hip[i]).Unit()
		tails = append(tails,
			rod(p.at(1.6*x, -1.2, 0.6), p.at(2.2*x, -1.2-0.45*l, 0.6-0.62*l), 1.3, 1.1),
			rod(p.at(2.0*x, 0, 0.6), p.at(2.3*x, 0, 0.4).Add(th.Mul(0.35*l)), 1.5, 1.5))
	}
	n := join(0.7, tails...)
	if d.Turnbacks {
		for _, sd := range sides {
			x := float64(sd)
			at := p.at(2.2*x, -1.2-0.42*l, 0.7-0.6*l)
			s.add("turnbacks", all(grow(0.13, n), &ball{at, 1.35}))
		}
	}
	return n
}
