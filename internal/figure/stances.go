package figure

// Stances are written in the frame the man stands in: x to his right, y ahead,
// z up, mm.

func footAction(p Pose) action {
	switch p {
	case March:
		a := shouldered()
		stride(a.st)
		return a
	case Fire:
		return firing()
	case Command:
		return commanding()
	case Standard:
		return bearing()
	case Drum:
		return drumming()
	case Trumpet:
		return blowing(standing())
	case Ram:
		return ramming()
	case Linstock:
		return lighting()
	case Handspike:
		return levering()
	}
	return shouldered()
}

// standing is a man at attention, hands at his sides.
func standing() *stance {
	return &stance{
		hip:   vec{Z: hipHeight},
		hand:  [2]grip{{at: vec{X: 4.3, Y: 0.9, Z: 14.0}, axis: vec{Y: 1, Z: 0.25}}, {at: vec{X: -4.3, Y: 0.9, Z: 14.0}, axis: vec{Y: 1, Z: 0.25}}},
		elbow: [2]vec{{X: 0.5, Y: -1}, {X: -0.5, Y: -1}},
		ankle: [2]vec{{X: 1.5, Y: -0.3, Z: ankleHigh}, {X: -1.5, Y: -0.3, Z: ankleHigh}},
		toe:   [2]float64{24, 24},
		knee:  [2]vec{{X: 0.3, Y: 1}, {X: -0.3, Y: 1}},
	}
}

// stride sets the legs for a marching step, left foot leading.
func stride(st *stance) {
	st.hip = vec{Y: 0.2, Z: hipHeight - 0.35}
	st.ankle = [2]vec{{X: 1.3, Y: -3.9, Z: 2.2}, {X: -1.3, Y: 3.7, Z: ankleHigh + 0.15}}
	st.toe = [2]float64{12, 12}
	st.pitch = [2]float64{30, -6}
	st.turn, st.twist, st.lean = -5, 8, 3
	st.hand[0] = grip{at: vec{X: 4.7, Y: -1.6, Z: 14.7}, axis: vec{Y: 1, Z: -0.1}}
}

// apart sets the feet apart, one before the other.
func apart(st *stance, front side, step float64) {
	i := front.index()
	x := float64(front)
	st.ankle[i] = vec{X: 1.7 * x, Y: step, Z: ankleHigh}
	st.ankle[1-i] = vec{X: -1.9 * x, Y: -step, Z: ankleHigh}
	st.toe[i], st.toe[1-i] = 8, 42
	drop := step * step / 34
	st.hip = vec{Y: 0.25 * step, Z: hipHeight - 0.25 - drop}
}

func shouldered() action {
	st := standing()
	gun := along(vec{X: -3.15, Y: 2.35, Z: 22.2}, vec{X: -3.3, Y: -0.4, Z: 39}, vec{X: -0.5, Y: 1})
	st.hand[1] = grip{at: gun.at(0, -0.75, -6.2), axis: gun.dir(0, 1, 0.25)}
	st.elbow[1] = vec{X: -0.75, Y: -1, Z: -0.2}
	return action{st, func(s *sculpture, b *body, f *flesh, d *Dress) {
		s.musket(raise(b.root, gun), true, false)
	}}
}

// raise puts a frame of the stance into the world.
func raise(root, f frame) frame {
	d := func(v vec) vec { return root.dir(v.X, v.Y, v.Z) }
	return frame{root.at(f.o.X, f.o.Y, f.o.Z), d(f.x), d(f.y), d(f.z)}
}

func firing() action {
	st := standing()
	apart(st, left, 2.6)
	st.turn, st.twist, st.lean = -38, -6, 4
	st.headTurn, st.headTilt, st.headNod = 42, 14, 7
	gun := along(vec{X: 1.75, Y: 6.1, Z: 25.0}, vec{X: 1.75, Y: 24, Z: 25.0}, vec{Z: 1})
	st.hand = [2]grip{{at: gun.at(0, -0.25, 0.1), axis: gun.dir(0, 0.35, 1)}, {at: gun.at(0, -0.2, 5.2), axis: gun.dir(0, 0, 1)}}
	st.elbow = [2]vec{{X: 1, Y: -0.3, Z: -0.35}, {X: -0.35, Y: 0, Z: -1}}
	return action{st, func(s *sculpture, b *body, f *flesh, d *Dress) {
		s.musket(raise(b.root, gun), false, false)
	}}
}

