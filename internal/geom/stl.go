package geom

import (
	"bytes"
	"encoding/binary"
	"math"
)

const stlHeader, stlRecord = 84, 50

// isBinarySTL trusts the length, since many binary files begin with "solid".
func isBinarySTL(data []byte) bool {
	if len(data) < stlHeader {
		return false
	}
	n := int64(binary.LittleEndian.Uint32(data[80:]))
	return int64(len(data)) == stlHeader+n*stlRecord
}

func parseBinarySTL(data []byte) (rawFile, error) {
	if len(data) < stlHeader {
		return rawFile{}, fail("the file is cut off; copy it again", "an STL file has at least %d bytes, this has %d", stlHeader, len(data))
	}
	n := int64(binary.LittleEndian.Uint32(data[80:]))
	if n > MaxTriangles {
		return rawFile{}, tooManyTriangles()
	}
	if have := (int64(len(data)) - stlHeader) / stlRecord; have < n {
		return rawFile{}, fail("the file is cut off or damaged; copy it again", "the STL header promises %d triangles, the file holds %d", n, have)
	}
	w := newWelder(int(n) / 2)
	m := &Mesh{F: make([][3]int32, 0, n)}
	float := func(at int64) float64 {
		return float64(math.Float32frombits(binary.LittleEndian.Uint32(data[at:])))
	}
	for i := range n {
		var f [3]int32
		for k := range int64(3) {
			at := stlHeader + i*stlRecord + 12 + 12*k
			p := Vec3{float(at), float(at + 4), float(at + 8)}
			if !p.Finite() {
				return rawFile{}, fail("the file is damaged; export it again", "triangle %d has a corner that is no number", i)
			}
			f[k] = w.index(p)
		}
		if len(w.v) > MaxVertices {
			return rawFile{}, tooManyVertices()
		}
		m.F = append(m.F, f)
	}
	m.V = w.v
	return rawFile{mesh: m, format: "stl", up: "z"}, nil
}

func tooManyTriangles() error {
	return fail("reduce (decimate) the mesh in a sculpting program; 200 000 triangles show all that a brush can reach",
		"the file has more than %d triangles", MaxTriangles)
}

func tooManyVertices() error {
	return fail("join (weld) the corners of the triangles, or reduce the mesh, in a sculpting program",
		"the file has more than %d different corners", MaxVertices)
}

// parseTextSTL reads "vertex x y z" lines between "facet" and "endfacet"; the
// normals are ignored, the winding counts. Each "solid" name labels its faces
// if there is more than one.
func parseTextSTL(data []byte) (rawFile, error) {
	w := newWelder(len(data) / 300)
	m := &Mesh{}
	var corner []int32
	solids := 0
	var id uint16
	in := newLines(data)
	for in.next() {
		word, rest := cutWord(in.text)
		switch string(bytes.ToLower(word)) {
		case "solid":
			if solids++; solids > maxFileLabels {
				return rawFile{}, failAt(in.line, "join the parts before export", "more than %d solids", maxFileLabels)
			}
			id = m.LabelID(labelName(rest))
		case "facet":
			corner = corner[:0]
		case "vertex":
			p, ok := parsePoint(rest)
			if !ok {
				return rawFile{}, failAt(in.line, "a vertex line holds three numbers", "cannot read the vertex %q", clip(rest))
			}
			if len(corner) == 3 {
				return rawFile{}, failAt(in.line, "an STL facet is a triangle; export it again", "a facet with more than three corners")
			}
			if len(w.v) >= MaxVertices {
				return rawFile{}, tooManyVertices()
			}
			corner = append(corner, w.index(p))
		case "endfacet":
			if len(corner) != 3 {
				return rawFile{}, failAt(in.line, "an STL facet is a triangle; export it again", "a facet with %d corners", len(corner))
			}
			if len(m.F) == MaxTriangles {
				return rawFile{}, tooManyTriangles()
			}
			m.F = append(m.F, [3]int32{corner[0], corner[1], corner[2]})
			m.Label = append(m.Label, id)
			corner = corner[:0]
		case "", "outer", "endloop", "endsolid":
		default:
			return rawFile{}, failAt(in.line, "the file is no text STL, or is damaged", "unexpected %q", clip(word))
		}
	}
	if in.err != nil {
		return rawFile{}, in.err
	}
	if solids < 2 {
		m.Label, m.Labels = nil, nil
	}
	m.V = w.v
	return rawFile{mesh: m, format: "stl-text", up: "z"}, nil
}

// WriteSTL returns the mesh as a binary STL file: millimetres, Z up. Labels are
// lost, the format has none.
func WriteSTL(m *Mesh) []byte {
	out := make([]byte, stlHeader, stlHeader+stlRecord*len(m.F))
	copy(out, "binary STL, millimetres, Z up")
	binary.LittleEndian.PutUint32(out[80:], uint32(len(m.F)))
	put := func(v Vec3) {
		for _, x := range [3]float64{v.X, v.Y, v.Z} {
			out = binary.LittleEndian.AppendUint32(out, math.Float32bits(float32(x)))
		}
	}
	for i := range m.F {
		a, b, c := m.Tri(i)
		put(m.FaceNormal(i))
		put(a)
		put(b)
		put(c)
		out = append(out, 0, 0)
	}
	return out
}
