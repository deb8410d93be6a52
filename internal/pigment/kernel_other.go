//go:build !amd64

package pigment

// eightAtOnce is whether the processor works on eight numbers at once.
var eightAtOnce = false

func bound8(v *scene, p, q, r *limits, shares [][3]float32, out *plane) {
	boundGeneric(v, p, q, r, shares, out)
}

func score8(p *plane, b *octet, first, end int, out *scores, ends *span) {
	scoreGeneric(p, b, first, end, out, ends)
}

func sift8(rows [][lobeCount]float32, s *scores, share float32, limits *span, out []uint8) {
	siftGeneric(rows, s, share, limits, out)
}

func show8(v *view, p, q, r *spectrum, x *[3]float32) [lobeCount]float32 {
	return showGeneric(v, p, q, r, x)
}
