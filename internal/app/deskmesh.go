package app

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"

	"facings"
	"facings/internal/geom"
	"facings/internal/light"
)

// keptMesh is a mesh beside a project, read and ready to be labelled. Nothing in
// it is changed.
type keptMesh struct {
	file    *geom.File
	surface *geom.Surface
	notes   []string
}

// meshAt reads a mesh beside a project with its labels, or finds it read.
func (d *Desk) meshAt(ctx context.Context, id string, r *revision, name string) (*keptMesh, error) {
	hash, ok := r.files[name]
	if !ok {
		return nil, fmt.Errorf("file %q: %w", name, facings.ErrNotFound)
	}
	key := hash + " " + r.files[name+LabelsSuffix]
	if m, ok := d.meshes.get(key); ok {
		return m, nil
	}
	data, err := d.content(ctx, id, hash)
	if err != nil {
		return nil, err
	}
	file, err := geom.Read(name, data, geom.ReadOptions{})
	var unread *geom.ReadError
	if errors.As(err, &unread) {
		return nil, &Mistake{Message: unread.Error(), Hint: unread.Hint}
	} else if err != nil {
		return nil, err
	}
	m := &keptMesh{file: file, notes: []string{}}
	if labels, ok := r.files[name+LabelsSuffix]; ok {
		data, err := d.content(ctx, id, labels)
		if err != nil {
			return nil, err
		}
		match, err := geom.ReadLabels(file.Mesh, data)
		switch {
		case err != nil:
			m.notes = append(m.notes, fmt.Sprintf("the labels kept of it cannot be read: %v", err))
		case !match.Exact:
			m.notes = append(m.notes, fmt.Sprintf("the labels were fitted to the changed mesh; %d faces found none", match.Missed))
		}
	}
	m.surface = geom.NewSurface(file.Mesh)
	d.meshes.put(key, m)
	return m, nil
}

// MeshLabels are the labels of the faces of a mesh beside a project.
func (d *Desk) MeshLabels(ctx context.Context, id, name string) (*MeshLabels, error) {
	_, r, err := d.head(ctx, id)
	if err != nil {
		return nil, err
	}
	m, err := d.meshAt(ctx, id, r, name)
	if err != nil {
		return nil, err
	}
	return labelsOf(name, m.file.Mesh, m.notes), nil
}

func labelsOf(name string, m *geom.Mesh, notes []string) *MeshLabels {
	out := &MeshLabels{Name: name, Faces: len(m.F), Labels: slices.Clone(m.Labels), Runs: [][2]int{}, Areas: []AreaLabelled{}, Notes: notes}
	if len(out.Labels) == 0 {
		out.Labels = []string{""}
	}
	faces := make([]int, len(out.Labels))
	size := make([]float64, len(out.Labels))
	for i := range m.F {
		l := int(m.FaceLabel(i))
		faces[l]++
		size[l] += m.FaceArea(i)
		if n := len(out.Runs); n > 0 && out.Runs[n-1][0] == l {
			out.Runs[n-1][1]++
		} else {
			out.Runs = append(out.Runs, [2]int{l, 1})
		}
	}
	for l, n := range faces {
		if n > 0 {
			out.Areas = append(out.Areas, AreaLabelled{Area: out.Labels[l], Faces: n, AreaMM2: size[l]})
		}
	}
	return out
}

// LabelMesh puts labels on faces of a mesh and keeps them beside it, as an edit.
func (d *Desk) LabelMesh(ctx context.Context, e Edit, name string, q MeshLabel) (*MeshLabels, error) {
	if e.Why == "" {
		e.Why = fmt.Sprintf("labelled %s of %s", q.Area, name)
		if q.Like != "" {
			e.Why = fmt.Sprintf("labelled %s like %s", name, q.Like)
		}
	}
	var out *MeshLabels
	head, err := d.edit(ctx, e, func(r *revision) (draft, error) {
		m, err := d.meshAt(ctx, e.ID, r, name)
		if err != nil {
			return draft{}, err
		}
		mesh := *m.file.Mesh // labels are the copy's own, the rest is shared
		mesh.Label, mesh.Labels = slices.Clone(mesh.Label), slices.Clone(mesh.Labels)
		notes, err := q.put(&mesh, m.surface)
		if err != nil {
			return draft{}, err
		}
		out = labelsOf(name, &mesh, append(slices.Clone(m.notes), notes...))
		data, err := geom.WriteLabels(&mesh)
		if err != nil {
			return draft{}, &Mistake{Message: err.Error()}
		}
		hash, _, err := d.keeper.PutFile(ctx, e.ID, bytes.NewReader(data))
		if err != nil {
			return draft{}, err
		}
		files := maps.Clone(r.files)
		files[name+LabelsSuffix] = hash
		if len(files) > facings.MaxFiles {
			return draft{}, &Mistake{Message: "there are too many files beside the project", Hint: "take some away first"}
		}
		return draft{text: r.text, files: files}, nil
	})
	if err != nil {
		return nil, err
	}
	out.Head = head
	return out, nil
}

