package figure

import "math"

// Weapons are built in a frame whose z axis runs along them.

// musket: z from the butt to the muzzle, y to the side of the lock plate's
// upper edge (the barrel), x to the left of the firer. The origin is where the
// right hand takes it, behind the lock.
func (s *sculpture) musket(f frame, bayonet, carbine bool) {
	long := 18.0 // grip to muzzle
	if carbine {
		long = 11.5
	}
	butt := extrude(frame{f.o, f.z, f.y, f.z.Cross(f.y)}, 1.15, 0.3,
		-6.9, -1.7, -6.7, 0.1, -2.0, 0.35, 1.2, 0.5, 1.2, -0.55, -1.2, -0.55, -2.6, -0.85)
	fore := rod(f.at(0, -0.12, 0.6), f.at(0, 0.02, long-2.2), 0.58, 0.48)
	s.add("musket stock", join(0.3, butt, fore, box(f.move(0, -0.05, 1.6), 0.55, 0.55, 1.6, 0.2)))
	metal := []node{
		rod(f.at(0, 0.42, 0.8), f.at(0, 0.36, long), 0.48, 0.4),
		box(f.move(-0.5, 0.05, 1.5), 0.14, 0.34, 1.15, 0.08),                                                                    // lock plate
		chain(0.05, []vec{f.at(-0.62, 0.2, 0.9), f.at(-0.66, 0.75, 0.75), f.at(-0.64, 1.0, 1.25)}, []float64{0.19, 0.19, 0.24}), // cock
		rod(f.at(-0.6, 0.5, 1.9), f.at(-0.6, 0.85, 2.1), 0.2, 0.14),                                                             // pan
		cord(0.13, f.at(0, -0.6, 0.1), f.at(0, -1.15, 0.5), f.at(0, -1.1, 1.1), f.at(0, -0.6, 1.5)),                             // guard
		box(f.move(0, -0.8, -6.85), 0.52, 0.95, 0.12, 0.1),
		rod(f.at(0, -0.3, long*0.45), f.at(0, -0.08, long-0.2), 0.17, 0.15), // ramrod
	}
	for _, t := range []float64{0.4, 0.65, 0.86} {
		metal = append(metal, cylinder(f.move(0, 0.12, long*t-0.25), 0.5, 0.62, 0.58, 0.08))
	}
	if bayonet {
		metal = append(metal, cylinder(f.move(0, 0.36, long-0.9), 1.3, 0.47, 0.45, 0.06),
			chain(0.05, []vec{f.at(0.3, 0.36, long-0.1), f.at(0.62, 0.36, long+0.6), f.at(0.55, 0.36, long+6.2)}, []float64{0.24, 0.3, 0.16}))
	}
	s.add("musket metal", join(0.08, metal...))
	s.add("musket sling", taper(0.26, 0.26, f.at(0, -0.75, -3.0), f.at(0, -1.2, 0.3), f.at(0, -1.0, long*0.35), f.at(0, -0.5, long*0.64)))
	s.reach(f.at(0, 0, long+7), 2)
}

// sword: z from the grip to the point, y to the edge. The origin is the middle
// of the grip.
func (s *sculpture) sword(f frame, curved float64, knot bool) {
	const long = 15.5
	spine := func(t float64) vec { return f.at(0, -curved*t*t/long, t) }
	n := &blend{k: 0.05}
	const steps = 8
	for i := range steps {
		a, b := 0.8+(long-0.8)*float64(i)/steps, 0.8+(long-0.8)*float64(i+1)/steps
		w := 0.52 - 0.2*float64(i)/steps
		g := along(spine(a), spine(b), f.y)
		h := spine(b).Sub(spine(a)).Len()
		tip := w
		if i == steps-1 {
			tip = 0.1
		}
		n.kids = append(n.kids, loft(g, 2, 0.05, station{-0.1, 0, 0, 0.24, w}, station{h, 0, 0, 0.22, tip}))
	}
	s.add("sword blade", grow(s.swell, n))
	bow := cord(0.2, f.at(0, 0.25, 0.95), f.at(0, 1.15, 0.4), f.at(0, 1.05, -0.7), f.at(0, 0.1, -1.35))
	s.add("sword hilt", join(0.1,
		ellipsoid(f.move(0, 0.15, 0.85), 0.62, 0.95, 0.22),
		rod(f.at(0, 0, 0.8), f.at(0, -0.1, -1.2), 0.33, 0.36),
		&ball{f.at(0, -0.1, -1.35), 0.42}, bow))
	if knot {
		s.add("sword knot", join(0.1, cord(0.16, f.at(0.1, 0.9, 0.2), f.at(0.5, 1.3, -1.2), f.at(0.5, 1.2, -2.4)), rod(f.at(0.5, 1.2, -2.4), f.at(0.5, 1.25, -3.3), 0.28, 0.4)))
	}
	s.reach(spine(long), 2)
}

