package figure

import (
	"math"
	"testing"

	"facings/internal/geom"
)

// bearers are the castings that hold a flag pole.
func bearers() []Spec {
	return []Spec{{Kind: Foot, Pose: Standard, Lacks: []string{"flag"}}, {Kind: Mounted, Pose: Standard, Lacks: []string{"flag"}}}
}

// The pole is where the casting has it: its faces lie round the line from foot
// to top, and the casting's own cloth streams the way it says.
func TestFlagPole(t *testing.T) {
	for _, spec := range bearers() {
		spec.Lacks = nil
		pole, held, err := FlagPole(spec)
		if err != nil || !held {
			t.Fatal(held, err)
		}
		m, err := Build(spec)
		if err != nil {
			t.Fatal(err)
		}
		axis := pole.Top.Sub(pole.Foot).Unit()
		out, n := 0.0, 0.0
		for i := range m.F {
			d := m.FaceCenter(i).Sub(pole.Foot)
			switch m.Labels[m.FaceLabel(i)] {
			case "flag pole":
				if r := d.Sub(axis.Mul(d.Dot(axis))).Len(); r > pole.Radius+0.25 {
					t.Errorf("%s: a face of the pole %.2f mm from its middle", spec.Kind, r)
				}
			case "flag":
				out, n = out+d.Dot(pole.Fly), n+1
			}
		}
		if n == 0 || out/n < 3 {
			t.Errorf("%s: the cloth lies %.1f mm along the fly on the mean", spec.Kind, out/n)
		}
	}
	if _, held, _ := FlagPole(Spec{Kind: Foot, Pose: March}); held {
		t.Error("a private holds a flag pole")
	}
}

// A cloth is as large as its paper (both faces keep their area, a fold keeps
// lengths), closed, and never mirrored: seen from outside, across the strip is
// to the right and down it is down, on the obverse, the sleeve and the reverse.
func TestClothIsThePaper(t *testing.T) {
	tail := func(y float64) float64 { return 30 - 7.5*(1-math.Abs(2*y/20-1)) }
	for name, c := range map[string]Cloth{
		"small": {Fly: 10.7, Hoist: 10.7, Sleeve: 3.6}, "large": {Fly: 35.4, Hoist: 32.7, Sleeve: 3.6}, "swallow-tail": {Fly: 30, Hoist: 20, Sleeve: 3.6, Reach: tail},
	} {
		for _, spec := range bearers() {
			pole, _, err := FlagPole(spec)
			if err != nil {
				t.Fatal(err)
			}
			m, uv := pole.Flying(c)
			if err := m.Validate(); err != nil || len(uv) != len(m.V) {
				t.Fatal(err, len(uv), len(m.V))
			}
			paper := c.Fly * c.Hoist
			if c.Reach != nil {
				paper -= 0.5 * 7.5 * c.Hoist
			}
			whole := 2*c.Fly + c.Sleeve
			var area [2]float64 // reverse, obverse
			axis := pole.Top.Sub(pole.Foot).Unit()
			for i, f := range m.F {
				a, b, d := uv[f[0]], uv[f[1]], uv[f[2]]
				flat := ((b[0]-a[0])*(d[1]-a[1]) - (d[0]-a[0])*(b[1]-a[1])) * whole * c.Hoist
				if math.Abs(flat) < 1e-9 {
					continue // an edge
				}
				if flat > 0 { // v runs down
					t.Fatalf("%s, %s: face %d shows its print mirrored", name, spec.Kind, i)
				}
				if m.FaceCenter(i).Sub(pole.Top).Dot(axis) > 0 {
					t.Fatalf("%s: cloth above the pole", name)
				}
				switch u := (a[0] + b[0] + d[0]) / 3 * whole; {
				case u < c.Fly:
					area[0] += m.FaceArea(i)
				case u > c.Fly+c.Sleeve:
					area[1] += m.FaceArea(i)
				}
			}
			for side, got := range area {
				if math.Abs(got-paper) > 0.04*paper {
					t.Errorf("%s, side %d: %.1f mm² of cloth, %.1f of paper", name, side, got, paper)
				}
			}
			// A thin body of paper: outward faces all round enclose a little of it.
			if v := volume(m); !(v > 0.5*paper*2*clothHalf && v < 2.5*paper*2*clothHalf) {
				t.Errorf("%s: %.1f mm³ of paper", name, v)
			}
		}
	}
}

// A large colour is turned until it runs clear of the man's head and shoulder.
func TestClothRunsClear(t *testing.T) {
	spec := bearers()[0]
	m, err := Build(spec)
	if err != nil {
		t.Fatal(err)
	}
	pole, _, err := FlagPole(spec)
	if err != nil {
		t.Fatal(err)
	}
	c := Cloth{Fly: 35.4, Hoist: 32.7, Sleeve: 3.6}
	tree := geom.NewBVH(m)
	near := func(p Pole) (n int) {
		cloth, uv := p.Flying(c)
		for i, v := range cloth.V {
			if s := math.Abs(uv[i][0]-0.5) * (2*c.Fly + c.Sleeve); s < 5 {
				continue
			}
			if face, _, _ := tree.Nearest(v, 0.5, nil); face >= 0 {
				n++
			}
		}
		return n
	}
	if near(pole) == 0 {
		t.Error("the colour is clear without turning: this test shows nothing")
	}
	if n := near(pole.Stream(c, m)); n > 0 {
		t.Errorf("%d points of the cloth touch the man", n)
	}
}
