package light

import (
	"facings/internal/colour"
)

// dim makes what is not under way pale and flat: it keeps its shape and a breath
// of its colour, so that its state so far can be told, but neither hue nor
// contrast competes with what is under way.
func dim(c colour.Linear) colour.Linear {
	v := 0.38 + 0.45*min(max(luminance(c), 0), 1)
	pale := func(x float64) float64 { return 0.5*v + 0.5*(0.42+0.5*min(max(x, 0), 1)) }
	return colour.Linear{R: pale(c.R), G: pale(c.G), B: pale(c.B)}
}

// outline draws a double line around the area whose coverage of each pixel is
// given: black against it, white outside, so that it stands out from any ground.
func outline(img *Image, active []float64) {
	width := max(2, img.H/400)
	inner := spreadMax(active, img.W, img.H, width)
	outer := spreadMax(active, img.W, img.H, 2*width)
	for i, cover := range active {
		white, black := outer[i]-inner[i], inner[i]-cover
		if white > 0 {
			img.blend(i%img.W, i/img.W, colour.Linear{R: white, G: white, B: white}, white)
		}
		if black > 0 {
			img.blend(i%img.W, i/img.W, colour.Linear{}, black)
		}
	}
}

// spreadMax returns the largest value within radius pixels of each, over a disc.
func spreadMax(v []float64, w, h, radius int) []float64 {
	out := append([]float64(nil), v...)
	for dy := -radius; dy <= radius; dy++ {
		for dx := -radius; dx <= radius; dx++ {
			if dx*dx+dy*dy > radius*radius+radius {
				continue
			}
			for y := max(0, -dy); y < min(h, h-dy); y++ {
				for x := max(0, -dx); x < min(w, w-dx); x++ {
					if s := v[(y+dy)*w+x+dx]; s > out[y*w+x] {
						out[y*w+x] = s
					}
				}
			}
		}
	}
	return out
}
