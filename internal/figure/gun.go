package figure

import "math"

// Measures of a field piece at 1/56, mm: wheels of 1.48 m, track of 1.6 m, a
// barrel of 1.9 m. From memory of drawings of such pieces.
const (
	wheelRadius = 13.2
	gunTrack    = 28.0
)

// fieldGun adds a gun on its carriage, muzzle ahead.
func (s *sculpture) fieldGun(root frame) {
	axle := root.move(0, 4, wheelRadius)
	s.gunBarrel(axle.move(0, 0.4, 3.6).turnX(2))
	s.gunCarriage(root, axle)
	for _, sd := range sides {
		s.wheel(axle.move(float64(sd)*gunTrack/2, 0, 0))
	}
	s.lo, s.hi = vec{X: -21, Y: -36, Z: -1}, vec{X: 21, Y: 36, Z: 32}
}

// gunBarrel lies along y of f, which is at the trunnions.
func (s *sculpture) gunBarrel(f frame) {
	a := frame{f.o, f.x.Neg(), f.z, f.y} // z to the muzzle
	round := func(st ...[2]float64) node {
		out := make([]station, len(st))
		for i, q := range st {
			out[i] = station{t: q[0], rx: q[1], ry: q[1]}
		}
		return loft(a, 2, 0.25, out...)
	}
	tube := round([2]float64{-13.5, 3.05}, [2]float64{-4.5, 2.85}, [2]float64{-4.3, 2.6}, [2]float64{3.8, 2.42}, [2]float64{4, 2.25}, [2]float64{15.5, 1.78}, [2]float64{17.6, 2.0}, [2]float64{19, 2.35})
	kids := []node{tube, rod(a.at(0, 0, -13.8), a.at(0, 0, -14.6), 2.4, 1.4), rod(a.at(0, 0, -15.4), a.at(0, 0, -16.4), 0.8, 0.8), &ball{a.at(0, 0, -17), 1.25}}
	for _, r := range [][3]float64{{-13.2, 0.9, 3.4}, {-10.6, 0.5, 3.15}, {-4.6, 0.8, 3.1}, {3.6, 0.7, 2.72}, {14.8, 0.6, 2.1}, {18.3, 0.8, 2.62}} {
		kids = append(kids, cylinder(a.move(0, 0, r[0]), r[1], r[2], r[2], 0.2))
	}
	n := join(0.2, kids...)
	n = join(0.25, n, rod(f.at(-4.6, 0, -0.3), f.at(4.6, 0, -0.3), 1.15, 1.15))
	for _, sd := range sides { // lifting handles
		x := float64(sd)
		n = join(0.15, n, cord(0.42, f.at(x*1.2, -3.4, 2.2), f.at(x*1.5, -2.9, 3.7), f.at(x*1.5, -1.0, 3.7), f.at(x*1.2, -0.4, 2.2)))
	}
	n = join(0.15, n, &ball{a.at(0, 2.3, 18.7), 0.4}) // foresight
	n = carve(0.2, n, cylinder(a.move(0, 0, 13), 8, 1.15, 1.15, 0.1))
	n = carve(0.08, n, cylinder(frame{a.at(0, 2, -12.2), a.x, a.z.Neg(), a.y}, 2, 0.3, 0.3, 0.05)) // vent
	s.add("barrel", n)
}

