package light

import (
	"slices"

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

// slivers are taken off the coverage of what is under way: bits so small beside
// the largest that their outline would be all there is to see, such as a glimpse
// of a base's far rim behind a hoof.
func (e *Easel) slivers(active []float64, w, h int) {
	const few, share = 40, 1.0 / 100 // pixels, and of the largest bit
	e.bits = cleared(e.bits, len(active))
	bit := e.bits // number of the bit that a pixel belongs to
	var sizes []float64
	var open []int
	for i := range active {
		if active[i] == 0 || bit[i] != 0 {
			continue
		}
		sizes = append(sizes, 0)
		n := int32(len(sizes))
		bit[i], open = n, append(open[:0], i)
		for len(open) > 0 {
			j := open[len(open)-1]
			open = open[:len(open)-1]
			sizes[n-1] += active[j]
			x, y := j%w, j/w
			for v := max(y-1, 0); v <= min(y+1, h-1); v++ {
				for u := max(x-1, 0); u <= min(x+1, w-1); u++ {
					if k := v*w + u; active[k] > 0 && bit[k] == 0 {
						bit[k] = n
						open = append(open, k)
					}
				}
			}
		}
	}
	if len(sizes) < 2 {
		return
	}
	least := min(few, share*slices.Max(sizes))
	for i, n := range bit {
		if n > 0 && sizes[n-1] < least {
			active[i] = 0
		}
	}
}

// outline draws a double line around the area whose coverage of each pixel is
// given: black against it, white outside, so that it stands out from any ground.
func (e *Easel) outline(img *Image, active []float64) {
	e.slivers(active, img.W, img.H)
	width := max(2, img.H/400)
	e.spread[0] = spreadMax(e.spread[0], active, img.W, img.H, width)
	e.spread[1] = spreadMax(e.spread[1], active, img.W, img.H, 2*width)
	inner, outer := e.spread[0], e.spread[1]
	for i, cover := range active {
		if outer[i] == cover {
			continue // far from any rim
		}
		white, black := outer[i]-inner[i], inner[i]-cover
		if white > 0 {
			img.blend(i%img.W, i/img.W, colour.Linear{R: white, G: white, B: white}, white)
		}
		if black > 0 {
			img.blend(i%img.W, i/img.W, colour.Linear{}, black)
		}
	}
}

// spreadMax returns the largest value within radius pixels of each, over a disc,
// in the memory of out.
//
// Only values that some neighbour does not reach need spreading: from any other
// a step towards the place asked about stays within the disc and loses nothing.
func spreadMax(out, v []float64, w, h, radius int) []float64 {
	out = append(out[:0], v...)
	var disc [][2]int
	for dy := -radius; dy <= radius; dy++ {
		for dx := -radius; dx <= radius; dx++ {
			if dx*dx+dy*dy <= radius*radius+radius {
				disc = append(disc, [2]int{dx, dy})
			}
		}
	}
	for y := range h {
		for x := range w {
			i := y*w + x
			s := v[i]
			if s == 0 {
				continue
			}
			left, right, up, down := x == 0 || v[i-1] >= s, x == w-1 || v[i+1] >= s, y == 0 || v[i-w] >= s, y == h-1 || v[i+w] >= s
			if left && right && up && down {
				continue
			}
			for _, d := range disc {
				if px, py := x+d[0], y+d[1]; px >= 0 && py >= 0 && px < w && py < h && out[py*w+px] < s {
					out[py*w+px] = s
				}
			}
		}
	}
	return out
}
