package main

import (
	"cmp"
	"image"
	"image/color"
	"maps"
	"slices"
)

// rounded gives a colour five bits to each channel.
func rounded(c color.Color) color.RGBA {
	r, g, b, _ := c.RGBA()
	five := func(v uint32) uint8 { return uint8((v*31 + 0x7fff) / 0xffff * 255 / 31) }
	return color.RGBA{five(r), five(g), five(b), 255}
}

// palette is the rounded colours seen most, 256 at most.
func palette(img image.Image) color.Palette {
	seen := map[color.RGBA]int{}
	b := img.Bounds()
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			seen[rounded(img.At(x, y))]++
		}
	}
	code := func(c color.RGBA) int { return int(c.R)<<16 | int(c.G)<<8 | int(c.B) }
	list := slices.SortedFunc(maps.Keys(seen), func(a, b color.RGBA) int {
		return cmp.Or(seen[b]-seen[a], code(a)-code(b))
	})
	var out color.Palette
	for _, c := range list[:min(len(list), 256)] {
		out = append(out, c)
	}
	return out
}
