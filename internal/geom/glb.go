package geom

import (
	"encoding/binary"
	"encoding/json"
	"math"
)

const (
	maxGLBJSON  = 4 << 20
	maxGLBDepth = 32
	maxGLBNodes = 100_000
)

type gltfDoc struct {
	Scene  *int `json:"scene"`
	Scenes []struct {
		Nodes []int `json:"nodes"`
	} `json:"scenes"`
	Nodes  []gltfNode `json:"nodes"`
	Meshes []struct {
		Name       string          `json:"name"`
		Primitives []gltfPrimitive `json:"primitives"`
	} `json:"meshes"`
	Materials []struct {
		Name string `json:"name"`
	} `json:"materials"`
	Accessors   []gltfAccessor `json:"accessors"`
	BufferViews []struct {
		Buffer     int `json:"buffer"`
		ByteOffset int `json:"byteOffset"`
		ByteLength int `json:"byteLength"`
		ByteStride int `json:"byteStride"`
	} `json:"bufferViews"`
	ExtensionsRequired []string `json:"extensionsRequired"`
}

type gltfNode struct {
	Mesh        *int      `json:"mesh"`
	Children    []int     `json:"children"`
	Matrix      []float64 `json:"matrix"`
	Translation []float64 `json:"translation"`
	Rotation    []float64 `json:"rotation"`
	Scale       []float64 `json:"scale"`
}

type gltfPrimitive struct {
	Attributes map[string]int `json:"attributes"`
	Indices    *int           `json:"indices"`
	Material   *int           `json:"material"`
	Mode       *int           `json:"mode"`
}

type gltfAccessor struct {
	BufferView    *int            `json:"bufferView"`
	ByteOffset    int             `json:"byteOffset"`
	ComponentType int             `json:"componentType"`
	Count         int             `json:"count"`
	Type          string          `json:"type"`
	Sparse        json.RawMessage `json:"sparse"`
}

type glbReader struct {
	doc   gltfDoc
	bin   []byte
	out   Mesh
	steps int
}

// parseGLB reads the default scene of a binary glTF 2.0 file: every triangle
// primitive, placed by its nodes, labelled by its material. Skins, morphs and
// animations are passed over. glTF is in metres with Y up.
//
// Ref: gltf2.
func parseGLB(data []byte) (rawFile, error) {
	js, bin, err := glbChunks(data)
	if err != nil {
		return rawFile{}, err
	}
	r := &glbReader{bin: bin}
	if err := json.Unmarshal(js, &r.doc); err != nil {
		return rawFile{}, fail("the file is damaged; export it again", "the description in the GLB cannot be read: %v", err)
	}
	for _, e := range r.doc.ExtensionsRequired {
		return rawFile{}, fail("export it again without compression and extensions", "the file needs the glTF extension %q", clip([]byte(e)))
	}
	if len(r.doc.Materials) > maxFileLabels || len(r.doc.Meshes) > max3MFObjects {
		return rawFile{}, tooManyLabels()
	}
	if err := r.scene(); err != nil {
		return rawFile{}, err
	}
	if len(r.out.Labels) <= 1 {
		r.out.Label, r.out.Labels = nil, nil
	}
	return rawFile{mesh: &r.out, format: "glb", unit: "m", up: "y"}, nil
}

func glbChunks(data []byte) (js, bin []byte, err error) {
	le := binary.LittleEndian
	if len(data) < 20 || le.Uint32(data[4:]) != 2 {
		return nil, nil, fail("save it as binary glTF 2.0", "no binary glTF of version 2")
	}
	if total := le.Uint32(data[8:]); uint64(total) > uint64(len(data)) {
		return nil, nil, fail("the file is cut off; copy it again", "the GLB header promises %d bytes, the file has %d", total, len(data))
	}
	for at := 12; at+8 <= len(data); {
		n, kind := int64(le.Uint32(data[at:])), le.Uint32(data[at+4:])
		at += 8
		if n > int64(len(data)-at) {
			return nil, nil, fail("the file is cut off; copy it again", "a chunk of %d bytes, %d are left", n, len(data)-at)
		}
		chunk := data[at : at+int(n)]
		switch {
		case kind == 0x4E4F534A && js == nil:
			js = chunk
		case kind == 0x004E4942 && bin == nil:
			bin = chunk
		}
		at += int(n)
	}
	if js == nil {
		return nil, nil, fail("the file is damaged; export it again", "the GLB has no description")
	}
	if len(js) > maxGLBJSON {
		return nil, nil, fail("export the figure alone", "the description in the GLB is larger than %d MB", maxGLBJSON>>20)
	}
	return js, bin, nil
}