// put labels faces of a mesh; the surface is of the same faces.
func (q *MeshLabel) put(mesh *geom.Mesh, surface *geom.Surface) ([]string, error) {
	if q.Like != "" {
		missed, err := labelLike(mesh, q.Like)
		if err != nil {
			return nil, &Mistake{Message: err.Error()}
		}
		if missed == 0 {
			return nil, nil
		}
		return []string{fmt.Sprintf("%d faces found no counterpart on the built-in %s", missed, q.Like)}, nil
	}
	if len(q.Area) > facings.MaxNameLength {
		return nil, &Mistake{Message: "the area's name is too long"}
	}
	if !slices.Contains(mesh.Labels, q.Area) && len(mesh.Labels) > facings.MaxBodyAreas {
		return nil, &Mistake{Message: fmt.Sprintf("the mesh has %d areas already", len(mesh.Labels)-1)}
	}
	faces, err := q.faces(mesh, surface)
	if err != nil {
		return nil, err
	}
	id := mesh.LabelID(q.Area)
	for _, f := range faces {
		mesh.SetLabel(int(f), id)
	}
	return nil, nil
}

// faces are those meant: a list, a flood fill, or a brush's stroke.
func (q *MeshLabel) faces(mesh *geom.Mesh, surface *geom.Surface) ([]int32, error) {
	n := int32(len(mesh.F))
	for _, f := range q.Faces {
		if f < 0 || f >= n {
			return nil, &Mistake{Message: fmt.Sprintf("face %d of %d", f, n)}
		}
	}
	if q.SeedFace == nil {
		if len(q.Faces) == 0 {
			return nil, &Mistake{Message: "no faces are named", Hint: "send like, faces, or seed_face with angle_deg or at_mm and radius_mm"}
		}
		return q.Faces, nil
	}
	if *q.SeedFace < 0 || *q.SeedFace >= int(n) {
		return nil, &Mistake{Message: fmt.Sprintf("face %d of %d", *q.SeedFace, n)}
	}
	if q.AtMM != nil {
		at := geom.Vec3{X: q.AtMM[0], Y: q.AtMM[1], Z: q.AtMM[2]}
		if !at.Finite() || !(q.RadiusMM > 0) {
			return nil, &Mistake{Message: "a stroke needs a point and a radius above 0"}
		}
		return append(surface.Brush(*q.SeedFace, at, q.RadiusMM), q.Faces...), nil
	}
	angle := q.AngleDeg
	if angle == 0 {
		angle = defaultFillAngle
	}
	return append(surface.Grow(*q.SeedFace, angle*math.Pi/180), q.Faces...), nil
}

// defaultFillAngle, degrees, is where a flood fill stops (common practice: a
// crease sharper than that is the edge of a sculpted part).
const defaultFillAngle = 30

// MeshSurvey is what there is to say about a mesh beside a project.
func (d *Desk) MeshSurvey(ctx context.Context, id, name string) (*Survey, error) {
	_, r, err := d.head(ctx, id)
	if err != nil {
		return nil, err
	}
	m, err := d.meshAt(ctx, id, r, name)
	if err != nil {
		return nil, err
	}
	spray := light.DefaultSpray()
	if r.opened.Project != nil {
		spray.ElevationDeg = r.opened.Project.Elevation()
	}
	s, err := light.SurveyMesh(name, m.file, spray, light.Options{})
	if err != nil {
		return nil, err
	}
	fill(s)
	return s, nil
}

// MeshModel is a mesh as glTF: one primitive per area, or plain, one with all
// faces in file order, so that a face picked has its number.
func (d *Desk) MeshModel(ctx context.Context, id, name string, plain bool) ([]byte, error) {
	_, r, err := d.head(ctx, id)
	if err != nil {
		return nil, err
	}
	m, err := d.meshAt(ctx, id, r, name)
	if err != nil {
		return nil, err
	}
	mesh := *m.file.Mesh
	if plain {
		mesh.Label, mesh.Labels = nil, nil
	}
	return geom.WriteGLB(&mesh, nil)
}
