package swatch

import (
	"math"
	"slices"

	"facings/internal/colour"
)

// areaSample is what a rectangle of the card shows.
type areaSample struct {
	at    []Point // on the card
	light []rgb   // as photographed
	full  float64 // share of samples with a full channel
}

// sampleStep is the distance in millimetres of the places that are looked at.
const sampleStep = 0.25

func (l *located) sample(p *Photo, b Box) areaSample {
	var out areaSample
	nx, ny := max(2, int(b.W/sampleStep)), max(2, int(b.H/sampleStep))
	for j := range ny {
		for i := range nx {
			q := Point{b.X + b.W*(float64(i)+0.5)/float64(nx), b.Y + b.H*(float64(j)+0.5)/float64(ny)}
			at := l.view.photo(q)
			c, ok := p.at(at)
			if !ok {
				continue
			}
			out.at, out.light = append(out.at, q), append(out.light, c)
			if p.fullAt(at) {
				out.full += 1 / float64(nx*ny)
			}
		}
	}
	return out
}

// field is the light of the card's white over a small part of it: per channel
// the logarithm is a plane, with a twist.
type field struct {
	origin Point
	coef   [3][4]float64
	rough  float64 // root mean square misfit of the logarithm
	kept   float64 // share of the places that were bare white
	full   float64 // share of the places with a full channel
}

const fieldScale = 20 // mm; keeps the equations well conditioned

func (f *field) terms(q Point) [4]float64 {
	x, y := (q.X-f.origin.X)/fieldScale, (q.Y-f.origin.Y)/fieldScale
	return [4]float64{1, x, y, x * y}
}

// at returns the white at a place on the card.
func (f *field) at(q Point) rgb {
	t := f.terms(q)
	var out rgb
	for c := range out {
		var s float64
		for i, k := range f.coef[c] {
			s += k * t[i]
		}
		out[c] = math.Exp(s)
	}
	return out
}

// whiteField fits the white to places around a box. Places darker than the
// rest (paint, writing, dirt) and lighter ones (shine) are left out.
func (l *located) whiteField(p *Photo, middle Point, places []Point) (field, bool) {
	f := field{origin: middle}
	var at []Point
	var light []rgb
	var total float64
	for _, q := range places {
		s := l.sample(p, Box{q.X - 0.6, q.Y - 0.6, 1.2, 1.2})
		total++
		if len(s.light) < 10 {
			continue
		}
		at, light = append(at, q), append(light, middleLight(s.light))
		f.full += s.full
	}
	f.full /= total
	keep := make([]bool, len(at))
	for i := range keep {
		keep[i] = light[i].luminance() > 0
	}
	for pass := range 5 {
		if !f.fit(at, light, keep) {
			return f, false
		}
		off := make([]float64, len(at))
		var spread []float64
		for i := range at {
			off[i] = math.Log(max(1e-6, light[i].luminance())) - math.Log(f.at(at[i]).luminance())
			if keep[i] {
				spread = append(spread, math.Abs(off[i]))
			}
		}
		slices.Sort(spread)
		limit := max(0.015, 3*1.48*spread[len(spread)/2])
		var kept, sum float64
		for i := range keep {
			// The first passes only drop what is darker: white cannot be.
			keep[i] = off[i] > -limit && (off[i] < limit || pass < 2)
			if keep[i] {
				kept, sum = kept+1, sum+off[i]*off[i]
			}
		}
		if kept < 6 {
			return f, false
		}
		f.kept, f.rough = kept/total, math.Sqrt(sum/kept)
	}
	return f, true
}

