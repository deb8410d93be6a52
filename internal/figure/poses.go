package figure

// assemble checks a spec and puts its casting together.
func assemble(spec Spec) (*sculpture, error) { return assembleFor(spec, 1) }

// assembleFor puts a casting together to be built k times as coarsely: what is
// too thin for that is a little thicker.
func assembleFor(spec Spec, k float64) (*sculpture, error) {
	adds := spec.Adds
	spec = spec.normal()
	if err := spec.check(adds); err != nil {
		return nil, err
	}
	s := &sculpture{lacks: spec.Lacks, swell: 0.12 * (k - 1)}
	s.lo, s.hi = vec{X: -12, Y: -12, Z: -1}, vec{X: 12, Y: 14, Z: 46}
	switch spec.Kind {
	case Foot:
		s.footFigure(&spec)
	case Mounted:
		s.lo, s.hi = vec{X: -14, Y: -26, Z: -1}, vec{X: 14, Y: 26, Z: 60}
		s.mountedFigure(&spec)
	case Gun:
		s.fieldGun(world(vec{Y: 8, Z: baseHigh}))
		if !spec.NoBase {
			s.squareBase(40, 70)
		}
	}
	return s, nil
}

// action is a stance and what the hands hold, added once the man stands.
type action struct {
	st  *stance
	arm func(s *sculpture, b *body, f *flesh, d *Dress)
}

// dressed adds the man, his kit and what he holds.
func (s *sculpture) dressed(a action, root frame, d *Dress, mounted bool) *body {
	b := a.st.build(root)
	f := s.man(b, d, mounted)
	if d.Breastplate {
		s.breastplate(b, f)
	}
	if d.OverJacket {
		s.overJacket(b, f)
	}
	s.kit(b, d, f, mounted)
	if a.arm != nil {
		a.arm(s, b, f, d)
	}
	return b
}

func (s *sculpture) footFigure(spec *Spec) {
	d := spec.Dress
	d.swordDrawn, d.drumBefore = spec.Pose == Command, spec.Pose == Drum
	s.dressed(footAction(spec.Pose), world(vec{Z: baseHigh}), &d, false)
	if spec.NoBase {
		return
	}
	if spec.Square {
		s.squareBase(20, 20)
	} else {
		s.roundBase(20)
	}
}

func (s *sculpture) mountedFigure(spec *Spec) {
	root := world(vec{Y: -1.5, Z: baseHigh})
	h := s.horse(root, spec.Gait)
	d := spec.Dress
	d.swordDrawn = spec.Pose == Command || spec.Pose == Sabre
	b := s.dressed(ridingAction(spec.Pose), root, &d, true)
	if d.Carbine && spec.Pose != Carbine {
		s.slungCarbine(root)
	}
	s.tack(h, b.hand[left.index()].o)
	if !spec.NoBase {
		s.squareBase(25, 50)
	}
}

// slungCarbine hangs muzzle down behind a rider's right leg.
func (s *sculpture) slungCarbine(root frame) {
	s.musket(along(root.at(5.9, -2.6, 26.2), root.at(6.6, -5.4, 15), root.dir(1, 0, 0.3)), false, true)
}
