package light

import (
	"math"

	"facings/internal/geom"
)

// samples are the eight places in a pixel where coverage is tested, in 1/16 of a
// pixel from its corner: one in each row and column of an 8 × 8 board.
var samples = [8][2]float64{{1, 7}, {3, 13}, {5, 3}, {7, 11}, {9, 5}, {11, 15}, {13, 1}, {15, 9}}

const sampleCount = len(samples)

// corner is a vertex on the image plane.
type corner struct{ x, y, near float64 }

// band is a strip of the picture being drawn: for every sample the nearest
// triangle, or -1.
type band struct {
	width, y0, y1 int
	near          []float64
	face          []int32
}

const bandRows = 32

func newBand(width int) *band {
	n := width * bandRows * sampleCount
	return &band{width: width, near: make([]float64, n), face: make([]int32, n)}
}

func (b *band) clear(y0, y1 int) {
	b.y0, b.y1 = y0, y1
	for i := range b.face {
		b.face[i] = -1
		b.near[i] = math.Inf(-1)
	}
}

// draw puts a triangle into the samples where it is nearest. Of two at the same
// depth the one with the smaller number stays.
func (b *band) draw(face int32, p, q, r corner) {
	det := float64((q.x-p.x)*(r.y-p.y)) - float64((q.y-p.y)*(r.x-p.x))
	if det == 0 || math.IsNaN(det) {
		return
	}
	x0 := max(int(math.Floor(min(p.x, q.x, r.x))), 0)
	x1 := min(int(math.Floor(max(p.x, q.x, r.x))), b.width-1)
	y0 := max(int(math.Floor(min(p.y, q.y, r.y))), b.y0)
	y1 := min(int(math.Floor(max(p.y, q.y, r.y))), b.y1-1)
	inv := 1 / det
	for y := y0; y <= y1; y++ {
		for x := x0; x <= x1; x++ {
			at := ((y-b.y0)*b.width + x) * sampleCount
			for s, o := range samples {
				sx, sy := float64(x)+o[0]/16, float64(y)+o[1]/16
				wp, wq, wr := weights(p, q, r, sx, sy, inv)
				if wp < 0 || wq < 0 || wr < 0 {
					continue
				}
				if n := float64(wp*p.near) + float64(wq*q.near) + float64(wr*r.near); n > b.near[at+s] {
					b.near[at+s], b.face[at+s] = n, face
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
next:
	for s, o := range samples {
		f := b.face[at+s]
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
// something covers, always in the same order.
func raster(f [][3]int32, corners []corner, width, height int, visit func(x, y int, b *band)) {
	buckets := make([][]int32, (height+bandRows-1)/bandRows)
	for i, t := range f {
		y0 := min(corners[t[0]].y, corners[t[1]].y, corners[t[2]].y)
		y1 := max(corners[t[0]].y, corners[t[1]].y, corners[t[2]].y)
		if !(y1 >= 0 && y0 < float64(height)) {
			continue
		}
		first, last := int(max(y0, 0))/bandRows, int(min(y1, float64(height-1)))/bandRows
		for k := first; k <= last; k++ {
			buckets[k] = append(buckets[k], int32(i))
		}
	}
	b := newBand(width)
	for k, list := range buckets {
		if len(list) == 0 {
			continue
		}
		b.clear(k*bandRows, min((k+1)*bandRows, height))
		for _, i := range list {
			t := f[i]
			b.draw(i, corners[t[0]], corners[t[1]], corners[t[2]])
		}
		for y := b.y0; y < b.y1; y++ {
			for x := range width {
				visit(x, y, b)
			}
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