func commanding() action {
	st := standing()
	apart(st, left, 1.9)
	st.toe = [2]float64{35, 10}
	st.headTurn, st.twist = 14, -8
	hand := vec{X: 5.6, Y: 4.6, Z: 26.2}
	st.hand[0] = grip{at: hand, axis: vec{X: 0.22, Y: 0.5, Z: 1}}
	st.elbow[0] = vec{X: 0.8, Y: -0.4, Z: -1}
	st.hand[1] = grip{at: vec{X: -3.5, Y: 1.5, Z: 18.2}, axis: vec{X: -0.3, Y: 1, Z: -0.35}}
	st.elbow[1] = vec{X: -1, Y: -0.75, Z: 0}
	return action{st, func(s *sculpture, b *body, f *flesh, d *Dress) {
		s.sword(b.held(0, st), 0.13, true)
	}}
}

func bearing() action {
	st := standing()
	apart(st, left, 1.5)
	st.headTurn = 12
	staff := along(vec{X: 0.9, Y: 4.1, Z: 14.2}, vec{X: 1.0, Y: 6.0, Z: 57}, vec{X: 0.5, Y: -1})
	st.hand = [2]grip{{at: staff.at(0, 0, 9.6), axis: staff.z}, {at: staff.at(0, 0, 4.0), axis: staff.z}}
	st.elbow = [2]vec{{X: 1, Y: -0.4, Z: -0.5}, {X: -1, Y: -0.6, Z: -0.3}}
	return action{st, func(s *sculpture, b *body, f *flesh, d *Dress) {
		g := raise(b.root, staff)
		s.colours(g, 43, 19, 17.5)
		s.add("cross straps", rod(g.at(0, 0, -0.3), g.at(0, 0, 1.2), 0.8, 0.9))
		s.strap(b, f, left, 0.34, 1.1)
	}}
}

// colours is a flag on its pole with finial; the pole is long mm.
func (s *sculpture) colours(g frame, long, fly, hoist float64) {
	const r = 0.5
	s.staff = &Pole{Foot: g.o, Top: g.at(0, 0, long), Radius: r, Fly: g.y}
	s.pole("flag pole", g, 0, long, r)
	s.finial("finial", g.move(0, 0, long))
	s.flag(g, long-hoist-1.2, fly, hoist)
}

func drumming() action {
	st := standing()
	apart(st, left, 1.2)
	st.headNod = 8
	d0 := along(vec{X: -1.3, Y: 5.9, Z: 17.2}, vec{X: -1.9, Y: 6.7, Z: 18.2}, vec{Y: 1})
	d0.o = vec{X: -0.9, Y: 5.6, Z: 17.4}
	st.hand = [2]grip{{at: vec{X: 3.4, Y: 5.2, Z: 20.2}, axis: vec{X: 0.75, Y: -0.75, Z: 0.6}}, {at: vec{X: -4.2, Y: 5.0, Z: 20.3}, axis: vec{X: -0.75, Y: -0.75, Z: 0.6}}}
	st.elbow = [2]vec{{X: 1, Y: -0.7, Z: -0.3}, {X: -1, Y: -0.7, Z: -0.3}}
	return action{st, func(s *sculpture, b *body, f *flesh, d *Dress) {
		g := raise(b.root, d0)
		s.drum(g)
		for i, sd := range sides {
			h := b.hand[i].o
			tip := g.at(0.5*float64(sd), 0.6, 0.35)
			s.add("drum sticks", rod(h.Add(h.Sub(tip).Unit().Mul(1.2)), tip, 0.28, 0.22))
			s.add("drum sticks", &ball{tip, 0.36})
		}
		s.strap(b, f, right, 0.34, 1.1)
	}}
}

