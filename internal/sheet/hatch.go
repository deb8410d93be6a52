package sheet

import (
	"math"
	"slices"

	"facings"
	"facings/internal/colour"
)

// Hatching shows heraldry's colours in black and white by the usual system:
// gules upright lines, azure level ones, vert along the bend, purpure along
// the bend sinister, sable both upright and level, or dots, argent nothing.
// Ref: petrasancta1638.
//
// Forms may run far past the cloth; only what lies within a box gets lines.
func hatch(path Path, tincture string, within Box) Item {
	b := path.Bounds()
	b = Box{max(b.X0, within.X0), max(b.Y0, within.Y0), min(b.X1, within.X1), min(b.Y1, within.Y1)}
	items := []Item{Fill(path, White)}
	const gap, width = 0.45, 0.08
	mid := Point{(b.X0 + b.X1) / 2, (b.Y0 + b.Y1) / 2}
	reach := math.Hypot(b.W(), b.H()) / 2
	if b.X0 >= b.X1 || b.Y0 >= b.Y1 {
		return Group{Clip: &path, Items: items}
	}
	lines := func(deg float64) {
		var p Path
		t := Turn(deg).Then(Translate(mid.X, mid.Y))
		n := int(reach / gap)
		for i := -n; i <= n; i++ {
			y := float64(i) * gap
			a, z := t.Apply(Point{-reach, y}), t.Apply(Point{reach, y})
			p.Move(a.X, a.Y)
			p.Line(z.X, z.Y)
		}
		items = append(items, Stroke(p, Black, width))
	}
	switch tincture {
	case "gules":
		lines(90)
	case "azure":
		lines(0)
	case "vert":
		lines(45)
	case "purpure":
		lines(-45)
	case "sable":
		lines(0)
		lines(90)
	case "or":
		items = append(items, Fill(dots(b), Black))
	}
	return Group{Clip: &path, Items: items}
}

// dots are set in rows over a box, every other row shifted.
func dots(b Box) Path {
	var p Path
	const gap, r = 0.6, 0.07
	for j, y := 0, b.Y0; y < b.Y1; j, y = j+1, y+gap {
		for x := b.X0 + gap/2*float64(j%2); x < b.X1; x += gap {
			p.Add(Rect(x-r, y-r, x+r, y+r))
		}
	}
	return p
}

// tinctureOf is the tincture a colour is hatched as: its own when the design
// names one, otherwise the nearest by CIEDE2000.
func tinctureOf(name string, c RGB) string {
	list := facings.Tinctures()
	if slices.ContainsFunc(list, func(t facings.Tincture) bool { return t.Name == name }) {
		return name
	}
	best, least := "", math.Inf(1)
	for _, t := range list {
		hex, err := ParseHex(t.Hex)
		if err != nil {
			continue
		}
		if d := colour.DeltaE00(lab(c), lab(hex)); d < least {
			best, least = t.Name, d
		}
	}
	return best
}

// lab is a colour in CIE L*a*b* under sRGB's own white.
func lab(c RGB) colour.Lab {
	white := colour.SRGB{R: 1, G: 1, B: 1}.XYZ()
	return colour.LabFrom(colour.SRGB{R: float64(c.R) / 255, G: float64(c.G) / 255, B: float64(c.B) / 255}.XYZ(), white)
}
