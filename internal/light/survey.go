package light

import (
	"cmp"
	"slices"

	"facings/internal/geom"
)

// Survey is what there is to say about a mesh file: sizes, faults, and how the
// spray from above reaches it. Its JSON names are part of what the command line
// promises.
type Survey struct {
	Mesh       string         `json:"mesh"`
	Format     string         `json:"format"`
	Unit       string         `json:"unit"`
	UnitFrom   string         `json:"unit_from"` // asked, file, guessed
	UnitNote   string         `json:"unit_note"`
	UpAxis     string         `json:"up_axis"`
	Triangles  int            `json:"triangles"`
	Vertices   int            `json:"vertices"`
	Shells     int            `json:"shells"`
	Watertight bool           `json:"watertight"`
	SizeMM     [3]float64     `json:"size_mm"`
	AreaMM2    float64        `json:"area_mm2"`
	VolumeMM3  *float64       `json:"volume_mm3"` // null unless watertight
	Labels     []SurveyLabel  `json:"labels"`
	Faults     []SurveyFault  `json:"faults"`
	Exposure   SurveyExposure `json:"exposure"`
}

// SurveyLabel is the size and the light of one area.
type SurveyLabel struct {
	Label        string  `json:"label"`
	AreaMM2      float64 `json:"area_mm2"`
	MeanExposure float64 `json:"mean_exposure"`
}

// SurveyFault is a geom.Fault for the reader of JSON.
type SurveyFault struct {
	ID      string       `json:"id"`
	Count   int          `json:"count"`
	Message string       `json:"message"`
	Hint    string       `json:"hint"`
	Note    bool         `json:"note"`
	AtMM    [][3]float64 `json:"at_mm"`
}

// SurveyExposure sums up the exposure, relative to a level open facet, over the
// surface.
type SurveyExposure struct {
	ElevationDeg  float64 `json:"elevation_deg"`
	SpreadDeg     float64 `json:"spread_deg"`
	OverheadShare float64 `json:"overhead_share"`
	Directions    int     `json:"directions"`
	Rays          int64   `json:"rays"`
	Mean          float64 `json:"mean"`
	P10           float64 `json:"p10"`
	P50           float64 `json:"p50"`
	P90           float64 `json:"p90"`
	DarkShare     float64 `json:"dark_share"` // of the surface, below 0.05
}

// SurveyFile reads the mesh at path and measures it. A file that cannot be read
// gives a *geom.ReadError with a hint.
func SurveyFile(path string, read geom.ReadOptions, spray Spray, opt Options) (*Survey, error) {
	file, err := geom.ReadFile(path, read)
	if err != nil {
		return nil, err
	}
	return SurveyMesh(path, file, spray, opt)
}

// SurveyMesh measures a mesh that was read already, as labelled now.
func SurveyMesh(path string, file *geom.File, spray Spray, opt Options) (*Survey, error) {
	sources, err := spray.Sources()
	if err != nil {
		return nil, err
	}
	m := file.Mesh
	size := geom.Measure(m)
	out := &Survey{Mesh: path, Format: file.Format, Unit: file.Units.Name, UnitFrom: file.Units.From,
		UnitNote: file.Units.Note, UpAxis: file.UpAxis, Triangles: size.Triangles, Vertices: size.Vertices,
		Shells: size.Shells, Watertight: size.Watertight, AreaMM2: size.Area,
		Labels: []SurveyLabel{}, Faults: []SurveyFault{}}
	s := size.Box.Size()
	out.SizeMM = [3]float64{s.X, s.Y, s.Z}
	if size.Watertight {
		out.VolumeMM3 = &size.Volume
	}
	for _, f := range file.Faults {
		fault := SurveyFault{f.ID, f.Count, f.Message, f.Hint, f.Note, [][3]float64{}}
		for _, p := range f.At {
			fault.AtMM = append(fault.AtMM, [3]float64{p.X, p.Y, p.Z})
		}
		out.Faults = append(out.Faults, fault)
	}
	e := Expose(m, sources, opt)
	relative := make([]float64, len(e.Vertex))
	for i, v := range e.Vertex {
		if e.Up > 0 {
			relative[i] = v / e.Up
		}
	}
	out.Exposure = summary(relative, m.VertexAreas())
	x := &out.Exposure
	x.ElevationDeg, x.SpreadDeg, x.OverheadShare = spray.ElevationDeg, spray.SpreadDeg, spray.OverheadShare
	x.Directions, x.Rays = len(sources), e.Rays
	for l, mean := range LabelMeans(m, relative) {
		if area := m.LabelAreas()[l]; area > 0 && m.Label != nil {
			out.Labels = append(out.Labels, SurveyLabel{m.Labels[l], area, mean})
		}
	}
	return out, nil
}

// LabelMeans returns the mean of a value at the vertices over each label's area,
// indexed like m.Labels; 0 where a label has no area.
func LabelMeans(m *geom.Mesh, vertex []float64) []float64 {
	sum := make([]float64, max(1, len(m.Labels)))
	area := make([]float64, len(sum))
	for i, f := range m.F {
		a, l := m.FaceArea(i), m.FaceLabel(i)
		area[l] += a
		sum[l] += float64(a * (vertex[f[0]] + vertex[f[1]] + vertex[f[2]]) / 3)
	}
	for l := range sum {
		if area[l] > 0 {
			sum[l] /= area[l]
		}
	}
	return sum
}

// summary gives mean and percentiles of values weighted by area.
func summary(v, area []float64) SurveyExposure {
	order := make([]int, len(v))
	total := 0.0
	out := SurveyExposure{}
	for i := range v {
		order[i] = i
		total += area[i]
		out.Mean += float64(v[i] * area[i])
	}
	if total == 0 {
		return out
	}
	out.Mean /= total
	slices.SortFunc(order, func(a, b int) int { return cmp.Or(cmp.Compare(v[a], v[b]), cmp.Compare(a, b)) })
	sum := 0.0
	marks := []struct {
		share float64
		to    *float64
	}{{0.1, &out.P10}, {0.5, &out.P50}, {0.9, &out.P90}}
	for _, i := range order {
		if v[i] < 0.05 {
			out.DarkShare += area[i] / total
		}
		sum += area[i]
		for len(marks) > 0 && sum >= marks[0].share*total {
			*marks[0].to = v[i]
			marks = marks[1:]
		}
	}
	return out
}