// blowing lifts a trumpet to the mouth with the right hand.
func blowing(st *stance) action {
	z := st.hip.Z + 12.1
	mouth := vec{X: st.hip.X, Y: st.hip.Y + 2.2, Z: z - 0.75}
	horn := along(mouth, mouth.Add(vec{X: 0.12, Y: 1, Z: 0.16}), vec{Z: -1})
	st.hand[0] = grip{at: horn.at(0, 0.6, 3.4), axis: horn.dir(0, 0.1, 1)}
	st.elbow[0] = vec{X: 1, Y: -0.2, Z: -0.6}
	if st.hand[1].at.Z < hipHeight {
		st.hand[1] = grip{at: vec{X: -3.5, Y: 1.5, Z: 18.2}, axis: vec{X: -0.3, Y: 1, Z: -0.35}}
		st.elbow[1] = vec{X: -1, Y: -0.75}
	}
	return action{st, func(s *sculpture, b *body, f *flesh, d *Dress) {
		g := raise(b.root, horn)
		g.o = b.head.at(0, 2.05, -1.15)
		s.trumpet(g)
	}}
}

func ramming() action {
	st := standing()
	apart(st, left, 3.2)
	st.lean, st.turn = 10, -18
	staff := along(vec{X: 3.2, Y: -6.5, Z: 19.5}, vec{X: -0.6, Y: 26, Z: 20.3}, vec{Z: 1})
	st.hand = [2]grip{{at: staff.at(0, 0, 9.5), axis: staff.z}, {at: staff.at(0, 0, 16), axis: staff.z}}
	st.elbow = [2]vec{{X: 0.8, Y: -0.8, Z: -0.5}, {X: -0.8, Y: -0.2, Z: -0.8}}
	st.headTurn, st.headNod = 12, 6
	return action{st, func(s *sculpture, b *body, f *flesh, d *Dress) {
		g := raise(b.root, staff)
		s.pole("gun tool", g, 0, 32, 0.42)
		s.add("gun tool", feathered(cylinder(g.move(0, 0, 28.5), 3.6, 1.0, 1.0, 0.4), g))
		s.add("gun tool", cylinder(g.move(0, 0, -1.2), 1.8, 0.85, 0.85, 0.2))
	}}
}

func lighting() action {
	st := standing()
	apart(st, right, 2.4)
	st.lean, st.turn = 6, 12
	st.headTurn, st.headNod = -4, 8
	stick := along(vec{X: 2.2, Y: 7.6, Z: 21.5}, vec{X: 1.2, Y: 17, Z: 20.2}, vec{Z: 1})
	st.hand[0] = grip{at: stick.o, axis: stick.z}
	st.elbow[0] = vec{X: 0.7, Y: -0.3, Z: -1}
	st.hand[1] = grip{at: vec{X: -4.6, Y: -0.6, Z: 15}, axis: vec{Y: 1, Z: 0.2}}
	return action{st, func(s *sculpture, b *body, f *flesh, d *Dress) {
		g := raise(b.root, stick)
		s.pole("gun tool", g, -5, 10.5, 0.38)
		s.add("gun tool", cord(0.3, g.at(0.6, 0.2, 12), g.at(0, 0, 10.4), g.at(-0.6, 0.2, 12)))
		s.add("gun tool", cord(0.26, g.at(0.5, 0.3, 11.6), g.at(0.6, 0.2, 9.4), g.at(-0.55, 0, 8.2), g.at(0.5, -0.2, 7), g.at(-0.5, 0, 5.6)))
	}}
}

