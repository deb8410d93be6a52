package light

import (
	"math"

	"facings/internal/geom"
)

// samples are the eight places in a pixel where coverage is tested, in 1/16 of a
// pixel from its corner: one in each row and column of an 8 × 8 board, each
// opposite another.
var samples = [sampleCount][2]float64{{1, 5}, {3, 13}, {5, 9}, {7, 1}, {15, 11}, {13, 3}, {11, 7}, {9, 15}}

const (
	sampleCount = 8
	opposite    = sampleCount / 2 // how many places on the list its opposite is
)

// corner is a vertex on the image plane.
type corner struct{ x, y, near float64 }

// band is a strip of the picture being drawn: for every sample the nearest
// triangle, or -1.
type band struct {
	width, y0, y1 int
	near          []float64
	face          []int32
	from, to      [bandRows]int // the columns of each row that something was drawn in
}

// bandRows is so few that a band of a usual picture stays in a processor's cache.
const bandRows = 16

// ready makes an empty band of a width.
func (b *band) ready(width int) {
	n := width * bandRows * sampleCount
	if cap(b.near) < n {
		b.near, b.face = make([]float64, n), make([]int32, n)
	}
	b.width, b.near, b.face = width, b.near[:n], b.face[:n]
	for row := range bandRows {
		b.from[row], b.to[row] = 0, width
		b.clear(row)
	}
}

// clear empties a row.
func (b *band) clear(row int) {
	from, to := (row*b.width+b.from[row])*sampleCount, (row*b.width+b.to[row])*sampleCount
	for i := from; i < to; i++ {
		b.face[i] = -1
		b.near[i] = math.Inf(-1)
	}
	b.from[row], b.to[row] = b.width, 0
}

// edge is one side of a triangle as a function of place, a·x + b·y + c: not
// negative on the inner side. Swapping its ends negates it bit for bit, so that
// of two triangles that share it no sample falls between.
type edge struct{ a, b, c float64 }

func edgeOf(p, q corner) edge {
	return edge{p.y - q.y, q.x - p.x, float64(p.x*q.y) - float64(p.y*q.x)}
}

// offsets are what an edge's value changes by from a pixel's middle to its
// samples. No change is larger than most.
func (e edge) offsets() (out [sampleCount]float64, most float64) {
	for s, o := range samples[:opposite] {
		d := float64(e.a*((o[0]-8)/16)) + float64(e.b*((o[1]-8)/16))
		out[s], out[s+opposite] = d, -d
	}
	return out, (math.Abs(e.a) + math.Abs(e.b)) * (7.0 / 16)
}

// draw puts a triangle into the samples where it is nearest. Of two at the same
// depth the one with the smaller number stays.
func (b *band) draw(face int32, p, q, r corner) {
	det := float64((q.x-p.x)*(r.y-p.y)) - float64((q.y-p.y)*(r.x-p.x))
	if det == 0 || math.IsNaN(det) {
		return
	}
	if det < 0 {
		q, r, det = r, q, -det
	}
	x0 := max(int(math.Floor(min(p.x, q.x, r.x))), 0)
	x1 := min(int(math.Floor(max(p.x, q.x, r.x))), b.width-1)
	y0 := max(int(math.Floor(min(p.y, q.y, r.y))), b.y0)
	y1 := min(int(math.Floor(max(p.y, q.y, r.y))), b.y1-1)
	if x0 > x1 || y0 > y1 {
		return
	}
	ep, eq, er := edgeOf(q, r), edgeOf(r, p), edgeOf(p, q)
	op, mp := ep.offsets()
	oq, mq := eq.offsets()
	or, mr := er.offsets()
	kp, kq, kr := p.near/det, q.near/det, r.near/det
	var deeper [sampleCount]float64
	for s := range deeper {
		deeper[s] = float64(op[s]*kp) + float64(oq[s]*kq) + float64(or[s]*kr)
	}
	for y := y0; y <= y1; y++ {
		fy := float64(y) + 0.5
		rp, rq, rr := float64(ep.b*fy)+ep.c, float64(eq.b*fy)+eq.c, float64(er.b*fy)+er.c
		row := y - b.y0
		b.from[row], b.to[row] = min(b.from[row], x0), max(b.to[row], x1+1)
		for x := x0; x <= x1; x++ {
			fx := float64(x) + 0.5
			vp, vq, vr := float64(ep.a*fx)+rp, float64(eq.a*fx)+rq, float64(er.a*fx)+rr
			if vp+mp < 0 || vq+mq < 0 || vr+mr < 0 {
				continue // the whole pixel lies beside it
			}
			at := (row*b.width + x) * sampleCount
			near, faces := (*[sampleCount]float64)(b.near[at:]), (*[sampleCount]int32)(b.face[at:])
			depth := float64(vp*kp) + float64(vq*kq) + float64(vr*kr)
			if vp-mp >= 0 && vq-mq >= 0 && vr-mr >= 0 { // and here it fills the whole pixel
				for s := range sampleCount {
					if n := depth + deeper[s]; n > near[s] {
						near[s], faces[s] = n, face
					}
				}
				continue
			}
			for s := range sampleCount {
				// The sign of any of the three tells; + 0 turns -0 into 0.
				if int64(math.Float64bits(vp+op[s]+0)|math.Float64bits(vq+oq[s]+0)|math.Float64bits(vr+or[s]+0)) < 0 {
					continue
				}
				if n := depth + deeper[s]; n > near[s] {
					near[s], faces[s] = n, face
				}
			}
		}
	}
}

