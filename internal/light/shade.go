package light

import (
	"math"

	"facings/internal/colour"
	"facings/internal/geom"
)

// renderer is a stage with one figure's paint on it.
type renderer struct {
	*Stage
	p        *Paint
	e        *Easel
	surfaces []*surface // by label
	plaster  *surface   // what is not under way
	looks    []Look
	active   []bool
	dimmed   []bool // by label: all that is not active, if anything is
	matt     []bool // by label: whether its light may be worked out at the vertices
	// In parallel projection these are the same all over the picture.
	parallel bool
	half     geom.Vec3 // half-way between eye and lamp
	fresnel  float64
}

func newRenderer(st *Stage, p *Paint, e *Easel) *renderer {
	r := &renderer{Stage: st, p: p, e: e, parallel: math.IsInf(st.shot.distance, 1)}
	r.half = st.shot.back.Add(st.key).Unit()
	r.fresnel = fresnel(st.shot.back.Dot(r.half))
	r.setLooks()
	return r
}

func (r *renderer) setLooks() {
	n := max(1, len(r.scene.Mesh.Labels))
	r.looks, r.surfaces = make([]Look, n), make([]*surface, n)
	r.active, r.dimmed, r.matt = make([]bool, n), make([]bool, n), make([]bool, n)
	some := len(r.p.Active) > 0
	if some {
		r.plaster = r.materials.surface(false, 1)
	}
	for _, a := range r.p.Active {
		if int(a) < n {
			r.active[a] = true
		}
	}
	vertices := r.scene.ByVertex && r.parallel && len(r.p.VertexColour) == 0
	for i := range n {
		l := Look{Ramp: []colour.Linear{{R: 0.4, G: 0.4, B: 0.4}}}
		if i < len(r.p.Looks) && (len(r.p.Looks[i].Ramp) > 0 || r.p.Looks[i].Texture != nil) {
			l = r.p.Looks[i]
		}
		if l.Roughness == 0 {
			l.Roughness = 0.6
		}
		r.dimmed[i] = some && !r.active[i]
		r.looks[i], r.surfaces[i] = l, r.materials.surface(l.Metal, l.Roughness)
		if r.dimmed[i] {
			r.surfaces[i] = r.plaster
		}
		r.matt[i] = vertices && l.Texture == nil && !r.surfaces[i].metal && r.surfaces[i].alpha >= leastMatt
	}
	if vertices {
		r.e.tags = cleared(r.e.tags, len(r.scene.Mesh.V))
		if cap(r.e.radiance) < len(r.scene.Mesh.V) {
			r.e.radiance = make([][2]colour.Linear, len(r.scene.Mesh.V))
		}
		r.e.radiance = r.e.radiance[:len(r.scene.Mesh.V)]
	}
}

// leastMatt is the roughness, squared, from which a surface's light changes so
// gently that blending it between vertices shows no difference.
const leastMatt = 0.3

// shadePixel averages, in linear light, over the pixel's samples, and lays the
// result over what is there.
func (r *renderer) shadePixel(img *Image, x, y int, seen []glimpse) {
	var sum colour.Linear
	cover := 0.0
	for i := range seen {
		g := &seen[i]
		share := float64(g.share)
		sum = addRGB(sum, scaleRGB(r.glimpse(g), share))
		cover += share
	}
	img.blend(x, y, sum, cover)
}

