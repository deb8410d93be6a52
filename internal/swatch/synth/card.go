package synth

import (
	"image"
	"image/color"
	"math"
	"math/rand/v2"

	"facings/internal/colour"
	"facings/internal/pigment"
	"facings/internal/sheet"
	"facings/internal/swatch"
)

// perMM is the resolution of the painted sheet, pixels per millimetre.
const perMM = 6

// printer is how a printer and its paper turn greys into reflectance.
type printer struct {
	white vec     // of the paper, linear sRGB
	black float64 // of its ink, relative to white
	gamma float64 // of its greys
}

func newPrinter(rng *rand.Rand) printer {
	y := span(rng, 0.83, 0.88)
	return printer{
		white: vec{y * span(rng, 0.99, 1.01), y, y * span(rng, 0.97, 1.03)},
		black: span(rng, 0.025, 0.05), gamma: math.Exp(0.04 * rng.NormFloat64()),
	}
}

func (p *printer) reflect(grey uint8) vec {
	v := colour.RGB8{R: grey}.SRGB().Decode().R
	v = math.Pow(p.black+(1-p.black)*v, p.gamma)
	return vec{v * p.white[0], v * p.white[1], v * p.white[2]}
}

// painted is the painted card on its paper.
type painted struct {
	w, h int
	pix  []vec // linear sRGB reflectance, which may leave 0..1
}

// DPI is the resolution of what is photographed, dots per inch.
const DPI = perMM * 25.4

// printed is the card fresh from the printer: drawn by the program itself, or
// as the options say.
func printed(page sheet.Page, pr *printer, o Options) (*painted, error) {
	draw := o.Print
	if draw == nil {
		draw = func(page sheet.Page) (image.Image, error) {
			d := sheet.Document{Pages: []sheet.Page{page}}
			return d.Raster(0, DPI)
		}
	}
	img, err := draw(page)
	if err != nil {
		return nil, err
	}
	s := &painted{w: img.Bounds().Dx(), h: img.Bounds().Dy()}
	s.pix = make([]vec, s.w*s.h)
	var table [256]vec
	for i := range table {
		table[i] = pr.reflect(uint8(i))
	}
	for y := range s.h {
		for x := range s.w {
			grey := color.GrayModel.Convert(img.At(img.Bounds().Min.X+x, img.Bounds().Min.Y+y)).(color.Gray)
			s.pix[y*s.w+x] = table[grey.Y]
		}
	}
	return s, nil
}

// film is a paint's colour by thickness over a ground: what the standard
// observer sees, and what the camera does.
type film struct{ real, seen [64]vec }

const thickest = 3.0 // coats

func newFilm(ks *pigment.KS, ground float64, cam *sensor) *film {
	bare := colour.Flat(ground)
	inner := pigment.Satin().FromInside(&bare)
	var f film
	for i := range f.real {
		r := pigment.Show(ks, pigment.Satin(), &inner, thickest*float64(i)/float64(len(f.real)-1)).Reflectance
		f.real[i] = observed(&r)
		f.seen[i] = f.real[i]
		if cam != nil {
			f.seen[i] = cam.see(&r)
		}
	}
	return &f
}

// observed is the linear sRGB that the standard observer sees.
func observed(r *colour.Reflectance) vec {
	lin := colour.ViewD65().XYZ(r).Linear()
	return vec{lin.R, lin.G, lin.B}
}

func (f *film) at(coats float64) (real, seen vec) {
	x := min(coats/thickest, 0.999) * float64(len(f.real)-1)
	i := int(x)
	u := x - float64(i)
	for c := range real {
		real[c] = f.real[i][c]*(1-u) + f.real[i+1][c]*u
		seen[c] = f.seen[i][c]*(1-u) + f.seen[i+1][c]*u
	}
	return real, seen
}

// Truth is what a cell really shows.
type Truth struct {
	Number int
	Paint  string // "" for a cell left empty
	// OverBlack and OverWhite are the mean light of the stripe over each ground.
	OverBlack, OverWhite colour.Lab
	// Hurt says that the photograph's defect lies on this cell.
	Hurt bool
}