// scabbard hangs at the left side from a to b, bowed backwards.
func (s *sculpture) scabbard(a, b, back vec, hilt bool) {
	d := b.Sub(a).Unit()
	mid := a.Lerp(b, 0.5).Add(back.Mul(-0.5))
	line := curve(6, a, mid, b)
	n := &blend{k: 0.1}
	for i := 1; i < len(line); i++ {
		g := along(line[i-1], line[i], back)
		h := line[i].Sub(line[i-1]).Len()
		n.kids = append(n.kids, loft(g, 2, 0.1, station{-0.15, 0, 0, 0.42, 0.62}, station{h + 0.15, 0, 0, 0.4, 0.58}))
	}
	n.kids = append(n.kids, &ball{b, 0.5})
	for _, t := range []float64{0.12, 0.4} {
		g := along(line[int(t*12)], line[int(t*12)+1], back)
		n.kids = append(n.kids, cylinder(g, 0.5, 0.72, 0.72, 0.1))
	}
	s.add("scabbard", n)
	if hilt {
		f := along(a.Sub(d.Mul(1.2)), a, back)
		s.add("sword hilt", join(0.1,
			ellipsoid(f.move(0, 0.1, 0.9), 0.7, 0.95, 0.25),
			rod(f.at(0, 0, 0.8), f.at(0, 0, -1), 0.34, 0.38), &ball{f.at(0, 0, -1.1), 0.44},
			cord(0.2, f.at(0, -0.4, 0.9), f.at(0, -1.15, 0.2), f.at(0, -0.9, -0.8), f.at(0, -0.1, -1.2))))
	}
}

// pole is a staff along z of f from lo to hi.
func (s *sculpture) pole(area string, f frame, lo, hi, r float64) {
	s.add(area, rod(f.at(0, 0, lo), f.at(0, 0, hi), r, r*0.92))
	s.reach(f.at(0, 0, hi), 3)
	s.reach(f.at(0, 0, lo), 1)
}

// flag is a cloth flying from the pole along the y axis of f, its foot at z =
// lo, in waves.
func (s *sculpture) flag(f frame, lo, fly, hoist float64) {
	g := f.move(0, 0, lo+hoist/2)
	s.add("flag", join(0.25, &sheet{g, fly, hoist / 2, 0.27}, cylinder(f.move(0, 0, lo), hoist, 0.62, 0.62, 0.1)))
	for _, z := range []float64{lo - 1, lo + hoist} {
		s.reach(f.at(0, fly, z), 2.5)
	}
}

// sheet is a waving cloth in the y-z plane of f, from y = 0 to long.
type sheet struct {
	f                frame
	long, high, half float64
}

func (c *sheet) dist(p vec) float64 {
	q := c.f.local(p)
	t := q.Y / c.long
	fall := 0.9 * float64(t*t) // the free end hangs a little
	phase := 5.6*t + 0.3 + 0.07*q.Z
	swing := 1.05 * min(1, max(0, 2.5*t))
	x := math.Abs(q.X-float64(swing*math.Sin(phase))) - c.half
	slope := swing * 5.6 / c.long * math.Cos(phase)
	x /= math.Sqrt(1 + float64(slope*slope))
	y := math.Abs(q.Y-c.long/2) - c.long/2
	z := math.Abs(q.Z+fall) - c.high
	return smax(x, max(y, z), 0.15)
}