func (f *field) fit(at []Point, light []rgb, keep []bool) bool {
	for c := range 3 {
		var m [4][5]float64
		for i := range at {
			if !keep[i] {
				continue
			}
			t := f.terms(at[i])
			v := math.Log(max(1e-6, light[i][c]))
			for a := range 4 {
				for b := range 4 {
					m[a][b] += t[a] * t[b]
				}
				m[a][4] += t[a] * v
			}
		}
		m[3][3] += 0.5 // the twist is small unless it is plain
		for a := range 4 {
			if math.Abs(m[a][a]) < 1e-9 {
				return false
			}
			for r := range 4 {
				if r == a {
					continue
				}
				k := m[r][a] / m[a][a]
				for j := a; j < 5; j++ {
					m[r][j] -= k * m[a][j]
				}
			}
		}
		for a := range 4 {
			f.coef[c][a] = m[a][4] / m[a][a]
		}
	}
	return true
}

// middleLight is the mean without the tenth that is darkest and the tenth that
// is lightest: streaks count by their area, specks do not.
func middleLight(light []rgb) rgb {
	order := make([]float64, len(light))
	for i, c := range light {
		order[i] = c.luminance()
	}
	slices.Sort(order)
	cut := len(order) / 10
	low, high := order[cut], order[len(order)-1-cut]
	var out rgb
	var n float64
	for _, c := range light {
		if l := c.luminance(); l < low || l > high {
			continue
		}
		n++
		for i := range out {
			out[i] += c[i]
		}
	}
	return rgb{out[0] / n, out[1] / n, out[2] / n}
}

// tone is how the photograph's curve differs from sRGB's: light relative to
// white appears as its Gamma-th power.
type tone struct {
	Gamma  float64
	misfit float64 // root mean square of the logarithms of the ramp
	black  float64 // the ramp's black relative to white
	tint   float64 // chroma of the greys, largest departure of a channel's logarithm
	full   float64
}

// Of what the ramp shows, so much is laid to the camera and the rest to the
// printer, whose greys are not known either: cameras' curves are taken to
// differ from sRGB twice as much as printers do (an estimate).
const cameraShare = 0.8

// readRamp compares the grey ramp with what was printed. The printer's black
// is as it is found, its white 1, and its greys lie between as sRGB says.
func (l *located) readRamp(p *Photo) (tone, bool) {
	var seen []rgb
	t := tone{}
	for _, b := range l.layout.Ramp {
		f, ok := l.whiteField(p, b.Centre(), rampRing(b))
		if !ok {
			return t, false
		}
		s := l.sample(p, b.inset(2, 1.5))
		rel := divide(middleLight(s.light), f.at(b.Centre()))
		seen = append(seen, rel)
		t.full = max(t.full, f.full)
	}
	t.black = max(1e-3, seen[0].luminance())
	misfit := func(gamma float64) float64 {
		black := math.Pow(t.black, 1/gamma)
		var sum float64
		for i := 1; i < len(seen); i++ {
			v := colour.RGB8{R: rampGrey[i]}.SRGB().Decode().R
			expected := black + (1-black)*v
			d := math.Log(max(1e-4, seen[i].luminance())) - gamma*math.Log(expected)
			sum += d * d
		}
		return math.Sqrt(sum / float64(len(seen)-1))
	}
	gamma := 1.0
	for i := 60; i <= 170; i++ {
		if g := float64(i) / 100; misfit(g) < misfit(gamma) {
			gamma = g
		}
	}
	t.Gamma, t.misfit = math.Pow(gamma, cameraShare), misfit(gamma)
	for _, c := range seen[2:] {
		for i := range c {
			t.tint = max(t.tint, math.Abs(math.Log(c[i]/c.luminance())))
		}
	}
	return t, true
}

func divide(a, b rgb) (out rgb) {
	for i := range out {
		out[i] = a[i] / b[i]
	}
	return out
}

// undo returns the light of a place whose channels relative to white are rel,
// 1 for the perfect diffuser.
func (t *tone) undo(rel rgb) rgb {
	var out rgb
	for i, v := range rel {
		out[i] = PaperWhite * math.Pow(max(0, v), 1/t.Gamma)
	}
	return out
}
