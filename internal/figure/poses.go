package figure

// assemble checks a spec and puts its casting together.
func assemble(spec Spec) (*sculpture, error) {
	adds := spec.Adds
	spec = spec.normal()
	if err := spec.check(adds); err != nil {
		return nil, err
	}
	s := &sculpture{lacks: spec.Lacks}
	s.lo, s.hi = vec{X: -12, Y: -12, Z: -1}, vec{X: 12, Y: 14, Z: 46}
	switch spec.Kind {
	case Foot:
		s.footFigure(&spec)
	case Mounted:
		s.lo, s.hi = vec{X: -14, Y: -26, Z: -1}, vec{X: 14, Y: 26, Z: 60}
		s.mountedFigure(&spec)
	}
	return s, nil
}

func (s *sculpture) mountedFigure(spec *Spec) {
	root := world(vec{Y: -1.5, Z: baseHigh})
	h := s.horse(root, spec.Gait)
	st := ridingStance()
	b := st.build(root)
	s.man(b, &spec.Dress, true)
	s.tack(h, &spec.Dress, b.hand[left.index()].o, true)
	if !spec.NoBase {
		s.squareBase(25, 50)
	}
}

// ridingStance is a man in the saddle, reins in the left hand.
func ridingStance() *stance {
	const seat = 29.3
	return &stance{
		hip:   vec{Y: 0.2, Z: seat},
		hand:  [2]grip{{at: vec{X: 4.6, Y: 3.5, Z: seat + 3}, axis: vec{Z: 1, Y: 0.2}}, {at: vec{X: -0.8, Y: 4.6, Z: seat + 3.3}, axis: vec{Z: 1, X: 0.2}}},
		elbow: [2]vec{{X: 0.9, Y: -1, Z: -0.3}, {X: -0.9, Y: -1, Z: -0.3}},
		ankle: [2]vec{{X: 5.9, Y: 2.2, Z: seat - 12.6}, {X: -5.9, Y: 2.2, Z: seat - 12.6}},
		toe:   [2]float64{14, 14},
		pitch: [2]float64{-14, -14},
		knee:  [2]vec{{X: 0.75, Y: 1}, {X: -0.75, Y: 1}},
	}
}

func (s *sculpture) footFigure(spec *Spec) {
	root := world(vec{Z: baseHigh})
	st := standingStance()
	b := st.build(root)
	s.man(b, &spec.Dress, false)
	if !spec.NoBase {
		if spec.Square {
			s.squareBase(20, 20)
		} else {
			s.roundBase(20)
		}
	}
}

// standingStance is a man at attention, hands at his sides.
func standingStance() *stance {
	return &stance{
		hip:   vec{Z: hipHeight},
		hand:  [2]grip{{at: vec{X: 4.6, Y: 0.5, Z: 14.2}, axis: vec{Y: 1, Z: 0.2}}, {at: vec{X: -4.6, Y: 0.5, Z: 14.2}, axis: vec{Y: 1, Z: 0.2}}},
		elbow: [2]vec{{X: 0.6, Y: -1}, {X: -0.6, Y: -1}},
		ankle: [2]vec{{X: 1.5, Y: -0.3, Z: ankleHigh}, {X: -1.5, Y: -0.3, Z: ankleHigh}},
		toe:   [2]float64{22, 22},
		knee:  [2]vec{{X: 0.3, Y: 1}, {X: -0.3, Y: 1}},
	}
}
