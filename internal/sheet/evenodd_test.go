package sheet

import (
	"bytes"
	"image"
	"math"
	"strings"
	"testing"
)

// Areas under the even-odd rule by plane geometry. A pentagram's middle lies
// inside its line twice and stays empty: its points reach R from the centre,
// its inner corners R·cos 72°/cos 36°. (The rules themselves: SVG 1.1, 11.3,
// and ISO 32000-1, 8.5.3.3, whose figures are this star and these rings.)
func TestEvenOddAreas(t *testing.T) {
	sin := func(deg float64) float64 { return math.Sin(deg * math.Pi / 180) }
	const star = "M45 5L59.695 50.225 21.224 22.275H68.776L30.305 50.225Z" // R = 25
	inner := 25 * sin(18) / sin(54)
	whole, middle := 5*25*inner*sin(36), 2.5*inner*inner*sin(72)
	for _, c := range []struct {
		name, form string
		want       float64 // mm², a unit of the picture being 1 mm
	}{
		{"a star", `<path d="` + star + `"/>`, whole},
		{"a star, even-odd", `<path fill-rule="evenodd" d="` + star + `"/>`, whole - middle},
		{"in its style", `<path style="fill-rule: evenodd; fill: black" d="` + star + `"/>`, whole - middle},
		{"handed down", `<g fill-rule="evenodd"><path d="` + star + `"/></g>`, whole - middle},
		{"taken back", `<g fill-rule="evenodd"><path fill-rule="nonzero" d="` + star + `"/></g>`, whole},
		{"mirrored", `<path fill-rule="evenodd" transform="matrix(-1 0 0 1 90 0)" d="` + star + `"/>`, whole - middle},
		{"a square in a square", `<path fill-rule="evenodd" d="M20 10h40v40h-40zM30.3 20.3h20v20h-20z"/>`, 1600 - 400},
		{"two that overlap", `<path fill-rule="evenodd" d="M10 10h30v30h-30zM25 20h30v30h-30z"/>`, 2*900 - 2*15*20},
		{"rings", `<path fill-rule="evenodd" d="M25 30a20 20 0 0 1 40 0 20 20 0 0 1-40 0zM35 30a10 10 0 0 1 20 0 10 10 0 0 1-20 0z"/>`, math.Pi * (400 - 100)},
		{"past the edge", `<path fill-rule="evenodd" d="M-30 -30h60v60h-60zM-20 -20h40v40h-40z"/>`, 900 - 400},
	} {
		items, err := ReadSVG("a.svg", []byte(svgHead+c.form+`</svg>`))
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		d := &Document{Pages: []Page{{Paper: Paper{WidthMM: 90, HeightMM: 60}, Items: Moved(items, ScaleBy(90, 60))}}}
		img, err := d.Raster(0, 127)
		if err != nil {
			t.Fatal(err)
		}
		pictures := map[string]image.Image{"PNG": img}
		if other := byPoppler(t, d, 127); other != nil {
			pictures["PDF"] = other
		}
		for kind, img := range pictures {
			// Poppler gives every pixel that a form touches a little too much.
			if got := inkArea(img, 5); math.Abs(got-c.want) > 0.02*c.want || kind == "PNG" && math.Abs(got-c.want) > 0.002*c.want {
				t.Errorf("%s: the %s has %.2f mm² of ink, not %.2f", c.name, kind, got, c.want)
			}
		}
		var svg bytes.Buffer
		if err := d.WriteSVG(&svg, 0); err != nil {
			t.Fatal(err)
		}
		if even := c.want != whole; even != strings.Contains(svg.String(), `fill-rule="evenodd"`) {
			t.Errorf("%s: the SVG says otherwise:\n%s", c.name, svg.String())
		}
	}
}

// inkArea is how much black a picture of k pixels to the mm shows, mm².
func inkArea(img image.Image, k float64) float64 {
	sum := 0.0
	for y := range img.Bounds().Dy() {
		for x := range img.Bounds().Dx() {
			sum += dark(img.At(x, y))
		}
	}
	return sum / (k * k)
}
