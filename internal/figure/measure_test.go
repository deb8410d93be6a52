package figure

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"facings/internal/geom"
)

const handMM = 101.6 // 1 hand = 4 in

// TestHorseHeight compares the withers with what the remount books ask of a
// cavalry horse (testdata/remount-1810-1912).
func TestHorseHeight(t *testing.T) {
	file, err := os.Open("testdata/remount-1810-1912/horses.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	s := &sculpture{}
	h := s.horse(world(vec{}), Standing)
	top, _ := hit(h.trunk, vec{Y: 6.5, Z: 60}, vec{Z: -1})
	real := top.Z * 56
	checked := 0
	for _, r := range rows[1:] {
		if !strings.Contains(r[0], "cavalry") && !strings.Contains(r[0], "campaign") {
			continue
		}
		lo, hi := hands(t, r[1]), hands(t, r[2])
		if real < lo-10 || real > hi+10 {
			t.Errorf("withers %.0f mm, %s wants %.0f to %.0f", real, r[0], lo, hi)
		}
		checked++
	}
	if checked < 3 {
		t.Fatalf("only %d rows compared", checked)
	}
	// 15 hands 2 inches exactly, within a barleycorn.
	if want := 15*handMM + 2*25.4; math.Abs(real-want) > 12 {
		t.Errorf("withers %.0f mm, want %.0f", real, want)
	}
}

// hands reads "15.2" as 15 hands 2 inches and quarters like 15.75 as decimals,
// as the file's notes say.
func hands(t *testing.T, s string) float64 {
	t.Helper()
	whole, part, _ := strings.Cut(s, ".")
	w, err := strconv.Atoi(whole)
	if err != nil {
		t.Fatal(err)
	}
	if len(part) == 2 {
		f, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		return f * handMM
	}
	in, err := strconv.Atoi(part)
	if err != nil {
		t.Fatal(err)
	}
	return float64(w)*handMM + float64(in)*25.4
}

// TestManHeight: 1.70 m at 1/56 is 30.36 mm (arithmetic), to the crown of a bare
// head.
func TestManHeight(t *testing.T) {
	spec := Spec{NoBase: true, Pose: Linstock, Dress: Dress{Headgear: BareHead}}.normal()
	s := &sculpture{}
	d := spec.Dress
	s.dressed(action{st: standing()}, world(vec{}), &d, false)
	top := math.Inf(-1)
	for x := -1.0; x <= 1; x += 0.1 {
		for y := -1.0; y <= 1; y += 0.1 {
			if p, ok := hit(&anyOf{s}, vec{X: x, Y: y, Z: 50}, vec{Z: -1}); ok {
				top = max(top, p.Z)
			}
		}
	}
	if want := 1700.0 / 56; math.Abs(top-want) > 0.3 {
		t.Errorf("man %.2f mm high, want %.2f", top, want)
	}
	low, ok := hit(&anyOf{s}, vec{X: 1.5, Y: 1, Z: -5}, vec{Z: 1})
	if !ok || math.Abs(low.Z) > 0.15 {
		t.Errorf("soles at %.2f mm, want 0", low.Z)
	}
}

// anyOf lets a scene be walked towards like a node.
type anyOf struct{ s *sculpture }

func (a *anyOf) dist(p vec) float64            { return a.s.dist(p) }
func (a *anyOf) prune(w where) (node, float64) { return a, a.dist(w.c) }

// TestWholeArea compares with the estimate from the Du Bois surface of a man
// of 1.70 m and 70 kg (1.81 m² [dubois1916], 5.8 cm² at 1/56) times 2.1 to 2.8
// for clothing and kit, and from a horse of 5.4 to 6.8 m² under its tack and
// rider; the factors are estimates. Without the base.
func TestWholeArea(t *testing.T) {
	slow(t)
	for name, want := range map[string][2]float64{"shoulder": {12.2, 16}, "trooper": {30, 45}} {
		sum := 0.0
		for _, a := range Measure(fine(t, cases()[name])) {
			if a.Area != "base" && a.Area != "base rim" {
				sum += a.MM2 / 100
			}
		}
		if sum < want[0] || sum > want[1] {
			t.Errorf("%s: %.1f cm², want %.0f to %.0f", name, sum, want[0], want[1])
		}
	}
}

// TestMirror: the bare horse and the gun are alike on both sides, but for the
// mane, which falls to the right. The order of blending leaves some hundredths of a millimetre.
func TestMirror(t *testing.T) {
	horse, gun := &sculpture{}, &sculpture{}
	horse.lacks = []string{"mane", "tail"}
	horse.horse(world(vec{}), Standing)
	gun.fieldGun(world(vec{}))
	gun.lacks = nil
	for name, s := range map[string]*sculpture{"horse": horse, "gun": gun} {
		for i := range 4000 {
			u := func(k int) float64 {
				return math.Mod(float64(i)*[]float64{0.6180339887, 0.7548776662, 0.5698402910}[k], 1)
			}
			p := vec{X: 8 * u(0), Y: 40*u(1) - 20, Z: 38 * u(2)}
			q := p
			q.X = -p.X
			if a, b := s.dist(p), s.dist(q); math.Abs(a) < 1 && math.Abs(a-b) > 0.05 {
				t.Fatalf("%s: %.6f at %v, %.6f on the other side", name, a, p, b)
			}
		}
	}
}

// TestScale: areas grow with the square of the size, lengths with it.
func TestScale(t *testing.T) {
	slow(t)
	m := fine(t, cases()["shoulder"])
	const k = 1.7
	big := m.Clone()
	big.Scale(k)
	a, b := Measure(m), Measure(big)
	near := func(x, y float64) bool { return math.Abs(x-y) <= 1e-6*(1+math.Abs(x)) }
	for i := range a {
		if a[i].Area != b[i].Area || !near(a[i].MM2*k*k, b[i].MM2) || !near(a[i].BorderMM*k, b[i].BorderMM) ||
			!near(a[i].WidthMM*k, b[i].WidthMM) || !near(a[i].Curvature, k*b[i].Curvature) {
			t.Errorf("%+v times %g gives %+v", a[i], k, b[i])
		}
		if b[i].Fiddly >= a[i].Fiddly {
			t.Errorf("%s: larger is not easier: %.3f then %.3f", a[i].Area, a[i].Fiddly, b[i].Fiddly)
		}
	}
}

// TestMeasureBox: a box of 2×3×4 mm with one side painted apart.
func TestMeasureBox(t *testing.T) {
	m := &geom.Mesh{}
	for i := range 8 {
		m.V = append(m.V, vec{X: 2 * float64(i&1), Y: 3 * float64(i>>1&1), Z: 4 * float64(i>>2)})
	}
	for i, q := range [6][4]int32{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		name := "coat"
		if i == 1 {
			name = "lid"
		}
		for _, f := range [2][3]int32{{q[0], q[1], q[2]}, {q[0], q[2], q[3]}} {
			m.F = append(m.F, f)
			m.Label = append(m.Label, m.LabelID(name))
		}
	}
	got := Measure(m)
	if len(got) != 2 || got[0].Area != "coat" || got[1].Area != "lid" {
		t.Fatalf("areas %+v", got)
	}
	lid, coat := got[1], got[0]
	for what, v := range map[string][2]float64{
		"lid mm²": {lid.MM2, 6}, "lid border": {lid.BorderMM, 10}, "lid width": {lid.WidthMM, 2}, "lid bend": {lid.Curvature, 0},
		"coat mm²": {coat.MM2, 46},
		// Eight right-angled edges: four of 4 mm, two of 2, two of 3.
		"coat bend": {coat.Curvature, math.Pi / 2 * 26 / (2 * 46)},
	} {
		if math.Abs(v[0]-v[1]) > 1e-9 {
			t.Errorf("%s %.6f, want %.6f", what, v[0], v[1])
		}
	}
	if len(lid.Neighbours) != 1 || lid.Neighbours[0] != (Neighbour{"coat", 10}) || lid.Patches != 1 {
		t.Errorf("lid %+v", lid)
	}
}

// TestLayers: what anyone who has painted such a casting knows (common
// practice: inside before outside).
func TestLayers(t *testing.T) {
	slow(t)
	for name, want := range map[string][][2]string{
		"shoulder": {{"cross straps", "jacket"}, {"lapels", "jacket"}, {"buttons", "lapels"}, {"cuffs", "jacket"}, {"hat lace", "hat"}, {"turnbacks", "jacket"}},
		"trooper":  {{"saddle cloth", "horse coat"}, {"bridle", "horse coat"}, {"saddle cloth border", "horse coat"}, {"mane", "horse coat"}, {"waist belt", "jacket"}},
	} {
		spec := cases()[name]
		got, err := Layers(spec, fine(t, spec))
		if err != nil {
			t.Fatal(err)
		}
		has := map[[2]string]bool{}
		for _, l := range got {
			has[[2]string{l.Upper, l.Lower}] = true
		}
		for _, w := range want {
			if !has[w] {
				t.Errorf("%s: %s does not lie on %s", name, w[0], w[1])
			}
			if has[[2]string{w[1], w[0]}] {
				t.Errorf("%s: %s lies on %s", name, w[1], w[0])
			}
		}
		for _, l := range got {
			if has[[2]string{l.Lower, l.Upper}] {
				t.Errorf("%s: %s and %s lie on each other", name, l.Upper, l.Lower)
			}
		}
	}
}
