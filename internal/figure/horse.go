package figure

// Measures of a horse of 15 hands 2 inches (1.575 m at the withers) at 1/56, in
// mm: a head goes two and a half times into the height, the body is about as
// long as it is high.
const (
	withersHigh = 28.1
	headLong    = 11.2
	stout       = 1.09
)

// hoofed is one leg: its joints from the top, in the horse's frame.
type hoofed struct{ top, mid, fetlock, hoof vec }

// steed holds the frames and solids that tack is laid on.
type steed struct {
	root, neck, head    frame
	trunk, neckN, skull node
	coat                node
	bit                 [2]vec // rings at the corners of the mouth
}

// legsOf returns the joints of the four legs: right fore, left fore, right
// hind, left hind.
func legsOf(g Gait) [4]hoofed {
	fore := func(x float64) hoofed {
		return hoofed{vec{X: 2.4 * x, Y: 7.0, Z: 16.4}, vec{X: 2.15 * x, Y: 7.2, Z: 8.4}, vec{X: 2.1 * x, Y: 7.0, Z: 3.0}, vec{X: 2.1 * x, Y: 7.9, Z: 1.1}}
	}
	hind := func(x float64) hoofed {
		return hoofed{vec{X: 2.9 * x, Y: -7.0, Z: 17.2}, vec{X: 2.3 * x, Y: -13.0, Z: 10.8}, vec{X: 2.25 * x, Y: -12.7, Z: 3.1}, vec{X: 2.25 * x, Y: -11.8, Z: 1.1}}
	}
	l := [4]hoofed{fore(1), fore(-1), hind(1), hind(-1)}
	if g == Walking {
		// The left fore is lifted, the right hind reaches forward.
		l[1] = hoofed{vec{X: -2.4, Y: 7.3, Z: 16.4}, vec{X: -2.2, Y: 10.9, Z: 9.9}, vec{X: -2.1, Y: 9.6, Z: 5.0}, vec{X: -2.1, Y: 8.9, Z: 3.1}}
		l[0] = hoofed{vec{X: 2.4, Y: 6.8, Z: 16.4}, vec{X: 2.15, Y: 5.6, Z: 8.4}, vec{X: 2.1, Y: 4.0, Z: 3.2}, vec{X: 2.1, Y: 4.7, Z: 1.15}}
		l[2] = hoofed{vec{X: 2.9, Y: -6.3, Z: 17.2}, vec{X: 2.3, Y: -11.0, Z: 10.4}, vec{X: 2.25, Y: -8.2, Z: 3.2}, vec{X: 2.25, Y: -7.2, Z: 1.1}}
		l[3] = hoofed{vec{X: -2.9, Y: -7.6, Z: 17.2}, vec{X: -2.3, Y: -14.4, Z: 11.2}, vec{X: -2.25, Y: -15.6, Z: 3.6}, vec{X: -2.25, Y: -15.0, Z: 1.4}}
	}
	return l
}

// horse adds a horse, bare of tack, standing on the ground of root.
func (s *sculpture) horse(root frame, g Gait) *steed {
	h := &steed{root: root}
	h.trunk = s.horseTrunk(root)
	s.horseNeck(h)
	s.horseHead(h)
	body := []node{h.trunk, h.neckN}
	for i, l := range legsOf(g) {
		body = append(body, s.horseLeg(root, l, i >= 2))
	}
	h.coat = join(1.0, body...)
	s.add("horse coat", join(0.5, h.coat, h.skull))
	s.mane(h)
	s.tail(h)
	return h
}

func (s *sculpture) horseTrunk(root frame) node {
	// The loft runs along the horse: its z axis is the horse's y.
	f := frame{root.o, root.x.Neg(), root.z, root.y}
	barrel := loft(f, 2, 1.2,
		station{-14.0, 0, 22.4, 2.12, 2.4},
		station{-12.2, 0, 22.6, 3.39, 4.3},
		station{-9, 0, 22.5, 4.13, 5.2},
		station{-5.2, 0, 22.2, 4.4, 4.8},
		station{-1.5, 0, 21.2, 5.04, 5.4},
		station{2.5, 0, 20.8, 4.98, 5.85},
		station{6.2, 0, 21.2, 4.13, 6.0},
		station{9.2, 0, 21.1, 3.6, 4.6},
		station{11.0, 0, 21.1, 2.97, 3.2},
		station{12.3, 0, 21.2, 2.01, 2.0},
	)
	kids := []node{barrel,
		rod(root.at(0, 8.4, 26.2), root.at(0, 4.4, 26.1), 1.5, 1.5), // withers
		rod(root.at(0, 3, 25.4), root.at(0, -4, 25.7), 1.3, 1.5),    // back
	}
	for _, sd := range sides {
		x := float64(sd)
		sh := along(root.at(x*2.4, 10.7, 19.2), root.at(x*1.8, 6.2, 26.5), root.y)
		kids = append(kids,
			ellipsoid(sh.move(0, -0.4, 4.2), 1.6, 2.3, 5.0),        // shoulder
			ellipsoid(root.move(x*2.6, 7.4, 17.8), 1.45, 2.1, 2.6), // above the elbow
			ellipsoid(root.move(x*1.3, 10.6, 19.6), 1.5, 1.6, 1.9),
			rod(root.at(x*1.3, 10.1, 18.9), root.at(x*2.0, 8.2, 14.8), 1.35, 1.0),    // breast
			ellipsoid(root.move(x*2.3, -9.8, 21.8), 2.1, 3.8, 5.0),                   // haunch
			rod(root.at(x*2.2, -6.2, 26.0), root.at(x*1.5, -12.2, 24.9), 1.65, 1.45), // hip and croup
			rod(root.at(x*1.9, -12.9, 22.2), root.at(x*2.4, -11.3, 16.4), 1.6, 1.25), // buttock
		)
	}
	return join(1.6, kids...)
}