func (c *sheet) prune(w where) (node, float64) { return w.leaf(c, c.dist(w.c)) }

// finial is the spear point on a flag pole or lance.
func (s *sculpture) finial(area string, f frame) {
	blade := loft(f, 2, 0.1, station{0, 0, 0, 0.3, 0.3}, station{0.9, 0, 0, 0.28, 0.8}, station{1.6, 0, 0, 0.26, 0.6}, station{3.2, 0, 0, 0.14, 0.14})
	s.add(area, join(0.1, blade, rod(f.at(0, 0, -0.9), f.at(0, 0, 0.2), 0.5, 0.36), &ball{f.at(0, 0, -0.2), 0.55}))
	s.reach(f.at(0, 0, 3.2), 1)
}

// drum hangs with its head across z of f.
func (s *sculpture) drum(f frame) {
	const r, long = 3.3, 5.6
	shell := cylinder(f.move(0, 0, -long), long, r, r, 0.1)
	s.add("drum shell", shell)
	for _, t := range []float64{-0.95, -long + 0.05} {
		s.add("drum hoops", cylinder(f.move(0, 0, t), 0.9, r+0.28, r+0.28, 0.12))
	}
	for i := range 8 {
		a := float64(i) * math.Pi / 4
		p := func(da, z float64) vec { return f.at((r+0.12)*math.Cos(a+da), (r+0.12)*math.Sin(a+da), z) }
		s.add("drum hoops", chain(0.05, []vec{p(-math.Pi/8, -0.6), p(0, -long+0.6), p(math.Pi/8, -0.6)}, fill(3, 0.17)))
	}
	s.add("drum head", cylinder(f.move(0, 0, -0.3), 0.38, r-0.12, r-0.18, 0.1))
}

// trumpet: z from the mouthpiece to the bell, y down through the loop.
func (s *sculpture) trumpet(f frame) {
	const long = 10.5
	loop := curve(6, f.at(0, 0, 0.3), f.at(0, 0, long*0.8), f.at(0, 0.7, long*0.88), f.at(0, 1.35, long*0.78),
		f.at(0, 1.35, long*0.3), f.at(0, 0.85, long*0.2), f.at(0.3, 0.35, long*0.3), f.at(0.32, 0.3, long*0.75))
	bell := loft(f.move(0.2, 0.2, long*0.7), 2, 0.1, station{0, 0, 0, 0.4, 0.4}, station{2.2, 0, 0, 0.6, 0.6}, station{3.3, 0, 0, 1.05, 1.05}, station{3.9, 0, 0, 1.6, 1.6})
	bell = carve(0.1, bell, loft(f.move(0.2, 0.2, long*0.7), 2, 0.1, station{1.8, 0, 0, 0.1, 0.1}, station{3.3, 0, 0, 0.7, 0.7}, station{4.2, 0, 0, 1.5, 1.5}))
	mouth := loft(f.move(0, 0, -0.3), 2, 0.1, station{0, 0, 0, 0.5, 0.5}, station{0.8, 0, 0, 0.25, 0.25})
	s.add("trumpet", join(0.1, chain(0.05, loop, fill(len(loop), 0.3)), bell, mouth))
	s.add("trumpet cord", join(0.1,
		cord(0.24, f.at(0, 1.5, long*0.72), f.at(0.5, 3.2, long*0.6), f.at(0, 3.0, long*0.42), f.at(0, 1.5, long*0.34)),
		rod(f.at(0.5, 3.2, long*0.6), f.at(0.6, 4.4, long*0.58), 0.3, 0.5)))
	s.reach(f.at(0, 0, long+1.5), 2)
}

// reach widens the sculpture's box to hold a ball at p.
func (s *sculpture) reach(p vec, r float64) {
	d := vec{X: r, Y: r, Z: r}
	s.lo, s.hi = s.lo.Min(p.Sub(d)), s.hi.Max(p.Add(d))
}
