package figure

// tack saddles and bridles a horse; hand is where the reins are held.
func (s *sculpture) tack(h *steed, hand vec) {
	r := h.root
	base := join(1.0, h.trunk, h.neckN)
	s.saddleCloth(h)
	s.saddle(h, base)

	s.add("bridle", overlay(h.trunk, 0.26, all(slab(r.at(0, 4.4, 20), r.dir(0, 1, 0.05), 1.15), below(r.at(0, 0, 21), r.z))))      // girth
	s.add("bridle", overlay(base, 0.3, all(slab(r.at(0, 8, 21.6), r.dir(0, 0.3, 1), 0.85), below(r.at(0, 4.2, 0), r.y.Neg()))))    // breast strap
	s.add("bridle", overlay(base, 0.26, all(slab(r.o, r.x, 0.8), below(r.at(0, -5.5, 0), r.y), below(r.at(0, 0, 22), r.z.Neg())))) // crupper
	s.add("bit", &ball{r.at(0, 12.45, 20.35), 0.55})
	s.bridle(h)
	for i, sd := range sides {
		x := float64(sd)
		s.add("bit", torus(along(h.bit[i], h.bit[i].Add(h.root.x), h.root.z), 0.5, 0.17, 0.17))
		s.add("bit", rod(h.bit[i].Add(h.head.y.Mul(0.3)), h.bit[i].Add(h.head.y.Mul(-1.1)).Add(h.head.z.Mul(0.5)), 0.17, 0.15))
		to := hand.Add(r.x.Mul(0.25 * x))
		mid := h.bit[i].Lerp(to, 0.5).Add(r.dir(0.9*x, 0, -0.5))
		near := h.bit[i].Lerp(to, 0.12).Add(r.dir(0.25*x, 0, -0.1))
		s.add("reins", flatCord(h.bit[i], near, mid, to))
	}
}

// flatCord is a strap through the points.
func flatCord(pts ...vec) node { return cord(0.24, pts...) }

func (s *sculpture) bridle(h *steed) {
	f := h.head
	strap := func(vol ...node) { s.add("bridle", overlay(h.skull, 0.2, all(vol...))) }
	strap(slab(f.at(0, 0, 7.3), f.dir(0, -0.12, 1), 0.55))                                                                  // nose
	strap(slab(f.at(0, 0.6, 2.0), f.dir(0, -0.25, 1), 0.5), below(f.at(0, -0.3, 0), f.y.Neg()))                             // brow
	strap(slab(f.at(0, -0.75, 1.4), f.dir(0, 1, 0.45), 0.55), below(f.at(0, 0, 3.4), f.z))                                  // over the poll
	strap(slab(f.at(0, -0.85, 8.5), f.dir(0, 1, -0.05), 0.5), below(f.at(0, 0, 1.5), f.z.Neg()), below(f.at(0, 0, 9), f.z)) // cheek
	strap(slab(f.at(0, -1.5, 2.1), f.dir(0, 0.55, 1), 0.42), below(f.at(0, -0.6, 0), f.y))                                  // throat
	s.add("bit", &ball{f.at(1.35, -0.35, 1.9), 0.28})
	s.add("bit", &ball{f.at(-1.35, -0.35, 1.9), 0.28})
}

// clothOutline is the side of the saddle cloth, as y, z of the horse: square in
// front, drawn out to a corner behind. In is how far inside the edge.
func clothOutline(in float64) []float64 {
	return []float64{
		7.2 - in, 30, 6.9 - in, 20.5 + in, 5.9 - in, 17.9 + in, 4.4, 17.3 + in, -1, 17.7 + in,
		-6.2, 17.0 + in, -10.2 + 1.4*in, 15.8 + 1.3*in, -9.9 + in, 18.5, -9.0 + in, 22, -8.6 + in, 30,
	}
}

func (s *sculpture) saddleCloth(h *steed) {
	r := h.root
	side := frame{r.o, r.y, r.z, r.x}
	out := outside(slab(r.o, r.x, 2.6))
	high := below(r.at(0, 0, 24.5), r.z.Neg())
	cloth := common(0, extrude(side, 30, 0.05, clothOutline(0)...), join(0, out, high))
	inner := extrude(side, 30, 0.05, clothOutline(0.95)...)
	s.add("saddle cloth", overlay(h.coat, 0.36, cloth))
	s.add("saddle cloth border", overlay(h.coat, 0.5, common(0, cloth, outside(inner))))
}

// saddle is the seat with pommel, cantle and flaps.
func (s *sculpture) saddle(h *steed, base node) {
	r := h.root
	seat := loft(frame{r.o, r.x.Neg(), r.z, r.y}, 2, 0.4,
		station{-4.6, 0, 27.2, 2.6, 1.5},
		station{-2.5, 0, 26.9, 2.7, 1.2},
		station{0.5, 0, 26.8, 2.3, 1.0},
		station{3.6, 0, 27.2, 2.0, 1.2},
		station{5.0, 0, 27.6, 1.7, 1.4})
	kids := []node{seat,
		rod(r.at(-2.2, -4.4, 27.9), r.at(0, -4.7, 28.9), 0.55, 0.6), rod(r.at(2.2, -4.4, 27.9), r.at(0, -4.7, 28.9), 0.55, 0.6),
		rod(r.at(-1.2, 5.0, 28.2), r.at(0, 5.3, 29.4), 0.5, 0.55), rod(r.at(1.2, 5.0, 28.2), r.at(0, 5.3, 29.4), 0.5, 0.55)}
	n := join(0.4, kids...)
	side := frame{r.o, r.y, r.z, r.x}
	flap := extrude(side, 30, 0.05, -1.6, 28, -1.8, 23, -0.2, 19.6, 2.6, 18.9, 4.4, 20.2, 4.7, 24, 4.2, 28)
	s.add("saddle", join(0.2, n, common(0.2, grow(0.64, base), flap)))
	s.add("bridle", overlay(base, 0.76, all(slab(r.at(0, 1.9, 20), r.dir(0, 1, 0.12), 0.65), below(r.at(0, 0, 24.5), r.z), below(r.at(0, 0, 16.8), r.z.Neg()), outside(slab(r.o, r.x, 3)))))
	for _, sd := range sides {
		x := float64(sd)
		hol := along(r.at(x*3.3, 6.0, 26.6), r.at(x*4.7, 7.7, 20.6), r.x.Mul(x))
		s.add("holsters", join(0.25,
			cylinder(hol, 5.6, 1.05, 0.85, 0.3),
			ellipsoid(hol.move(0, 0, 0.5), 1.3, 1.35, 1.4)))
	}
	roll := frame{r.at(0, -6.3, 28.8), r.y, r.z, r.x}
	s.add("bedroll", join(0.2, cylinder(roll.move(0, 0, -4.7), 9.4, 1.5, 1.5, 0.45)))
	for _, x := range []float64{-2.6, 0, 2.6} {
		s.add("bridle", cylinder(roll.move(0, 0, x-0.25), 0.5, 1.64, 1.64, 0.1))
	}
}
