package pigment

import "golang.org/x/sys/cpu"

// eightAtOnce is whether the processor works on eight numbers at once.
var eightAtOnce = cpu.X86.HasAVX2 && cpu.X86.HasFMA

func bound8(v *scene, p, q, r *limits, shares [][3]float32, out *plane) {
	if eightAtOnce {
		boundAVX2(v, p, q, r, &shares[0], len(shares), out)
		return
	}
	boundGeneric(v, p, q, r, shares, out)
}

func score8(p *plane, b *octet, first, end int, out *scores, ends *span) {
	if eightAtOnce {
		scoreAVX2(p, b, first, end, out, ends)
		return
	}
	scoreGeneric(p, b, first, end, out, ends)
}

func sift8(rows [][lobeCount]float32, s *scores, share float32, limits *span, out []uint8) {
	if eightAtOnce {
		siftAVX2(&rows[0], len(rows), s, share, limits, &out[:len(rows)][0])
		return
	}
	siftGeneric(rows, s, share, limits, out)
}

func show8(v *view, p, q, r *spectrum, x *[3]float32) [lobeCount]float32 {
	if eightAtOnce {
		return showAVX2(v, p, q, r, x)
	}
	return showGeneric(v, p, q, r, x)
}

//go:noescape
func boundAVX2(v *scene, p, q, r *limits, shares *[3]float32, count int, out *plane)

//go:noescape
func scoreAVX2(p *plane, b *octet, first, end int, out *scores, ends *span)

//go:noescape
func siftAVX2(rows *[lobeCount]float32, count int, s *scores, share float32, limits *span, out *uint8)

//go:noescape
func showAVX2(v *view, p, q, r *spectrum, x *[3]float32) (out [lobeCount]float32)
