package geom

import (
	"container/heap"
	"math"
	"runtime"
	"sync"
)

// Surface is a mesh with its neighbourhoods, for picking faces by hand.
type Surface struct {
	m          *Mesh
	neighbours [][3]int32
	start      []int32 // faces around vertex v: around[start[v]:start[v+1]]
	around     []int32
}

// NewSurface prepares a welded mesh.
func NewSurface(m *Mesh) *Surface {
	s := &Surface{m: m, neighbours: m.Neighbours(), start: make([]int32, len(m.V)+2), around: make([]int32, 3*len(m.F))}
	for _, f := range m.F {
		for _, k := range f {
			s.start[k+2]++
		}
	}
	for i := 1; i < len(s.start); i++ {
		s.start[i] += s.start[i-1]
	}
	for i, f := range m.F {
		for _, k := range f {
			s.around[s.start[k+1]] = int32(i)
			s.start[k+1]++
		}
	}
	return s
}

// Grow returns the faces reached from face start without crossing an edge where
// the surface turns by more than maxAngle radians, start first, in the order
// they are reached.
func (s *Surface) Grow(start int, maxAngle float64) []int32 {
	seen := make([]bool, len(s.m.F))
	seen[start] = true
	out := []int32{int32(start)}
	limit := math.Cos(min(max(maxAngle, 0), math.Pi)) - 1e-12
	for i := 0; i < len(out); i++ {
		n := s.m.FaceNormal(int(out[i]))
		for _, next := range s.neighbours[out[i]] {
			if next < 0 || seen[next] {
				continue
			}
			// A face without area has no direction to turn away from.
			o := s.m.FaceNormal(int(next))
			if n == (Vec3{}) || o == (Vec3{}) || n.Dot(o) >= limit {
				seen[next] = true
				out = append(out, next)
			}
		}
	}
	return out
}

// Brush returns the faces whose middle lies within radius (mm) of the point at
// on face start, measured along the surface: a stroke on a sleeve does not jump
// to the coat beside it. Distances are taken over corners and middles of edges,
// so they come out a few per cent long.
func (s *Surface) Brush(start int, at Vec3, radius float64) []int32 {
	b := &brush{m: s.m, best: map[[2]int32]float64{}}
	for _, k := range stops(s.m.F[start]) {
		b.offer(k, at.Sub(b.place(k)).Len(), radius)
	}
	middle := map[int32]float64{int32(start): at.Sub(s.m.FaceCenter(start)).Len()}
	order := []int32{int32(start)}
	for b.queue.Len() > 0 {
		here := heap.Pop(&b.queue).(stop)
		if here.distance > b.best[here.node] {
			continue
		}
		p := b.place(here.node)
		v := here.node[0]
		for _, face := range s.around[s.start[v]:s.start[v+1]] {
			if !touches(s.m.F[face], here.node) {
				continue
			}
			d := here.distance + p.Sub(s.m.FaceCenter(int(face))).Len()
			if old, ok := middle[face]; !ok {
				order = append(order, face)
				middle[face] = d
			} else if d < old {
				middle[face] = d
			}
			for _, k := range stops(s.m.F[face]) {
				b.offer(k, here.distance+b.place(k).Sub(p).Len(), radius)
			}
		}
	}
	out := order[:0]
	for _, face := range order {
		if middle[face] <= radius {
			out = append(out, face)
		}
	}
	return out
}

// brush walks a graph whose nodes are corners {v, v} and edge middles {a, b}.
type brush struct {
	m     *Mesh
	best  map[[2]int32]float64
	queue stopQueue
}

type stop struct {
	node     [2]int32
	distance float64
}

type stopQueue []stop

func (q stopQueue) Len() int { return len(q) }
func (q stopQueue) Less(i, j int) bool {
	a, b := q[i], q[j]
	if a.distance != b.distance {
		return a.distance < b.distance
	}
	return a.node[0] < b.node[0] || a.node[0] == b.node[0] && a.node[1] < b.node[1]
}
func (q stopQueue) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *stopQueue) Push(x any)   { *q = append(*q, x.(stop)) }
func (q *stopQueue) Pop() any {
	old := *q
	x := old[len(old)-1]
	*q = old[:len(old)-1]
	return x
}

func (b *brush) place(n [2]int32) Vec3 { return b.m.V[n[0]].Lerp(b.m.V[n[1]], 0.5) }

func (b *brush) offer(n [2]int32, d, radius float64) {
	if old, ok := b.best[n]; d > radius || ok && d >= old {
		return
	}
	b.best[n] = d
	heap.Push(&b.queue, stop{n, d})
}

func stops(f [3]int32) [6][2]int32 {
	edge := func(a, b int32) [2]int32 { return [2]int32{min(a, b), max(a, b)} }
	return [6][2]int32{{f[0], f[0]}, {f[1], f[1]}, {f[2], f[2]}, edge(f[0], f[1]), edge(f[1], f[2]), edge(f[2], f[0])}
}

func touches(f [3]int32, n [2]int32) bool {
	has := func(v int32) bool { return f[0] == v || f[1] == v || f[2] == v }
	return has(n[0]) && has(n[1])
}

// CopySettings bound how far a label is carried.
type CopySettings struct {
	Reach    float64 // mm in the target; further than that nothing is copied
	MaxAngle float64 // radians between the two faces' normals
	Threads  int
}

// CopyLabels labels the faces of dst from src, which place maps onto dst: each
// takes the label of the nearest labelled face of src that looks the same way.
// It returns how many faces found none; they keep the label they had.
func CopyLabels(dst, src *Mesh, place Rigid, s CopySettings) (missed int) {
	moved := src.Clone()
	moved.Transform(place)
	tree := NewBVH(moved)
	normals := make([]Vec3, len(moved.F))
	for i := range moved.F {
		normals[i] = moved.FaceNormal(i)
	}
	found := make([]int32, len(dst.F))
	limit := math.Cos(s.MaxAngle)
	forChunks(len(dst.F), s.Threads, func(from, to int) {
		for i := from; i < to; i++ {
			n := dst.FaceNormal(i)
			face, _, _ := tree.Nearest(dst.FaceCenter(i), s.Reach, func(k int) bool {
				return moved.FaceLabel(k) != 0 && normals[k].Dot(n) >= limit
			})
			found[i] = int32(face)
		}
	})
	for i, face := range found {
		if face < 0 {
			missed++
			continue
		}
		dst.SetLabel(i, dst.LabelID(src.Labels[src.FaceLabel(int(face))]))
	}
	return missed
}

// forChunks calls work on threads (0: all) equal parts of 0 … n.
func forChunks(n, threads int, work func(from, to int)) {
	if threads <= 0 {
		threads = runtime.GOMAXPROCS(0)
	}
	chunk := max(1, (n+threads-1)/threads)
	var wait sync.WaitGroup
	for from := 0; from < n; from += chunk {
		wait.Add(1)
		go func() {
			defer wait.Done()
			work(from, min(from+chunk, n))
		}()
	}
	wait.Wait()
}