func (r *glbReader) scene() error {
	if len(r.doc.Scenes) == 0 {
		for i := range r.doc.Nodes {
			if err := r.node(i, Identity(), 0); err != nil {
				return err
			}
		}
		return nil
	}
	s := 0
	if r.doc.Scene != nil {
		s = *r.doc.Scene
	}
	if s < 0 || s >= len(r.doc.Scenes) {
		return fail("the file is damaged; export it again", "scene %d is not there", s)
	}
	for _, n := range r.doc.Scenes[s].Nodes {
		if err := r.node(n, Identity(), 0); err != nil {
			return err
		}
	}
	return nil
}

func (r *glbReader) node(i int, outer Rigid, depth int) error {
	if i < 0 || i >= len(r.doc.Nodes) {
		return fail("the file is damaged; export it again", "node %d is not there", i)
	}
	if r.steps++; depth > maxGLBDepth || r.steps > maxGLBNodes {
		return fail("export the figure as one mesh", "nodes are nested or repeated too often")
	}
	n := &r.doc.Nodes[i]
	local, ok := n.local()
	if !ok {
		return fail("the file is damaged; export it again", "node %d has a transform of the wrong length", i)
	}
	m := local.Then(outer)
	if n.Mesh != nil {
		if *n.Mesh < 0 || *n.Mesh >= len(r.doc.Meshes) {
			return fail("the file is damaged; export it again", "mesh %d is not there", *n.Mesh)
		}
		for _, p := range r.doc.Meshes[*n.Mesh].Primitives {
			if r.steps++; r.steps > maxGLBNodes {
				return fail("export the figure as one mesh", "meshes are repeated too often")
			}
			if err := r.primitive(p, m); err != nil {
				return err
			}
		}
	}
	for _, c := range n.Children {
		if err := r.node(c, m, depth+1); err != nil {
			return err
		}
	}
	return nil
}

// local returns the node's map; its rows hold any linear map, Scale is 1.
func (n *gltfNode) local() (Rigid, bool) {
	out := Identity()
	if m := n.Matrix; m != nil {
		if len(m) != 16 {
			return out, false
		}
		out.R = [3]Vec3{{m[0], m[4], m[8]}, {m[1], m[5], m[9]}, {m[2], m[6], m[10]}}
		out.T = Vec3{m[12], m[13], m[14]}
		return out, true
	}
	if q := n.Rotation; q != nil {
		if len(q) != 4 {
			return out, false
		}
		out.R = quaternionRows(q[3], Vec3{q[0], q[1], q[2]})
	}
	if s := n.Scale; s != nil {
		if len(s) != 3 {
			return out, false
		}
		for k := range out.R {
			out.R[k] = Vec3{out.R[k].X * s[0], out.R[k].Y * s[1], out.R[k].Z * s[2]}
		}
	}
	if t := n.Translation; t != nil {
		if len(t) != 3 {
			return out, false
		}
		out.T = Vec3{t[0], t[1], t[2]}
	}
	return out, true
}

// quaternionRows turns the quaternion w + v into the rows of a rotation.
func quaternionRows(w float64, v Vec3) [3]Vec3 {
	x, y, z := v.X, v.Y, v.Z
	return [3]Vec3{
		{1 - 2*(y*y+z*z), 2 * (x*y - z*w), 2 * (x*z + y*w)},
		{2 * (x*y + z*w), 1 - 2*(x*x+z*z), 2 * (y*z - x*w)},
		{2 * (x*z - y*w), 2 * (y*z + x*w), 1 - 2*(x*x+y*y)},
	}
}

func (r *glbReader) primitive(p gltfPrimitive, m Rigid) error {
	mode := 4
	if p.Mode != nil {
		mode = *p.Mode
	}
	if mode < 4 || mode > 6 {
		return nil // points and lines
	}
	pos, ok := p.Attributes["POSITION"]
	if !ok {
		return fail("the file is damaged; export it again", "a primitive without positions")
	}
	base := int32(len(r.out.V))
	count, err := r.positions(pos, m)
	if err != nil {
		return err
	}
	index := func(i int) (int32, bool) { return int32(i), true }
	n := count
	if p.Indices != nil {
		if index, n, err = r.indices(*p.Indices, count); err != nil {
			return err
		}
	}
	name := ""
	if p.Material != nil && *p.Material >= 0 && *p.Material < len(r.doc.Materials) {
		name = labelName([]byte(r.doc.Materials[*p.Material].Name))
	}
	id := r.out.LabelID(name)
	mirrored := m.R[0].Dot(m.R[1].Cross(m.R[2])) < 0
	for i := range stripLength(mode, n) {
		if len(r.out.F) == MaxTriangles {
			return tooManyTriangles()
		}
		var f [3]int32
		for k, at := range stripCorners(mode, i) {
			v, ok := index(at)
			if !ok {
				return fail("the file is damaged; export it again", "a triangle names vertex %d, there are %d", v, count)
			}
			f[k] = base + v
		}
		if mirrored {
			f[1], f[2] = f[2], f[1]
		}
		r.out.F = append(r.out.F, f)
		r.out.Label = append(r.out.Label, id)
	}
	return nil
}

