package sheet

import (
	"bytes"
	"encoding/xml"
	"errors"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"facings"
)

const svgHead = `<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="0 0 90 60">`

// hostile is what must be refused, with the element that is named.
var hostile = map[string]string{
	"entity bomb":      `<?xml version="1.0"?><!DOCTYPE svg [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;">]>` + svgHead + `<g>&b;</g></svg>`,
	"plain DOCTYPE":    `<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">` + svgHead + `</svg>`,
	"inner DOCTYPE":    svgHead + `<!ENTITY a "b"></svg>`,
	"outside entity":   `<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/passwd">]>` + svgHead + `&x;</svg>`,
	"outside picture":  svgHead + `<image xlink:href="http://example.org/a.png" width="9" height="9"/></svg>`,
	"own file":         svgHead + `<image href="file:///etc/passwd"/></svg>`,
	"use":              svgHead + `<use xlink:href="#a"/></svg>`,
	"link on a path":   svgHead + `<path d="M0 0" xlink:href="http://example.org/"/></svg>`,
	"script":           svgHead + `<script>alert(1)</script></svg>`,
	"on click":         svgHead + `<rect width="9" height="9" onclick="alert(1)"/></svg>`,
	"style sheet":      svgHead + `<style>@import url(http://example.org/a.css);</style></svg>`,
	"gradient":         svgHead + `<defs><linearGradient id="a"/></defs></svg>`,
	"paint by address": svgHead + `<rect width="9" height="9" fill="url(#a)"/></svg>`,
	"filter":           svgHead + `<rect width="9" height="9" filter="url(#a)"/></svg>`,
	"clip":             svgHead + `<g clip-path="url(#a)"/></svg>`,
	"text":             svgHead + `<text x="1">VEY</text></svg>`,
	"foreign":          svgHead + `<foreignObject/></svg>`,
	"animation":        svgHead + `<rect><animate/></rect></svg>`,
	"see-through":      svgHead + `<rect width="9" height="9" fill-opacity="0.5"/></svg>`,
	"odd rule":         svgHead + `<path d="M0 0h9v9z" fill-rule="odd"/></svg>`,
	"huge number":      svgHead + `<path d="M0 0L1e300 5"/></svg>`,
	"no number":        svgHead + `<path d="M0 0L nan 5"/></svg>`,
	"infinite":         svgHead + `<rect width="inf" height="2"/></svg>`,
	"far out":          svgHead + `<g transform="scale(999999) scale(999999)"><path d="M9 9L99 9"/></g></svg>`,
	"half a curve":     svgHead + `<path d="M0 0C1 2 3"/></svg>`,
	"no start":         svgHead + `<path d="L1 2"/></svg>`,
	"bad flag":         svgHead + `<path d="M0 0A1 1 0 2 0 5 5"/></svg>`,
	"bad colour":       svgHead + `<path d="M0 0" fill="#12"/></svg>`,
	"no size":          `<svg xmlns="http://www.w3.org/2000/svg"><g/></svg>`,
	"zero size":        `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 0 5"><g/></svg>`,
	"no svg":           `<html/>`,
	"nothing":          ``,
	"cut off":          svgHead + `<g><path d="M0 0`,
	"two":              svgHead + `</svg>` + svgHead + `</svg>`,
	"latin":            `<?xml version="1.0" encoding="ISO-8859-1"?>` + svgHead + `</svg>`,
	"deep":             svgHead + strings.Repeat("<g>", 100) + strings.Repeat("</g>", 100) + `</svg>`,
	"deep notes":       svgHead + `<metadata>` + strings.Repeat("<a>", 100) + strings.Repeat("</a>", 100) + `</metadata></svg>`,
	"many":             svgHead + strings.Repeat("<g/>", maxSVGElements+1) + `</svg>`,
	"long path":        svgHead + `<path d="M0 0` + strings.Repeat("h1", maxSVGSegments+1) + `"/></svg>`,
	"many paths":       svgHead + strings.Repeat(`<path d="M0 0`+strings.Repeat("h1v1", 500)+`"/>`, 300) + `</svg>`,
	"too long":         svgHead + strings.Repeat(" ", MaxSVGBytes) + `</svg>`,
}

