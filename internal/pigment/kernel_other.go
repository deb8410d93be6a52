//go:build !amd64

package pigment

// eightAtOnce is whether the processor works on eight numbers at once.
var eightAtOnce = false

// blend sets out to a·p + b·q.
func (out *box) blend(p, q *box, a, b float32) { blendGeneric(out, p, q, a, b) }

func bounds8(t *table, base, b *box, share float32, out *eachRun) (low, high float32) {
	return boundsGeneric(t, base, b, share, out)
}

func pack8(t *table, base *box, p *pack, share float32, runs int32, accept [2]float32, out *packRuns) (open uint32) {
	return packGeneric(t, base, p, share, runs, accept, out)
}

func sift8(v *sieve, bands []sight, base []film1, films []film8) (passed uint32) {
	return siftGeneric(v, bands, base, films)
}
