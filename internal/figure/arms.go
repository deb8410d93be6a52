package figure

func (s *sculpture) arms(b *body, d *Dress, f *flesh) {
	for i, sd := range sides {
		sh, el, wr := b.shoulder[i], b.elbow[i], b.wrist[i]
		up, low := along(sh, el, b.chest.y), along(el, wr, b.chest.y)
		cuffAt := foreArm - 1.75
		cuffEnd := foreArm - 0.05
		if d.Gloves { // the gauntlet would hide it
			cuffAt, cuffEnd = cuffAt-0.9, cuffEnd-1.5
		}
		sleeve := join(0.55,
			&ball{sh.Add(b.chest.dir(0.05*float64(sd), 0, -0.2)), 1.46},
			rod(up.at(0, 0.1, 0.6), up.at(0, 0.1, upperArm), 1.42, 1.15),
			rod(el, low.at(0, 0, 2.2), 1.18, 1.14),
			rod(low.at(0, 0, 2.2), wr, 1.14, 1.0),
		)
		folded := &wave{n: sleeve, axis: up.z.Add(low.z.Mul(0.4)).Unit(), length: 0.95, high: 0.09, centre: el, reach: 2.4}
		f.sleeve[i] = folded
		s.addSoft("jacket", 0.25, folded)
		wrist := rod(low.at(0, 0, cuffAt-1), wr, 1.16, 1.08)
		s.add("cuffs", overlay(wrist, 0.26, all(
			below(low.at(0, 0, cuffAt), low.z.Neg()), below(low.at(0, 0, cuffEnd), low.z))))
		if d.Buttons {
			for n := range 3 {
				p := low.at(0, 0, cuffAt+0.4+0.5*float64(n)).Add(low.x.Mul(3 * float64(sd)))
				s.button(f.sleeve[i], p, low.x.Mul(-float64(sd)), 0.22)
			}
		}
		s.fist(b, i, d)
	}
}

// fist is a hand closed round what it holds, or hanging half open.
func (s *sculpture) fist(b *body, i int, d *Dress) {
	h := b.hand[i]
	wr := b.wrist[i]
	// The palm lies on the side of the body's middle: x of the hand frame is
	// turned so that the back of the hand looks outward.
	out := h.x
	if out.Dot(b.root.x.Mul(float64(sides[i]))) < 0 {
		out = out.Neg()
	}
	const r = 0.52 // from the middle of the grip to the middle of a finger
	area := "hands"
	fat := 0.0
	if d.Gloves {
		area, fat = "gloves", 0.06
	}
	n := &blend{k: 0.12}
	back := h.o.Add(out.Mul(0.45)).Sub(h.y.Mul(0.35))
	n.kids = append(n.kids, join(0.4,
		rod(wr, back, 0.62+fat, 0.6+fat),
		rod(back.Add(h.z.Mul(0.5)), back.Sub(h.z.Mul(0.55)), 0.5+fat, 0.46+fat)))
	for k := range 4 {
		z := 0.72 - 0.48*float64(k)
		o := h.o.Add(h.z.Mul(z))
		at := func(x, y float64) vec { return o.Add(out.Mul(x)).Add(h.y.Mul(y)) }
		n.kids = append(n.kids, chain(0.1,
			[]vec{at(0.55, -0.05), at(0.42, 0.42), at(-0.1, r+0.06), at(-0.5, 0.15), at(-0.3, -0.2)},
			[]float64{0.3 + fat, 0.29 + fat, 0.27 + fat, 0.25 + fat, 0.22 + fat}))
	}
	th := h.o.Add(h.z.Mul(0.95))
	n.kids = append(n.kids, chain(0.1,
		[]vec{back.Add(h.z.Mul(0.5)), th.Add(out.Mul(0.1)).Sub(h.y.Mul(0.45)), th.Sub(out.Mul(0.4)).Add(h.y.Mul(0.15))},
		[]float64{0.36 + fat, 0.3 + fat, 0.24 + fat}))
	s.add(area, n)
	if d.Gloves {
		low := along(b.elbow[i], wr, b.chest.y)
		s.add(area, cylinder(low.move(0, 0, foreArm-1.7), 1.9, 1.62, 1.0, 0.15))
	}
}
