package sheet

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"image"
	"image/color"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"facings"
)

const inch = 25.4 // exact by definition

func facts(t *testing.T, name string) []map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join("testdata/facts", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, r := range rows[1:] {
		m := map[string]string{}
		for i, k := range rows[0] {
			m[k] = r[i]
		}
		out = append(out, m)
	}
	return out
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// Ref: iso216; Letter by ASME Y14.1, both as in testdata/facts.
func TestPaperSizes(t *testing.T) {
	found := 0
	for _, row := range facts(t, "paper_iso216.csv") {
		for _, p := range []Paper{A4(), Letter()} {
			if row["size"] == p.Name {
				found++
				if p.WidthMM != number(t, row["width_mm"]) || p.HeightMM != number(t, row["height_mm"]) {
					t.Errorf("%s is %v × %v mm", p.Name, p.WidthMM, p.HeightMM)
				}
			}
		}
	}
	if found != 2 {
		t.Fatal("papers missing from the table")
	}
}

// withFlag is a project of one unit with a flag.
func withFlag(f facings.Flag) *facings.Project {
	return &facings.Project{Name: "test", Scale: 56, Units: []facings.Unit{{Name: "First", Flag: &f}}}
}

func plain(colours ...string) []facings.FlagPart {
	var parts []facings.FlagPart
	for i, c := range colours {
		if i == 0 {
			parts = append(parts, facings.FlagPart{Part: "field", Colours: []string{c}})
		} else {
			parts = append(parts, facings.FlagPart{Part: "bell", Colours: []string{c}})
		}
	}
	return parts
}

// Every regulation size comes out divided by the scale; those that are larger
// than the paper are refused with the way out.
func TestFlagSizesByRegulations(t *testing.T) {
	printed := 0
	for _, row := range facts(t, "flags_colours.csv") {
		if _, err := strconv.ParseFloat(row["fly_in"], 64); err != nil { // its kind holds a comma without quotes
			row["fly_in"], row["hoist_in"] = row["hoist_in"], row["staff_in"]
		}
		fly, hoist := number(t, row["fly_in"])*inch, number(t, row["hoist_in"])*inch
		for _, scale := range []float64{56, 72, 100} {
			s, err := Flags(withFlag(facings.Flag{FlyMM: fly, HoistMM: hoist, Parts: plain("gules")}), FlagOptions{Paper: A4(), Scale: scale, Copies: 1})
			if err != nil {
				if 2*fly/scale < 180 && hoist/scale < 180 {
					t.Errorf("%s at 1/%g: %v", row["kind"], scale, err)
				}
				continue
			}
			printed++
			got := s.Flags[0]
			if math.Abs(got.FlyMM-fly/scale) > 1e-9 || math.Abs(got.HoistMM-hoist/scale) > 1e-9 {
				t.Errorf("%s at 1/%g: %v × %v mm", row["kind"], scale, got.FlyMM, got.HoistMM)
			}
		}
	}
	if printed < 20 {
		t.Errorf("only %d flags printed", printed)
	}
}

// The sleeve goes round the pole: its circumference (geometry) and 0.5 mm of
// ease (estimate of common practice: 3.6 mm round a pole of 1 mm).
func TestSleeve(t *testing.T) {
	for d, want := range map[float64]float64{1: 3.642, 0.8: 3.013, 0: 3.642} {
		if got := Sleeve(d); math.Abs(got-want) > 0.001 {
			t.Errorf("a pole of %v mm takes a sleeve of %v mm", d, got)
		}
	}
}

// span is where along a row (or column) of pixels the paper is coloured as
// wanted: from the first to the last, in mm, reading edges to a part of a pixel.
func span(img image.Image, k float64, at int, upright bool, is func(color.Color) float64) (from, to float64) {
	n := img.Bounds().Dx()
	if upright {
		n = img.Bounds().Dy()
	}
	from, to = -1, -1
	for i := range n {
		c := img.At(i, at)
		if upright {
			c = img.At(at, i)
		}
		if v := is(c); v > 0.02 {
			if from < 0 {
				from = (float64(i) + 1 - v) / k
			}
			to = (float64(i) + v) / k
		}
	}
	return from, to
}

// dark is how black a pixel is; red how far from white towards red.
func dark(c color.Color) float64 {
	r, g, b, _ := c.RGBA()
	return 1 - float64(max(r, g, b))/0xffff
}

func red(c color.Color) float64 {
	r, g, _, _ := c.RGBA()
	return (float64(r) - float64(g)) / 0xffff
}

// TestMeasured prints a flag without bleed at 600 dpi on both papers and
// measures faces, sleeve and ruler on the pixels, from our own PNG and, where
// it is installed, from the PDF drawn by poppler.
func TestMeasured(t *testing.T) {
	const dpi = 600
	k := dpi / inch
	for _, paper := range []Paper{A4(), Letter()} {
		for _, scale := range []float64{56, 72} {
			if (paper.Name == "A4") != (scale == 56) {
				continue // one scale on each
			}
			f := facings.Flag{FlyMM: 1981.2, HoistMM: 1828.8, Parts: []facings.FlagPart{{Part: "field", Colours: []string{"#ff0000"}}}}
			s, err := Flags(withFlag(f), FlagOptions{Paper: paper, Scale: scale, Copies: 1})
			if err != nil {
				t.Fatal(err)
			}
			img, err := s.Document.Raster(0, dpi)
			if err != nil {
				t.Fatal(err)
			}
			pictures := map[string]image.Image{"own": img}
			if other := byPoppler(t, s.Document, dpi); other != nil {
				pictures["poppler"] = other
			}
			for name, img := range pictures {
				measure(t, name+" "+paper.Name, img, k, 2*1981.2/scale+Sleeve(0), 1828.8/scale, Sleeve(0))
			}
		}
	}
}

func measure(t *testing.T, what string, img image.Image, k, width, height, sleeve float64) {
	t.Helper()
	near := func(name string, got, want float64) {
		if math.Abs(got-want) > 0.1 {
			t.Errorf("%s: %s measures %.3f mm, not %.3f", what, name, got, want)
		}
	}
	top, foot, left, right := -1.0, -1.0, 0.0, 0.0
	column := int((margin + markGap + markLength + 5) * k)
	top, foot = span(img, k, column, true, red)
	near("hoist", foot-top, height)
	row := int((top + foot) / 2 * k)
	left, right = span(img, k, row, false, red)
	near("both faces and sleeve", right-left, width)
	// Above the cloth stand the crop marks and between them the fold marks.
	marks := centres(img, k, int((top-markGap-0.4)*k), left-0.5, right+0.5)
	if len(marks) != 4 {
		t.Fatalf("%s: %d marks above the flag at %v", what, len(marks), marks)
	}
	face := (width - sleeve) / 2
	near("reverse", marks[1]-marks[0], face)
	near("sleeve", marks[2]-marks[1], sleeve)
	near("obverse", marks[3]-marks[2], face)
	near("marks against colour", marks[0]-left, 0)
	// The ruler: its ticks at 0 and 50 are the longest.
	paper := A4()
	if img.Bounds().Dy() < int(290*k) {
		paper = Letter()
	}
	ticks := centres(img, k, int((paper.Inside().Y1-6.5+2.7)*k), 0, paper.WidthMM)
	if len(ticks) != 6 {
		t.Fatalf("%s: %d long ticks on the ruler at %v", what, len(ticks), ticks)
	}
	near("ruler", ticks[5]-ticks[0], 50)
}

// centres of dark strokes along a row between two places, mm.
func centres(img image.Image, k float64, row int, from, to float64) []float64 {
	var out []float64
	sum, weight := 0.0, 0.0
	for x := int(from * k); x < int(to*k); x++ {
		if d := dark(img.At(x, row)); d > 0.05 {
			sum += d * (float64(x) + 0.5)
			weight += d
		} else if weight > 0 {
			out = append(out, sum/weight/k)
			sum, weight = 0, 0
		}
	}
	return out
}

// byPoppler draws a document's PDF with pdftoppm; nil where it is missing.
func byPoppler(t *testing.T, d *Document, dpi int) image.Image {
	t.Helper()
	tool, err := exec.LookPath("pdftoppm")
	if err != nil {
		t.Log("pdftoppm is not installed: the PDF was not measured")
		return nil
	}
	dir := t.TempDir()
	var b bytes.Buffer
	if err := d.WritePDF(&b); err != nil {
		t.Fatal(err)
	}
	in := filepath.Join(dir, "in.pdf")
	if err := os.WriteFile(in, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command(tool, "-r", strconv.Itoa(dpi), "-singlefile", in, filepath.Join(dir, "out")).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	data, err := os.ReadFile(filepath.Join(dir, "out.ppm"))
	if err != nil {
		t.Fatal(err)
	}
	var w, h, most int
	if _, err := fmt.Sscanf(string(data[:20]), "P6\n%d %d\n%d", &w, &h, &most); err != nil || most != 255 {
		t.Fatal("not the PPM expected", err)
	}
	return &pixmap{data[len(data)-3*w*h:], w, h}
}

// pixmap is a PPM's pixels.
type pixmap struct {
	rgb  []byte
	w, h int
}

func (p *pixmap) ColorModel() color.Model { return color.RGBAModel }
func (p *pixmap) Bounds() image.Rectangle { return image.Rect(0, 0, p.w, p.h) }
func (p *pixmap) At(x, y int) color.Color {
	i := 3 * (y*p.w + x)
	return color.RGBA{p.rgb[i], p.rgb[i+1], p.rgb[i+2], 255}
}

// everyPart is a flag with each part in turn, lettering aside.
func everyPart(lettering bool) []facings.Flag {
	var out []facings.Flag
	add := func(parts ...facings.FlagPart) {
		out = append(out, facings.Flag{FlyMM: 900, HoistMM: 800, Parts: parts})
	}
	field := facings.FlagPart{Part: "field", Colours: []string{"azure"}}
	for _, s := range facings.FlagParts() {
		if s.Part == "field" || (s.Text && !lettering) {
			continue
		}
		x := facings.FlagPart{Part: s.Part, Colours: []string{"or", "gules"}[:min(2, s.Colours)]}
		if s.Text {
			x.Text = "VEY"
		}
		if s.Part == "fringe" {
			x.Size = 50.0 / 7 // 1 mm on the strips measured here
		}
		add(field, x)
	}
	for _, d := range facings.Divisions() {
		add(facings.FlagPart{Part: "field", Division: d.Name, Colours: []string{"azure", "or", "gules", "vert", "sable", "argent"}[:d.Most]})
	}
	return out
}

// The reverse is the obverse in a mirror, pixel by pixel, for every part but
// lettering: which is the same on both sides once moved.
func TestReverseIsMirrored(t *testing.T) {
	for _, f := range everyPart(false) {
		img, s := drawnStrip(t, f)
		if n := differing(img, s, true); n > 0.004 {
			t.Errorf("%v: %.2f %% of the pixels differ from the mirror image", f.Parts[len(f.Parts)-1], 100*n)
		}
	}
	for _, part := range []string{"monogram", "lettering"} {
		f := facings.Flag{FlyMM: 900, HoistMM: 800, Parts: []facings.FlagPart{{Part: "field", Colours: []string{"azure"}}, {Part: part, Text: "RVE", Size: 40, Colours: []string{"or"}}}}
		img, s := drawnStrip(t, f)
		if n := differing(img, s, true); n < 0.02 {
			t.Errorf("%s is mirrored", part)
		}
		if n := differing(img, s, false); n > 0.004 {
			t.Errorf("%s does not read alike on both faces: %.2f %% differ", part, 100*n)
		}
	}
}

// drawnStrip draws a strip alone, its cut at the page's corner and the sleeve
// a whole number of pixels.
func drawnStrip(t *testing.T, f facings.Flag) (*image.RGBA, *strip) {
	t.Helper()
	f.PoleMM = (4 - SleeveEase) / math.Pi
	f.FlyMM, f.HoistMM = 16*50, 14*50
	s := newStrip(drawn{flag: &f, colour: colours(nil)}, 50, 0)
	d := &Document{Pages: []Page{{Paper: Paper{WidthMM: s.width(), HeightMM: s.height()}, Items: s.items}}}
	img, err := d.Raster(0, 254)
	if err != nil {
		t.Fatal(err)
	}
	return img, s
}

// differing is the share of a face's pixels that are not as on the other face,
// mirrored or moved.
func differing(img *image.RGBA, s *strip, mirror bool) float64 {
	w, h := int(math.Round(s.fly*10)), img.Bounds().Dy()
	n := 0
	for y := range h {
		for x := range w {
			a := img.RGBAAt(img.Bounds().Dx()-w+x, y)
			b := img.RGBAAt(w-1-x, y)
			if !mirror {
				b = img.RGBAAt(x, y)
			}
			if far(a.R, b.R) || far(a.G, b.G) || far(a.B, b.B) {
				n++
			}
		}
	}
	return float64(n) / float64(w*h)
}

func far(a, b uint8) bool { return max(a, b)-min(a, b) > 48 }

// Every part of the list draws something of its own.
func TestEveryPartIsDrawn(t *testing.T) {
	seen := map[string]string{}
	for _, f := range everyPart(true) {
		img, _ := drawnStrip(t, f)
		x := f.Parts[len(f.Parts)-1]
		name := x.Part + " " + x.Division
		if other, twice := seen[string(img.Pix)]; twice {
			t.Errorf("%q looks like %q", name, other)
		}
		seen[string(img.Pix)] = name
	}
}

// Nothing is printed where printers cannot print, whatever the flag.
func TestMarginsStayWhite(t *testing.T) {
	p := &facings.Project{Name: "A project with a name that is long enough to run over the heading of any page if it were not cut off somewhere", Scale: 56}
	for i, f := range everyPart(true) {
		f.Source = "a source that is said at some length, so that it takes several lines under the flag"
		f.Shape = facings.FlagShapes()[i%4]
		p.Units = append(p.Units, facings.Unit{Name: "Unit " + strconv.Itoa(i), Flag: &f})
	}
	long := facings.Flag{FlyMM: 5500, HoistMM: 2000, Parts: plain("gules", "or")} // lies on its side
	p.Units = append(p.Units, facings.Unit{Name: "Long", Flag: &long})
	for _, paper := range []Paper{A4(), Letter()} {
		hatching := paper.Name == "A4"
		s, err := Flags(p, FlagOptions{Paper: paper, Copies: 1, BleedMM: 1, Hatching: hatching, Ripples: !hatching})
		if err != nil {
			t.Fatal(err)
		}
		for i := range s.Document.Pages {
			whiteMargins(t, s.Document, i)
		}
	}
}

// whiteMargins draws a page and looks for ink outside what may be printed on.
func whiteMargins(t *testing.T, d *Document, page int) {
	t.Helper()
	const dpi = 72
	img, err := d.Raster(page, dpi)
	if err != nil {
		t.Fatal(err)
	}
	in := d.Pages[page].Paper.Inside()
	k := dpi / inch
	inside := image.Rect(int(in.X0*k), int(in.Y0*k), int(math.Ceil(in.X1*k)), int(math.Ceil(in.Y1*k)))
	for y := range img.Bounds().Dy() {
		for x := range img.Bounds().Dx() {
			if !(image.Point{x, y}).In(inside) && img.RGBAAt(x, y) != (color.RGBA{255, 255, 255, 255}) {
				t.Fatalf("page %d of %q: ink in the margin at %.1f, %.1f mm", page+1, d.Title, float64(x)/k, float64(y)/k)
			}
		}
	}
}

// Ripples raise on one side what they sink on the other.
func TestRipplesChangePlaces(t *testing.T) {
	f := facings.Flag{FlyMM: 800, HoistMM: 700, Parts: plain("#808080")}
	s := newStrip(drawn{flag: &f, colour: colours(nil), ripples: true}, 50, 0)
	d := &Document{Pages: []Page{{Paper: Paper{WidthMM: s.width(), HeightMM: s.height()}, Items: s.items}}}
	img, err := d.Raster(0, 254)
	if err != nil {
		t.Fatal(err)
	}
	alike := 0
	w := int(s.fly * 10)
	for x := 2; x < w-2; x++ {
		a, b := int(img.RGBAAt(img.Bounds().Dx()-w+x, 70).R)-128, int(img.RGBAAt(w-1-x, 70).R)-128
		if (a > 6 && b > 6) || (a < -6 && b < -6) {
			alike++
		}
	}
	if alike > 0 {
		t.Errorf("%d columns are light, or dark, on both faces", alike)
	}
}

// The same project gives the same bytes.
func TestSameBytes(t *testing.T) {
	write := func() (out [3]string) {
		p := withFlag(facings.Flag{FlyMM: 700, HoistMM: 700, Parts: everyPart(true)[3].Parts, Source: "söurce"})
		s, err := Flags(p, FlagOptions{Paper: A4(), Copies: 3, BleedMM: 1})
		if err != nil {
			t.Fatal(err)
		}
		var a, b, c bytes.Buffer
		if err := s.Document.WritePDF(&a); err != nil {
			t.Fatal(err)
		}
		if err := s.Document.WriteSVG(&b, 0); err != nil {
			t.Fatal(err)
		}
		if err := s.Document.WritePNG(&c, 0, 100); err != nil {
			t.Fatal(err)
		}
		return [3]string{a.String(), b.String(), c.String()}
	}
	first := write()
	if first != write() {
		t.Error("two runs differ")
	}
	if strings.Count(first[0], "(D:20000101000000") != 2 { // in CreationDate and ModDate
		t.Error("a PDF holds the time of day")
	}
}

func TestRefusals(t *testing.T) {
	ok := FlagOptions{Paper: A4(), Copies: 1}
	for name, change := range map[string]func(*FlagOptions){
		"copies": func(o *FlagOptions) { o.Copies = 0 }, "many": func(o *FlagOptions) { o.Copies = MaxCopies + 1 },
		"bleed": func(o *FlagOptions) { o.BleedMM = math.NaN() }, "scale": func(o *FlagOptions) { o.Scale = 1 },
		"pole": func(o *FlagOptions) { o.PoleMM = -1 }, "too big": func(o *FlagOptions) { o.Scale = 8 },
	} {
		o := ok
		change(&o)
		if _, err := Flags(withFlag(facings.Flag{FlyMM: 1900, HoistMM: 1800, Parts: plain("or")}), o); err == nil {
			t.Errorf("%s: not refused", name)
		}
	}
	if _, err := Flags(withFlag(facings.Flag{FlyMM: 700, HoistMM: 700, Design: "a lion"}), ok); err == nil {
		t.Error("a project without printable flags was not refused")
	}
}
