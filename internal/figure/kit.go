package figure

// kit adds belts and what hangs from them.
func (s *sculpture) kit(b *body, d *Dress, f *flesh, mounted bool) {
	c, p := b.chest, b.pelvis
	if d.CrossStraps {
		s.strap(b, f, right, 0.24, 0.95)
		s.strap(b, f, left, 0.24, 0.95)
		if at, ok := hit(f.torso, c.at(0, 5, 0.3), c.y.Neg()); ok && !d.Breastplate {
			g := c
			g.o = at
			s.add("buttons", box(g.move(0, 0.3, 0), 0.42, 0.2, 0.5, 0.12))
		}
	}
	back := func(x, z float64) vec {
		at, _ := hit(f.torso, c.at(x, -6, z), c.y)
		return at
	}
	if d.Pack {
		at := back(0, 0.6)
		g := c
		g.o = at
		pack := box(g.move(0, -1.1, 0), 2.45, 1.15, 2.15, 0.4)
		s.add("pack", join(0.1, pack, box(g.move(0, -1.35, 0.3), 2.52, 1.15, 1.65, 0.35)))
		s.add("cross straps", all(grow(0.12, join(0.1, pack, box(g.move(0, -1.35, 0.3), 2.52, 1.15, 1.65, 0.35))),
			join(0, slab(g.at(1.25, 0, 0), g.x, 0.42), slab(g.at(-1.25, 0, 0), g.x, 0.42))))
	}
	if d.Bedroll && !mounted {
		at := back(0, 2.6)
		g := frame{at.Add(c.y.Mul(-1.1)).Add(c.z.Mul(0.85)), c.z, c.y, c.x} // on the pack
		if !d.Pack {
			g.o = back(0, 1.6).Add(c.y.Mul(-0.7))
		}
		s.add("bedroll", cylinder(g.move(0, 0, -2.7), 5.4, 1.0, 1.0, 0.3))
		for _, x := range []float64{-1.35, 1.35} {
			s.add("cross straps", cylinder(g.move(0, 0, x-0.22), 0.44, 1.14, 1.14, 0.08))
		}
	}
	hipAt := func(x, y, z float64) frame { // on the flank, x axis outward
		g := p.move(0, 0, z)
		n := p.dir(x, y, 0).Unit()
		at, _ := hit(f.hips, g.o.Add(n.Mul(8)), n.Neg())
		return frame{at, n, p.z.Cross(n), p.z}
	}
	if d.Pouch {
		g := hipAt(0.62, -1, 0.6)
		if mounted {
			at := back(0.7, -1.6)
			g = frame{at, c.y.Neg(), c.x, c.z}
		}
		flap := box(g.move(0.75, 0, 0.25), 0.75, 1.6, 1.0, 0.28)
		s.add("pouch", join(0.12, box(g.move(0.55, 0, -0.1), 0.72, 1.45, 1.25, 0.3), flap))
	}
	if d.Haversack {
		g := hipAt(-1, -0.25, 0.1)
		s.add("haversack", join(0.3, ellipsoid(g.move(0.45, 0, -0.7), 0.85, 1.65, 1.45), box(g.move(0.6, 0, 0.1), 0.65, 1.55, 0.8, 0.3)))
	}
	if d.Canteen {
		g := hipAt(-0.85, -1, -0.2)
		if d.Haversack {
			g = g.move(0.6, 0, 0.5)
		}
		fr := frame{g.at(0.55, 0, 0), g.y, g.z, g.x}
		s.add("canteen", join(0.15, cylinder(fr.move(0, 0, -0.55), 1.15, 1.25, 1.15, 0.25), rod(fr.at(0, 1.2, 0), fr.at(0, 1.75, 0), 0.28, 0.3)))
	}
	if d.Sword {
		s.sideArm(b, d, f, mounted)
	}
}

// strap goes over one shoulder to the other hip, before and behind; the arm
// hides where it would pass the flank.
func (s *sculpture) strap(b *body, f *flesh, over side, thick, wide float64) {
	c := b.chest
	x := float64(over)
	vol := all(slab(c.at(0, 0, 0.3), c.dir(-0.8*x, 0, -0.6), wide), box(c.move(-0.6*x, 0, 0), 3.25, 6, 7, 0.3),
		outside(&ball{b.elbow[0], 1.9}), outside(&ball{b.elbow[1], 1.9}))
	s.add("cross straps", overlay(f.trunk, thick, vol))
}

