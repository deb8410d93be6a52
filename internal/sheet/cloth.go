package sheet

import (
	"image"
	"math"

	"facings"
)

// Cloth is a unit's flag as it is cut out to fly from a pole, in mm.
type Cloth struct {
	FaceMM, HeightMM, SleeveMM float64
	// Strip is the reverse, the sleeve and the obverse side by side as printed,
	// without marks.
	Strip *image.RGBA
	edge  []Point // of the obverse
}

// FlagCloth draws the flag of a unit that has one with parts or a picture, at a
// resolution in dots per inch. Of the options it takes scale, colours, hatching
// and Read; a project's scale must be given.
func FlagCloth(u *facings.Unit, o FlagOptions, dpi float64) (*Cloth, error) {
	if u.Flag == nil || len(u.Flag.Parts) == 0 && u.Flag.Picture == "" {
		return nil, ErrNoFlags
	}
	o.BleedMM, o.Ripples = 0.3, false // its cut edge then shows no white
	s, err := makeStrip(u, o, o.Scale)
	if err != nil {
		return nil, err
	}
	page := Page{Paper: Paper{WidthMM: s.width(), HeightMM: s.height()}, Items: s.cloth}
	d := Document{Pages: []Page{page}}
	img, err := d.Raster(0, dpi)
	if err != nil {
		return nil, err
	}
	return &Cloth{FaceMM: s.face(), HeightMM: s.height(), SleeveMM: s.sleeve, Strip: img, edge: s.edge(u.Flag.Shape)}, nil
}

// Reach is how far a face reaches from the sleeve at y mm from its top.
func (c *Cloth) Reach(y float64) float64 {
	y = math.Max(1e-6, math.Min(y, c.HeightMM-1e-6)) + c.edge[0].Y
	far := 0.0
	for i, a := range c.edge {
		b := c.edge[(i+1)%len(c.edge)]
		if (a.Y <= y) != (b.Y <= y) {
			far = math.Max(far, a.X+(y-a.Y)/(b.Y-a.Y)*(b.X-a.X))
		}
	}
	return far
}
