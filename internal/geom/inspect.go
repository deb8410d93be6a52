package geom

import "fmt"

// Fault is something about a mesh that its owner should know.
type Fault struct {
	ID      string // stable: mesh-open, mesh-flipped …
	Count   int    // how many edges, faces or pieces show it
	Message string // what was found and what it means
	Hint    string // the way out
	At      []Vec3 // up to maxFaultPlaces places, mm
	Note    bool   // only worth knowing; nothing is wrong
}

const maxFaultPlaces = 5

func (f *Fault) add(p Vec3) {
	f.Count++
	if len(f.At) < maxFaultPlaces {
		f.At = append(f.At, p)
	}
}

// Inspect lists what is wrong with a welded mesh, worst first; none for a sound
// one in a single piece.
func Inspect(m *Mesh) []Fault {
	if len(m.F) == 0 {
		return []Fault{{ID: "mesh-empty", Count: 1, Message: "the mesh has no faces",
			Hint: "export the figure again as a triangle mesh"}}
	}
	open := Fault{ID: "mesh-open"}
	many := Fault{ID: "mesh-non-manifold"}
	flipped := Fault{ID: "mesh-flipped"}
	edges := m.Edges()
	for _, e := range edges {
		mid := m.V[e.A].Lerp(m.V[e.B], 0.5)
		switch {
		case e.Uses == 1:
			open.add(mid)
		case e.Uses > 2:
			many.add(mid)
		case !e.Opposed:
			flipped.add(mid)
		}
	}
	flat := Fault{ID: "mesh-degenerate"}
	double := Fault{ID: "mesh-duplicate-faces"}
	seen := newFaceSet(m)
	for i, f := range m.F {
		if degenerate(m, i) {
			flat.add(m.V[f[0]])
		}
		if seen.repeats(i) {
			double.add(m.FaceCenter(i))
		}
	}
	open.Message = fmt.Sprintf("%d open edges: the surface has holes, so light can reach the inside and the volume is meaningless", open.Count)
	open.Hint = "areas near the holes come out too bright; close holes in the sculpting or slicing program if it matters"
	many.Message = fmt.Sprintf("%d edges are shared by more than two faces: surfaces touch or run through each other", many.Count)
	many.Hint = "area and light are still right where the surface can be seen; hidden inner faces count as area too"
	flipped.Message = fmt.Sprintf("%d edges where neighbouring faces disagree about which side is outside", flipped.Count)
	flipped.Hint = "faces turned inwards get no light; let the sculpting program make the normals consistent"
	flat.Message = fmt.Sprintf("%d faces have no area", flat.Count)
	flat.Hint = "they are ignored"
	double.Message = fmt.Sprintf("%d faces lie exactly on another one", double.Count)
	double.Hint = "their area would count twice, so the copies are left out"
	out := present(open, many, flipped, flat, double)
	return append(out, shellFaults(m, edges)...)
}

// shellFaults tells of pieces turned inside out and of several pieces.
func shellFaults(m *Mesh, edges []Edge) []Fault {
	of, count := m.Shells()
	volume := make([]float64, count)
	first := make([]int32, count)
	for i := len(m.F) - 1; i >= 0; i-- {
		first[of[i]] = int32(i)
	}
	origin := m.Bounds().Center()
	closed := make([]bool, count)
	for i := range closed {
		closed[i] = true
	}
	for _, e := range edges {
		if e.Uses != 2 || !e.Opposed {
			closed[of[e.Face[0]]] = false
		}
	}
	for i := range m.F {
		a, b, c := m.Tri(i)
		volume[of[i]] += a.Sub(origin).Dot(b.Sub(origin).Cross(c.Sub(origin)))
	}
	inward := Fault{ID: "mesh-inside-out"}
	shells := Fault{ID: "mesh-shells", Note: true}
	for s := range count {
		place := m.FaceCenter(int(first[s]))
		shells.add(place)
		if closed[s] && volume[s] < 0 {
			inward.add(place)
		}
	}
	inward.Message = fmt.Sprintf("%d closed pieces are inside out (or are hollows inside another piece)", inward.Count)
	inward.Hint = "an inside-out piece gets no light; turn its normals, or leave it if it is a hollow"
	shells.Message = fmt.Sprintf("the mesh is %d separate pieces", count)
	shells.Hint = "usual for a figure put together from parts; faces buried inside another piece count as area"
	if count < 2 {
		shells.Count = 0
	}
	return present(inward, shells)
}

func present(faults ...Fault) []Fault {
	var out []Fault
	for _, f := range faults {
		if f.Count > 0 {
			out = append(out, f)
		}
	}
	return out
}
