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

// skirtLength is how far the coat reaches below the waist.
func skirtLength(c Coat) (front, back float64) {
	switch c {
	case LongCoat:
		return 7.6, 8.2
	case TailedCoat:
		return 0.6, 6.6
	case ShortCoat:
		return 1.4, 3.4
	}
	return 0.7, 0.9
}

func (s *sculpture) coat(b *body, d *Dress, f *flesh, mounted bool) {
	c := b.chest
	f.torso = join(0.7, torsoLoft(c, 0),
		rod(c.at(-2.2, -0.15, 2.75), c.at(2.2, -0.15, 2.75), 1.15, 1.15),
		ellipsoid(c.move(0, 1.1, 1.0), 2.5, 1.3, 2.0),
		ellipsoid(c.move(0, -1.0, 1.6), 2.6, 1.2, 2.2),
	)
	f.skirt = s.skirt(b, d, mounted)
	parts := []node{f.torso}
	if f.skirt != nil {
		parts = append(parts, f.skirt)
	}
	whole := join(0.35, parts...)
	s.add("jacket", whole)
	f.trunk = join(0.5, whole, rod(b.shoulder[0], b.elbow[0], 1.38, 1.05), rod(b.shoulder[1], b.elbow[1], 1.38, 1.05))

	// The collar stands round the neck, open a little in front.
	neck := c.move(0, -0.05, 3.75)
	collar := carve(0.05, cylinder(neck.turnX(-6), 1.55, 1.5, 1.38, 0.18), box(neck.move(0, 1.6, 1.2).turnX(20), 0.22, 1, 1.6, 0.05))
	s.add("collar", collar)
	f.collar = collar
	s.add("face", rod(c.at(0, -0.1, 3.8), b.head.at(0, -0.45, -1.0), 1.1, 1.12))

	front := all(below(c.at(0, 0.2, 0), c.y.Neg()), below(c.at(0, 0, 3.6), c.z))
	if d.Lapels {
		for _, sd := range sides {
			x := float64(sd)
			lap := extrude(frame{c.at(0, 2, 0), c.x.Mul(x), c.z, c.x.Mul(x).Cross(c.z)}, 6, 0.05,
				0.12, 3.5, 1.55, 3.3, 2.15, 2.2, 1.75, 0.6, 0.95, -3.4, 0.12, -3.7)
			s.add("lapels", all(grow(0.16, f.torso), lap, front))
		}
	}
	// The opening of the coat, as a groove.
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
	if d.Lace {
		s.frogging(b, f)
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
		s.add("waist belt", overlay(whole, 0.2, slab(c.at(0, 0, -3.7), c.dir(0, 0.04, 1), 0.85)))
		s.buckle(whole, c.at(0, 4, -3.7), c, 0.5, "buttons")
	}
	for i, sd := range sides {
		if !d.Epaulettes {
			continue
		}
		sh := b.shoulder[i]
		fr := frame{sh, c.x.Mul(float64(sd)), c.y.Mul(float64(sd)), c.z}
		strap := all(grow(0.2, f.trunk), box(fr.move(-0.35, 0, 1.2).turnY(12), 1.5, 0.62, 1.4, 0.1))
		s.add("shoulder straps", strap)
		pad := fr.move(0.75, 0, 0.62).turnY(30)
		s.add("shoulder straps", join(0.15, ellipsoid(pad, 1.0, 1.12, 0.42)))
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

// skirt is the coat below the waist: a bell, open in front and split behind,
// its corners turned back.
func (s *sculpture) skirt(b *body, d *Dress, mounted bool) node {
	front, back := skirtLength(d.Coat)
	p := b.pelvis.move(0, 0, 2.4)
	if mounted {
		return s.ridingSkirt(b, d)
	}
	flare := 0.16
	shell := func(g float64) node {
		l := back
		return loft(p.turnX(180), 2, 0.12,
			station{-0.6, 0, 0.05, 2.66 + g, 1.95 + g},
			station{0.8, 0, 0.0, 2.85 + g, 2.1 + g},
			station{2.4, 0, 0.1, 3.2 + g, 2.4 + g},
			station{l, 0, 0.25, 3.2 + flare*l + g, 2.3 + flare*l + g},
		)
	}
	if front < 1 && back < 1 {
		return common(0.1, shell(0.05), below(p.at(0, 0, -front), p.dir(0, 0.25, -1)))
	}
	n := shell(0.08)
	// Hollow from below, so that the legs stand free in it.
	hollow := common(0.2, shell(-0.42), below(p.at(0, 0, -2.2), p.z))
	n = carve(0.08, n, hollow)
	// The skirts fall open in front: cut away a wedge.
	w := extrude(frame{p.at(0, 3, 0), p.x, p.z, p.x.Cross(p.z)}, 8, 0.05,
		0, 0.2-front*0.12, 0.9, -front*0.5, 2.1, -back-1, -2.1, -back-1, -0.9, -front*0.5)
	n = carve(0.1, n, w)
	if front < back-1 {
		n = carve(0.1, n, below(p.at(0, 0.4, -front), p.dir(0, -0.75, 0.35).Add(p.z.Mul(0.5))))
	}
	vent := box(p.move(0, -4.5, -back), 0.12, 3, back-1.6, 0.05)
	n = carve(0.06, n, vent)
	if d.Turnbacks {
		for _, sd := range sides {
			x := float64(sd)
			fr := frame{p.at(0, 0, 0), p.x.Mul(x), p.z, p.x.Mul(x).Cross(p.z)}
			tri := extrude(fr.move(0, 0, 0), 20, 0.05, 0.9, -1.2-front*0.3, 2.0, -back-1, 4.4, -back-1, 2.6, -front*0.75)
			s.add("turnbacks", all(grow(0.12, n), tri, below(p.at(0, 0.6, 0), p.y.Neg())))
			behind := extrude(fr.move(0, 0, 0), 20, 0.05, 0.0, -back*0.45, 0.3, -back-1, 2.3, -back-1)
			s.add("turnbacks", all(grow(0.12, n), behind, below(p.at(0, -0.6, 0), p.y)))
		}
	}
	return n
}

// ridingSkirt lies over the seat and the thighs of a mounted man.
func (s *sculpture) ridingSkirt(b *body, d *Dress) node {
	_, back := skirtLength(d.Coat)
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
