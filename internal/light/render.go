package light

import (
	"fmt"
	"math"
	"slices"

	"facings/internal/colour"
	"facings/internal/geom"
)

// Look is how an area is painted.
type Look struct {
	// Ramp gives the colour over the exposure, relative to a level open facet:
	// its entries are evenly spaced from 0 to 1, values between are blended. One
	// entry is one colour everywhere. For metal it is the colour of the reflection.
	Ramp      []colour.Linear
	Metal     bool
	Roughness float64 // 0 to 1; 0 stands for 0.6, satin varnish
	// Wash is how strongly recesses are darkened, 0 to 1, and WashColour to what.
	Wash       float64
	WashColour colour.Linear
	// Texture, where given, takes the ramp's place; Paint.UV lays it on.
	Texture *Texture
}

// Scene is a mesh in its light, seen by a camera: all that pictures of the same
// casting, painted in different ways, have in common.
type Scene struct {
	Mesh          *geom.Mesh
	Camera        Camera
	Studio        Studio
	Width, Height int
	GroundShadow  bool // on the plane Z = lowest point of the mesh
	Threads       int  // 0: as many as the machine has; the picture is the same
}

// Paint is how one figure is painted and shown.
type Paint struct {
	Looks []Look // by label number; missing ones are mid-grey
	// Exposure is relative to a level open facet, per vertex; nil counts as 1.
	Exposure []float64
	Recess   []float64 // per vertex, from Recess; nil counts as 0
	// VertexColour, where given, replaces the ramps.
	VertexColour []colour.Linear
	// UV is where each vertex lies on its label's texture, across and down from 0
	// to 1; needed where a look has one.
	UV         [][2]float64
	Background *colour.Linear // nil: transparent
	// Active are the labels under way: they are outlined in black and white and
	// all else fades, so that no one needs hues to find them.
	Active []uint16
	// Keep is how much of its own look all else keeps then, 0 to 1.
	Keep float64
}

const maxPixels = 40_000_000

func checkSize(m *geom.Mesh, width, height int) error {
	if m == nil || len(m.F) == 0 {
		return fmt.Errorf("there is no mesh to draw")
	}
	if width < 1 || height < 1 || width > maxPixels/height {
		return fmt.Errorf("a picture of %d × %d: at least 1 × 1 and at most %d pixels", width, height, maxPixels)
	}
	return m.Validate()
}

func (p *Paint) validate(vertices int) error {
	for _, c := range []struct {
		name string
		n    int
	}{{"exposures", len(p.Exposure)}, {"recesses", len(p.Recess)}, {"vertex colours", len(p.VertexColour)}, {"places on a texture", len(p.UV)}} {
		if c.n != 0 && c.n != vertices {
			return fmt.Errorf("%d %s for %d vertices", c.n, c.name, vertices)
		}
	}
	for _, l := range p.Looks {
		if l.Texture != nil && len(p.UV) == 0 {
			return fmt.Errorf("a texture without the places of the vertices on it")
		}
	}
	return nil
}

// Stage is a scene with its light worked out. It is not changed by drawing, so
// several pictures may be drawn at once.
type Stage struct {
	scene   Scene
	shot    shot
	corners []corner
	normals []geom.Vec3
	solid   bool
	light   lit
	key     geom.Vec3
	ground  *geom.Mesh
	caster  *geom.Caster // of the figure, and of the ground's points without faces, so that they block nothing
	facing  []geom.Vec3  // the normals that rays are cast by: the figure's and the ground's
	floor   lit          // the light at the ground's vertices
	shade   []float64    // how dark the ground is at each of them

	materials *materials
}

// NewStage casts the rays that every picture of the scene needs.
func NewStage(s Scene) (*Stage, error) {
	if err := checkSize(s.Mesh, s.Width, s.Height); err != nil {
		return nil, err
	}
	st := &Stage{scene: s, normals: s.Mesh.VertexNormals(), materials: &materials{}}
	st.ready()
	all := s.Studio.skyAt(st.caster, st.facing, st.near(), Options{s.Threads}.threads())
	n := len(s.Mesh.V)
	st.light = lit{sky: all.sky[:n], open: all.open[:n]}
	st.floor = lit{sky: all.sky[n:], open: all.open[n:]}
	st.look(s.Camera)
	return st, nil
}

// From returns the same scene from another side. The key light stays with the
// camera; what the sky gives is not worked out again.
func (st *Stage) From(c Camera) *Stage {
	out := *st
	out.look(c)
	return &out
}

func (st *Stage) near() float64 { return st.scene.Mesh.Bounds().Size().Len() * NearShare }

