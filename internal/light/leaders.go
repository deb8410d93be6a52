package light

import (
	"cmp"
	"math"
	"slices"
)

// leader is a straight line from an area to its text in a column beside the
// figure.
type leader struct {
	callout Callout
	x, y    float64 // in the area
	tx, ty  float64 // at the text
}

// callOut draws leaders and texts and returns the callouts that are out of sight.
func (b *sampleGrid) callOut(img *Image, d *Drawing, text *Lettering, column int) (hidden []Callout) {
	seen := b.anchors(d.Width, d.Height)
	var all []leader
	for _, c := range d.Callouts {
		if a, ok := seen[c.Label]; ok {
			all = append(all, leader{callout: c, x: a[0], y: a[1]})
		} else {
			hidden = append(hidden, c)
		}
	}
	slices.SortStableFunc(all, func(p, q leader) int { return cmp.Or(cmp.Compare(p.x, q.x), cmp.Compare(p.y, q.y)) })
	half := (len(all) + 1) / 2
	gap := float64(text.Height) / 2
	placeLeaders(all[:half], float64(column)-gap/2, float64(text.Height)*1.15, float64(d.Height))
	placeLeaders(all[half:], float64(d.Width-column)+gap/2, float64(text.Height)*1.15, float64(d.Height))
	width := max(float64(d.Height)/900, 0.8)
	for i, l := range all {
		// A light rim keeps the line readable over dark fills.
		line(img, l.x, l.y, l.tx, l.ty, width+2, d.Paper)
		line(img, l.x, l.y, l.tx, l.ty, width, d.Ink)
		line(img, l.x, l.y, l.x, l.y, 4*width, d.Ink)
		x := int(l.tx + gap/2)
		if i < half {
			x = int(l.tx-gap/2) - text.Width(l.callout.Text)
		}
		text.Draw(img, x, int(l.ty)-text.Height/2, l.callout.Text, d.Ink)
	}
	return hidden
}

// placeLeaders gives each leader a place in the column at tx, at least spacing
// apart, near its area's height, and then trades places until no two leaders
// cross. Each trade of two crossing lines makes their total length shorter, so
// that comes to an end.
func placeLeaders(all []leader, tx, spacing, height float64) {
	slices.SortStableFunc(all, func(p, q leader) int { return cmp.Or(cmp.Compare(p.y, q.y), cmp.Compare(p.x, q.x)) })
	if n := float64(len(all)); n*spacing > height {
		spacing = height / n
	}
	for i, y := range spaceOut(all, spacing, height) {
		all[i].tx, all[i].ty = tx, y
	}
	for again := true; again; {
		again = false
		for i := range all {
			for j := range i {
				if crosses(&all[i], &all[j]) {
					all[i].ty, all[j].ty = all[j].ty, all[i].ty
					again = true
				}
			}
		}
	}
}

// spaceOut returns heights at least spacing apart, in order, within the picture,
// and as near to the areas' own as that allows (least squares): places that want
// to be too close form a block around their common middle.
func spaceOut(all []leader, spacing, height float64) []float64 {
	type block struct {
		sum float64 // of wanted height less the place's offset in the block
		n   int
	}
	var blocks []block
	limit := func(b block) float64 {
		y := b.sum / float64(b.n)
		return max(spacing/2, min(y, height-spacing*(float64(b.n)-0.5)))
	}
	for _, l := range all {
		blocks = append(blocks, block{l.y, 1})
		for len(blocks) > 1 {
			p, q := blocks[len(blocks)-2], blocks[len(blocks)-1]
			if limit(p)+float64(p.n)*spacing <= limit(q) {
				break
			}
			blocks = blocks[:len(blocks)-1]
			blocks[len(blocks)-1] = block{p.sum + q.sum - float64(q.n*p.n)*spacing, p.n + q.n}
		}
	}
	var out []float64
	for _, b := range blocks {
		for k := range b.n {
			out = append(out, limit(b)+float64(k)*spacing)
		}
	}
	return out
}

// crosses reports whether two leaders cross in a point inside both.
func crosses(p, q *leader) bool {
	side := func(ax, ay, bx, by, cx, cy float64) float64 {
		return float64((bx-ax)*(cy-ay)) - float64((by-ay)*(cx-ax))
	}
	a, b := side(p.x, p.y, p.tx, p.ty, q.x, q.y), side(p.x, p.y, p.tx, p.ty, q.tx, q.ty)
	c, d := side(q.x, q.y, q.tx, q.ty, p.x, p.y), side(q.x, q.y, q.tx, q.ty, p.tx, p.ty)
	const tiny = 1e-9
	return (a > tiny && b < -tiny || a < -tiny && b > tiny) && (c > tiny && d < -tiny || c < -tiny && d > tiny)
}

// anchors returns, for each label in sight, the pixel furthest from the label's
// rim: the middle of its broadest part.
func (b *sampleGrid) anchors(w, h int) map[uint16][2]float64 {
	label := make([]int32, w*h)
	for y := range h {
		for x := range w {
			f := b.face[(y*lineScale+lineScale/2)*b.w+x*lineScale+lineScale/2]
			label[y*w+x] = -1
			if f >= 0 {
				label[y*w+x] = int32(b.m.FaceLabel(int(f)))
			}
		}
	}
	depth := rimDistance(label, w, h)
	best := make([]int, max(1, len(b.m.Labels))) // pixel + 1
	for i, l := range label {
		if l >= 0 && (best[l] == 0 || depth[i] > depth[best[l]-1]) {
			best[l] = i + 1
		}
	}
	out := map[uint16][2]float64{}
	for l, i := range best {
		if i--; i >= 0 {
			out[uint16(l)] = [2]float64{float64(i%w) + 0.5, float64(i/w) + 0.5}
		}
	}
	return out
}

// rimDistance is the distance of each pixel to the nearest of another label, by
// two passes over the picture (a chamfer distance, a few per cent off).
func rimDistance(label []int32, w, h int) []float64 {
	out := make([]float64, len(label))
	step := func(x, y, dx, dy int, length float64) {
		i := y*w + x
		u, v := x+dx, y+dy
		if u < 0 || v < 0 || u >= w || v >= h || label[v*w+u] != label[i] {
			out[i] = min(out[i], length)
			return
		}
		out[i] = min(out[i], out[v*w+u]+length)
	}
	for i := range out {
		out[i] = math.Inf(1)
	}
	for y := range h {
		for x := range w {
			step(x, y, -1, 0, 1)
			step(x, y, 0, -1, 1)
			step(x, y, -1, -1, math.Sqrt2)
			step(x, y, 1, -1, math.Sqrt2)
		}
	}
	for y := h - 1; y >= 0; y-- {
		for x := w - 1; x >= 0; x-- {
			step(x, y, 1, 0, 1)
			step(x, y, 0, 1, 1)
			step(x, y, 1, 1, math.Sqrt2)
			step(x, y, -1, 1, math.Sqrt2)
		}
	}
	return out
}
