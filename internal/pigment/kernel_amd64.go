package pigment

import "golang.org/x/sys/cpu"

// eightAtOnce is whether the processor works on eight numbers at once.
var eightAtOnce = cpu.X86.HasAVX2 && cpu.X86.HasFMA

func bounds8(t *table, base, b *box, share float32, out *eachRun) (low, high float32) {
	if eightAtOnce {
		return boundsAVX2(t, base, b, share, out)
	}
	return boundsGeneric(t, base, b, share, out)
}

func pack8(t *table, base *box, p *pack, share float32, runs int32, accept [2]float32, out *packRuns) (open uint32) {
	if eightAtOnce {
		return packAVX2(t, base, p, share, runs, accept[0], accept[1], out)
	}
	return packGeneric(t, base, p, share, runs, accept, out)
}

func sift8(v *sieve, bands []sight, base []film1, films []film8) (passed uint32) {
	if eightAtOnce {
		return siftAVX2(v, &base[0], &films[0])
	}
	return siftGeneric(v, bands, base, films)
}

// blend sets out to a·p + b·q.
func (out *box) blend(p, q *box, a, b float32) {
	if eightAtOnce {
		blendAVX2(out, p, q, a, b)
		return
	}
	blendGeneric(out, p, q, a, b)
}

//go:noescape
func blendAVX2(out, p, q *box, a, b float32)

//go:noescape
func boundsAVX2(t *table, base, b *box, share float32, out *eachRun) (low, high float32)

//go:noescape
func packAVX2(t *table, base *box, p *pack, share float32, runs int32, least, most float32, out *packRuns) (open uint32)

//go:noescape
func siftAVX2(v *sieve, base *film1, films *film8) (passed uint32)
