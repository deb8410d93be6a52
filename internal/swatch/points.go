package swatch

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"facings"
)

// Spot is a round place in a picture, as the user gave it: the middle from the
// left and the top and the radius, each in pixels of the upright photograph or
// in percent of its width, its height and its longer side.
type Spot struct {
	Given   string
	x, y, r length
}

type length struct {
	value   float64
	percent bool
}

func (l length) pixels(whole int) float64 {
	if l.percent {
		return l.value / 100 * float64(whole)
	}
	return l.value
}

// ParseSpot reads "x,y" or "x,y,radius"; without a radius it is 1 %.
func ParseSpot(s string) (Spot, error) {
	parts := strings.Split(s, ",")
	if len(parts) != 2 && len(parts) != 3 {
		return Spot{}, fmt.Errorf("the place %q is not x,y or x,y,radius", s)
	}
	lengths := [3]length{2: {1, true}}
	for i, part := range parts {
		number, percent := strings.CutSuffix(strings.TrimSpace(part), "%")
		v, err := strconv.ParseFloat(number, 64)
		if err != nil || !(v >= 0 && v <= 1e6) {
			return Spot{}, fmt.Errorf("%q in the place %q is not a number of pixels or percent", part, s)
		}
		lengths[i] = length{v, percent}
	}
	return Spot{s, lengths[0], lengths[1], lengths[2]}, nil
}

// SpotReading is the colour of a spot.
type SpotReading struct {
	At string `json:"at"`
	// X, Y and Radius are pixels of the upright photograph.
	X      float64 `json:"x"`
	Y      float64 `json:"y"`
	Radius float64 `json:"radius"`
	Colour
	Findings facings.Diagnostics `json:"findings"`
}

// What a spot leaves open, CIEDE2000, besides its own spread: with a white to
// compare with, and without one, when light and exposure are the photograph's
// (estimates).
const (
	spotFloor   = 2.0
	spotNoWhite = 6.0
)

// ReadSpots returns the colours of spots. With a white, which is taken for
// white paper (PaperWhite), they are freed of the light's colour and strength;
// without one the photograph is taken as it is.
func ReadSpots(p *Photo, spots []Spot, white *Spot) ([]SpotReading, error) {
	scale := rgb{1, 1, 1}
	var findings facings.Diagnostics
	if white != nil {
		s, err := p.spot(*white)
		if err != nil {
			return nil, err
		}
		if s.full > mostFull {
			return nil, fault("spot-white", fmt.Sprintf("the white at %s is overexposed", white.Given), "photograph it again with less exposure, or name another white")
		}
		w := middleLight(s.light)
		if w.luminance() < leastExposure || min(w[0], w[1], w[2]) < 0.01 {
			return nil, fault("spot-white", fmt.Sprintf("the white at %s is too dark to compare with", white.Given), "name a place that is white")
		}
		for i := range scale {
			scale[i] = PaperWhite / w[i]
		}
		if cast := max(w[0], w[1], w[2]) / min(w[0], w[1], w[2]); cast > warnCast {
			findings = append(findings, facings.Diagnostic{ID: "photo-cast", Severity: facings.Warning, Message: fmt.Sprintf("the light is strongly coloured: one channel is %.1f times another on the white", cast), Hint: "photograph it in daylight"})
		}
	}
	var out []SpotReading
	for _, spot := range spots {
		s, err := p.spot(spot)
		if err != nil {
			return nil, err
		}
		r := SpotReading{At: spot.Given, X: round(spot.x.pixels(p.FullW), 1), Y: round(spot.y.pixels(p.FullH), 1), Radius: round(spot.r.pixels(max(p.FullW, p.FullH)), 1)}
		r.Findings = append(facings.Diagnostics{}, findings...)
		r.Colour = *s.colour(scale, white != nil)
		warn := func(id, message, hint string) {
			r.Findings = append(r.Findings, facings.Diagnostic{ID: id, Severity: facings.Warning, Message: fmt.Sprintf("at %s: %s", spot.Given, message), Hint: hint})
		}
		if s.full > mostFull {
			warn("spot-clipped", "overexposed in places", "photograph it again with less exposure")
		}
		if raw := middleLight(s.light); min(raw[0], raw[1], raw[2]) < channelGone {
			warn("spot-gamut", "a channel of the photograph is empty: the colour may be fuller or darker", "photograph in more light")
		}
		if r.Uncertainty > tooUncertain+3 {
			warn("spot-uneven", "the spot holds several colours", "give a smaller radius or another place")
		}
		if r.linear.luminance() > 1 {
			warn("spot-bright", "lighter than a white can be", "check the place of the white")
		}
		out = append(out, r)
	}
	return out, nil
}

// mostSpotSamples bounds the places looked at in a spot.
const mostSpotSamples = 64

// spot samples a round place.
func (p *Photo) spot(s Spot) (areaSample, error) {
	f := float64(p.Factor)
	x, y, r := s.x.pixels(p.FullW)/f, s.y.pixels(p.FullH)/f, max(1, s.r.pixels(max(p.FullW, p.FullH))/f)
	if x-r < 0 || y-r < 0 || x+r > float64(p.W) || y+r > float64(p.H) {
		return areaSample{}, fmt.Errorf("the place %s, with a radius of %.0f pixels, leaves the photograph of %d × %d pixels", s.Given, r*f, p.FullW, p.FullH)
	}
	var out areaSample
	n := min(mostSpotSamples, 2*int(math.Ceil(r))+1)
	var full float64
	for j := range n {
		for i := range n {
			u, v := 2*(float64(i)+0.5)/float64(n)-1, 2*(float64(j)+0.5)/float64(n)-1
			if u*u+v*v > 1 {
				continue
			}
			q := Point{x + u*r, y + v*r}
			c, ok := p.at(q)
			if !ok {
				continue
			}
			out.at, out.light = append(out.at, q), append(out.light, c)
			if p.fullAt(q) {
				full++
			}
		}
	}
	if len(out.light) == 0 {
		return out, fmt.Errorf("the place %s holds no pixel", s.Given)
	}
	out.full = full / float64(len(out.light))
	return out, nil
}

// colour is the mean of the sample with its spread.
func (s *areaSample) colour(scale rgb, white bool) *Colour {
	light := make([]rgb, len(s.light))
	for i, c := range s.light {
		light[i] = rgb{c[0] * scale[0], c[1] * scale[1], c[2] * scale[2]}
	}
	mean := middleLight(light)
	var sum float64
	for _, c := range light {
		d := difference(c, mean)
		sum += d * d
	}
	floor := spotFloor
	if !white {
		floor = spotNoWhite
	}
	return newColour(mean, math.Hypot(floor, math.Sqrt(sum/float64(len(light)))))
}
