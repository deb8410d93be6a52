package figure

// arena is memory for what pruning makes, taken in large pieces: there are hundreds
// of thousands of small ones, and all go when the casting is built. It is for one
// goroutine.
type arena struct {
	blends []blend
	nodes  []node
	dists  []float64
	cuts   []cut
	parts  []part
	scenes []scene
	bricks []brickOf
	cross  []crossing
	verts  []vec
}

// arenaPiece is how many things are taken at once.
const arenaPiece = 256

// take cuts n things off the front of a piece, a new one if it is too short.
func take[T any](piece *[]T, n int) []T {
	if len(*piece) < n {
		*piece = make([]T, max(n, arenaPiece))
	}
	out := (*piece)[:n:n]
	*piece = (*piece)[n:]
	return out
}

// kept is a copy of things, in memory cut off a piece.
func kept[T any](piece *[]T, things []T) []T {
	out := take(piece, len(things))
	copy(out, things)
	return out
}

// blend keeps a blend of copies of nodes and of their distances from c.
func (m *arena) blend(k float64, nodes []node, c vec, from []float64) *blend {
	b := &take(&m.blends, 1)[0]
	*b = blend{k, kept(&m.nodes, nodes), c, kept(&m.dists, from)}
	return b
}

func (m *arena) cut(k float64, a, b node) *cut {
	c := &take(&m.cuts, 1)[0]
	*c = cut{k, a, b}
	return c
}

// room is an empty slice for up to n parts, to be filled before any other is asked
// for and kept by scene.
func (m *arena) room(n int) []part {
	if len(m.parts) < n {
		m.parts = make([]part, max(n, arenaPiece))
	}
	return m.parts[:0]
}

// scene keeps a scene of parts, which were put where room told.
func (m *arena) scene(s scene, parts []part) *scene {
	out := &take(&m.scenes, 1)[0]
	*out = s
	out.parts = take(&m.parts, len(parts))
	return out
}