// ready makes the caster.
func (st *Stage) ready() {
	m := st.scene.Mesh
	st.facing = st.normals
	if st.scene.GroundShadow {
		st.ground = groundUnder(m)
		st.facing = slices.Clone(st.normals)
		box := st.ground.Bounds()
		for _, p := range st.ground.V {
			up := geom.Vec3{Z: 1}
			if p.Sub(box.Center()).Len() >= box.Size().X/2 {
				up = geom.Vec3{} // no shadow is drawn there, so that no ray is cast
			}
			st.facing = append(st.facing, up)
		}
		m = &geom.Mesh{V: slices.Concat(m.V, st.ground.V), F: m.F}
	}
	st.caster = geom.NewCaster(m, st.facing)
	st.solid = st.caster.Solid()
}

// look points the camera and lights the lamp that goes with it.
func (st *Stage) look(c Camera) {
	s := &st.scene
	s.Camera = c
	st.key = s.Studio.keyDir(c.AzimuthDeg)
	lamp := s.Studio.lampAt(st.caster, st.facing, st.key, st.near(), Options{s.Threads}.threads())
	n := len(s.Mesh.V)
	st.light.lamp, st.floor.lamp = lamp[:n], lamp[n:]
	if st.ground != nil {
		st.shade = st.groundShade()
	}
	st.shot = c.frame(s.Mesh.V, s.Width, s.Height)
	st.corners = cornersOf(&st.shot, s.Mesh.V)
}

// Draw draws the figure painted so, in linear light. The same scene and paint
// give the same values on every machine and for any number of threads.
func (st *Stage) Draw(p Paint) (*Image, error) {
	if err := p.validate(len(st.scene.Mesh.V)); err != nil {
		return nil, err
	}
	w, h := st.scene.Width, st.scene.Height
	r := &renderer{Stage: st, p: &p, parallel: math.IsInf(st.shot.distance, 1)}
	r.half = st.shot.back.Add(st.key).Unit()
	r.fresnel = fresnel(st.shot.back.Dot(r.half))
	r.setLooks()
	img := NewImage(w, h)
	var active []float64
	if len(p.Active) > 0 {
		active = make([]float64, w*h)
	}
	if r.ground != nil {
		r.drawGround(img)
	}
	raster(st.scene.Mesh.F, r.corners, w, h, st.solid, func(x, y int, pieces []piece) {
		if active != nil {
			active[y*w+x] = r.activeShare(pieces)
		}
		r.shadePixel(img, x, y, pieces)
	})
	if active != nil {
		outline(img, active)
	}
	if p.Background != nil {
		img.Over(*p.Background)
	}
	return img, nil
}

// renderer is a stage with one figure's paint on it.
type renderer struct {
	*Stage
	p        *Paint
	surfaces []*surface // by label
	plaster  *surface   // what is not under way
	looks    []Look
	active   []bool
	// In parallel projection these are the same all over the picture.
	parallel bool
	half     geom.Vec3 // half-way between eye and lamp
	fresnel  float64
}

func (r *renderer) setLooks() {
	n := max(1, len(r.scene.Mesh.Labels))
	r.looks, r.surfaces, r.active = make([]Look, n), make([]*surface, n), make([]bool, n)
	if len(r.p.Active) > 0 {
		r.plaster = r.materials.surface(false, 1)
	}
	for i := range n {
		l := Look{Ramp: []colour.Linear{{R: 0.4, G: 0.4, B: 0.4}}}
		if i < len(r.p.Looks) && (len(r.p.Looks[i].Ramp) > 0 || r.p.Looks[i].Texture != nil) {
			l = r.p.Looks[i]
		}
		if l.Roughness == 0 {
			l.Roughness = 0.6
		}
		r.looks[i], r.surfaces[i] = l, r.materials.surface(l.Metal, l.Roughness)
	}
	for _, a := range r.p.Active {
		if int(a) < n {
			r.active[a] = true
		}
	}
}

// shadePixel averages, in linear light, over the pixel's samples, and lays the
// result over what is there.
func (r *renderer) shadePixel(img *Image, x, y int, pieces []piece) {
	var sum colour.Linear
	cover := 0.0
	for _, q := range r.joined(pieces) {
		sum = addRGB(sum, scaleRGB(r.figurePiece(q), q.share))
		cover += q.share
	}
	img.blend(x, y, sum, cover)
}

