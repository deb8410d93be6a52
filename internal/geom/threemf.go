package geom

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"strconv"
	"strings"
)

const (
	max3MFEntries = 10_000 // zip members
	max3MFDepth   = 16     // components within components
	max3MFObjects = 100_000
)

type object3MF struct {
	name  string
	mesh  Mesh
	parts []part3MF
	pid   string // default property group and index
	pix   int
}

type part3MF struct {
	object string
	m      Rigid // the rows hold any linear map here, Scale is 1
}

type doc3MF struct {
	unit      string
	objects   map[string]*object3MF
	materials map[string][]string // base material names by group
	build     []part3MF
	vertices  int // of all objects together
	triangles int
}

// parse3MF reads the model part of a 3MF package: meshes, components, build
// items with their transforms, and base materials as labels. Everything else
// (slices, beams, textures, print settings) is passed over.
//
// Ref: threemf2018.
func parse3MF(data []byte) (rawFile, error) {
	if bytes.Count(data, []byte("PK\x01\x02")) > max3MFEntries {
		return rawFile{}, fail("export the figure alone", "the package has more than %d parts", max3MFEntries)
	}
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return rawFile{}, fail("the file is cut off or damaged; copy it again", "cannot open the 3MF package: %v", err)
	}
	var model *zip.File
	for _, f := range z.File {
		name := strings.ToLower(strings.TrimPrefix(f.Name, "/"))
		if name == "3d/3dmodel.model" || model == nil && strings.HasSuffix(name, ".model") {
			model = f
		}
	}
	if model == nil {
		return rawFile{}, fail("a 3MF file holds 3D/3dmodel.model; is it another kind of zip?", "the package holds no 3D model")
	}
	r, err := model.Open()
	if err != nil {
		return rawFile{}, fail("the file is damaged; export it again", "cannot unpack %q: %v", model.Name, err)
	}
	defer r.Close()
	doc := &doc3MF{unit: "mm", objects: map[string]*object3MF{}, materials: map[string][]string{}}
	if err := doc.decode(&boundedXML{r: r, left: maxExpanded}); err != nil {
		return rawFile{}, err
	}
	m, err := doc.assemble()
	if err != nil {
		return rawFile{}, err
	}
	return rawFile{mesh: m, format: "3mf", unit: doc.unit, up: "z"}, nil
}

// boundedXML ends a stream that unpacks to too much, or that has a tag or text
// longer than maxLineBytes, which the decoder would hold in memory.
type boundedXML struct {
	r     io.Reader
	left  int64
	since int
}

var errExpands = errors.New("the package unpacks to more than it should")

func (b *boundedXML) Read(p []byte) (int, error) {
	if b.left <= 0 {
		return 0, errExpands
	}
	n, err := b.r.Read(p[:min(len(p), 64<<10)])
	b.left -= int64(n)
	if i := bytes.LastIndexByte(p[:n], '>'); i >= 0 {
		b.since = n - i
	} else if b.since += n; b.since > maxLineBytes {
		return 0, errExpands
	}
	return n, err
}

func (d *doc3MF) decode(r io.Reader) error {
	x := xml.NewDecoder(r)
	var obj *object3MF
	var group string
	for {
		t, err := x.RawToken()
		if err == io.EOF {
			return nil
		}
		line, _ := x.InputPos()
		if err != nil {
			return failAt(line, "export it again", "the 3D model in the package is damaged: %v", err)
		}
		s, ok := t.(xml.StartElement)
		if !ok {
			continue
		}
		if err := d.element(s, &obj, &group); err != nil {
			var re *ReadError
			if errors.As(err, &re) {
				re.Line = line
			}
			return err
		}
	}
}

func (d *doc3MF) element(s xml.StartElement, obj **object3MF, group *string) error {
	o := *obj
	switch s.Name.Local {
	case "model":
		if u := attr(s, "unit"); u != "" {
			d.unit = u
		}
		if unitMM(d.unit) == 0 {
			return fail("3MF knows micron, millimeter, centimeter, inch, foot and meter", "unknown unit %q", clip([]byte(d.unit)))
		}
	case "basematerials":
		*group = attr(s, "id")
	case "base":
		if len(d.materials) > maxFileLabels || len(d.materials[*group]) >= maxFileLabels {
			return tooManyLabels()
		}
		d.materials[*group] = append(d.materials[*group], labelName([]byte(attr(s, "name"))))
	case "object":
		if len(d.objects) >= max3MFObjects {
			return fail("export the figure alone", "more than %d objects", max3MFObjects)
		}
		n := &object3MF{name: labelName([]byte(attr(s, "name"))), pid: attr(s, "pid")}
		n.pix, _ = strconv.Atoi(attr(s, "pindex"))
		d.objects[attr(s, "id")] = n
		*obj = n
	case "vertex":
		if o == nil {
			return fail("export it again", "a vertex outside an object")
		}
		return d.vertex(o, s)
	case "triangle":
		if o == nil {
			return fail("export it again", "a triangle outside an object")
		}
		return d.triangle(o, s)
	case "component", "item":
		m, err := transform3MF(attr(s, "transform"))
		if err != nil {
			return err
		}
		p := part3MF{attr(s, "objectid"), m}
		if s.Name.Local == "item" {
			d.build = append(d.build, p)
		} else if o != nil {
			o.parts = append(o.parts, p)
		}
		if len(d.build) > max3MFObjects || o != nil && len(o.parts) > max3MFObjects {
			return fail("export the figure alone", "more than %d items", max3MFObjects)
		}
	}
	return nil
}

