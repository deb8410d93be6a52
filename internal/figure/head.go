package figure

// headOf adds the head with its face and hair, and the headgear.
func (s *sculpture) headOf(b *body, d *Dress, f *flesh) {
	h := b.head // origin between the ears; the chin is at z = −2.2, the crown at 2.2
	s.zoom.c, s.zoom.k = h.at(0, -0.3, -2.2), 1.1
	defer func() { s.zoom.k = 0 }()
	s.face, s.faceR = h.at(0, 0.8, -0.6), 2.1
	skull := ellipsoid(h.move(0, -0.2, 0.5), 1.52, 1.85, 1.68)
	head := []node{
		skull,
		ellipsoid(h.move(0, 0.5, -0.55), 1.14, 1.25, 1.5),
		rod(h.at(0, -0.2, -1), h.at(0, -0.4, -2.2), 1.05, 1.05),
		&ball{h.at(0, 1.22, -1.78), 0.42},
	}
	for _, sd := range sides {
		x := float64(sd)
		head = append(head,
			rod(h.at(x*0.98, 0.05, -1.0), h.at(x*0.32, 1.05, -1.74), 0.4, 0.36),
			rod(h.at(x*0.95, 0.95, -0.28), h.at(x*0.7, 1.25, -0.4), 0.42, 0.36),
		)
	}
	face := join(0.45, head...)
	face = join(0.18, face,
		rod(h.at(-0.85, 1.22, 0.42), h.at(0.85, 1.22, 0.42), 0.3, 0.3),
		ellipsoid(h.move(0, 1.42, -1.2), 0.66, 0.34, 0.36),
	)
	for _, sd := range sides {
		x := float64(sd)
		face = carve(0.15, face, ellipsoid(h.move(x*0.55, 1.78, 0.02), 0.42, 0.42, 0.27))
	}
	face = carve(0.12, face, ellipsoid(h.move(0, 1.9, -1.2), 0.66, 0.32, 0.07))
	for _, sd := range sides {
		x := float64(sd)
		lid := curve(3, h.at(x*0.22, 1.36, 0.1), h.at(x*0.55, 1.4, 0.25), h.at(x*0.95, 1.12, 0.08))
		face = join(0.08, face, chain(0.02, lid, fill(len(lid), 0.11)))
		bag := curve(3, h.at(x*0.25, 1.33, -0.16), h.at(x*0.57, 1.3, -0.27), h.at(x*0.92, 1.08, -0.12))
		face = join(0.1, face, chain(0.02, bag, fill(len(bag), 0.1)))
		face = join(0.15, face, rod(h.at(x*0.28, 1.56, -0.55), h.at(x*0.62, 1.36, -1.05), 0.14, 0.1))
	}
	face = join(0.12, face,
		rod(h.at(0, 1.42, 0.3), h.at(0, 1.98, -0.42), 0.17, 0.3),
		rod(h.at(-0.24, 1.66, -0.52), h.at(0.24, 1.66, -0.52), 0.24, 0.24),
	)
	for _, sd := range sides {
		x := float64(sd)
		ear := carve(0.12, ellipsoid(h.move(x*1.5, -0.2, -0.1).turnZ(-x*20), 0.24, 0.5, 0.66),
			ellipsoid(h.move(x*1.86, -0.1, -0.05), 0.2, 0.28, 0.4))
		face = join(0.1, face, ear)
	}
	s.add("face", face)
	for _, sd := range sides {
		x := float64(sd)
		s.addSoft("eyes", 0, ellipsoid(h.move(x*0.57, 1.19, -0.01), 0.37, 0.37, 0.25))
	}
	if d.Moustache {
		for _, sd := range sides {
			x := float64(sd)
			s.add("moustache", taper(0.27, 0.12, h.at(0, 1.78, -0.82), h.at(x*0.5, 1.68, -0.98), h.at(x*0.95, 1.35, -1.12), h.at(x*1.25, 1.1, -0.95)))
		}
	}
	s.hair(b, d, face)
	s.headgear(b, d, f)
}

func (s *sculpture) hair(b *body, d *Dress, face node) {
	h := b.head
	cap := all(ellipsoid(h.move(0, -0.35, 0.3), 1.72, 1.95, 2.0),
		join(0.3,
			below(h.at(0, 0.25, 0), h.dir(0, 1, -0.55)),
			below(h.at(0, 1.2, 1.1), h.dir(0, 0.6, -1))),
		below(h.at(0, 0, -1.55), h.z.Neg()),
		outside(join(0, ellipsoid(h.move(1.6, -0.15, -0.1), 0.6, 0.56, 0.72), ellipsoid(h.move(-1.6, -0.15, -0.1), 0.6, 0.56, 0.72))))
	if d.Headgear != BareHead {
		cap = common(0.1, cap, below(h.at(0, 0, 0.9), h.dir(0, -0.1, 1)))
	}
	if d.Queue {
		s.add("hair", cap)
		for _, sd := range sides {
			x := float64(sd)
			s.add("hair", cylinder(h.move(x*1.6, -0.9, -0.75).turnX(-90), 1.5, 0.4, 0.4, 0.2))
		}
		s.add("hair", taper(0.5, 0.3, h.at(0, -1.75, -0.7), h.at(0, -2.1, -1.9), h.at(0, -2.05, -3.6), h.at(0, -2.3, -5.2)))
		return
	}
	locks := &wave{n: cap, axis: h.dir(0.5, 0, 1), length: 0.7, high: 0.1, centre: h.at(0, -0.5, 0), reach: 4}
	s.add("hair", locks)
	for _, sd := range sides {
		x := float64(sd)
		s.add("hair", taper(0.3, 0.2, h.at(x*1.5, 0.35, 0.4), h.at(x*1.5, 0.4, -0.3), h.at(x*1.38, 0.5, -0.95)))
	}
}