func levering() action {
	st := standing()
	apart(st, left, 3.0)
	st.lean = 26
	st.headNod = -6
	bar := along(vec{X: 1.4, Y: -1.5, Z: 15.8}, vec{X: 0.6, Y: 15.5, Z: 1.5}, vec{Z: 1})
	st.hand = [2]grip{{at: bar.at(0, 0, 5.2), axis: bar.z.Neg()}, {at: bar.at(0, 0, 9), axis: bar.z.Neg()}}
	st.elbow = [2]vec{{X: 1, Y: -0.5, Z: 0.1}, {X: -1, Y: -0.3, Z: -0.1}}
	return action{st, func(s *sculpture, b *body, f *flesh, d *Dress) {
		g := raise(b.root, bar)
		s.add("gun tool", rod(g.at(0, 0, 3.9), g.at(0, 0, 22), 0.48, 0.72))
		s.reach(g.at(0, 0, 22), 1.5)
	}}
}

// seatHigh is the rider's pelvis over the ground.
const seatHigh = 29.3

// riding is a man in the saddle, reins in the left hand.
func riding() *stance {
	return &stance{
		hip:   vec{Y: 0.2, Z: seatHigh},
		hand:  [2]grip{{at: vec{X: 4.2, Y: 3.4, Z: seatHigh + 2.4}, axis: vec{Z: 1, Y: 0.2}}, {at: vec{X: -0.8, Y: 4.6, Z: seatHigh + 3.0}, axis: vec{Z: 1, X: 0.2}}},
		elbow: [2]vec{{X: 0.7, Y: -1, Z: -0.5}, {X: -0.7, Y: -1, Z: -0.5}},
		ankle: [2]vec{{X: 5.9, Y: 2.2, Z: seatHigh - 12.6}, {X: -5.9, Y: 2.2, Z: seatHigh - 12.6}},
		toe:   [2]float64{14, 14},
		pitch: [2]float64{-14, -14},
		knee:  [2]vec{{X: 0.75, Y: 1}, {X: -0.75, Y: 1}},
	}
}

func ridingAction(p Pose) action {
	st := riding()
	switch p {
	case Trumpet:
		return blowing(st)
	case Command:
		st.hand[0] = grip{at: vec{X: 5.8, Y: 4.4, Z: seatHigh + 10.6}, axis: vec{X: 0.25, Y: 0.6, Z: 1}}
		st.elbow[0] = vec{X: 0.8, Y: -0.4, Z: -1}
		st.headTurn = 10
		return action{st, func(s *sculpture, b *body, f *flesh, d *Dress) {
			s.sword(b.held(0, st), 0.13, true)
		}}
	case Standard, Lance:
		staff := along(vec{X: 7.1, Y: 2.9, Z: 16}, vec{X: 6.9, Y: 3.6, Z: 60}, vec{X: 0.2, Y: -1})
		st.hand[0] = grip{at: staff.at(0, 0, 17.8), axis: staff.z}
		st.elbow[0] = vec{X: 0.8, Y: -1, Z: -0.8}
		return action{st, func(s *sculpture, b *body, f *flesh, d *Dress) {
			g := raise(b.root, staff)
			if p == Standard {
				s.colours(g, 44, 13.2, 12.2)
			} else {
				s.pole("lance shaft", g, 0, 46, 0.46)
				s.finial("lance head", g.move(0, 0, 46))
			}
			s.add("bridle", cylinder(g.move(0, 0, -0.2), 1.8, 0.65, 0.85, 0.2))
			s.add("bridle", rod(g.at(0, 0, 0.6), b.foot[0].at(0, 1.2, -0.6), 0.5, 0.5))
		}}
	case Carbine:
		gun := along(vec{X: 5.2, Y: 4.4, Z: seatHigh + 4.2}, vec{X: 6.2, Y: 6.6, Z: seatHigh + 16}, vec{X: 0.3, Y: 1})
		st.hand[0] = grip{at: gun.o, axis: gun.z}
		return action{st, func(s *sculpture, b *body, f *flesh, d *Dress) {
			s.musket(raise(b.root, gun), false, true)
		}}
	}
	st.hand[0] = grip{at: vec{X: 4.5, Y: 3.3, Z: seatHigh + 3.2}, axis: vec{X: 0.05, Y: -0.05, Z: 1}}
	return action{st, func(s *sculpture, b *body, f *flesh, d *Dress) {
		s.sword(b.held(0, st), 0.1, true)
	}}
}
