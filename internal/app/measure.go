package app

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strings"

	"facings"
	"facings/internal/figure"
	"facings/internal/geom"
	"facings/internal/light"
	"facings/internal/projectfile"
)

// Survey is what there is to say about a mesh.
type Survey = light.Survey

// MeshFault is a mesh file that cannot be read: what is wrong, where, and the
// way out.
type MeshFault = geom.ReadError

// LabelsSuffix is added to a mesh's name to name the file that keeps its labels.
const LabelsSuffix = ".labels.json"

// MeasureOptions say how to read a mesh and where the light comes from.
type MeasureOptions struct {
	Unit         string  // mm, cm, dm, m, in, ft, um; "" to go by the file or its size
	Up           string  // z or y; "" for the habit of the format
	ElevationDeg float64 // of the light from above; 0 for the default
	Directions   int     // 0 for the default
	// Like names a ready-made body whose labels are copied onto the mesh and
	// kept beside it; "" for none.
	Like string
	// Out is a file to write the mesh to, .glb with one material per area or
	// .stl; "" for none.
	Out string
}

// Measure reads a mesh, a file or a ready-made body by its name (foot, mounted,
// gun), and measures it: areas, faults, light from above. Labels kept beside the
// file are used. Notes say what else was done.
func (a *App) Measure(path string, opt MeasureOptions) (s *Survey, notes []string, err error) {
	a.progress("measuring "+path, 0.1)
	spray := light.DefaultSpray()
	spray.ElevationDeg = facings.DefaultElevationDeg // as in a project that says nothing
	if opt.ElevationDeg != 0 {
		spray.ElevationDeg = opt.ElevationDeg
	}
	if opt.Directions != 0 {
		spray.Directions = opt.Directions
	}
	file, notes, err := a.mesh(path, opt)
	if err != nil {
		return nil, notes, err
	}
	if s, err = light.SurveyMesh(path, file, spray, light.Options{}); err != nil {
		return nil, notes, err
	}
	if opt.Out != "" {
		if err := writeMesh(file.Mesh, opt.Out); err != nil {
			return nil, notes, err
		}
		notes = append(notes, "wrote "+opt.Out)
	}
	a.progress("done", 1)
	return s, notes, nil
}

// mesh finds the mesh and its labels.
func (a *App) mesh(path string, opt MeasureOptions) (*geom.File, []string, error) {
	if body, ok := facings.ReadyBody(path); ok {
		if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
			if opt.Unit != "" || opt.Up != "" || opt.Like != "" {
				return nil, nil, fmt.Errorf("%s is a built-in casting here, since there is no file of that name\n    its unit, axis and areas are known: leave --unit, --up and --like out, or give the path of a mesh file", path)
			}
			m, err := figure.Build(figure.Like(body, facings.RoleTrooper, 1, figure.Hints{}))
			if err != nil {
				return nil, nil, err
			}
			return &geom.File{Mesh: m, Format: "built-in", UpAxis: "z", Units: geom.Units{Name: "mm", MM: 1, From: "built-in", Note: "the built-in casting, in millimetres"}}, nil, nil
		}
	}
	file, err := geom.ReadFile(path, geom.ReadOptions{Unit: opt.Unit, Up: opt.Up})
	if err != nil {
		return nil, nil, err
	}
	var notes []string
	if opt.Like != "" {
		note, err := a.copyLabels(path, file.Mesh, opt.Like)
		return file, append(notes, note), err
	}
	kept := path + LabelsSuffix
	data, err := os.ReadFile(kept)
	if errors.Is(err, fs.ErrNotExist) {
		return file, nil, nil
	}
	if err != nil {
		return nil, nil, err
	}
	match, err := geom.ReadLabels(file.Mesh, data)
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", kept, err)
	}
	if match.Exact {
		notes = append(notes, "labels from "+kept)
	} else {
		notes = append(notes, fmt.Sprintf("labels from %s, fitted to the changed mesh; %d faces found none", kept, match.Missed))
	}
	return file, notes, nil
}

// copyReach and copyAngle bound what counts as the same place on another mesh:
// a tenth of the height, and a right angle less a little.
const (
	copyReach = 0.1
	copyAngle = 80 * math.Pi / 180
)

// copyLabels labels a mesh after a ready-made body and keeps the labels beside it.
func (a *App) copyLabels(path string, m *geom.Mesh, like string) (string, error) {
	missed, err := labelLike(m, like)
	if err != nil {
		return "", err
	}
	data, err := geom.WriteLabels(m)
	if err != nil {
		return "", err
	}
	if err := projectfile.Write(path+LabelsSuffix, data); err != nil {
		return "", err
	}
	return fmt.Sprintf("labelled after the built-in %s and kept in %s; %d faces found no counterpart", like, path+LabelsSuffix, missed), nil
}

// labelLike labels a mesh after a ready-made body; missed faces found no
// counterpart.
func labelLike(m *geom.Mesh, like string) (missed int, err error) {
	body, ok := facings.ReadyBody(like)
	if !ok {
		return 0, fmt.Errorf("no ready-made body is called %q; use foot, mounted or gun", like)
	}
	src, err := figure.Build(figure.Like(body, facings.RoleTrooper, 1, figure.Hints{}))
	if err != nil {
		return 0, err
	}
	fit := geom.Align(src, m)
	return geom.CopyLabels(m, src, fit.Place, geom.CopySettings{Reach: copyReach * m.Bounds().Size().Z, MaxAngle: copyAngle}), nil
}

func writeMesh(m *geom.Mesh, path string) error {
	switch strings.ToLower(filepath.Ext(path)) {
	case ".stl":
		return projectfile.Write(path, geom.WriteSTL(m))
	case ".glb":
		data, err := geom.WriteGLB(m, nil)
		if err != nil {
			return err
		}
		return projectfile.Write(path, data)
	}
	return fmt.Errorf("%s: a mesh is written as .glb or .stl", path)
}

// AsMeshFault finds the place and the way out in an error of Measure.
func AsMeshFault(err error) (*MeshFault, bool) {
	var fault *MeshFault
	return fault, errors.As(err, &fault)
}
