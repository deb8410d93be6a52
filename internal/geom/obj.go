package geom

import (
	"bytes"
	"strconv"
)

// objReader holds the state of an OBJ file: faces take the label of the current
// material, or of the current group or object where the file has no materials.
type objReader struct {
	mesh        *Mesh
	group       string
	material    string
	groups      []uint16 // label of each face by group
	byMaterial  []uint16 // label of each face by material
	names       *Mesh    // carries the material names until it is known which count
	anyMaterial bool
	stale       bool   // the two ids below want looking up
	gid, mid    uint16 // labels of group and material
}

// parseOBJ reads vertices and polygons of a Wavefront OBJ file. Normals,
// textures, lines and curves are passed over. Polygons are cut into triangles.
func parseOBJ(data []byte) (rawFile, error) {
	r := &objReader{mesh: &Mesh{}, names: &Mesh{}, stale: true}
	in := newLines(data)
	var poly []int32
	for in.next() {
		word, rest := cutWord(in.text)
		switch string(word) {
		case "v":
			p, ok := parsePoint(rest)
			if !ok {
				return rawFile{}, failAt(in.line, "a v line holds three numbers", "cannot read the vertex %q", clip(rest))
			}
			if len(r.mesh.V) == MaxVertices {
				return rawFile{}, tooManyVertices()
			}
			r.mesh.V = append(r.mesh.V, p)
		case "f":
			var err error
			if poly, err = r.corners(poly[:0], rest, in.line); err != nil {
				return rawFile{}, err
			}
			if err := r.face(poly); err != nil {
				return rawFile{}, err
			}
		case "g", "o":
			r.group, r.stale = labelName(rest), true
		case "usemtl":
			r.material, r.stale = labelName(rest), true
			r.anyMaterial = r.anyMaterial || r.material != ""
		}
	}
	if in.err != nil {
		return rawFile{}, in.err
	}
	m := r.mesh
	if r.anyMaterial && len(r.names.Labels) > 2 || len(m.Labels) <= 2 {
		m.Label, m.Labels = r.byMaterial, r.names.Labels
	} else {
		m.Label = r.groups
	}
	if len(m.Labels) <= 1 {
		m.Label, m.Labels = nil, nil
	}
	return rawFile{mesh: m, format: "obj", up: "y"}, nil
}

// corners reads the vertex numbers of an f line: "7", "7/1/2", "-1".
func (r *objReader) corners(poly []int32, rest []byte, line int) ([]int32, error) {
	for len(rest) > 0 {
		var word []byte
		word, rest = cutWord(rest)
		if i := bytes.IndexByte(word, '/'); i >= 0 {
			word = word[:i]
		}
		n, err := strconv.Atoi(string(word))
		if err != nil {
			return nil, failAt(line, "an f line holds vertex numbers", "cannot read the corner %q", clip(word))
		}
		if n < 0 {
			n += len(r.mesh.V) + 1
		}
		if n < 1 || n > len(r.mesh.V) {
			return nil, failAt(line, "the file is damaged or its vertices come later", "a face names vertex %d, there are %d so far", n, len(r.mesh.V))
		}
		if len(poly) == maxPolygonSize {
			return nil, failAt(line, "export it as triangles", "a face with more than %d corners", maxPolygonSize)
		}
		poly = append(poly, int32(n-1))
	}
	if len(poly) < 3 {
		return nil, failAt(line, "the file is damaged", "a face with %d corners", len(poly))
	}
	return poly, nil
}

func (r *objReader) face(poly []int32) error {
	m := r.mesh
	if len(m.F)+len(poly)-2 > MaxTriangles {
		return tooManyTriangles()
	}
	if r.stale {
		if max(len(m.Labels), len(r.names.Labels)) >= maxFileLabels {
			return tooManyLabels()
		}
		r.gid, r.mid, r.stale = m.LabelID(r.group), r.names.LabelID(r.material), false
	}
	m.F = triangulate(m.F, m.V, poly)
	for len(r.groups) < len(m.F) {
		r.groups = append(r.groups, r.gid)
		r.byMaterial = append(r.byMaterial, r.mid)
	}
	return nil
}

func tooManyLabels() error {
	return fail("join groups or materials before export", "the file has more than %d groups or materials", maxFileLabels)
}

// triangulate cuts a polygon. Convex ones (most) become a fan, a quad is cut
// along its shorter diagonal, others lose one ear after another.
func triangulate(f [][3]int32, v []Vec3, poly []int32) [][3]int32 {
	switch len(poly) {
	case 3:
		return append(f, [3]int32{poly[0], poly[1], poly[2]})
	case 4:
		if v[poly[1]].Sub(v[poly[3]]).Len2() < v[poly[0]].Sub(v[poly[2]]).Len2() {
			poly = []int32{poly[1], poly[2], poly[3], poly[0]}
		}
		if fanFits(v, poly) {
			return append(f, [3]int32{poly[0], poly[1], poly[2]}, [3]int32{poly[0], poly[2], poly[3]})
		}
	default:
		if fanFits(v, poly) {
			for i := 2; i < len(poly); i++ {
				f = append(f, [3]int32{poly[0], poly[i-1], poly[i]})
			}
			return f
		}
	}
	return clipEars(f, v, append([]int32(nil), poly...))
}

func fanFits(v []Vec3, poly []int32) bool {
	n := polygonNormal(v, poly)
	o := v[poly[0]]
	for i := 2; i < len(poly); i++ {
		if v[poly[i-1]].Sub(o).Cross(v[poly[i]].Sub(o)).Dot(n) < 0 {
			return false
		}
	}
	return true
}

// polygonNormal is Newell's sum, twice the area along the normal.
func polygonNormal(v []Vec3, poly []int32) Vec3 {
	var n Vec3
	o := v[poly[0]]
	for i := range poly {
		n = n.Add(v[poly[i]].Sub(o).Cross(v[poly[(i+1)%len(poly)]].Sub(o)))
	}
	return n
}

// clipEars cuts off the first corner whose triangle turns the right way and
// holds no other corner; a polygon that has none loses its first corner, so it
// always ends. The work is bounded: polygons of more than 64 corners become a
// fan.
func clipEars(f [][3]int32, v []Vec3, poly []int32) [][3]int32 {
	n := polygonNormal(v, poly)
	for len(poly) > 3 && len(poly) <= 64 {
		ear := 0
		for i := range poly {
			if isEar(v, poly, i, n) {
				ear = i
				break
			}
		}
		l := len(poly)
		f = append(f, [3]int32{poly[(ear+l-1)%l], poly[ear], poly[(ear+1)%l]})
		poly = append(poly[:ear], poly[ear+1:]...)
	}
	for i := 2; i < len(poly); i++ {
		f = append(f, [3]int32{poly[0], poly[i-1], poly[i]})
	}
	return f
}

func isEar(v []Vec3, poly []int32, i int, n Vec3) bool {
	l := len(poly)
	a, b, c := v[poly[(i+l-1)%l]], v[poly[i]], v[poly[(i+1)%l]]
	if b.Sub(a).Cross(c.Sub(b)).Dot(n) <= 0 {
		return false
	}
	for k := range poly {
		if k == i || k == (i+1)%l || k == (i+l-1)%l {
			continue
		}
		p := v[poly[k]]
		if b.Sub(a).Cross(p.Sub(a)).Dot(n) >= 0 && c.Sub(b).Cross(p.Sub(b)).Dot(n) >= 0 && a.Sub(c).Cross(p.Sub(c)).Dot(n) >= 0 {
			return false
		}
	}
	return true
}