func attr(s xml.StartElement, name string) string {
	for _, a := range s.Attr {
		if a.Name.Local == name && a.Name.Space == "" {
			return a.Value
		}
	}
	return ""
}

func (d *doc3MF) vertex(o *object3MF, s xml.StartElement) error {
	var x [3]float64
	for k, name := range [3]string{"x", "y", "z"} {
		v, err := strconv.ParseFloat(attr(s, name), 64)
		if err != nil {
			return fail("a vertex has x, y and z", "cannot read %s=%q", name, clip([]byte(attr(s, name))))
		}
		x[k] = v
	}
	if d.vertices++; d.vertices > MaxVertices {
		return tooManyVertices()
	}
	o.mesh.V = append(o.mesh.V, Vec3{x[0], x[1], x[2]})
	return nil
}

func (d *doc3MF) triangle(o *object3MF, s xml.StartElement) error {
	var f [3]int32
	for k, name := range [3]string{"v1", "v2", "v3"} {
		n, err := strconv.Atoi(attr(s, name))
		if err != nil || n < 0 || n >= len(o.mesh.V) {
			return fail("the file is damaged; export it again", "a triangle names vertex %q, there are %d", clip([]byte(attr(s, name))), len(o.mesh.V))
		}
		f[k] = int32(n)
	}
	if d.triangles++; d.triangles > MaxTriangles {
		return tooManyTriangles()
	}
	pid, index := attr(s, "pid"), o.pix
	if pid == "" {
		pid = o.pid
	}
	if p := attr(s, "p1"); p != "" {
		index, _ = strconv.Atoi(p)
	}
	name := o.name
	if names := d.materials[pid]; index >= 0 && index < len(names) {
		name = names[index]
	}
	if len(o.mesh.Labels) >= maxFileLabels {
		return tooManyLabels()
	}
	o.mesh.F = append(o.mesh.F, f)
	o.mesh.Label = append(o.mesh.Label, o.mesh.LabelID(name))
	return nil
}

// transform3MF reads the twelve numbers of an affine map; 3MF multiplies row
// vectors from the left.
func transform3MF(s string) (Rigid, error) {
	if s == "" {
		return Identity(), nil
	}
	words := strings.Fields(s)
	if len(words) != 12 {
		return Rigid{}, fail("a transform has twelve numbers", "a transform of %d numbers", len(words))
	}
	var x [12]float64
	for i, w := range words {
		v, err := strconv.ParseFloat(w, 64)
		if err != nil {
			return Rigid{}, fail("a transform has twelve numbers", "cannot read %q", clip([]byte(w)))
		}
		x[i] = v
	}
	return Rigid{
		R:     [3]Vec3{{x[0], x[3], x[6]}, {x[1], x[4], x[7]}, {x[2], x[5], x[8]}},
		T:     Vec3{x[9], x[10], x[11]},
		Scale: 1,
	}, nil
}

func (d *doc3MF) assemble() (*Mesh, error) {
	a := &assembly{doc: d}
	for _, item := range d.build {
		if err := a.add(item, Identity(), 0); err != nil {
			return nil, err
		}
	}
	if len(a.out.Labels) <= 2 {
		a.out.Label, a.out.Labels = nil, nil
	}
	return &a.out, nil
}

// assembly unrolls components. Steps are counted, since a small file can name
// parts of parts without end and without a single triangle.
type assembly struct {
	doc   *doc3MF
	out   Mesh
	steps int
}

func (a *assembly) add(p part3MF, outer Rigid, depth int) error {
	o := a.doc.objects[p.object]
	if o == nil {
		return fail("the file is damaged; export it again", "object %q is used but not there", clip([]byte(p.object)))
	}
	if a.steps++; depth > max3MFDepth || a.steps > max3MFObjects {
		return fail("export the figure as one mesh", "objects are nested or repeated too often")
	}
	m := p.m.Then(outer)
	if len(a.out.F)+len(o.mesh.F) > MaxTriangles {
		return tooManyTriangles()
	}
	if len(a.out.V)+len(o.mesh.V) > MaxVertices {
		return tooManyVertices()
	}
	if len(o.mesh.F) > 0 {
		if len(a.out.Labels)+len(o.mesh.Labels) > maxFileLabels {
			return tooManyLabels()
		}
		from := len(a.out.V)
		a.out.Append(&o.mesh)
		for i := from; i < len(a.out.V); i++ {
			a.out.V[i] = m.Point(a.out.V[i])
		}
		if m.R[0].Dot(m.R[1].Cross(m.R[2])) < 0 { // a mirror turns the faces inside out
			for i := len(a.out.F) - len(o.mesh.F); i < len(a.out.F); i++ {
				a.out.F[i][1], a.out.F[i][2] = a.out.F[i][2], a.out.F[i][1]
			}
		}
	}
	for _, c := range o.parts {
		if err := a.add(c, m, depth+1); err != nil {
			return err
		}
	}
	return nil
}