func (s *sculpture) gunCarriage(root, axle frame) {
	kids := []node{box(axle, gunTrack/2-2.4, 1.25, 1.35, 0.25)}
	for _, sd := range sides {
		x := float64(sd)
		out := extrude(frame{axle.at(x*3.6, 0, 0), axle.y, axle.z, axle.x}, 1.7, 0.2,
			7.5, 1.2, 7.2, 3.6, 2.2, 4.0, 1.7, 2.9, -0.9, 2.9, -1.3, 4.0, -4.5, 3.6, -11, 0.6, -27.5, -10.9, -29.8, -12.9, -28.8, -13.4, -24, -12.4, -9.5, -3.6, -3, -1.6, 3, -1.6)
		kids = append(kids, out)
	}
	for _, q := range [][3]float64{{5.8, 2.2, 1.1}, {-8.5, -0.6, 1.0}, {-18, -7.0, 1.0}, {-27.5, -12.0, 1.3}} {
		kids = append(kids, box(axle.move(0, q[0], q[1]), 3.4, 1.0, q[2], 0.25))
	}
	wood := join(0.1, kids...)
	s.add("carriage", wood)
	iron := []node{
		cylinder(frame{axle.at(0, -9.2, -0.4), axle.x, axle.y, axle.z}, 3.4, 0.62, 0.62, 0.1), // elevating screw
		rod(axle.at(-1.7, -9.2, 1.3), axle.at(1.7, -9.2, 1.3), 0.36, 0.36),
		rod(axle.at(-gunTrack/2-2.6, 0, 0), axle.at(gunTrack/2+2.6, 0, 0), 0.95, 0.95),
		torus(frame{axle.at(0, -29.6, -10.9), axle.x, axle.z, axle.y.Neg()}, 1.3, 0.4, 0.4),
	}
	for _, sd := range sides {
		x := float64(sd)
		iron = append(iron,
			chain(0.1, []vec{axle.at(x*3.6, 2.3, 4.1), axle.at(x*3.6, 0.4, 4.95), axle.at(x*3.6, -1.4, 4.1)}, []float64{0.55, 0.5, 0.55}), // trunnion cap
			rod(axle.at(x*4.2, -19.5, -6.2), axle.at(x*6.0, -19.2, -5.4), 0.42, 0.42),
		)
		for _, y := range []float64{-26, -20.5, -14, -6.5, 5} {
			iron = append(iron, &ball{axle.at(x*4.5, y, boltHeight(y)), 0.48})
		}
		straps := join(0, slab(axle.at(0, 6, 0), axle.y, 0.9), slab(axle.at(0, -4, 0), axle.y, 0.9), slab(axle.at(0, -16.5, 0), axle.y, 1.0), slab(axle.at(0, -24, 0), axle.y, 1.0))
		s.add("carriage metal", overlay(wood, 0.2, all(straps, slab(axle.at(x*3.6, 0, 0), axle.x, 2.4))))
		s.add("carriage metal", overlay(wood, 0.2, all(slab(axle.at(x*7.5, 0, 0), axle.x, 1.0))))
	}
	s.add("carriage metal", join(0.1, iron...))
}

// boltHeight follows the middle of the cheek towards the trail.
func boltHeight(y float64) float64 {
	if y > -4 {
		return 1.2
	}
	return 1.0 + 0.52*(y+4)
}

// wheel stands on the ground, its axle along x of f.
func (s *sculpture) wheel(f frame) {
	w := frame{f.o, f.y, f.z, f.x}
	kids := []node{
		cylinder(w.move(0, 0, -2.3), 4.6, 1.5, 1.5, 0.3),
		cylinder(w.move(0, 0, -1.1), 2.2, 2.1, 2.1, 0.4),
		common(0.15, cylinder(w.move(0, 0, -0.95), 1.9, wheelRadius-0.55, wheelRadius-0.55, 0.2), outside(cylinder(w.move(0, 0, -3), 6, wheelRadius-2.5, wheelRadius-2.5, 0.05))),
	}
	const spokes = 12
	for i := range spokes {
		a := (float64(i) + 0.5) * 2 * math.Pi / spokes
		y, x := math.Sincos(a)
		kids = append(kids, rod(w.at(1.7*x, 1.7*y, 0), w.at((wheelRadius-1.8)*x, (wheelRadius-1.8)*y, 0), 0.82, 0.62))
	}
	s.add("wheels", join(0.25, kids...))
	s.add("tyres", common(0.1, cylinder(w.move(0, 0, -1.05), 2.1, wheelRadius, wheelRadius, 0.12), outside(cylinder(w.move(0, 0, -3), 6, wheelRadius-0.6, wheelRadius-0.6, 0.05))))
	s.add("tyres", cylinder(w.move(0, 0, -2.4), 0.7, 1.68, 1.68, 0.1))
	s.add("tyres", cylinder(w.move(0, 0, 1.7), 0.7, 1.68, 1.68, 0.1))
}