// paint brushes one stripe and returns what it shows.
func (s *painted) paint(rng *rand.Rand, c *swatch.Cell, offset swatch.Point, pr *printer, rack []pigment.Paint, cam *sensor, missed bool) Truth {
	a, b := rack[rng.IntN(len(rack))], rack[rng.IntN(len(rack))]
	ks, name := a.KS, a.Name
	if rng.IntN(2) == 0 {
		share := 1 + rng.IntN(4)
		ks = pigment.Mix([]pigment.KS{a.KS, b.KS}, []float64{float64(share), 1})
		name += " and " + b.Name
	}
	black, white := newFilm(&ks, pr.black*luminance(pr.white), cam), newFilm(&ks, luminance(pr.white), cam)
	t := Truth{Number: c.Number, Paint: name, Hurt: missed}
	left, right := c.Field.X-span(rng, -1, 2.4), c.Field.X+c.Field.W-span(rng, -2.4, 1)
	top, low := c.Band.Y-span(rng, 0, 0.12)*c.Band.H, c.Band.Y+c.Band.H*span(rng, 1, 1.12)
	if missed {
		if rng.IntN(2) == 0 {
			right = c.White.X + span(rng, -1, 0.35*c.White.W)
		} else {
			low = top + 0.45*(low-top)
		}
	}
	thick := math.Exp(0.15 * rng.NormFloat64())
	streaks := newStreaks(rng)
	var sums [2]vec
	var counts [2]float64
	mid := c.White.X
	for y := int((offset.Y + top) * perMM); y < int((offset.Y+low)*perMM); y++ {
		ragged := 0.5 * rng.NormFloat64()
		for x := int((offset.X + left + ragged) * perMM); x < int((offset.X+right-ragged)*perMM); x++ {
			px, py := (float64(x)+0.5)/perMM-offset.X, (float64(y)+0.5)/perMM-offset.Y
			ground, side := white, 1
			if px < mid && px > c.Field.X {
				ground, side = black, 0
			}
			v, seen := ground.at(thick * streaks.at(px, py))
			s.pix[y*s.w+x] = seen
			// The colour of a stripe is that of its middle, where all bristles run.
			if px > c.Field.X+2.5 && px < c.Field.X+c.Field.W-2.5 && math.Abs(px-mid) > 2.5 && math.Abs(py-c.Band.Y-c.Band.H/2) < 0.35*c.Band.H {
				counts[side]++
				for i := range v {
					sums[side][i] += v[i]
				}
			}
		}
	}
	t.OverBlack, t.OverWhite = lab(sums[0], counts[0]), lab(sums[1], counts[1])
	return t
}

func luminance(v vec) float64 { return 0.2126*v[0] + 0.7152*v[1] + 0.0722*v[2] }

func lab(sum vec, n float64) colour.Lab {
	if n == 0 {
		return colour.Lab{}
	}
	xyz := colour.Linear{R: sum[0] / n, G: sum[1] / n, B: sum[2] / n}.XYZ()
	return colour.LabFrom(xyz, colour.ViewD65().White())
}

// streaks is the relief a brush leaves: ridges along the stroke that wander a
// little, and a load that runs out.
type streaks struct {
	ridge  [64]float64
	wander float64
	phase  float64
	fade   float64
}

func newStreaks(rng *rand.Rand) *streaks {
	s := &streaks{wander: span(rng, 0.1, 0.5), phase: span(rng, 0, 6), fade: span(rng, -0.002, 0.002)}
	depth := span(rng, 0.04, 0.15)
	last := 0.0
	for i := range s.ridge {
		last = 0.5*last + depth*rng.NormFloat64()
		s.ridge[i] = last
	}
	return s
}

// bristle is the distance of two ridges, mm.
const bristle = 0.45

func (s *streaks) at(x, y float64) float64 {
	v := math.Mod((y+s.wander*math.Sin(x/9+s.phase))/bristle+6400, 64)
	i := int(v) % 64
	u := v - math.Floor(v)
	return math.Exp(s.ridge[i]*(1-u) + s.ridge[(i+1)%64]*u + s.fade*x)
}