// joined makes one piece of those whose faces touch and bear one label: light and
// colour hardly differ between them. It changes pieces.
func (r *renderer) joined(pieces []piece) []piece {
	m := r.scene.Mesh
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

// activeShare is how much of a pixel is under way.
func (r *renderer) activeShare(pieces []piece) float64 {
	share := 0.0
	for _, q := range pieces {
		if r.active[r.scene.Mesh.FaceLabel(int(q.face))] {
			share += q.share
		}
	}
	return share
}

// blend3 are the weights of a face's corners at a place of the picture,
// corrected for perspective.
func blend3(s *shot, p, q, c corner, x, y float64) (wp, wq, wr float64) {
	sign := 1.0
	if float64((q.x-p.x)*(c.y-p.y))-float64((q.y-p.y)*(c.x-p.x)) < 0 {
		sign = -1
	}
	wp, wq, wr = weights(p, q, c, x, y, sign)
	wp, wq, wr = max(wp, 0), max(wq, 0), max(wr, 0)
	if !math.IsInf(s.distance, 1) {
		wp, wq, wr = wp*p.near, wq*q.near, wr*c.near
	}
	all := 1 / (wp + wq + wr)
	return wp * all, wq * all, wr * all
}

// paleness is how far what is not under way fades towards plaster: its state so
// far can be told, and what is under way still stands out by lightness alone.
const paleness = 0.35

// figurePiece is the light that a piece of the figure sends to the eye.
func (r *renderer) figurePiece(q piece) colour.Linear {
	m := r.scene.Mesh
	f := m.F[q.face]
	label := m.FaceLabel(int(q.face))
	wp, wq, wr := blend3(&r.shot, r.corners[f[0]], r.corners[f[1]], r.corners[f[2]], q.x, q.y)
	at := func(v []float64, missing float64) float64 {
		if len(v) == 0 {
			return missing
		}
		return wp*v[f[0]] + wq*v[f[1]] + wr*v[f[2]]
	}
	mixed := func(v []colour.Linear) colour.Linear {
		return addRGB(addRGB(scaleRGB(v[f[0]], wp), scaleRGB(v[f[1]], wq)), scaleRGB(v[f[2]], wr))
	}
	eye, half, f5 := r.shot.back, r.half, r.fresnel
	if !r.parallel {
		eye = r.shot.toEye(m.V[f[0]].Mul(wp).Add(m.V[f[1]].Mul(wq)).Add(m.V[f[2]].Mul(wr)))
		half = eye.Add(r.key).Unit()
		f5 = fresnel(eye.Dot(half))
	}
	look := &r.looks[label]
	var albedo colour.Linear
	if len(r.p.VertexColour) > 0 {
		albedo = mixed(r.p.VertexColour)
	} else if t := look.Texture; t != nil {
		a, b, c := r.p.UV[f[0]], r.p.UV[f[1]], r.p.UV[f[2]]
		albedo = t.at(wp*a[0]+wq*b[0]+wr*c[0], wp*a[1]+wq*b[1]+wr*c[1], t.shrunk(r.corners[f[0]], r.corners[f[1]], r.corners[f[2]], a, b, c))
	} else {
		albedo = ramp(look.Ramp, at(r.p.Exposure, 1))
	}
	if look.Wash > 0 {
		albedo = mixRGB(albedo, look.WashColour, min(max(look.Wash*at(r.p.Recess, 0), 0), 1))
	}
	n := r.normals[f[0]].Mul(wp).Add(r.normals[f[1]].Mul(wq)).Add(r.normals[f[2]].Mul(wr)).Unit()
	dimmed := len(r.p.Active) > 0 && !r.active[label]
	scatter := r.surfaces[label]
	if dimmed {
		scatter, albedo = r.plaster, mixRGB(albedo, colour.Linear{R: 0.7, G: 0.7, B: 0.7}, paleness*(1-r.p.Keep))
	}
	out := r.reflect(scatter, albedo, n, eye, half, f5, mixed(r.light.sky), at(r.light.open, 1), at(r.light.lamp, 1))
	if !r.solid && m.FaceCross(int(q.face)).Dot(eye) <= 0 {
		out = scaleRGB(albedo, 0.08) // the inside of a shell, seen through a hole
	}
	if dimmed {
		out = mixRGB(dim(out), out, r.p.Keep)
	}
	return out
}

// reflect is the light that goes to the eye from a place with the normal n, half
// being half-way between eye and lamp and f5 the layer's gain there.
func (r *renderer) reflect(s *surface, albedo colour.Linear, n, eye, half geom.Vec3, f5 float64, sky colour.Linear, open, lamp float64) colour.Linear {
	nv := n.Dot(eye)
	if nv < 0.02 { // smooth normals lean over the rim; bring them back into sight
		n = n.Add(eye.Mul(0.02 - nv)).Unit()
		nv = max(n.Dot(eye), 0.02)
	}
	mirror := n.Mul(2 * nv).Sub(eye)
	seen := scaleRGB(r.scene.Studio.radiance(mirror, s.alpha), min(1, open*(1+nv)))
	a, b := s.layer(nv)
	out := s.sky(albedo, sky, seen, a, b)
	if nl := n.Dot(r.key); nl > 0 && lamp > 0 {
		f := s.lamp(albedo, nl, nv, n.Dot(half), f5, a, b)
		k, e := r.scene.Studio.Key, math.Pi*nl*lamp
		out.R, out.G, out.B = out.R+f.R*k.R*e, out.G+f.G*k.G*e, out.B+f.B*k.B*e
	}
	return out
}

// ramp blends between the evenly spaced entries at exposure e.
func ramp(c []colour.Linear, e float64) colour.Linear {
	x := min(max(e, 0), 1) * float64(len(c)-1)
	i := min(int(x), len(c)-1)
	if i == len(c)-1 {
		return c[i]
	}
	return mixRGB(c[i], c[i+1], x-float64(i))
}
