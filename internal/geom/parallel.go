package geom

import (
	"math"
	"math/bits"
	"sync"
	"sync/atomic"
)

// Parallel casts, for each direction, one ray from every point, all rays of a
// direction being parallel. That turns the question "is this ray blocked?" into
// a flat one: seen along the direction, which points lie under which triangle?
// Points go into a grid in that plane, triangles are drawn over the grid, and
// the exact test is made for the few points under each. No hierarchy is needed
// and the answer is that of testing every ray against every triangle.
//
// A ray of direction d from point p is blocked by a triangle when the triangle,
// seen along d, covers p (its rim included), and lies more than Near and less
// than Far ahead of p, in mm along d. Triangles seen exactly edge-on block
// nothing. The rim test gives both neighbours of an edge the same verdict, so no
// ray slips through between them.
//
// Ref: woop2013.
type Parallel struct {
	Near, Far float64 // mm along the ray; Far 0 means without end
	Threads   int     // workers; the answer does not depend on it
}

// Blocked says which rays were cast and which were blocked. Directions number as
// given; points too.
type Blocked struct {
	Rays    int64
	rank    []int32 // point to its place in the bit sets
	cast    [][]uint64
	blocked [][]uint64
}

// Cast reports whether a ray went from the point in the direction.
func (b *Blocked) Cast(dir, point int) bool { return bit(b.cast[dir], b.rank[point]) }

// Hit reports whether that ray was blocked.
func (b *Blocked) Hit(dir, point int) bool { return bit(b.blocked[dir], b.rank[point]) }

func bit(set []uint64, i int32) bool { return set[i>>6]>>(i&63)&1 != 0 }

// FromVertices casts rays from the vertices of m, each only into directions on
// the outer side of its normal. Directions are unit vectors pointing to where
// the rays go. Normals are as many as vertices; a zero normal casts no ray.
func (p Parallel) FromVertices(m *Mesh, normals, directions []Vec3) *Blocked {
	return p.From(NewCaster(m, normals), directions)
}

// Caster is a mesh made ready for rays from its vertices, for whoever casts more
// than once. Casting does not change it.
type Caster struct {
	scene *scene
	solid bool
}

// NewCaster makes a mesh with a normal for each vertex ready.
func NewCaster(m *Mesh, normals []Vec3) *Caster {
	return &Caster{newScene(m, normals), m.Solid()}
}

// Solid is whether the mesh encloses a volume, as Mesh.Solid says.
func (c *Caster) Solid() bool { return c.solid }

// From is FromVertices for a mesh made ready before.
func (p Parallel) From(c *Caster, directions []Vec3) *Blocked {
	s := *c.scene
	out := &Blocked{rank: s.rank, cast: make([][]uint64, len(directions)), blocked: make([][]uint64, len(directions))}
	far := p.Far
	if far <= 0 {
		far = math.Inf(1)
		// A ray without end that meets a solid leaves it again: the faces it would
		// leave by tell as much as all of them.
		s.leaving = c.solid
	}
	var next, rays atomic.Int64
	var wait sync.WaitGroup
	for range max(1, min(p.Threads, len(directions))) {
		wait.Add(1)
		go func() {
			defer wait.Done()
			v := newView(&s, p.Near, far)
			for {
				i := int(next.Add(1)) - 1
				if i >= len(directions) {
					return
				}
				out.cast[i], out.blocked[i] = v.look(directions[i])
				rays.Add(int64(v.count))
			}
		}()
	}
	wait.Wait()
	out.Rays = rays.Load()
	return out
}

// scene is the mesh with faces and vertices renumbered along a space-filling
// curve, so that what is near in space is near in memory.
type scene struct {
	v, n   []Vec3
	f      [][3]int32
	rank   []int32 // old vertex number to new
	groups []sphere
	// leaving is whether only faces that look along a ray count.
	leaving bool
}

// sphere holds the groupSize faces from a multiple of groupSize on.
type sphere struct {
	center Vec3
	radius float64
}

const groupSize = 32

func newScene(m *Mesh, normals []Vec3) *scene {
	s := &scene{v: make([]Vec3, 0, len(m.V)), n: make([]Vec3, 0, len(m.V)),
		f: make([][3]int32, len(m.F)), rank: make([]int32, len(m.V))}
	for i := range s.rank {
		s.rank[i] = -1
	}
	place := func(k int32) int32 {
		if s.rank[k] < 0 {
			s.rank[k] = int32(len(s.v))
			s.v = append(s.v, m.V[k])
			s.n = append(s.n, normals[k])
		}
		return s.rank[k]
	}
	for i, k := range mortonOrder(m) {
		f := m.F[k]
		s.f[i] = [3]int32{place(f[0]), place(f[1]), place(f[2])}
	}
	for i := range m.V {
		place(int32(i)) // vertices without a face come last
	}
	for from := 0; from < len(s.f); from += groupSize {
		s.groups = append(s.groups, s.around(s.f[from:min(from+groupSize, len(s.f))]))
	}
	return s
}

// around returns a sphere about the faces, a little too large so that rounding
// cannot make it too small.
func (s *scene) around(faces [][3]int32) sphere {
	b := EmptyBox()
	for _, f := range faces {
		b = b.Add(s.v[f[0]]).Add(s.v[f[1]]).Add(s.v[f[2]])
	}
	out := sphere{center: b.Center()}
	for _, f := range faces {
		for _, k := range f {
			out.radius = max(out.radius, s.v[k].Sub(out.center).Len2())
		}
	}
	out.radius = math.Sqrt(out.radius)*(1+1e-9) + 1e-12*out.center.Len()
	return out
}

// mortonOrder returns the face numbers along the Morton curve of their middles.
func mortonOrder(m *Mesh) []int32 {
	b := m.Bounds()
	size := b.Size()
	scale := 1023 / max(size.X, size.Y, size.Z, math.SmallestNonzeroFloat64)
	key := make([]uint32, len(m.F))
	for i := range m.F {
		c := m.FaceCenter(i).Sub(b.Min)
		key[i] = spread3(uint32(c.X*scale)) | spread3(uint32(c.Y*scale))<<1 | spread3(uint32(c.Z*scale))<<2
	}
	order := make([]int32, len(m.F))
	for i := range order {
		order[i] = int32(i)
	}
	return radixSort(key, order)
}

// spread3 puts two zero bits between the low ten bits of x.
func spread3(x uint32) uint32 {
	x &= 0x3ff
	x = (x | x<<16) & 0x030000ff
	x = (x | x<<8) & 0x0300f00f
	x = (x | x<<4) & 0x030c30c3
	x = (x | x<<2) & 0x09249249
	return x
}

// radixSort returns order sorted by key[order[i]], keeping the order of equals.
func radixSort(key []uint32, order []int32) []int32 {
	other := make([]int32, len(order))
	for shift := 0; shift < 30; shift += 10 {
		var start [1025]int32
		for _, k := range order {
			start[key[k]>>shift&1023+1]++
		}
		for i := range 1024 {
			start[i+1] += start[i]
		}
		for _, k := range order {
			d := key[k] >> shift & 1023
			other[start[d]] = k
			start[d]++
		}
		order, other = other, order
	}
	return order
}

// Hits returns how many rays were blocked.
func (b *Blocked) Hits() int64 {
	n := 0
	for _, set := range b.blocked {
		for _, w := range set {
			n += bits.OnesCount64(w)
		}
	}
	return int64(n)
}
