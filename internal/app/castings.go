package app

import (
	"fmt"
	"path/filepath"
	"slices"

	"facings"
	"facings/internal/figure"
	"facings/internal/geom"
	"facings/internal/light"
)

// measureCastings measures the meshes that the project's castings name, files
// beside the project, with the labels kept beside them. What it finds replaces
// the catalogue's sizes on the roster's figures; a mesh that cannot be used is a
// warning, and the catalogue's sizes stand.
func (a *App) measureCastings(o *Opened, roster *facings.Roster) facings.Diagnostics {
	var found facings.Diagnostics
	for _, c := range o.Project.Castings {
		if c.Mesh == "" {
			continue
		}
		a.progress("measuring "+c.Mesh, 0.05)
		found = append(found, a.measureCasting(o, c, roster)...)
	}
	return found
}

// asOnMesh gives the figures of a casting what was measured on its mesh.
func asOnMesh(roster *facings.Roster, casting string, areas []facings.AreaSpec) {
	for i := range roster.Figures {
		b := &roster.Figures[i].Body
		if b.Name != casting {
			continue
		}
		b.Areas = slices.Clone(b.Areas)
		for j := range b.Areas {
			at := slices.IndexFunc(areas, func(m facings.AreaSpec) bool { return m.Name == b.Areas[j].Name })
			if at < 0 {
				continue
			}
			a, m := &b.Areas[j], areas[at]
			a.AreaMM2, a.Fiddly, a.Exposure, a.Estimated = m.AreaMM2, m.Fiddly, m.Exposure, false
			if len(a.Over) == 0 {
				a.Over = m.Over
			}
		}
	}
}

func (a *App) measureCasting(o *Opened, c facings.Casting, roster *facings.Roster) facings.Diagnostics {
	path := facings.Pointer("castings", c.Name, "mesh")
	warn := func(id, message, hint string) facings.Diagnostics {
		return facings.Diagnostics{{ID: id, Severity: facings.Warning, Path: path, Value: c.Mesh, Message: message, Hint: hint}}
	}
	if !filepath.IsLocal(c.Mesh) {
		return warn("mesh-path", fmt.Sprintf("%q does not lie beside the project", c.Mesh), "give a file name relative to the project file")
	}
	areas, err := a.Measures.areas(o.Project, o.files(), c.Mesh)
	if err != nil {
		return warn("mesh-unreadable", fmt.Sprintf("the mesh of %q is not used: %v", c.Name, err), "until it can be read, areas are as large as on the built-in castings")
	}
	if areas == nil {
		return warn("mesh-unlabelled", fmt.Sprintf("the mesh %s has no areas yet", c.Mesh), fmt.Sprintf("label it after a built-in body: facings measure %s --like %s", c.Mesh, baseOf(o.Project, c)))
	}
	asOnMesh(roster, c.Name, areas)
	body, _ := o.Project.FindBody(c.Name)
	var unlisted []string
	for _, area := range areas {
		if _, ok := body.Area(area.Name); !ok {
			unlisted = append(unlisted, area.Name)
		}
	}
	if len(unlisted) > 0 {
		return warn("mesh-areas", fmt.Sprintf("the mesh %s has areas that %q does not: %s", c.Mesh, c.Name, some(unlisted)), "add them to the casting: adds: [...]")
	}
	return nil
}

// baseOf is the ready-made body that a casting builds on.
func baseOf(p *facings.Project, c facings.Casting) string {
	b, _ := p.FindBody(c.Name)
	switch {
	case slices.ContainsFunc(b.Areas, func(a facings.AreaSpec) bool { return a.Part == facings.PartHorse }):
		return facings.BodyMounted
	case slices.ContainsFunc(b.Areas, func(a facings.AreaSpec) bool { return a.Part == facings.PartGun }):
		return facings.BodyGun
	}
	return facings.BodyFoot
}

// Measures remembers what was measured on meshes, for whoever plans with the same
// mesh again; those used last are kept. It is safe for use from several
// goroutines.
type Measures struct{ made *cache[[]facings.AreaSpec] }

// heldMeasures is how many meshes' measures are remembered.
const heldMeasures = 200

// NewMeasures remembers none yet.
func NewMeasures() *Measures {
	return &Measures{newCache(heldMeasures, func([]facings.AreaSpec) int { return 1 })}
}

// areas are the areas measured on a mesh beside a project, nil for one without
// labels. Nothing in them is changed. A nil Measures remembers none.
func (m *Measures) areas(p *facings.Project, beside func(name string) ([]byte, error), name string) ([]facings.AreaSpec, error) {
	mesh, labels, err := meshBytes(beside, name)
	if err != nil {
		return nil, err
	}
	key := fmt.Sprintf("%g %g %s", p.Elevation(), p.Size(), meshKey(mesh, labels))
	if m != nil {
		if made, ok := m.made.get(key); ok {
			return made, nil
		}
	}
	file, err := meshOf(name, mesh, labels)
	if err != nil || file.Mesh.Label == nil {
		return nil, err
	}
	made, err := measuredAreas(p, file.Mesh)
	if err == nil && m != nil {
		m.made.put(key, made)
	}
	return made, err
}

// measuredAreas measures a labelled mesh: each area's size at 28 mm, how fiddly
// it is, how much of the light from above is seen on it, and what it lies over:
// the larger neighbour with which it shares the longest border.
func measuredAreas(p *facings.Project, m *geom.Mesh) ([]facings.AreaSpec, error) {
	spray := light.DefaultSpray()
	spray.ElevationDeg = p.Elevation()
	sources, err := spray.Sources()
	if err != nil {
		return nil, err
	}
	exposure := light.Expose(m, sources, light.Options{})
	covered := exposure.SeenCoverage(m)
	sizes := map[string]float64{}
	measures := figure.Measure(m)
	for _, a := range measures {
		sizes[a.Area] = a.MM2
	}
	var out []facings.AreaSpec
	for _, a := range measures {
		spec := facings.AreaSpec{Name: a.Area, AreaMM2: facings.SquareMillimetres(a.MM2 / facings.Scale(p.Size())), Fiddly: figure.Slowness(a.Fiddly)}
		if i := slices.Index(m.Labels, a.Area); i >= 0 {
			spec.Exposure = covered[i]
		}
		for _, n := range a.Neighbours {
			if sizes[n.Area] > a.MM2 {
				spec.Over = []string{n.Area}
				break
			}
		}
		out = append(out, spec)
	}
	return out, nil
}

// some lists a few names and counts the rest.
func some(names []string) string {
	const most = 5
	out := ""
	for i, n := range names[:min(most, len(names))] {
		if i > 0 {
			out += ", "
		}
		out += n
	}
	if len(names) > most {
		out += fmt.Sprintf(" and %d more", len(names)-most)
	}
	return out
}
