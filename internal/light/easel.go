package light

import "facings/internal/colour"

// Easel draws pictures one after another in the same memory. What pictures of one
// stage have in common, which face is seen where, is found out once while they are
// drawn in a row. It is for one goroutine; an empty one is ready.
type Easel struct {
	stage *Stage // that the sight is of
	sight sight
	floor []float32 // how dark the ground's shadow is at each pixel; nil without one
	look  sight     // of the pixel being drawn, where none is kept
	img   *Image
	band  band
	rows  [][]int32 // faces by band
	// Light at the vertices, with up to two labels each.
	tags     [][2]uint32 // label + 1
	radiance [][2]colour.Linear
	active   []float64
	spread   [2][]float64
	bits     []int32
}

// sight is what is seen of a mesh, pixel by pixel.
type sight struct {
	spots    []spot
	glimpses []glimpse
}

// spot is a pixel that something is seen at.
type spot struct{ x, y, end int32 } // end: of its glimpses

// glimpse is the part of a pixel that faces fill which touch and bear one label.
type glimpse struct {
	face  int32
	share float32 // of the pixel's samples
	// The weights of the face's first two corners at the middle of those samples;
	// the third has the rest.
	p, q float32
}

func (g *glimpse) weights() (wp, wq, wr float64) {
	wp, wq = float64(g.p), float64(g.q)
	return wp, wq, 1 - wp - wq
}

// Draw draws a stage painted so, as Stage.Draw does. The picture is good until the
// next one is drawn.
func (e *Easel) Draw(st *Stage, p Paint) (*Image, error) { return e.draw(st, p, true) }

func (e *Easel) draw(st *Stage, p Paint, keep bool) (*Image, error) {
	if err := p.validate(len(st.scene.Mesh.V)); err != nil {
		return nil, err
	}
	w, h := st.scene.Width, st.scene.Height
	if e.stage != st {
		e.stage = nil
		e.floor = st.drawGround(e.floor)
	}
	r := newRenderer(st, &p, e)
	img := e.paper(w, h, p.Background)
	var active []float64
	if len(p.Active) > 0 {
		e.active = cleared(e.active, w*h)
		active = e.active
	}
	visit := func(x, y int, seen []glimpse) {
		if active != nil {
			active[y*w+x] = r.activeShare(seen)
		}
		r.shadePixel(img, x, y, seen)
	}
	switch {
	case !keep:
		e.raster(st.scene.Mesh.F, st.corners, w, h, st.solid, func(x, y int, pieces []piece) {
			e.look.glimpses = st.glimpses(e.look.glimpses[:0], pieces)
			visit(x, y, e.look.glimpses)
		})
	default:
		if e.stage == nil {
			e.see(st)
		}
		from := int32(0)
		for _, s := range e.sight.spots {
			visit(int(s.x), int(s.y), e.sight.glimpses[from:s.end])
			from = s.end
		}
	}
	if active != nil {
		e.outline(img, active)
	}
	return img, nil
}

// see finds out what is seen of a stage.
func (e *Easel) see(st *Stage) {
	s := sight{e.sight.spots[:0], e.sight.glimpses[:0]}
	e.raster(st.scene.Mesh.F, st.corners, st.scene.Width, st.scene.Height, st.solid, func(x, y int, pieces []piece) {
		s.glimpses = st.glimpses(s.glimpses, pieces)
		s.spots = append(s.spots, spot{int32(x), int32(y), int32(len(s.glimpses))})
	})
	e.sight, e.stage = s, st
}

// paper is the picture before the figure is on it: the background, if there is
// one, and the shadow on the ground.
func (e *Easel) paper(w, h int, background *colour.Linear) *Image {
	if e.img == nil || cap(e.img.Pix) < w*h {
		e.img = NewImage(w, h)
	}
	img := e.img
	img.W, img.H, img.Pix, img.A = w, h, img.Pix[:w*h], img.A[:w*h]
	if background == nil {
		clear(img.Pix)
		for i := range img.A {
			img.A[i] = e.dark(i)
		}
		return img
	}
	for i := range img.Pix {
		img.Pix[i], img.A[i] = *background, 1
	}
	for i, dark := range e.floor {
		if dark > 0 {
			img.Pix[i] = scaleRGB(*background, 1-float64(dark))
		}
	}
	return img
}

// dark is how dark the ground's shadow is at a pixel.
func (e *Easel) dark(i int) float64 {
	if len(e.floor) == 0 {
		return 0
	}
	return float64(e.floor[i])
}

// glimpses adds what fills a pixel, with one for all whose faces touch and bear
// one label: light and colour hardly differ between them.
func (st *Stage) glimpses(out []glimpse, pieces []piece) []glimpse {
	for _, q := range st.joined(pieces) {
		f := st.scene.Mesh.F[q.face]
		wp, wq, _ := blend3(&st.shot, st.corners[f[0]], st.corners[f[1]], st.corners[f[2]], q.x, q.y)
		out = append(out, glimpse{q.face, float32(q.share), float32(wp), float32(wq)})
	}
	return out
}

// joined makes one piece of those that belong together. It changes pieces.
func (st *Stage) joined(pieces []piece) []piece {
	if len(pieces) == 1 {
		return pieces
	}
	m := st.scene.Mesh
	out := pieces[:0]
next:
	for _, q := range pieces {
		f := m.F[q.face]
		for i := range out {
			p := &out[i]
			if m.FaceLabel(int(p.face)) != m.FaceLabel(int(q.face)) || !touch(m.F[p.face], f) {
				continue
			}
			all := p.share + q.share
			p.x, p.y = (p.x*p.share+q.x*q.share)/all, (p.y*p.share+q.y*q.share)/all
			if q.share > p.share {
				p.face = q.face
			}
			p.share = all
			continue next
		}
		out = append(out, q)
	}
	return out
}

// touch reports whether two faces have a corner in common.
func touch(f, g [3]int32) bool {
	for _, v := range f {
		if v == g[0] || v == g[1] || v == g[2] {
			return true
		}
	}
	return false
}

// cleared is a slice of n zeros, in the memory of s if it is large enough.
func cleared[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n)
	}
	s = s[:n]
	clear(s)
	return s
}
