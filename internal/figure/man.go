package figure

// flesh holds the solids that dress is laid over.
type flesh struct {
	torso    node
	thigh    [2]node
	sleeve   [2]node
	breeches node
	trunk    node // coat with upper sleeves, for straps
	hips     node // coat and breeches, for what hangs at the side
}

// man adds a whole man in the given stance and dress, but not his arms.
func (s *sculpture) man(b *body, d *Dress, mounted bool) *flesh {
	f := &flesh{}
	s.legs(b, d, f, mounted)
	s.coat(b, d, f, mounted)
	s.arms(b, d, f)
	s.headOf(b, d, f)
	return f
}

func (s *sculpture) legs(b *body, d *Dress, f *flesh, mounted bool) {
	var cloth []node
	for i, sd := range sides {
		hip, knee, ankle := b.hip[i], b.knee[i], b.ankle[i]
		fr := along(knee, ankle, b.foot[i].y)
		th := along(hip, knee, b.foot[i].y)
		seat := hip.Add(b.pelvis.dir(-0.25*float64(sd), -0.55, -0.1))
		thigh := join(0.9,
			rod(hip, knee, 1.8, 1.25),
			rod(th.at(0.2*float64(sd)*-1, 0.3, 1), th.at(0, 0.35, 5), 1.52, 1.18),
			&ball{seat, 1.65},
			&ball{fr.at(0, 0.22, -0.1), 1.02},
		)
		calf := func(g float64) node {
			return join(0.6,
				rod(fr.at(0, 0, 0), fr.at(0, -0.1, 3), 1.18+g, 1.26+g),
				rod(fr.at(0, -0.38, 1.9), fr.at(0, -0.2, 4.0), 1.15+g, 0.9+g),
				rod(fr.at(0, -0.1, 3), fr.at(0, 0, shinLen-0.3), 1.2+g, 0.8+g),
			)
		}
		f.thigh[i] = thigh
		leg := join(0.5, thigh, calf(0))
		cloth = append(cloth, leg)
		switch d.Footwear {
		case Boots:
			s.boot(b, i, calf(0.14), fr, mounted)
		case Gaiters:
			top := fr.at(0, 0, -0.9)
			g := common(0.08, calf(0.13), below(top, fr.z.Neg()))
			s.add("gaiters", join(0.3, g, s.footNode(b, i, 0.06)))
			s.sole(b, i, "shoes")
			garter := overlay(calf(0.13), 0.12, slab(fr.at(0, 0, 0.75), fr.z, 0.5))
			s.add("shoes", garter)
			if d.Buttons {
				for n := range 6 {
					t := 1.7 + 0.85*float64(n)
					r := 1.16 - 0.07*float64(n)
					s.add("buttons", &ball{fr.at(float64(sd)*r, -0.1, t), 0.17})
				}
			}
		case Shoes:
			s.add("shoes", join(0.25, s.footNode(b, i, 0), s.soleNode(b, i)))
			s.add("shoes", box(b.foot[i].move(0, 1.0, -0.18), 0.42, 0.32, 0.3, 0.1))
			// Trousers fall loose over the shoe.
			leg = join(0.5, leg, rod(fr.at(0, 0, 1), fr.at(0, 0.1, shinLen-0.1), 1.25, 1.12))
			cloth[len(cloth)-1] = common(0.1, leg, below(b.foot[i].at(0, 0, -0.35), b.foot[i].z.Neg()))
		}
		if d.Stripe {
			// The outer seam: down the thigh, then down the shin.
			bend := th.z.Add(fr.z)
			seam := join(0,
				all(slab(hip, th.y, 0.6), below(knee, bend), below(hip.Add(th.z.Mul(-0.5)), th.z.Neg())),
				all(slab(knee, fr.y, 0.6), below(knee, bend.Neg()), below(ankle, fr.z)))
			outer := below(hip.Lerp(knee, 0.5), b.pelvis.x.Mul(-float64(sd)))
			s.add("breeches stripe", overlay(cloth[len(cloth)-1], 0.13, all(seam, outer)))
		}
	}
	pelvis := ellipsoid(b.pelvis.move(0, -0.05, 0.3), 2.75, 1.95, 2.0)
	f.breeches = join(0.8, append(cloth, pelvis)...)
	s.add("breeches", f.breeches)
}

// footNode is the upper of a shoe or boot.
func (s *sculpture) footNode(b *body, i int, g float64) node {
	f := b.foot[i]
	return join(0.5,
		rod(f.at(0, -0.75, -0.62), f.at(0, 0.1, -0.35), 0.66+g, 0.8+g),
		rod(f.at(0, 0.1, -0.3), f.at(0, 2.1, -0.72), 0.78+g, 0.6+g),
		rod(f.at(0.12, 2.1, -0.75), f.at(0.05, 2.95, -0.82), 0.66+g, 0.5+g),
		rod(f.at(0, 0, -0.3), f.at(0, 0, 0.6), 0.78+g, 0.72+g),
	)
}

func (s *sculpture) soleNode(b *body, i int) node {
	f := b.foot[i]
	return join(0.2,
		box(f.move(0, -0.7, -1.1), 0.62, 0.7, 0.25, 0.15),
		box(f.move(0, 1.5, -1.22), 0.72, 2.05, 0.14, 0.12),
	)
}

func (s *sculpture) sole(b *body, i int, area string) { s.add(area, s.soleNode(b, i)) }

// boot is a boot to the knee; a rider's has a stiff top above it.
func (s *sculpture) boot(b *body, i int, calf node, fr frame, mounted bool) {
	top, wide := 0.9, 1.36
	if mounted {
		top, wide = -0.9, 1.56
	}
	shaft := join(0.4, calf, rod(fr.at(0, 0, top), fr.at(0, 0, 3.2), wide, 1.26),
		rod(fr.at(0, 0, 4.6), fr.at(0, 0, shinLen), 0.92, 0.92))
	shaft = &wave{n: shaft, axis: fr.dir(0, 0.35, 1), length: 0.9, high: 0.06, centre: fr.at(0, 0, shinLen-0.9), reach: 1.8}
	shaft = common(0.1, shaft, below(fr.at(0, 0, top), fr.z.Neg()))
	rim := overlay(shaft, 0.1, slab(fr.at(0, 0, top+0.3), fr.z, 0.6))
	s.add("boots", join(0.15, join(0.3, shaft, s.footNode(b, i, 0.03)), s.soleNode(b, i), rim))
	if mounted {
		f := b.foot[i]
		s.add("bit", cord(0.2, f.at(0.75, -0.6, -0.1), f.at(0, -1.45, -0.15), f.at(-0.75, -0.6, -0.1)))
		s.add("bit", rod(f.at(0, -1.4, -0.15), f.at(0, -2.2, -0.1), 0.2, 0.26))
	}
}