func TestHostileSVG(t *testing.T) {
	for name, text := range hostile {
		_, err := ReadSVG("a.svg", []byte(text))
		var e *SVGError
		if !errors.As(err, &e) || e.Line < 1 || e.File != "a.svg" || e.Message == "" || len(err.Error()) > 300 {
			t.Errorf("%s: %v", name, err)
		}
	}
	_, err := ReadSVG("a.svg", []byte(svgHead+"\n\n<g>\n<circle r=\"5\" fill=\"url(#x)\"/></g></svg>"))
	if err == nil || !strings.HasPrefix(err.Error(), "a.svg:4: <circle>: fill:") {
		t.Errorf("element and line are not named: %v", err)
	}
}

// drawSVG draws a picture 90 × 60 pixels large.
func drawSVG(t *testing.T, text string) *image.RGBA {
	t.Helper()
	items, err := ReadSVG("a.svg", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	d := &Document{Pages: []Page{{Paper: Paper{WidthMM: 90, HeightMM: 60}, Items: Moved(items, ScaleBy(90, 60))}}}
	img, err := d.Raster(0, 50.8)
	if err != nil {
		t.Fatal(err)
	}
	return img
}

// The same form, written in different ways, gives the same picture.
func TestSVGFormsAgree(t *testing.T) {
	for _, group := range [][]string{
		{`<rect x="10" y="20" width="30" height="15" fill="#c00"/>`, `<path d="M10 20h30v15h-30z" fill="rgb(204,0,0)"/>`, `<polygon points="10,20 40,20 40,35 10,35" style="fill: #cc0000"/>`,
			`<g transform="translate(10 20)" fill="#cc0000"><rect width="30" height="15"/></g>`, `<path transform="matrix(30 0 0 15 10 20)" fill="#cc0000" d="m0 0 1 0 0 1-1 0z"/>`,
			`<g transform="translate(40,35) rotate(180)"><rect fill="#cc0000" width="30" height="15"/></g>`},
		{`<circle cx="45" cy="30" r="20" fill="navy"/>`, `<ellipse cx="45" cy="30" rx="20" ry="20" fill="#000080"/>`,
			`<path fill="navy" d="M25 30a20 20 0 0 1 40 0A20,20,0,0,1,25,30Z"/>`, `<path fill="navy" d="M45 10A20 20 0 1 1 25 30 20 20 0 0145 10"/>`,
			`<rect x="25" y="10" width="40" height="40" rx="20" fill="navy"/>`},
		{`<path fill="red" d="M10 10Q30 50 50 10T80 20L80 50 10 50Z"/>`, `<path fill="red" d="M10 10q20 40 40 0t30 10V50H10z"/>`},
		{`<path fill="red" d="M10 10C20 40 40 40 50 10S70 0 80 20V50H10"/>`, `<path fill="red" d="m10 10c10 30 30 30 40 0s20-10 30 10v30h-70"/>`},
		{`<line x1="10" y1="20" x2="80" y2="20" stroke="green" stroke-width="4"/>`, `<polyline points="10 20 80 20" fill="none" stroke="green" stroke-width="4"/>`,
			`<path d="M10 18h70v4h-70z" fill="green"/>`},
	} {
		first := drawSVG(t, svgHead+group[0]+`</svg>`)
		for _, other := range group[1:] {
			img := drawSVG(t, svgHead+other+`</svg>`)
			n := 0
			for i := range img.Pix {
				if far(img.Pix[i], first.Pix[i]) {
					n++
				}
			}
			if n > 8 {
				t.Errorf("%s\n%s\n%d values differ", group[0], other, n)
			}
		}
	}
}

// A picture fills the face, is mirrored on the reverse, and its lettering is not.
func TestSVGOnAFlag(t *testing.T) {
	draw := func(text string) (*image.RGBA, *strip) {
		a, err := ReadArtwork("a.svg", []byte(text), 16, 14)
		if err != nil {
			t.Fatal(err)
		}
		f := &facings.Flag{FlyMM: 800, HoistMM: 700, PoleMM: (4 - SleeveEase) / math.Pi}
		s := newStrip(drawn{flag: f, colour: colours(nil), obverse: a}, 50, 0)
		d := &Document{Pages: []Page{{Paper: Paper{WidthMM: s.width(), HeightMM: s.height()}, Items: s.items}}}
		img, err := d.Raster(0, 254)
		if err != nil {
			t.Fatal(err)
		}
		return img, s
	}
	flag := `<rect width="90" height="60" fill="#204080"/><path fill="red" d="M10 10h50v5h-45v30h-5z"/>`
	img, s := draw(svgHead + flag + `</svg>`)
	if n := differing(img, s, true); n > 0.004 {
		t.Errorf("%.1f %% differ from the mirror image", 100*n)
	}
	img, s = draw(svgHead + `<rect width="90" height="60" fill="#204080"/><g id="lettering"><path fill="red" d="M30 10h30v5h-25v30h-5z"/></g></svg>`)
	if n := differing(img, s, false); n > 0.004 {
		t.Errorf("lettering differs: %.1f %%", 100*n)
	}
	if n := differing(img, s, true); n < 0.02 {
		t.Error("lettering is mirrored")
	}
}

// A photograph is mirrored too, unless the reverse has its own.
func TestPictureOnAFlag(t *testing.T) {
	photo := image.NewRGBA(image.Rect(0, 0, 320, 280))
	for y := range 280 {
		for x := range 320 {
			c := color.RGBA{uint8(x * 255 / 320), 60, 90, 255}
			if x > 200 && y > 150 {
				c = color.RGBA{250, 250, 0, 255}
			}
			photo.SetRGBA(x, y, c)
		}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, photo); err != nil {
		t.Fatal(err)
	}
	a, err := ReadArtwork("a.png", b.Bytes(), 16, 14)
	if err != nil {
		t.Fatal(err)
	}
	f := &facings.Flag{FlyMM: 800, HoistMM: 700, PoleMM: (4 - SleeveEase) / math.Pi}
	for _, own := range []bool{false, true} {
		d := drawn{flag: f, colour: colours(nil), obverse: a}
		if own {
			d.reverse = a
		}
		s := newStrip(d, 50, 0)
		doc := &Document{Pages: []Page{{Paper: Paper{WidthMM: s.width(), HeightMM: s.height()}, Items: s.items}}}
		sideways(t, s)
		img, err := doc.Raster(0, 254)
		if err != nil {
			t.Fatal(err)
		}
		if n := differing(img, s, !own); n > 0.01 {
			t.Errorf("own %v: %.1f %% differ", own, 100*n)
		}
		var out bytes.Buffer
		if err := doc.WritePDF(&out); err != nil {
			t.Fatal(err)
		}
		if other := byPoppler(t, doc, 254); other != nil {
			bad := 0
			for y := 5; y < 135; y++ {
				for x := 5; x < 355; x++ {
					p, q := color.RGBAModel.Convert(other.At(x, y)).(color.RGBA), img.RGBAAt(x, y)
					if far(p.R, q.R) || far(p.G, q.G) || far(p.B, q.B) {
						bad++
					}
				}
			}
			if bad > 1200 {
				t.Errorf("own %v: the PDF's picture differs from the PNG's in %d pixels", own, bad)
			}
		}
	}
}

// sideways holds the PDF of a strip laid on its side to the PNG of it.
func sideways(t *testing.T, s *strip) {
	t.Helper()
	doc := &Document{Pages: []Page{{Paper: Paper{WidthMM: s.height(), HeightMM: s.width()}, Items: Moved(s.items, Turn(90).Then(Translate(s.height(), 0)))}}}
	img, err := doc.Raster(0, 254)
	if err != nil {
		t.Fatal(err)
	}
	if other := byPoppler(t, doc, 254); other != nil {
		bad := 0
		for y := 5; y < 355; y++ {
			for x := 5; x < 135; x++ {
				p, q := color.RGBAModel.Convert(other.At(x, y)).(color.RGBA), img.RGBAAt(x, y)
				if far(p.R, q.R) || far(p.G, q.G) || far(p.B, q.B) {
					bad++
				}
			}
		}
		if bad > 1200 {
			t.Errorf("on its side, the PDF's picture differs from the PNG's in %d pixels", bad)
		}
	}
}

func TestBadPictures(t *testing.T) {
	var wide bytes.Buffer
	if err := png.Encode(&wide, image.NewGray(image.Rect(0, 0, 4, 4))); err != nil {
		t.Fatal(err)
	}
	lie := bytes.Clone(wide.Bytes())
	copy(lie[16:24], []byte{0, 1, 0x86, 0xa0, 0, 1, 0x86, 0xa0}) // says it is 100 000 pixels square
	for name, data := range map[string][]byte{
		"empty.png": nil, "text.jpg": []byte("hello"), "cut.png": wide.Bytes()[:40], "lie.png": lie, "big.png": make([]byte, MaxPictureBytes+1),
	} {
		if _, err := ReadArtwork(name, data, 10, 10); err == nil {
			t.Errorf("%s was read", name)
		}
	}
}

// What we write as SVG is XML, and forms come back from it as they were.
func TestOwnSVGReadsBack(t *testing.T) {
	f := facings.Flag{FlyMM: 700, HoistMM: 700, Parts: plain("#123456", "#fedcba")}
	s, err := Flags(withFlag(f), FlagOptions{Paper: A4(), Copies: 1})
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := s.Document.WriteSVG(&b, 0); err != nil {
		t.Fatal(err)
	}
	x := xml.NewDecoder(&b)
	for {
		if _, err := x.Token(); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
}

// Another reader of SVG draws ours as we draw the page.
func TestSVGLooksLikeThePNG(t *testing.T) {
	tool, err := exec.LookPath("rsvg-convert")
	if err != nil {
		t.Skip("rsvg-convert is not installed")
	}
	p := &facings.Project{Name: "Vey & Ostmark", Scale: 56}
	for _, f := range everyPart(true) {
		p.Units = append(p.Units, facings.Unit{Name: "Unit <äß>", Flag: &f})
	}
	s, err := Flags(p, FlagOptions{Paper: A4(), Copies: 1, BleedMM: 1})
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	in, out := filepath.Join(dir, "a.svg"), filepath.Join(dir, "a.png")
	var b bytes.Buffer
	if err := s.Document.WriteSVG(&b, 0); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(in, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	if text, err := exec.Command(tool, "-d", "127", "-p", "127", in, "-o", out).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, text)
	}
	data, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	other, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	img, err := s.Document.Raster(0, 127) // 5 pixels a mm
	if err != nil {
		t.Fatal(err)
	}
	if d := other.Bounds().Dx() - img.Bounds().Dx(); d < -1 || d > 1 {
		t.Fatalf("sizes: %v, %v", other.Bounds(), img.Bounds())
	}
	bad, ink := 0, 0
	for y := range img.Bounds().Dy() - 1 {
		for x := range img.Bounds().Dx() - 1 {
			p, q := color.RGBAModel.Convert(other.At(x, y)).(color.RGBA), img.RGBAAt(x, y)
			if q != (color.RGBA{255, 255, 255, 255}) {
				ink++
			}
			if max(p.R, q.R)-min(p.R, q.R) > 100 || max(p.B, q.B)-min(p.B, q.B) > 100 {
				bad++
			}
		}
	}
	if ink < 100_000 || bad*100 > ink {
		t.Errorf("%d pixels of %d with ink differ", bad, ink)
	}
}

func FuzzReadSVG(f *testing.F) {
	f.Add([]byte(svgHead + `<path d="M1 1a3 4 10 0 1 5-5q1 1 2 2t3 3s1 1 2 2z" transform="rotate(30 1 1)" style="fill:red"/></svg>`))
	for _, s := range hostile {
		if len(s) < 5000 {
			f.Add([]byte(s))
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		items, err := ReadSVG("a.svg", data)
		if err != nil {
			return
		}
		d := &Document{Pages: []Page{{Paper: Paper{WidthMM: 20, HeightMM: 20}, Items: Moved(items, ScaleBy(20, 20))}}}
		if _, err := d.Raster(0, 60); err != nil {
			t.Fatal(err)
		}
	})
}