// sideArm hangs the scabbard at the left hip.
func (s *sculpture) sideArm(b *body, d *Dress, f *flesh, mounted bool) {
	p := b.pelvis
	n := p.dir(-1, 0.1, 0).Unit()
	at, _ := hit(f.hips, p.at(0, 0, 1.4).Add(n.Mul(8)), n.Neg())
	a := at.Add(n.Mul(0.35))
	to := a.Add(p.dir(-0.12, -0.62, -1).Unit().Mul(12.5))
	if mounted {
		to = a.Add(p.dir(-0.3, -0.62, -1).Unit().Mul(13.5))
	}
	hilt := !d.swordDrawn
	s.scabbard(a, to, p.dir(0, -1, 0.5).Unit(), hilt)
	if !d.WaistBelt {
		return
	}
	s.add("waist belt", cord(0.24, p.at(-2.3, 1.0, 2.3), a.Lerp(to, 0.1).Add(n.Mul(0.3))))
	s.add("waist belt", cord(0.24, p.at(-2.0, -1.2, 2.3), a.Lerp(to, 0.4)))
}

// breastplate covers the breast, or breast and back, with its straps.
func (s *sculpture) breastplate(b *body, f *flesh) {
	c := b.chest
	shell := grow(0.3, f.torso)
	arms := join(0, rod(b.shoulder[0], b.elbow[0], 1.75, 1.5), rod(b.shoulder[1], b.elbow[1], 1.75, 1.5))
	ridge := rod(c.at(0, 2.35, 1.8), c.at(0, 2.3, -2.6), 0.35, 0.4)
	plate := all(join(0.5, shell, ridge), below(c.at(0, 0, 2.75), c.z), below(c.at(0, 0, -3.3), c.z.Neg()), outside(arms))
	s.add("breastplate", plate)
	rim := join(0, slab(c.at(0, 0, 2.55), c.z, 0.5), slab(c.at(0, 0, -3.15), c.z, 0.5))
	s.add("breastplate", all(grow(0.13, plate), rim))
	for _, sd := range sides {
		x := float64(sd)
		s.add("buttons", overlay(f.trunk, 0.36, all(slab(c.at(1.75*x, 0, 0), c.x, 0.8), below(c.at(0, 0, 2.2), c.z.Neg()), below(c.at(0, 1.6, 0), c.y))))
		s.button(plate, c.at(1.7*x, 5, 1.9), c.y.Neg(), 0.02)
		s.button(plate, c.at(2.1*x, 5, -2.6), c.y.Neg(), 0.02)
	}
}

// overJacket hangs from the left shoulder down the back, its empty sleeve
// beside it, edged with fur.
func (s *sculpture) overJacket(b *body, f *flesh) {
	c := b.chest
	sh := b.shoulder[1]
	cape := join(0.6,
		loft(along(c.at(-2.3, -1.4, 3.2), c.at(-3.9, -2.9, -5.8), c.y), 2, 0.4,
			station{0, 0, 0, 1.9, 1.0}, station{3, 0.2, 0, 2.3, 1.25}, station{6.5, 0.2, 0, 2.6, 1.35}, station{9.6, 0.2, 0, 2.7, 1.35}),
		rod(sh.Add(c.dir(-0.4, -0.4, 0.4)), c.at(-5.0, -1.3, -0.6), 1.5, 1.3),
		rod(c.at(-5.0, -1.3, -0.6), c.at(-5.5, -1.6, -4.4), 1.3, 1.15),
	)
	s.add("over-jacket", &wave{n: cape, axis: c.dir(0.8, 0.2, 0.5), length: 2.1, high: 0.12, centre: c.at(-4, -2, -3), reach: 5})
	hem := []vec{c.at(-1.6, -3.6, -5.6), c.at(-3.6, -4.2, -6.0), c.at(-5.6, -3.4, -6.0), c.at(-6.3, -2.2, -5.6), c.at(-5.0, -1.7, -5.7)}
	front := []vec{c.at(-1.5, 1.35, 3.1), c.at(-3.2, 1.1, 2.7), c.at(-4.6, 0.1, 0.6), c.at(-4.9, -0.4, -1.6), c.at(-4.8, -1.2, -5.6)}
	s.add("fur", feathered(join(0.3, taper(0.58, 0.58, hem...), taper(0.5, 0.55, front...),
		torus(along(c.at(-5.45, -1.6, -4.3), c.at(-5.5, -1.65, -4.6), c.y), 1.0, 0.55, 0.45),
		taper(0.55, 0.5, c.at(-1.4, 1.3, 3.3), c.at(-1.8, 0.2, 4.3), c.at(-1.0, -1.5, 4.1), c.at(0.4, -1.9, 3.6))), c))
	for n := range 5 {
		z := 1.6 - 1.3*float64(n)
		p := c.at(-2.6-0.25*float64(n), -9, z)
		if at, ok := hit(cape, p, c.y); ok {
			s.add("over-jacket lace", cord(0.22, at.Add(c.dir(1.3, 0.35, 0)), at, at.Add(c.dir(-1.3, 0.3, 0.1))))
		}
	}
	s.add("over-jacket lace", cord(0.2, c.at(-1.4, 1.7, 3.0), c.at(0.3, 1.9, 2.7), c.at(1.7, 1.3, 3.1), c.at(1.6, -0.9, 3.4), c.at(-1.0, -1.9, 3.2)))
}
