package app

import (
	"errors"

	"facings/internal/geom"
	"facings/internal/light"
)

// Survey is what there is to say about a mesh.
type Survey = light.Survey

// MeshFault is a mesh file that cannot be read: what is wrong, where, and the
// way out.
type MeshFault = geom.ReadError

// MeasureOptions say how to read a mesh and where the light comes from.
type MeasureOptions struct {
	Unit         string  // mm, cm, dm, m, in, ft, um; "" to go by the file or its size
	Up           string  // z or y; "" for the habit of the format
	ElevationDeg float64 // of the light from above; 0 for the default
	Directions   int     // 0 for the default
}

// Measure reads a mesh file and measures it: areas, faults, light from above.
func (a *App) Measure(path string, opt MeasureOptions) (*Survey, error) {
	a.progress("measuring "+path, 0.1)
	spray := light.DefaultSpray()
	if opt.ElevationDeg != 0 {
		spray.ElevationDeg = opt.ElevationDeg
	}
	if opt.Directions != 0 {
		spray.Directions = opt.Directions
	}
	s, err := light.SurveyFile(path, geom.ReadOptions{Unit: opt.Unit, Up: opt.Up}, spray, light.Options{})
	a.progress("done", 1)
	return s, err
}

// AsMeshFault finds the place and the way out in an error of Measure.
func AsMeshFault(err error) (*MeshFault, bool) {
	var fault *MeshFault
	return fault, errors.As(err, &fault)
}