// activeShare is how much of a pixel is under way.
func (r *renderer) activeShare(seen []glimpse) float64 {
	share := 0.0
	for i := range seen {
		if r.active[r.scene.Mesh.FaceLabel(int(seen[i].face))] {
			share += float64(seen[i].share)
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

// glimpse is the light that a part of the figure sends to the eye.
func (r *renderer) glimpse(g *glimpse) colour.Linear {
	m := r.scene.Mesh
	f := m.F[g.face]
	label := m.FaceLabel(int(g.face))
	wp, wq, wr := g.weights()
	away := !r.solid && m.FaceCross(int(g.face)).Dot(r.eyeAt(f, wp, wq, wr)) <= 0
	if r.matt[label] && !away {
		a, b, c := r.atVertex(f[0], label), r.atVertex(f[1], label), r.atVertex(f[2], label)
		return colour.Linear{R: wp*a.R + wq*b.R + wr*c.R, G: wp*a.G + wq*b.G + wr*c.G, B: wp*a.B + wq*b.B + wr*c.B}
	}
	at := func(v []float64, missing float64) float64 {
		if len(v) == 0 {
			return missing
		}
		return wp*v[f[0]] + wq*v[f[1]] + wr*v[f[2]]
	}
	mixed := func(v []colour.Linear) colour.Linear {
		return addRGB(addRGB(scaleRGB(v[f[0]], wp), scaleRGB(v[f[1]], wq)), scaleRGB(v[f[2]], wr))
	}
	var albedo colour.Linear
	if len(r.p.VertexColour) > 0 {
		albedo = mixed(r.p.VertexColour)
	} else if t := r.looks[label].Texture; t != nil {
		a, b, c := r.p.UV[f[0]], r.p.UV[f[1]], r.p.UV[f[2]]
		albedo = t.at(wp*a[0]+wq*b[0]+wr*c[0], wp*a[1]+wq*b[1]+wr*c[1], t.shrunk(r.corners[f[0]], r.corners[f[1]], r.corners[f[2]], a, b, c))
	} else {
		albedo = ramp(r.looks[label].Ramp, at(r.p.Exposure, 1))
	}
	n := r.normals[f[0]].Mul(wp).Add(r.normals[f[1]].Mul(wq)).Add(r.normals[f[2]].Mul(wr)).Unit()
	return r.shade(label, albedo, at(r.p.Recess, 0), spotlight{n, r.eyeAt(f, wp, wq, wr), mixed(r.light.sky), at(r.light.open, 1), at(r.light.lamp, 1), away})
}

// eyeAt is where the eye is from a place on a face.
func (r *renderer) eyeAt(f [3]int32, wp, wq, wr float64) geom.Vec3 {
	if r.parallel {
		return r.shot.back
	}
	v := r.scene.Mesh.V
	return r.shot.toEye(v[f[0]].Mul(wp).Add(v[f[1]].Mul(wq)).Add(v[f[2]].Mul(wr)))
}

// atVertex is the light that a vertex of an area sends to the eye, in parallel
// projection.
func (r *renderer) atVertex(v int32, label uint16) colour.Linear {
	tags, kept := &r.e.tags[v], &r.e.radiance[v]
	k := 0
	tag := uint32(label) + 1
	switch tag {
	case tags[0]:
		return kept[0]
	case tags[1]:
		return kept[1]
	}
	if tags[0] != 0 {
		k = 1
	}
	at := func(values []float64, missing float64) float64 {
		if len(values) == 0 {
			return missing
		}
		return values[v]
	}
	tags[k] = tag
	kept[k] = r.shade(label, ramp(r.looks[label].Ramp, at(r.p.Exposure, 1)), at(r.p.Recess, 0),
		spotlight{r.normals[v], r.shot.back, r.light.sky[v], r.light.open[v], r.light.lamp[v], false})
	return kept[k]
}

// spotlight is a place on the figure in its light.
type spotlight struct {
	n, eye     geom.Vec3
	sky        colour.Linear
	open, lamp float64
	away       bool // the inside of a shell, seen through a hole
}

// shade is the light that a place of an area sends to the eye.
func (r *renderer) shade(label uint16, albedo colour.Linear, recess float64, s spotlight) colour.Linear {
	if look := &r.looks[label]; look.Wash > 0 {
		albedo = mixRGB(albedo, look.WashColour, min(max(look.Wash*recess, 0), 1))
	}
	dimmed := r.dimmed[label]
	if dimmed {
		albedo = mixRGB(albedo, colour.Linear{R: 0.7, G: 0.7, B: 0.7}, paleness*(1-r.p.Keep))
	}
	var out colour.Linear
	if s.away {
		out = scaleRGB(albedo, 0.08)
	} else {
		half, f5 := r.half, r.fresnel
		if !r.parallel {
			half = s.eye.Add(r.key).Unit()
			f5 = fresnel(s.eye.Dot(half))
		}
		out = r.reflect(r.surfaces[label], albedo, s.n, s.eye, half, f5, s.sky, s.open, s.lamp)
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
