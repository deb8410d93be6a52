package sheet

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"
	"math/rand/v2"
	"os/exec"
	"strings"
	"testing"
)

// Pictures that are read are drawn as librsvg draws them, a library of GNOME's
// for SVG: once the picture itself, and once the sheet that we write of it. Both
// fill rules, holes, paths that cross themselves, arcs, curves, strokes,
// transforms. Skipped where its tool is not installed.
func TestSVGAsLibrsvgDraws(t *testing.T) {
	tool, err := exec.LookPath("rsvg-convert")
	if err != nil {
		t.Skip("rsvg-convert is not installed")
	}
	const w, h, dpi = 90, 60, 127 // 5 pixels to the mm
	byLibrsvg := func(svg []byte) image.Image {
		cmd := exec.Command(tool, "--width", fmt.Sprint(5*w), "--height", fmt.Sprint(5*h), "--background-color", "white")
		cmd.Stdin = bytes.NewReader(svg)
		out, err := cmd.Output()
		if err != nil {
			t.Fatalf("%v\n%s", err, svg)
		}
		img, err := png.Decode(bytes.NewReader(out))
		if err != nil {
			t.Fatal(err)
		}
		return img
	}
	for name, form := range drawings() {
		text := []byte(svgHead + form + `</svg>`)
		items, err := ReadSVG("a.svg", text)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		d := &Document{Pages: []Page{{Paper: Paper{WidthMM: w, HeightMM: h}, Items: Moved(items, ScaleBy(w, h))}}}
		ours, err := d.Raster(0, dpi)
		if err != nil {
			t.Fatal(err)
		}
		var sheet bytes.Buffer
		if err := d.WriteSVG(&sheet, 0); err != nil {
			t.Fatal(err)
		}
		for from, theirs := range map[string]image.Image{"the picture": byLibrsvg(text), "our SVG of it": byLibrsvg(sheet.Bytes())} {
			mean, off := apart(ours, theirs)
			// Rims may be weighted a little otherwise, and our joins are round: nothing
			// may be missing.
			if mean > 0.002 || off > 12 && !strings.Contains(form, "stroke=") && !strings.Contains(form, "stroke:") || off > 100 {
				t.Errorf("%s: from %s, %.4f apart on the mean, %d pixels altogether", name, from, mean, off)
			}
		}
		if lone := image.NewUniform(color.White); !strings.Contains(name, "nothing") {
			if mean, _ := apart(ours, lone); mean < 0.01 {
				t.Errorf("%s: nothing is drawn", name)
			}
		}
	}
}

// apart is how far two pictures differ on the mean, 0 to 1, and how many pixels
// differ by more than a third.
func apart(a, b image.Image) (mean float64, off int) {
	box := a.Bounds()
	flat := image.NewRGBA(box)
	draw.Draw(flat, box, b, image.Point{}, draw.Src)
	for y := range box.Dy() {
		for x := range box.Dx() {
			r0, g0, b0, _ := a.At(x, y).RGBA()
			r1, g1, b1, _ := flat.At(x, y).RGBA()
			d := 0.0
			for _, pair := range [3][2]uint32{{r0, r1}, {g0, g1}, {b0, b1}} {
				d = max(d, math.Abs(float64(pair[0])-float64(pair[1]))/0xffff)
			}
			mean += d
			if d > 0.34 {
				off++
			}
		}
	}
	return mean / float64(box.Dx()*box.Dy()), off
}

// drawings are pictures of everything that is read, and tangles of both fill
// rules, always the same.
func drawings() map[string]string {
	out := map[string]string{
		"shapes":       `<rect x="5" y="5" width="30" height="20" rx="4" fill="#c33"/><circle cx="60" cy="20" r="14" fill="none" stroke="navy" stroke-width="3"/><ellipse cx="25" cy="45" rx="18" ry="9" fill="#393" transform="rotate(20 25 45)"/>`,
		"lines":        `<line x1="5" y1="5" x2="80" y2="30" stroke="black" stroke-width="2"/><polyline points="10,50 30,35 50,55 70,40" fill="none" stroke="#c60" stroke-width="3"/><polygon points="60,45 85,45 72,58" fill="teal"/>`,
		"curves":       `<path d="M10 30C20 0 40 60 50 30S80 0 85 30Q70 60 45 50T10 30z" fill="#06c"/><path d="M60 10a10 6 30 1 0 14 4" fill="none" stroke="black" stroke-width="2"/>`,
		"holes":        `<path fill-rule="evenodd" d="M10 10h60v40h-60zM20 20h20v20h-20zM45 15h20v30h-20zM50 20h10v20h-10z" fill="#222"/>`,
		"groups":       `<g transform="translate(45 30) scale(1.5 0.8) rotate(30)" fill="#844" fill-rule="evenodd"><path d="M-20-20h40v40h-40zM-10-10h20v20h-20z"/><g transform="skewX(20)"><path fill="#48a" fill-rule="nonzero" d="M-8-8h16v16h-16zM-4-4h8v8h-8z"/></g></g>`,
		"in a style":   `<path style="fill:#a0a;fill-rule:evenodd;stroke:black;stroke-width:1" d="M45 5L59.695 50.225 21.224 22.275H68.776L30.305 50.225Z"/>`,
		"past the rim": `<path fill-rule="evenodd" d="M-30 -30h60v60h-60zM-20 -20h40v40h-40z" fill="#264"/><circle cx="90" cy="60" r="20" fill="#642"/>`,
	}
	r := rand.New(rand.NewPCG(12, 34))
	for i := range 12 {
		rule := []string{"evenodd", "nonzero"}[i%2]
		var d strings.Builder
		for range 1 + i%3 {
			fmt.Fprintf(&d, "M%.2f %.2f", 90*r.Float64(), 60*r.Float64())
			for k := range 5 + i {
				if (k+i)%3 == 0 {
					fmt.Fprintf(&d, "Q%.2f %.2f %.2f %.2f", 90*r.Float64(), 60*r.Float64(), 90*r.Float64(), 60*r.Float64())
				} else {
					fmt.Fprintf(&d, "L%.2f %.2f", 90*r.Float64(), 60*r.Float64())
				}
			}
			d.WriteString("Z")
		}
		out[fmt.Sprintf("tangle %d, %s", i, rule)] = fmt.Sprintf(`<path fill="#123" fill-rule="%s" d="%s"/>`, rule, d.String())
	}
	return out
}
