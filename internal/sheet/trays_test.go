package sheet

import (
	"bytes"
	"image"
	"image/color"
	"math"
	"regexp"
	"strings"
	"testing"

	"facings"
)

// paraded is a unit of n figures in ranks of so many files.
func paraded(name string, n, files int, base facings.BaseSize) (*facings.Project, *facings.Roster) {
	u := facings.Unit{Name: name, Base: base, Roles: []facings.Role{{Name: "officer"}, {Name: "trooper"}},
		Scheme: facings.Scheme{"jacket": "#204030", "collar": "#208080", "cuffs": "#208080"}}
	r := &facings.Roster{Units: []facings.UnitRoster{{Unit: name}}}
	for i := range n {
		id := facings.FigureID{Unit: name, Role: "trooper", Number: i}
		if i == 0 {
			id = facings.FigureID{Unit: name, Role: "officer", Number: 1}
		}
		r.Figures = append(r.Figures, facings.Figure{ID: id, Index: i, Rank: 1 + i/files, File: 1 + i%files})
	}
	return &facings.Project{Name: "test", Units: []facings.Unit{u}}, r
}

// turned is a picture with rows and columns changed.
type turned struct{ image.Image }

func (p turned) Bounds() image.Rectangle {
	b := p.Image.Bounds()
	return image.Rect(b.Min.Y, b.Min.X, b.Max.Y, b.Max.X)
}
func (p turned) At(x, y int) color.Color { return p.Image.At(y, x) }

// TestTraysMeasured prints a tray of two ranks of six on 25 × 50 mm bases with
// an edge of 3 mm and measures outline and bases at 600 dpi, on our PNG and on
// the PDF drawn by poppler; the SVG's numbers must be the same.
func TestTraysMeasured(t *testing.T) {
	const dpi, edge = 600, 3.0
	k := dpi / inch
	for _, paper := range []Paper{A4(), Letter()} {
		p, r := paraded("Hussars", 12, 6, facings.BaseSize{WidthMM: 25, DepthMM: 50})
		d, sizes, err := Trays(p, r, TrayOptions{Paper: paper, EdgeMM: edge})
		if err != nil {
			t.Fatal(err)
		}
		if sizes[0].WidthMM != 156 || sizes[0].DepthMM != 106 {
			t.Fatalf("the tray is %v", sizes[0])
		}
		img, err := d.Raster(0, dpi)
		if err != nil {
			t.Fatal(err)
		}
		pictures := map[string]image.Image{"PNG": img}
		if other := byPoppler(t, d, dpi); other != nil {
			pictures["PDF"] = other
		}
		left, top := margin+trayMarks, margin+headerMM+trayMarks
		for kind, img := range pictures {
			near := func(what string, got, want float64) {
				if math.Abs(got-want) > 0.1 {
					t.Errorf("%s, %s: %s measures %.3f mm, not %.3f", paper.Name, kind, what, got, want)
				}
			}
			// Through the edge beside the arrow, and through the first bases.
			out := centres(img, k, int((top+1.5)*k), 0, left+50)
			out = append(out, centres(img, k, int((top+1.5)*k), left+130, paper.WidthMM)...)
			down := centres(turned{img}, k, int((left+1.5)*k), top-1, top+107)
			wide := centres(img, k, int((top+edge+5)*k), left+1, left+155)
			deep := centres(turned{img}, k, int((left+edge+1)*k), top+1, top+105)
			if len(out) != 2 || len(down) != 2 || len(wide) != 7 || len(deep) != 3 {
				t.Fatalf("%s, %s: lines at %v, %v, %v, %v", paper.Name, kind, out, down, wide, deep)
			}
			near("the width", out[1]-out[0], 156)
			near("the depth", down[1]-down[0], 106)
			for i := range 6 {
				near("a base's width", wide[i+1]-wide[i], 25)
			}
			near("the edge", wide[0]-out[0], edge)
			near("a base's depth", deep[1]-deep[0], 50)
			near("the second rank's", deep[2]-deep[1], 50)
		}
		var svg bytes.Buffer
		if err := d.WriteSVG(&svg, 0); err != nil {
			t.Fatal(err)
		}
		outline := regexp.MustCompile(`<path d="([^"]*)" fill="none" stroke="#000000" stroke-width="0.15"`).FindStringSubmatch(svg.String())
		if outline == nil || outline[1] != "M9.35 18.35L165.35 18.35M165.35 18.35L165.35 124.35M165.35 124.35L9.35 124.35M9.35 124.35L9.35 18.35" {
			t.Errorf("the SVG's outline is %q", outline)
		}
		said := strings.Join(strings.Fields(strings.Join(words(d), " ")), " ")
		for _, want := range []string{"Hussars", "Infantry, 12 figures", "officer, 11 × trooper", "collar, cuffs: #208080", "2 ranks of 6 files, bases 25 × 50 mm", facings.CautionBlade} {
			if !strings.Contains(said, want) {
				t.Errorf("%q is not on the label:\n%s", want, said)
			}
		}
	}
}

// A tray that no page holds is cut between bases: every base is on one part,
// the parts together are the tray, and each part fits.
func TestTraysInParts(t *testing.T) {
	for _, c := range []struct{ n, files int }{{80, 40}, {36, 18}, {1, 1}, {60, 5}, {400, 20}} {
		for _, edge := range []float64{0, 8} {
			p, r := paraded("A regiment with a long name", c.n, c.files, facings.BaseSize{WidthMM: 25, DepthMM: 50})
			d, sizes, err := Trays(p, r, TrayOptions{Paper: Letter(), EdgeMM: edge})
			if err != nil {
				t.Fatal(err)
			}
			tr := &tray{unit: &p.Units[0], s: stand(p, &p.Units[0], r.Figures), edge: edge}
			area, bases := 0.0, 0
			for _, part := range tr.parts(Letter()) {
				b := tr.box(part)
				area += b.W() * b.H()
				bases += (part.files[1] - part.files[0]) * (part.ranks[1] - part.ranks[0])
			}
			if math.Abs(area-sizes[0].WidthMM*sizes[0].DepthMM) > 1e-6 || bases != c.n {
				t.Errorf("%v: parts of %.0f mm² with %d bases, tray %.0f mm²", c, area, bases, sizes[0].WidthMM*sizes[0].DepthMM)
			}
			for i := range d.Pages {
				whiteMargins(t, d, i)
			}
		}
	}
}

// Bases without a size are as the castings stand; a gun's is its own.
func TestTrayOfAGun(t *testing.T) {
	p, r := paraded("Gun", 5, 5, facings.BaseSize{})
	r.Figures[0].Body = facings.Body{Name: "gun", Areas: []facings.AreaSpec{{Name: "barrel"}}}
	_, sizes, err := Trays(p, r, TrayOptions{Paper: A4()})
	if err != nil || sizes[0].WidthMM != 40+4*20 || sizes[0].DepthMM != 70 {
		t.Errorf("%v, %v", sizes, err)
	}
	if _, _, err := Trays(p, r, TrayOptions{Paper: A4(), EdgeMM: math.NaN()}); err == nil {
		t.Error("an edge that is no number is accepted")
	}
	p, r = paraded("Tower", 1, 1, facings.BaseSize{WidthMM: 400, DepthMM: 400})
	if _, _, err := Trays(p, r, TrayOptions{Paper: A4()}); err == nil || !strings.Contains(err.Error(), "wider than the paper") {
		t.Errorf("a base of 400 mm: %v", err)
	}
}
