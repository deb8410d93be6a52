package main

import (
	"cmp"
	"fmt"
	"image"
	"image/color"
	"maps"
	"slices"
	"strings"

	"facings/internal/colour"
	"facings/internal/light"
)

// samples draws the colours of a GIMP palette with their names.
func samples(gpl string) (image.Image, error) {
	const wide, high, columns, text = 128, 34, 6, 11
	var cells []light.Cell
	for line := range strings.Lines(gpl) {
		var c colour.RGB8
		if n, _ := fmt.Sscan(line, &c.R, &c.G, &c.B); n < 3 {
			continue // the heading
		}
		sample := light.NewImage(wide, high)
		sample.Over(c.SRGB().Decode())
		name := strings.Join(strings.Fields(line)[3:], " ")
		cells = append(cells, light.Cell{Picture: sample, Caption: name})
	}
	img, err := light.ContactSheet(cells, columns, text, colour.Linear{R: 1, G: 1, B: 1}, colour.Linear{})
	if err != nil {
		return nil, err
	}
	return img.NRGBA(), nil
}

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
