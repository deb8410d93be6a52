package app

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"sync"

	"facings"
	"facings/internal/geom"
)

// heldOwn is how many castings with meshes of their own a studio keeps, each of
// perhaps tens of megabytes.
const heldOwn = 4

// meshOf reads a mesh with its labels; nil for none beside it.
func meshOf(name string, mesh, labels []byte) (*geom.File, error) {
	file, err := geom.Read(name, mesh, geom.ReadOptions{})
	if err == nil && labels != nil {
		_, err = geom.ReadLabels(file.Mesh, labels)
	}
	if err != nil {
		return nil, err
	}
	return file, nil
}

// meshKey names a mesh with its labels by what they hold.
func meshKey(mesh, labels []byte) string {
	return fmt.Sprintf("%x %x", sha256.Sum256(mesh), sha256.Sum256(labels))
}

// meshBytes reads the file of a mesh and that of its labels, nil for none.
func meshBytes(beside func(name string) ([]byte, error), name string) (mesh, labels []byte, err error) {
	if mesh, err = beside(name); err != nil {
		return nil, nil, err
	}
	labels, err = beside(name + LabelsSuffix)
	if errors.Is(err, facings.ErrNotFound) || errors.Is(err, fs.ErrNotExist) {
		return mesh, nil, nil
	}
	return mesh, labels, err
}

// ownMeshes remembers which castings of a plan have a mesh of their own.
type ownMeshes struct {
	mu   sync.Mutex
	keys map[string]string // by the casting's name: what the mesh holds, "" for none that can be read
}

// ownMesh is the name of a casting's own mesh and a key of what it holds; false
// where the built-in casting is shown: there is none, or it cannot be read or
// has no labels, which a finding says.
func (plan *Plan) ownMesh(casting string) (name, key string, ok bool) {
	i := slices.IndexFunc(plan.Project.Castings, func(c facings.Casting) bool { return c.Name == casting })
	if i < 0 || plan.Project.Castings[i].Mesh == "" || plan.own == nil || plan.beside == nil {
		return "", "", false
	}
	name = plan.Project.Castings[i].Mesh
	plan.own.mu.Lock()
	defer plan.own.mu.Unlock()
	key, known := plan.own.keys[casting]
	if !known {
		if mesh, labels, err := meshBytes(plan.beside, name); err == nil {
			key = meshKey(mesh, labels)
		}
		plan.own.keys[casting] = key
	}
	return name, key, key != ""
}

// ownCasting is the casting of a figure whose mesh is the project's own, in its
// light; nil where the built-in one is shown.
func (ps *Pictures) ownCasting(f *facings.Figure) *castingLight {
	name, key, ok := ps.plan.ownMesh(f.Body.Name)
	if !ok {
		return nil
	}
	p := ps.plan.Project
	c := ps.studio.own.getOrPut(fmt.Sprintf("%g %g %s", p.Elevation(), p.Size(), key), func() *castingLight { return &castingLight{} })
	c.once.Do(func() {
		mesh, labels, err := meshBytes(ps.plan.beside, name)
		if err != nil {
			c.err = err
			return
		}
		file, err := meshOf(name, mesh, labels)
		if err != nil {
			c.err = err
			return
		}
		c.mesh = file.Mesh
		if c.mesh.Label == nil {
			return // the built-in casting is shown
		}
		c.light(p.Elevation(), recessRadius*p.Size()/facings.NominalSize, 1)
	})
	if c.err != nil || c.mesh.Label == nil {
		return nil
	}
	return c
}
