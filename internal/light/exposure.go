package light

import (
	"runtime"
	"slices"
	"sync"

	"facings/internal/geom"
)

// Exposure is what arrives at each vertex of a mesh.
type Exposure struct {
	// Vertex is the exposure of each vertex, 0 to 1: the share of the spray that
	// arrives, each direction weighted by the cosine to the vertex normal. 1 would
	// be a facet that faces a single source squarely.
	Vertex []float64
	// Up is the exposure of a level, open, upward facet. Vertex divided by Up is
	// 1 where the light undercoat is as full as on a flat, open top.
	Up   float64
	Rays int64   // cast: one for each vertex and each direction on its outer side
	Near float64 // mm; nothing closer than this blocks a ray
	// Blocked has the verdict on each single ray, for whoever wants to check.
	Blocked *geom.Blocked
}

// NearShare times the diagonal of the mesh is the distance within which nothing
// blocks a ray. It is far below what a brush can tell (0.4 µm on a figure of
// 40 mm) and far above rounding.
const NearShare = 1e-5

// Options say how to compute, never what: results do not depend on them.
type Options struct {
	Threads int // 0: as many as the machine has
}

func (o Options) threads() int {
	if o.Threads > 0 {
		return o.Threads
	}
	return runtime.GOMAXPROCS(0)
}

// Expose casts a ray from every vertex towards every source on its outer side
// and adds up what is not blocked. Vertices should be welded; normals are the
// angle-weighted means of the faces around.
func Expose(m *geom.Mesh, sources []Source, opt Options) *Exposure {
	out := &Exposure{Up: Open(sources, geom.Vec3{Z: 1}), Near: m.Bounds().Size().Len() * NearShare}
	normals := m.VertexNormals()
	cast := geom.Parallel{Near: out.Near, Threads: opt.threads()}
	blocked := cast.FromVertices(m, normals, directions(sources))
	out.Rays, out.Blocked = blocked.Rays, blocked
	out.Vertex = gather(normals, sources, blocked, opt.threads())
	return out
}

func directions(sources []Source) []geom.Vec3 {
	out := make([]geom.Vec3, len(sources))
	for i, s := range sources {
		out[i] = s.To
	}
	return out
}

// gather adds weight times cosine over the rays that got through, each vertex in
// the order of the sources, so that the sum is the same however the vertices are
// shared out.
func gather(normals []geom.Vec3, sources []Source, blocked *geom.Blocked, threads int) []float64 {
	out := make([]float64, len(normals))
	chunk := max(1, (len(normals)+threads-1)/threads)
	var wait sync.WaitGroup
	for from := 0; from < len(normals); from += chunk {
		part := out[from:min(from+chunk, len(out))]
		wait.Add(1)
		go func() {
			defer wait.Done()
			for s, src := range sources {
				for i := range part {
					c := normals[from+i].Dot(src.To)
					if c > 0 && !blocked.Hit(s, from+i) {
						part[i] += float64(src.Weight * c)
					}
				}
			}
		}()
	}
	wait.Wait()
	return out
}

// Recess tells how shut in each vertex is: the share, 0 to 1, of the hemisphere
// above it, weighted by the cosine, that something closer than radius (mm)
// blocks. Washes gather where it is high.
func Recess(m *geom.Mesh, radius float64, dirs int, opt Options) []float64 {
	sources := sphereSources(dirs)
	normals := m.VertexNormals()
	near := m.Bounds().Size().Len() * NearShare
	blocked := geom.Parallel{Near: near, Far: radius, Threads: opt.threads()}.FromVertices(m, normals, directions(sources))
	open := gather(normals, sources, blocked, opt.threads())
	for i, n := range normals {
		if all := Open(sources, n); all > 0 {
			open[i] = max(0, 1-open[i]/all)
		}
	}
	return open
}

// Smooth blends the values at a mesh's vertices with the mean of their neighbours'
// whose normals lean no further than 60° away, which evens out what too few rays
// leave uneven: 0.7 of its own and 0.3 of theirs. Of 16 rays for recesses it makes
// as much as of 20, measured against 1500.
func Smooth(m *geom.Mesh, normals []geom.Vec3, values []float64) []float64 {
	const own, least = 0.7, 0.5
	sum, count := make([]float64, len(values)), make([]float64, len(values))
	for _, f := range m.F {
		for k, a := range f {
			if b := f[(k+1)%3]; normals[a].Dot(normals[b]) > least {
				sum[a] += values[b]
				count[a]++
			}
		}
	}
	out := slices.Clone(values)
	for i, n := range count {
		if n > 0 {
			out[i] = float64(own*values[i]) + float64((1-own)*sum[i]/n)
		}
	}
	return out
}

// sphereSources spreads n directions evenly over the whole sphere (a Fibonacci
// lattice), all of the same weight.
func sphereSources(n int) []Source {
	out := make([]Source, max(1, min(n, MaxDirections)))
	const golden = 2.399963229728653 // π(3-√5)
	for i := range out {
		z := 1 - 2*(float64(i)+0.5)/float64(len(out))
		out[i] = Source{aimZ(golden*float64(i), z), 1 / float64(len(out))}
	}
	return out
}
