package synth

import (
	"bytes"
	"image"
	"image/jpeg"
	"math"
	"math/rand/v2"
	"slices"

	"facings"
	"facings/internal/colour"
	"facings/internal/pigment"
	"facings/internal/sheet"
	"facings/internal/swatch"
)

// Defect is something that spoils a photograph.
type Defect string

// Defects.
const (
	None    Defect = ""
	Blur    Defect = "blur"
	Glare   Defect = "glare"   // on one half of a painted cell
	Clipped Defect = "clipped" // overexposed
	CutOff  Defect = "cut off"
	Dark    Defect = "dark"
	Cast    Defect = "cast"
	Shadow  Defect = "shadow" // an edge across the card
	Missed  Defect = "missed" // stripes that leave part of a half bare
	Far     Defect = "far"    // the card is small in the picture
)

// Defects lists them all.
func Defects() []Defect {
	return []Defect{Blur, Glare, Clipped, CutOff, Dark, Cast, Shadow, Missed, Far}
}

// Options say what is not left to chance.
type Options struct {
	Defect Defect
	Cells  int      // 0 for one of several
	Turn   int      // quarter turns of the card, -1 for any
	Sensor bool     // the camera's channels are not the standard observer's
	Long   int      // longer side of the photograph, pixels; 0 for one of several
	Names  []string // printed on the card
	// Print makes a picture of the printed page at DPI; nil for the program's own.
	Print func(sheet.Page) (image.Image, error)
}

// Shot is a photograph and its truth.
type Shot struct {
	JPEG  []byte
	Truth []Truth
}

// Take makes the photograph of a seed.
func Take(seed uint64, o Options) (*Shot, error) {
	rng := rand.New(rand.NewPCG(seed, 0x5a7c))
	cells := o.Cells
	if cells == 0 {
		cells = []int{6, 12, 12, 15, 20, 24}[rng.IntN(6)]
	}
	l, err := swatch.NewLayout(cells)
	if err != nil {
		return nil, err
	}
	paper := []sheet.Paper{sheet.A4(), sheet.Letter()}[rng.IntN(2)]
	pr := newPrinter(rng)
	s, err := printed(l.Draw(swatch.Print{Paper: paper, Names: o.Names}), &pr, o)
	if err != nil {
		return nil, err
	}
	offset := l.Offset(paper)
	shot := &Shot{}
	rack := slices.DeleteFunc(pigment.StarterRack(), func(p pigment.Paint) bool { return p.Kind == facings.Varnish })
	var sens *sensor
	if o.Sensor {
		sens = newSensor(rack)
	}
	for i := range l.Cells {
		if rng.IntN(10) == 0 {
			shot.Truth = append(shot.Truth, Truth{Number: i + 1})
			continue
		}
		shot.Truth = append(shot.Truth, s.paint(rng, &l.Cells[i], offset, &pr, rack, sens, o.Defect == Missed && rng.IntN(3) == 0))
	}
	cam := newCamera(rng, paper, o)
	light := newLight(rng, &cam, o)
	if o.Defect == Glare {
		light.shine(rng, l, offset, shot.Truth)
	}
	img := expose(rng, s, &cam, &light, o)
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 78 + rng.IntN(18)}); err != nil {
		return nil, err
	}
	shot.JPEG = b.Bytes()
	return shot, nil
}

// light is how the scene is lit and exposed.
type light struct {
	gain   vec // exposure and cast
	gx, gy float64
	vign   float64
	gamma  float64 // of the camera, besides sRGB
	spots  []spot
	edge   float64 // where a shadow begins, mm from the left; NaN for none
}

type spot struct {
	at            swatch.Point
	radius, power float64
}

func newLight(rng *rand.Rand, c *camera, o Options) light {
	g := light{gx: span(rng, -0.18, 0.18), gy: span(rng, -0.18, 0.18), vign: span(rng, 0, 0.25), gamma: math.Exp(0.07 * rng.NormFloat64()), edge: math.NaN()}
	level := span(rng, 0.55, 0.95) / (1 + math.Abs(g.gx) + math.Abs(g.gy))
	red, blue := math.Exp(0.12*rng.NormFloat64()), math.Exp(0.12*rng.NormFloat64())
	switch o.Defect {
	case Clipped:
		level *= 2.6
	case Dark:
		level = span(rng, 0.02, 0.1)
	case Cast:
		red, blue = red*1.5, blue/2.5
	case Shadow:
		g.edge = c.aim.X + span(rng, -60, 60)
	}
	most := max(1, red, blue)
	if o.Defect == Clipped {
		most = 1
	}
	g.gain = vec{level * red / most, level / most, level * blue / most}
	return g
}

// shine lays a highlight on one half of a painted cell.
func (g *light) shine(rng *rand.Rand, l *swatch.Layout, offset swatch.Point, truth []Truth) {
	for {
		i := rng.IntN(len(truth))
		if truth[i].Paint == "" {
			continue
		}
		c := &l.Cells[i]
		half := []swatch.Box{c.Black, c.White}[rng.IntN(2)]
		at := swatch.Point{X: offset.X + half.X + half.W*span(rng, 0.3, 0.7), Y: offset.Y + c.Band.Y + c.Band.H*span(rng, 0.3, 0.7)}
		g.spots = append(g.spots, spot{at, span(rng, 2.5, 7), span(rng, 0.3, 1.5)})
		truth[i].Hurt = true
		return
	}
}

