package light

import (
	"facings/internal/colour"
)

// dim makes what is not under way pale and flat: drawn as bare plaster already,
// it keeps its shape, but neither hue nor contrast competes.
func dim(c colour.Linear) colour.Linear {
	v := 0.38 + 0.45*min(max(luminance(c), 0), 1)
	return colour.Linear{R: v, G: v, B: v}
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