func (s *sculpture) horseLeg(root frame, l hoofed, hind bool) node {
	at := func(v vec) vec { return root.at(v.X, v.Y, v.Z) }
	top, mid, fet, hoof := at(l.top), at(l.mid), at(l.fetlock), at(l.hoof)
	up := along(top, mid, root.y)
	lo := along(mid, fet, root.y)
	pa := along(fet, hoof, root.y)
	lc := fet.Sub(mid).Len()
	// Castings have stouter legs than horses, or they would bend.
	rod := func(a, b vec, ra, rb float64) node { return rod(a, b, stout*ra, stout*rb) }
	var upper node
	if hind {
		// Thigh, gaskin and the tendon to the point of the hock.
		upper = join(0.9,
			rod(top, up.at(0, 0.2, 3.5), 2.0, 1.6),
			rod(up.at(0, 0.2, 3), mid, 1.55, 0.92),
			rod(top.Add(root.dir(0, -3.8, 1.0)), up.at(0, -1.3, 5.2), 1.8, 0.85),
			rod(up.at(0, -1.3, 5), mid.Add(lo.y.Mul(-0.95)).Add(lo.z.Mul(-0.75)), 0.68, 0.5), // tendon to the hock's point
			&ball{top.Add(root.dir(0, 0.8, 0.1)), 1.5},
		)
	} else {
		upper = join(0.9,
			rod(top.Add(root.dir(0, 0.2, 1)), up.at(0, 0.25, 3.8), 1.75, 1.35),
			rod(up.at(0, 0.1, 3), mid, 1.32, 0.9),
			ellipsoid(up.move(0, -0.8, 1.6), 1.2, 1.15, 2.6),
			&ball{top.Add(root.dir(0, -1.6, 0.3)), 1.1},
		)
	}
	joint := []node{
		ellipsoid(lo.move(0, 0.1, 0), 1.06, 1.18, 1.35),
		rod(mid, lo.at(0, 0.05, 1.6), 0.92, 0.68),
	}
	if hind {
		joint = append(joint, rod(lo.at(0, -0.95, -0.75), lo.at(0, -0.6, 2.1), 0.56, 0.42))
	}
	cannon := []node{
		rod(lo.at(0, 0.12, 1.2), lo.at(0, 0.1, lc-0.4), 0.62, 0.6),
		rod(lo.at(0, -0.42, 1.2), lo.at(0, -0.38, lc-0.2), 0.5, 0.46),
		ellipsoid(lo.move(0, -0.05, lc), 0.9, 1.03, 0.9),
		ellipsoid(lo.move(0, -0.75, lc+0.25), 0.5, 0.5, 0.7), // the tuft
		rod(fet, pa.at(0, 0, 1.55), 0.72, 0.78),
	}
	lower := join(0.45, append(joint, cannon...)...)
	s.addSoft("horse legs", 0.12, common(0.1, lower, below(lo.at(0, 0, 0.9), lo.z.Neg())))
	// The hoof: a cone cut off, sloping like the pastern.
	f := root
	f.o = hoof
	if hoof.Sub(root.o).Dot(root.z) > 1.6 {
		f = f.turnX(-38)
	}
	wall := loft(f.move(0, 0.1, 0).turnX(180), 2, 0.2,
		station{-0.75, 0, 0.3, 0.98, 1.04}, station{1.1, 0, -0.25, 1.34, 1.52})
	s.add("hooves", wall)
	return join(0.6, upper, common(0.1, lower, below(lo.at(0, 0, 1.1), lo.z)))
}

