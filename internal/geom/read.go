package geom

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
)

// Bounds on what a file may ask for. With them a reader stays below 1 GiB of
// memory whatever the file says; docs/measurements/geom.md has the figures.
const (
	MaxFileBytes   = 128 << 20
	MaxTriangles   = 1_500_000
	MaxVertices    = 2_000_000 // a closed mesh has half as many vertices as triangles
	maxExpanded    = 256 << 20 // bytes a zip member may unpack to
	maxLineBytes   = 1 << 20
	maxFileLabels  = 4096
	maxPolygonSize = 4096
	maxCoordinate  = 1e9 // mm; a kilometre is no figure
)

// ReadOptions say what a file cannot.
type ReadOptions struct {
	Unit string // mm, cm, dm, m, in, ft, um; "" to go by the file or its size
	Up   string // "z" or "y"; "" for the habit of the format
}

// Units tells in which unit the file was taken to be, and on whose word.
type Units struct {
	Name string  // mm, cm …
	MM   float64 // millimetres in one unit
	From string  // "asked", "file" or "guessed"
	Note string  // for the user; says what the guess rests on
}

// File is a mesh read from a file: in millimetres, Z up, equal points welded,
// second copies of a face and faces without area left out.
type File struct {
	Mesh   *Mesh
	Format string // stl, stl-text, obj, 3mf, glb
	Units  Units
	UpAxis string  // "z" or "y": what was taken to be up in the file
	Faults []Fault // of the mesh as it was in the file
}

// ReadError says what is wrong with a file and where. Line and Column are 0
// where the format has none.
type ReadError struct {
	Name         string
	Line, Column int
	Message      string
	Hint         string
}

func (e *ReadError) Error() string {
	s := e.Name
	if e.Line > 0 {
		s += fmt.Sprintf(":%d", e.Line)
		if e.Column > 0 {
			s += fmt.Sprintf(":%d", e.Column)
		}
	}
	return s + ": " + e.Message
}

func fail(hint, format string, args ...any) error {
	return &ReadError{Message: fmt.Sprintf(format, args...), Hint: hint}
}

func failAt(line int, hint, format string, args ...any) error {
	return &ReadError{Line: line, Message: fmt.Sprintf(format, args...), Hint: hint}
}

// ReadFile reads the mesh file at path.
func ReadFile(path string, opt ReadOptions) (*File, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return nil, err
	}
	if info.Size() > MaxFileBytes {
		return nil, tooBig(path)
	}
	data := make([]byte, 0, info.Size()+512)
	buf := bytes.NewBuffer(data)
	if _, err := io.Copy(buf, io.LimitReader(f, MaxFileBytes+1)); err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return Read(path, buf.Bytes(), opt)
}

func tooBig(name string) error {
	return &ReadError{Name: name, Message: fmt.Sprintf("the file is larger than %d MB", MaxFileBytes>>20),
		Hint: "reduce (decimate) the mesh in a sculpting program; 200 000 triangles show all that a brush can reach"}
}

// Read reads a mesh from the bytes of a file. The name's ending and the first
// bytes tell the format; errors are *ReadError.
func Read(name string, data []byte, opt ReadOptions) (*File, error) {
	out, err := read(name, data, opt)
	if err == nil {
		return out, nil
	}
	if re, ok := err.(*ReadError); ok {
		re.Name = name
		return nil, re
	}
	return nil, &ReadError{Name: name, Message: err.Error()}
}

func read(name string, data []byte, opt ReadOptions) (*File, error) {
	if len(data) > MaxFileBytes {
		return nil, tooBig(name)
	}
	if len(data) == 0 {
		return nil, fail("copy or export it again", "the file is empty")
	}
	if opt.Unit != "" && unitMM(opt.Unit) == 0 {
		return nil, fail("use mm, cm, dm, m, in, ft or um", "unknown unit %q", opt.Unit)
	}
	if opt.Up != "" && opt.Up != "y" && opt.Up != "z" {
		return nil, fail("use y or z", "unknown up axis %q", opt.Up)
	}
	raw, err := parse(strings.ToLower(filepath.Ext(name)), data)
	if err != nil {
		return nil, err
	}
	return finish(raw, opt)
}

// rawFile is what a parser hands on: coordinates as in the file.
type rawFile struct {
	mesh   *Mesh
	format string
	unit   string // "" where the format states none
	up     string
}

func parse(ext string, data []byte) (rawFile, error) {
	switch {
	case bytes.HasPrefix(data, []byte("glTF")):
		return parseGLB(data)
	case bytes.HasPrefix(data, []byte("PK\x03\x04")):
		return parse3MF(data)
	case ext == ".obj":
		return parseOBJ(data)
	case isBinarySTL(data):
		return parseBinarySTL(data)
	case bytes.HasPrefix(bytes.TrimLeft(data[:min(len(data), 256)], " \t\r\n"), []byte("solid")):
		return parseTextSTL(data)
	case ext == ".stl":
		return parseBinarySTL(data) // says what does not fit
	case ext == ".gltf":
		return rawFile{}, fail("save as binary glTF (.glb), which holds everything in one file", "glTF in several files is not read")
	}
	return rawFile{}, fail("STL, OBJ, 3MF and GLB are read", "this is no mesh file that is known here")
}

