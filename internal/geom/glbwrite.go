package geom

import (
	"encoding/binary"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"slices"
)

// Material is how a label is to look: a linear-light RGB colour in [0, 1] and
// the metallic and roughness values of glTF.
type Material struct {
	Color     [3]float64
	Metallic  float64
	Roughness float64
}

// WriteGLB returns the mesh as binary glTF 2.0: metres, Y up, smooth normals,
// one primitive and one material per label that has faces, named after the
// label. Labels missing from the map come out matt mid-grey.
//
// Ref: gltf2.
func WriteGLB(m *Mesh, look map[string]Material) ([]byte, error) { return WriteGLBWith(m, look, nil) }

// WriteGLBWith is WriteGLB with more per vertex for each name given: one number,
// for a custom attribute, whose name begins with "_", or three in a row, such as
// the linear red, green and blue of COLOR_0.
func WriteGLBWith(m *Mesh, look map[string]Material, values map[string][]float64) ([]byte, error) {
	byLabel := make([][]uint32, max(1, len(m.Labels)))
	for i, f := range m.F {
		l := m.FaceLabel(i)
		byLabel[l] = append(byLabel[l], uint32(f[0]), uint32(f[1]), uint32(f[2]))
	}
	var bin []byte
	put := func(v Vec3) {
		for _, x := range [3]float64{-v.X, v.Z, v.Y} { // Z up to Y up
			bin = binary.LittleEndian.AppendUint32(bin, math.Float32bits(float32(x)))
		}
	}
	box := EmptyBox()
	for _, v := range m.V {
		p := v.Mul(0.001)
		put(p)
		box = box.Add(Vec3{float64(float32(-p.X)), float64(float32(p.Z)), float64(float32(p.Y))})
	}
	for _, n := range m.VertexNormals() {
		if n == (Vec3{}) {
			n = Vec3{Z: 1} // glTF wants unit normals even where no face is
		}
		put(n)
	}
	if len(m.V) == 0 || len(m.F) == 0 {
		return nil, fail("", "a mesh without faces cannot be written as GLB")
	}
	size := 12 * len(m.V)
	type obj = map[string]any
	views := []obj{
		{"buffer": 0, "byteOffset": 0, "byteLength": size, "target": 34962},
		{"buffer": 0, "byteOffset": size, "byteLength": size, "target": 34962},
	}
	accessors := []obj{
		{"bufferView": 0, "componentType": 5126, "count": len(m.V), "type": "VEC3",
			"min": [3]float64{box.Min.X, box.Min.Y, box.Min.Z}, "max": [3]float64{box.Max.X, box.Max.Y, box.Max.Z}},
		{"bufferView": 1, "componentType": 5126, "count": len(m.V), "type": "VEC3"},
	}
	attributes := obj{"POSITION": 0, "NORMAL": 1}
	for _, name := range slices.Sorted(maps.Keys(values)) {
		kind := "SCALAR"
		switch len(values[name]) {
		case len(m.V):
		case 3 * len(m.V):
			kind = "VEC3"
		default:
			return nil, fmt.Errorf("%d values of %s for %d vertices", len(values[name]), name, len(m.V))
		}
		views = append(views, obj{"buffer": 0, "byteOffset": len(bin), "byteLength": 4 * len(values[name]), "target": 34962})
		for _, x := range values[name] {
			bin = binary.LittleEndian.AppendUint32(bin, math.Float32bits(float32(x)))
		}
		attributes[name] = len(accessors)
		accessors = append(accessors, obj{"bufferView": len(views) - 1, "componentType": 5126, "count": len(m.V), "type": kind})
	}
	var primitives, materials []obj
	for l, idx := range byLabel {
		if len(idx) == 0 {
			continue
		}
		name := ""
		if l < len(m.Labels) {
			name = m.Labels[l]
		}
		mat, ok := look[name]
		if !ok {
			mat = Material{Color: [3]float64{0.5, 0.5, 0.5}, Roughness: 1}
		}
		views = append(views, obj{"buffer": 0, "byteOffset": len(bin), "byteLength": 4 * len(idx), "target": 34963})
		for _, i := range idx {
			bin = binary.LittleEndian.AppendUint32(bin, i)
		}
		accessors = append(accessors, obj{"bufferView": len(views) - 1, "componentType": 5125, "count": len(idx), "type": "SCALAR"})
		primitives = append(primitives, obj{"attributes": attributes, "indices": len(accessors) - 1, "material": len(materials)})
		materials = append(materials, obj{"name": name, "doubleSided": true, "pbrMetallicRoughness": obj{
			"baseColorFactor": [4]float64{mat.Color[0], mat.Color[1], mat.Color[2], 1},
			"metallicFactor":  mat.Metallic, "roughnessFactor": mat.Roughness}})
	}
	js, err := json.Marshal(obj{
		"asset": obj{"version": "2.0"}, "scene": 0, "scenes": []obj{{"nodes": []int{0}}},
		"nodes": []obj{{"mesh": 0}}, "meshes": []obj{{"primitives": primitives}}, "materials": materials,
		"accessors": accessors, "bufferViews": views, "buffers": []obj{{"byteLength": len(bin)}},
	})
	if err != nil {
		return nil, err
	}
	return glbPack(js, bin), nil
}

func glbPack(js, bin []byte) []byte {
	for len(js)%4 != 0 {
		js = append(js, ' ')
	}
	for len(bin)%4 != 0 {
		bin = append(bin, 0)
	}
	le := binary.LittleEndian
	out := le.AppendUint32([]byte("glTF"), 2)
	out = le.AppendUint32(out, uint32(12+8+len(js)+8+len(bin)))
	out = append(le.AppendUint32(le.AppendUint32(out, uint32(len(js))), 0x4E4F534A), js...)
	return append(le.AppendUint32(le.AppendUint32(out, uint32(len(bin))), 0x004E4942), bin...)
}
