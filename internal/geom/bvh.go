package geom

import (
	"math"
	"sync"
)

// BVH is a hierarchy of boxes over the faces of a mesh, for single rays and
// nearest points. It holds on to the mesh's slices and must be built again when
// they change. All methods may be called from several goroutines at once.
//
// For one ray from every vertex into each of many directions, Parallel is much
// faster and gives the same verdicts.
//
// Ref: wald2007.
type BVH struct {
	v     []Vec3
	f     [][3]int32
	nodes []bvhNode
	faces []int32 // face numbers, leaf by leaf
}

// bvhNode is an inner node when count is 0: its children are first and second.
// Else it is a leaf of the faces from first on. Boxes are rounded outwards.
type bvhNode struct {
	min, max [3]float32
	first    int32
	second   int32
	count    int32
	axis     int32 // along which the children were parted
}

const (
	bvhBins     = 16
	bvhLeaf     = 4
	bvhParallel = 4096 // subtrees smaller than this are built by one worker
	maxBVHDepth = 64
)

type bvhItem struct {
	box    Box
	center Vec3
	face   int32
}

// NewBVH builds the hierarchy, on two cores where there are two; the result does
// not depend on that.
func NewBVH(m *Mesh) *BVH {
	items := make([]bvhItem, len(m.F))
	for i := range m.F {
		a, b, c := m.Tri(i)
		box := Box{a.Min(b).Min(c), a.Max(b).Max(c)}
		items[i] = bvhItem{box, box.Center(), int32(i)}
	}
	out := &BVH{v: m.V, f: m.F, faces: make([]int32, len(m.F))}
	if len(items) > 0 {
		out.nodes = buildBVH(items, 0, 0, out.faces)
	}
	return out
}

// buildBVH returns the subtree over items, its root first, child numbers counted
// from there; faces receives their numbers, starting at offset.
func buildBVH(items []bvhItem, offset, depth int, faces []int32) []bvhNode {
	box, centers := EmptyBox(), EmptyBox()
	for i := range items {
		box = Box{box.Min.Min(items[i].box.Min), box.Max.Max(items[i].box.Max)}
		centers = centers.Add(items[i].center)
	}
	node := bvhNode{min: roundDown(box.Min), max: roundUp(box.Max)}
	mid, axis := 0, 0
	if len(items) > bvhLeaf && depth < maxBVHDepth {
		mid, axis = splitBVH(items, box, centers)
	}
	if mid == 0 {
		node.first, node.count = int32(offset), int32(len(items))
		for i := range items {
			faces[offset+i] = items[i].face
		}
		return []bvhNode{node}
	}
	var left, right []bvhNode
	if len(items) >= bvhParallel {
		var wait sync.WaitGroup
		wait.Add(1)
		go func() {
			defer wait.Done()
			left = buildBVH(items[:mid], offset, depth+1, faces)
		}()
		right = buildBVH(items[mid:], offset+mid, depth+1, faces)
		wait.Wait()
	} else {
		left = buildBVH(items[:mid], offset, depth+1, faces)
		right = buildBVH(items[mid:], offset+mid, depth+1, faces)
	}
	node.axis = int32(axis)
	node.first, node.second = 1, int32(1+len(left))
	out := make([]bvhNode, 0, 1+len(left)+len(right))
	out = append(out, node)
	out = appendShifted(out, left, 1)
	return appendShifted(out, right, node.second)
}

func appendShifted(out, sub []bvhNode, by int32) []bvhNode {
	for _, n := range sub {
		if n.count == 0 {
			n.first += by
			n.second += by
		}
		out = append(out, n)
	}
	return out
}

// splitBVH reorders items into two parts by the cheapest of 16 planes on each
// axis and returns where the second part starts, 0 for "better a leaf".
func splitBVH(items []bvhItem, box, centers Box) (mid, axis int) {
	size := centers.Size()
	best := float64(len(items)) * area(box)
	plane := 0
	axis = -1
	for k := range 3 {
		if extent := along(size, k); extent > 0 {
			if cost, at := cheapestPlane(items, along(centers.Min, k), bvhBins/extent, k); cost < best || axis < 0 && len(items) > 4*bvhLeaf {
				best, plane, axis = cost, at, k
			}
		}
	}
	if axis < 0 {
		if len(items) <= 4*bvhLeaf || size == (Vec3{}) && len(items) <= 64 {
			return 0, 0
		}
		return len(items) / 2, 0 // all in one place
	}
	lo, scale := along(centers.Min, axis), bvhBins/along(size, axis)
	i, j := 0, len(items)
	for i < j {
		if binOf(along(items[i].center, axis), lo, scale) < plane {
			i++
		} else {
			j--
			items[i], items[j] = items[j], items[i]
		}
	}
	if i == 0 || i == len(items) {
		return len(items) / 2, axis
	}
	return i, axis
}

func cheapestPlane(items []bvhItem, lo, scale float64, axis int) (cost float64, plane int) {
	var boxes [bvhBins]Box
	var counts [bvhBins]int
	for b := range boxes {
		boxes[b] = EmptyBox()
	}
	for i := range items {
		b := binOf(along(items[i].center, axis), lo, scale)
		boxes[b] = Box{boxes[b].Min.Min(items[i].box.Min), boxes[b].Max.Max(items[i].box.Max)}
		counts[b]++
	}
	var right [bvhBins]float64
	box, n := EmptyBox(), 0
	for b := bvhBins - 1; b > 0; b-- {
		box = Box{box.Min.Min(boxes[b].Min), box.Max.Max(boxes[b].Max)}
		n += counts[b]
		right[b] = float64(n) * area(box)
	}
	cost = math.Inf(1)
	box, n = EmptyBox(), 0
	for b := range bvhBins - 1 {
		box = Box{box.Min.Min(boxes[b].Min), box.Max.Max(boxes[b].Max)}
		n += counts[b]
		if c := float64(n)*area(box) + right[b+1]; c < cost && n > 0 && n < len(items) {
			cost, plane = c, b+1
		}
	}
	return cost, plane
}

func binOf(x, lo, scale float64) int { return max(0, min(bvhBins-1, int((x-lo)*scale))) }

// area is half the surface of the box, 0 for an empty one.
func area(b Box) float64 {
	s := b.Size()
	return s.X*s.Y + s.Y*s.Z + s.Z*s.X
}

func along(v Vec3, axis int) float64 {
	switch axis {
	case 0:
		return v.X
	case 1:
		return v.Y
	}
	return v.Z
}

// roundDown and roundUp go two steps of a float32 outwards, more than all the
// rounding of the box test together.
func roundDown(v Vec3) [3]float32 {
	var out [3]float32
	for k := range 3 {
		x := float32(along(v, k))
		out[k] = x - float32(math.Abs(float64(x)))*0x1p-22 - 1e-30
	}
	return out
}

func roundUp(v Vec3) [3]float32 {
	n := roundDown(v.Neg())
	return [3]float32{-n[0], -n[1], -n[2]}
}