// weights are the barycentric weights of (x, y), inv being 1 over the
// triangle's doubled signed area.
func weights(p, q, r corner, x, y, inv float64) (wp, wq, wr float64) {
	wp = (float64((q.x-x)*(r.y-y)) - float64((q.y-y)*(r.x-x))) * inv
	wq = (float64((r.x-x)*(p.y-y)) - float64((r.y-y)*(p.x-x))) * inv
	wr = (float64((p.x-x)*(q.y-y)) - float64((p.y-y)*(q.x-x))) * inv
	return wp, wq, wr
}

// piece is the part of a pixel that one triangle fills.
type piece struct {
	face  int32
	share float64 // of the pixel's samples
	x, y  float64 // middle of those samples
}

// pieces lists what fills the pixel, in order of first sample; what no triangle
// fills is left out.
func (b *band) pieces(x, y int, out []piece) []piece {
	out = out[:0]
	at := ((y-b.y0)*b.width + x) * sampleCount
	faces := (*[sampleCount]int32)(b.face[at:])
	first := faces[0]
	alike := true
	for _, f := range faces {
		alike = alike && f == first
	}
	if alike {
		if first >= 0 {
			out = append(out, piece{first, 1, float64(x) + 0.5, float64(y) + 0.5})
		}
		return out
	}
next:
	for s, o := range samples {
		f := faces[s]
		if f < 0 {
			continue
		}
		for i := range out {
			if out[i].face == f {
				out[i].share++
				out[i].x += o[0]
				out[i].y += o[1]
				continue next
			}
		}
		out = append(out, piece{f, 1, o[0], o[1]})
	}
	for i := range out {
		p := &out[i]
		p.x, p.y = float64(x)+p.x/p.share/16, float64(y)+p.y/p.share/16
		p.share /= float64(sampleCount)
	}
	return out
}

// raster walks over the picture band by band: it calls visit for each pixel that
// something covers, always in the same order, with what covers it. Of a solid
// only the faces that look at the camera are drawn, since no other can be seen.
func (e *Easel) raster(f [][3]int32, corners []corner, width, height int, solid bool, visit func(x, y int, pieces []piece)) {
	count := (height + bandRows - 1) / bandRows
	e.rows = append(e.rows, make([][]int32, max(0, count-len(e.rows)))...)
	buckets := e.rows[:count]
	for k := range buckets {
		buckets[k] = buckets[k][:0]
	}
	for i, t := range f {
		p, q, r := &corners[t[0]], &corners[t[1]], &corners[t[2]]
		if solid && float64((q.x-p.x)*(r.y-p.y))-float64((q.y-p.y)*(r.x-p.x)) >= 0 {
			continue
		}
		y0, y1 := min(p.y, q.y, r.y), max(p.y, q.y, r.y)
		if !(y1 >= 0 && y0 < float64(height)) || max(p.x, q.x, r.x) < 0 || min(p.x, q.x, r.x) >= float64(width) {
			continue
		}
		first, last := int(max(y0, 0))/bandRows, int(min(y1, float64(height-1)))/bandRows
		for k := first; k <= last; k++ {
			buckets[k] = append(buckets[k], int32(i))
		}
	}
	b := &e.band
	b.ready(width)
	var pieces []piece
	for k, list := range buckets {
		if len(list) == 0 {
			continue
		}
		b.y0, b.y1 = k*bandRows, min((k+1)*bandRows, height)
		for _, i := range list {
			t := f[i]
			b.draw(i, corners[t[0]], corners[t[1]], corners[t[2]])
		}
		for y := b.y0; y < b.y1; y++ {
			row := y - b.y0
			for x := b.from[row]; x < b.to[row]; x++ {
				if pieces = b.pieces(x, y, pieces); len(pieces) > 0 {
					visit(x, y, pieces)
				}
			}
			b.clear(row)
		}
	}
}

// cornersOf projects the vertices.
func cornersOf(s *shot, v []geom.Vec3) []corner {
	out := make([]corner, len(v))
	for i, p := range v {
		x, y, n := s.project(p)
		out[i] = corner{x, y, n}
	}
	return out
}