// finish turns a parsed mesh into millimetres with Z up and looks for faults.
func finish(raw rawFile, opt ReadOptions) (*File, error) {
	m := raw.mesh
	if len(m.F) == 0 {
		return nil, fail("export the figure as a triangle mesh", "the file holds no triangles")
	}
	out := &File{Format: raw.format, UpAxis: raw.up}
	if opt.Up != "" {
		out.UpAxis = opt.Up
	}
	if out.UpAxis == "y" {
		for i, v := range m.V {
			m.V[i] = Vec3{-v.X, v.Z, v.Y}
		}
	}
	out.Units = decideUnits(m, raw.unit, opt.Unit)
	m.Scale(out.Units.MM)
	for i, v := range m.V {
		if !v.Finite() || math.Abs(v.X) > maxCoordinate || math.Abs(v.Y) > maxCoordinate || math.Abs(v.Z) > maxCoordinate {
			return nil, fail("the file is damaged, or its unit is wrong", "vertex %d lies at (%g, %g, %g) mm", i, v.X, v.Y, v.Z)
		}
	}
	welded, _ := Weld(m, weldTolerance(m))
	raw.mesh, m = nil, nil
	out.Faults = append(Inspect(welded), unitFaults(welded, out.Units)...)
	clean, _ := Clean(welded)
	if len(clean.F) == 0 {
		return nil, fail("export the figure again", "every triangle of the file is without area")
	}
	out.Mesh, _ = Weld(clean, 0)
	return out, nil
}

// weldTolerance is a few units in the last place of a float32 at the size of the
// mesh: corners that an exporter meant to be one differ by that much.
func weldTolerance(m *Mesh) float64 {
	b := m.Bounds()
	lo, hi := b.Min, b.Max
	return max(-lo.X, -lo.Y, -lo.Z, hi.X, hi.Y, hi.Z) / (1 << 22)
}

func unitMM(name string) float64 {
	switch strings.ToLower(name) {
	case "um", "µm", "micron":
		return 0.001
	case "mm", "millimeter", "millimetre":
		return 1
	case "cm", "centimeter", "centimetre":
		return 10
	case "dm", "decimeter", "decimetre":
		return 100
	case "m", "meter", "metre":
		return 1000
	case "in", "inch":
		return 25.4
	case "ft", "foot":
		return 304.8
	}
	return 0
}

// figureMin and figureMax bound the largest extent, in mm, that a casting for
// the table can have: a 6 mm foot figure, a large gun with its team.
const figureMin, figureMax = 4.0, 400.0

// unitInWords is a unit's name where "in" would be read as a word.
func unitInWords(name string) string {
	if name == "in" {
		return "inches"
	}
	return name
}

// decideUnits takes the asked unit, else the file's, else the first of mm, in,
// cm, m that gives something that fits on a table, else mm.
func decideUnits(m *Mesh, file, asked string) Units {
	if asked != "" {
		return Units{Name: asked, MM: unitMM(asked), From: "asked", Note: "unit as asked for"}
	}
	if file != "" {
		return Units{Name: file, MM: unitMM(file), From: "file", Note: "unit as stated by the file format"}
	}
	s := m.Bounds().Size()
	extent := max(s.X, s.Y, s.Z)
	for _, name := range []string{"mm", "in", "cm", "m"} {
		if mm := extent * unitMM(name); mm >= figureMin && mm <= figureMax {
			return Units{Name: name, MM: unitMM(name), From: "guessed",
				Note: fmt.Sprintf("the file states no unit; taken for %s it is %.4g mm across, the size of a figure", unitInWords(name), mm)}
		}
	}
	return Units{Name: "mm", MM: 1, From: "guessed",
		Note: fmt.Sprintf("the file states no unit and no usual one gives the size of a figure; taken as mm (%.4g mm across)", extent)}
}

// unitFaults tells of sizes that no casting has.
func unitFaults(m *Mesh, u Units) []Fault {
	s := m.Bounds().Size()
	extent := max(s.X, s.Y, s.Z)
	if extent >= figureMin && extent <= figureMax {
		return nil
	}
	hint := "give the unit of the file"
	if extent >= 1200 && extent <= 2600 {
		hint = "this is the size of a living man: scale it by the figure's ratio (1/56 for 28 mm)"
	}
	return []Fault{{ID: "mesh-units", Count: 1, Hint: hint,
		Message: fmt.Sprintf("the mesh is %.4g mm across in %s: no casting for the table has that size", extent, u.Name)}}
}