func (s *sculpture) horseNeck(h *steed) {
	r := h.root
	a, b := r.at(0, 8.0, 23.4), r.at(0, 15.0, 35.2)
	h.neck = along(a, b, r.dir(0, 1, -0.6))
	h.neckN = join(1.2, loft(h.neck, 2, 1.0,
		station{-2.5, 0, 0.1, 3.08, 4.6},
		station{1.5, 0, -0.25, 2.75, 4.35},
		station{5, 0, -0.45, 2.2, 3.55},
		station{8.5, 0, -0.62, 1.83, 3.0},
		station{11.5, 0, -0.45, 1.65, 2.55},
		station{13.7, 0, 0.1, 1.49, 2.25},
	),
		rod(h.neck.at(0, 2.5, 2.5), h.neck.at(0, 1.2, 11.5), 1.2, 0.95), // gullet
	)
}

// horseHead makes the head; its frame has z from poll to muzzle and y out of
// the forehead.
func (s *sculpture) horseHead(h *steed) {
	r := h.root
	f := along(r.at(0, 15.5, 36.4), r.at(0, 15.5+0.60, 36.4-0.80), r.dir(0, 0.8, 0.6))
	h.head = f
	kids := []node{loft(f, 2, 0.6,
		station{-0.3, 0, -0.7, 1.25, 1.5},
		station{1.3, 0, -0.75, 1.5, 1.9},
		station{3.2, 0, -1.1, 1.62, 2.3},
		station{5.0, 0, -1.05, 1.32, 2.1},
		station{7.0, 0, -0.62, 1.0, 1.55},
		station{8.8, 0, -0.5, 0.92, 1.3},
		station{10.2, 0, -0.55, 1.08, 1.32},
		station{headLong, 0, -0.75, 0.8, 0.95},
	)}
	for _, sd := range sides {
		x := float64(sd)
		kids = append(kids,
			ellipsoid(f.move(x*1.12, -1.85, 3.3), 0.55, 1.65, 1.9),             // jaw
			rod(f.at(x*1.15, -0.15, 4.2), f.at(x*0.85, -0.25, 7.0), 0.5, 0.32), // cheekbone
			rod(f.at(x*0.95, 0.75, 2.7), f.at(x*1.25, 0.62, 3.6), 0.5, 0.42),   // over the eye
			ellipsoid(f.move(x*0.72, 0.05, 10.1), 0.46, 0.62, 0.85),            // nostril's rim
			rod(f.at(x*0.6, -2.2, 5.6), f.at(x*0.4, -1.55, 9.4), 0.55, 0.45),   // bars of the jaw
		)
	}
	kids = append(kids, ellipsoid(f.move(0, -1.55, 10.1), 0.78, 0.62, 0.95)) // chin
	skull := join(0.5, kids...)
	for _, sd := range sides {
		x := float64(sd)
		skull = carve(0.12, skull, ellipsoid(f.move(x*1.12, 0.12, 10.35).turnX(-25), 0.35, 0.27, 0.5))
		skull = carve(0.15, skull, ellipsoid(f.move(x*1.75, 0.2, 3.55), 0.35, 0.42, 0.62))
		h.bit[sd.index()] = f.at(x*1.12, -1.1, 8.9)
	}
	skull = carve(0.08, skull, box(f.move(0, -1.22, 10.6), 1.6, 0.07, 1.5, 0.02)) // mouth
	ears := &blend{k: 0.1}
	for _, sd := range sides {
		x := float64(sd)
		e := along(f.at(x*0.8, -0.2, 0.2), f.at(x*1.15, 0.5, -2.6), f.dir(x*0.35, 1, 0.3))
		leaf := loft(e, 2, 0.25, station{-0.3, 0, 0, 0.5, 0.5}, station{0.8, 0, 0.05, 0.66, 0.55}, station{1.7, 0, 0.08, 0.48, 0.4}, station{2.6, 0, 0.12, 0.16, 0.18})
		ears.kids = append(ears.kids, carve(0.08, leaf, ellipsoid(e.move(0, 0.55, 1.0), 0.34, 0.4, 1.0)))
	}
	h.skull = join(0.2, skull, ears)
	for _, sd := range sides {
		x := float64(sd)
		s.addSoft("horse eyes", 0, ellipsoid(f.move(x*1.32, 0.2, 3.55), 0.36, 0.36, 0.48))
	}
	mark := extrude(frame{f.o, f.x, f.z, f.y.Neg()}, 8, 0.05, 0, 2.2, 0.62, 3.3, 0.4, 5, 0.34, 8.4, 0, 9.3, -0.34, 8.4, -0.4, 5, -0.62, 3.3)
	s.add("horse face", all(grow(0.05, skull), mark, below(f.at(0, -0.3, 0), f.y.Neg())))
}