func stripLength(mode, n int) int {
	if mode == 4 {
		return n / 3
	}
	return max(0, n-2)
}

func stripCorners(mode, i int) [3]int {
	switch {
	case mode == 4:
		return [3]int{3 * i, 3*i + 1, 3*i + 2}
	case mode == 6:
		return [3]int{0, i + 1, i + 2}
	case i%2 == 1:
		return [3]int{i + 1, i, i + 2}
	}
	return [3]int{i, i + 1, i + 2}
}

func (r *glbReader) positions(accessor int, m Rigid) (int, error) {
	data, a, stride, err := r.view(accessor, "VEC3", 12)
	if err != nil {
		return 0, err
	}
	if a.ComponentType != 5126 {
		return 0, fail("export it again without quantization", "positions of component type %d, want 5126 (float)", a.ComponentType)
	}
	if len(r.out.V)+a.Count > MaxVertices {
		return 0, tooManyVertices()
	}
	float := func(at int) float64 {
		return float64(math.Float32frombits(binary.LittleEndian.Uint32(data[at:])))
	}
	for i := range a.Count {
		at := i * stride
		r.out.V = append(r.out.V, m.Point(Vec3{float(at), float(at + 4), float(at + 8)}))
	}
	return a.Count, nil
}

func (r *glbReader) indices(accessor, count int) (func(int) (int32, bool), int, error) {
	if accessor < 0 || accessor >= len(r.doc.Accessors) {
		return nil, 0, fail("the file is damaged; export it again", "accessor %d is not there", accessor)
	}
	size := map[int]int{5121: 1, 5123: 2, 5125: 4}[r.doc.Accessors[accessor].ComponentType]
	if size == 0 {
		return nil, 0, fail("the file is damaged; export it again", "indices of component type %d", r.doc.Accessors[accessor].ComponentType)
	}
	data, a, stride, err := r.view(accessor, "SCALAR", size)
	if err != nil {
		return nil, 0, err
	}
	get := func(i int) (int32, bool) {
		var v uint32
		switch at := i * stride; size {
		case 1:
			v = uint32(data[at])
		case 2:
			v = uint32(binary.LittleEndian.Uint16(data[at:]))
		default:
			v = binary.LittleEndian.Uint32(data[at:])
		}
		return int32(v & math.MaxInt32), uint64(v) < uint64(count)
	}
	return get, a.Count, nil
}

// view returns the bytes of an accessor, from its first element on, after
// checking that all its elements lie inside.
func (r *glbReader) view(accessor int, kind string, size int) ([]byte, gltfAccessor, int, error) {
	none := gltfAccessor{}
	damaged := func(what string) error {
		return fail("the file is damaged; export it again", "accessor %d %s", accessor, what)
	}
	if accessor < 0 || accessor >= len(r.doc.Accessors) {
		return nil, none, 0, damaged("is not there")
	}
	a := r.doc.Accessors[accessor]
	if a.Type != kind || a.Count < 0 || a.Count > 3*MaxTriangles {
		return nil, none, 0, damaged("has the wrong type or count")
	}
	if a.Sparse != nil || a.BufferView == nil {
		return nil, none, 0, fail("export it again without sparse accessors or compression", "accessor %d has no plain data", accessor)
	}
	if *a.BufferView < 0 || *a.BufferView >= len(r.doc.BufferViews) {
		return nil, none, 0, damaged("names a buffer view that is not there")
	}
	v := r.doc.BufferViews[*a.BufferView]
	if v.Buffer != 0 {
		return nil, none, 0, fail("save as one .glb file", "data outside the file")
	}
	stride := v.ByteStride
	if stride == 0 {
		stride = size
	}
	if v.ByteOffset < 0 || v.ByteLength < 0 || a.ByteOffset < 0 || stride < size || stride > 252 ||
		v.ByteOffset > len(r.bin) || v.ByteLength > len(r.bin)-v.ByteOffset || a.ByteOffset > v.ByteLength {
		return nil, none, 0, damaged("reaches outside the file")
	}
	data := r.bin[v.ByteOffset : v.ByteOffset+v.ByteLength][a.ByteOffset:]
	if a.Count > 0 && (a.Count-1)*stride+size > len(data) {
		return nil, none, 0, damaged("reaches outside the file")
	}
	return data, a, stride, nil
}