// expose lets the camera see the sheet.
func expose(rng *rand.Rand, s *painted, c *camera, g *light, o Options) image.Image {
	table := newTable(rng)
	pix := make([]float32, 3*c.w*c.h)
	for y := range c.h {
		for x := range c.w {
			at := c.sheet(float64(x)+0.5, float64(y)+0.5)
			v, on := s.at(at)
			if !on {
				v = table.at(at)
			}
			u, w := 2*float64(x)/float64(c.w)-1, 2*float64(y)/float64(c.h)-1
			lit := (1 + g.gx*u + g.gy*w) * (1 - g.vign*(u*u+w*w)/2)
			if at.X > g.edge {
				lit *= 0.55
			}
			var extra float64
			for _, sp := range g.spots {
				d := math.Hypot(at.X-sp.at.X, at.Y-sp.at.Y) / sp.radius
				extra += sp.power * math.Exp(-d*d)
			}
			for i := range v {
				pix[3*(y*c.w+x)+i] = float32((v[i] + extra) * lit * g.gain[i])
			}
		}
	}
	sigma := span(rng, 0.4, 1.2)
	if o.Defect == Blur {
		sigma = span(rng, 4, 14) * float64(max(c.w, c.h)) / 1600
	}
	blur(pix, c.w, c.h, sigma)
	return develop(rng, pix, c, g)
}

func (s *painted) at(p swatch.Point) (vec, bool) {
	x, y := p.X*perMM-0.5, p.Y*perMM-0.5
	if !(x >= 0 && y >= 0 && x < float64(s.w-1) && y < float64(s.h-1)) {
		return vec{}, false
	}
	i, j := int(x), int(y)
	u, v := x-float64(i), y-float64(j)
	k := j*s.w + i
	var out vec
	for c := range out {
		out[c] = (s.pix[k][c]*(1-u)+s.pix[k+1][c]*u)*(1-v) + (s.pix[k+s.w][c]*(1-u)+s.pix[k+s.w+1][c]*u)*v
	}
	return out, true
}

// table is what the sheet lies on: a colour with grain, and things.
type table struct {
	base   vec
	grain  float64
	things []thing
}

type thing struct {
	at       swatch.Point
	w, h     float64
	cos, sin float64
	tone     vec
}

func newTable(rng *rand.Rand) *table {
	tone := func() vec { return vec{span(rng, 0.02, 0.7), span(rng, 0.02, 0.7), span(rng, 0.02, 0.7)} }
	t := &table{base: tone(), grain: span(rng, 1, 12)}
	for range 14 {
		at, turn := swatch.Point{X: span(rng, -120, 330), Y: span(rng, -120, 420)}, span(rng, 0, 3)
		t.things = append(t.things, thing{at, span(rng, 3, 60), span(rng, 3, 60), math.Cos(turn), math.Sin(turn), tone()})
	}
	return t
}

func (t *table) at(p swatch.Point) vec {
	for _, th := range t.things {
		x, y := p.X-th.at.X, p.Y-th.at.Y
		u, v := x*th.cos+y*th.sin, y*th.cos-x*th.sin
		if math.Abs(u) < th.w/2 && math.Abs(v) < th.h/2 {
			return th.tone
		}
	}
	k := 1 + 0.2*math.Sin(p.X/t.grain+2*math.Sin(p.Y/37))
	return vec{k * t.base[0], k * t.base[1], k * t.base[2]}
}

// blur smooths by a Gaussian of a standard deviation in pixels.
func blur(pix []float32, w, h int, sigma float64) {
	r := int(math.Ceil(3 * sigma))
	kernel := make([]float32, 2*r+1)
	var sum float32
	for i := range kernel {
		d := float64(i - r)
		kernel[i] = float32(math.Exp(-d * d / (2 * sigma * sigma)))
		sum += kernel[i]
	}
	line := make([]float32, 3*max(w, h))
	pass := func(n, start, step int) {
		for i := range n {
			for c := range 3 {
				line[3*i+c] = pix[start+i*step+c]
			}
		}
		for i := range n {
			var v [3]float32
			for j, k := range kernel {
				m := 3 * min(n-1, max(0, i+j-r))
				for c := range v {
					v[c] += k * line[m+c]
				}
			}
			for c := range v {
				pix[start+i*step+c] = v[c] / sum
			}
		}
	}
	for y := range h {
		pass(w, 3*y*w, 3)
	}
	for x := range w {
		pass(h, 3*x, 3*w)
	}
}

// curveSteps is how finely the camera's curve is tabulated; a step is a fifth of
// a byte's where the curve is steepest.
const curveSteps = 1 << 14

// develop adds noise, bends the curve and rounds to bytes.
func develop(rng *rand.Rand, pix []float32, c *camera, g *light) image.Image {
	var curve [curveSteps + 1]uint8
	for i := range curve {
		v := math.Pow(float64(i)/curveSteps, g.gamma)
		curve[i] = colour.Linear{R: v}.Encode().RGB8().R
	}
	img := image.NewNRGBA(image.Rect(0, 0, c.w, c.h))
	shot, read := span(rng, 0.0001, 0.0006), span(rng, 0.0005, 0.003)
	for i := range c.w * c.h {
		for k := range 3 {
			v := float64(pix[3*i+k])
			v += rng.NormFloat64() * math.Sqrt(shot*max(0, v)+read*read)
			img.Pix[4*i+k] = curve[int(min(1, max(0, v))*curveSteps+0.5)]
		}
		img.Pix[4*i+3] = 255
	}
	return img
}
