package figure

import (
	"math"

	"facings/internal/geom"
)

// Pole is the staff that a standard-bearer holds, in mm at 28 mm size.
type Pole struct {
	Foot, Top geom.Vec3 // its ends, the finial not counted
	Radius    float64
	Fly       geom.Vec3 // unit: the way a cloth streams, across the pole
}

// FlagPole is the staff of the casting that spec describes; false if it holds
// none.
func FlagPole(spec Spec) (Pole, bool, error) {
	if spec.Pose != Standard { // told without putting it together
		return Pole{}, false, nil
	}
	s, err := assemble(spec)
	if err != nil || s.staff == nil {
		return Pole{}, false, err
	}
	return *s.staff, true, nil
}

// Cloth is a flag cut out of one strip, reverse, sleeve and obverse side by
// side, and folded round a pole; in mm at 28 mm size.
type Cloth struct {
	Fly, Hoist float64 // of one face
	Sleeve     float64 // between the faces
	// Reach is how far a face reaches from the sleeve at y mm from its top; nil
	// for Fly all the way down.
	Reach func(y float64) float64
}

const (
	clothRows    = 40   // even, so that one row runs through a swallow-tail's notch
	clothColumns = 60   // of each face
	sleeveSteps  = 10   // round the pole
	clothHalf    = 0.11 // half as thick as two papers glued together
	belowFinial  = 1.2  // from the pole's top to the cloth's
)

// edge is how far the cloth reaches at y.
func (c *Cloth) edge(y float64) float64 {
	if c.Reach == nil {
		return c.Fly
	}
	return min(max(c.Reach(y), 0.02), c.Fly)
}

// heading is the angle at which the cloth runs s mm from the pole and y from
// the top, against the way it streams: none at the pole, in waves further out.
// A turning instead of a swing to and fro keeps the cloth's length.
func (c *Cloth) heading(s, y float64) float64 {
	waves := min(max(c.Fly/13, 0.9), 2.4)
	t := s / c.Fly
	return 0.75 * min(1, 3*t) * math.Cos(2*math.Pi*waves*t+0.9*y/c.Hoist+0.4)
}

// middle gives the cloth's middle line at y in steps of 1/n of its reach: out
// along the obverse's normal, and away from the pole.
func (c *Cloth) middle(y float64, n int) (line [][2]float64, angle []float64) {
	var x, f float64
	d := c.edge(y) / float64(n)
	for i := range n + 1 {
		a := c.heading(d*float64(i), y)
		line, angle = append(line, [2]float64{x, f}), append(angle, a)
		sin, cos := math.Sincos(c.heading(d*(float64(i)+0.5), y))
		x, f = x+d*sin, f+d*cos
	}
	return line, angle
}

// sag is how far the cloth hangs down s mm from the pole.
func (c *Cloth) sag(s float64) float64 { return 0.05 * s * s / c.Fly }

// Flying makes the mesh of a cloth that streams from a pole: closed, every face
// labelled "flag". The second result places each vertex on the strip as it lies
// flat and printed side up: across from the reverse's fly edge to the obverse's,
// and down from the top, both from 0 to 1.
func (p Pole) Flying(c Cloth) (*geom.Mesh, [][2]float64) {
	w := &weaver{pole: p, c: c, mesh: &geom.Mesh{}}
	w.up = p.Top.Sub(p.Foot).Unit()
	w.fly = p.Fly.Sub(w.up.Mul(w.up.Dot(p.Fly))).Unit()
	w.out = w.fly.Cross(w.up) // the obverse's normal: pole at the left, fly to the right
	var rows [][]int32
	for i := range clothRows + 1 {
		rows = append(rows, w.row(c.Hoist*float64(i)/clothRows))
	}
	for i := range clothRows {
		for j := range len(rows[i]) - 1 {
			w.quad(rows[i][j], rows[i+1][j], rows[i+1][j+1], rows[i][j+1])
		}
	}
	w.rims(rows)
	id := w.mesh.LabelID("flag")
	for i := range w.mesh.F {
		w.mesh.SetLabel(i, id)
	}
	return w.mesh, w.uv
}

// weaver gathers a cloth's vertices.
type weaver struct {
	pole         Pole
	c            Cloth
	mesh         *geom.Mesh
	uv           [][2]float64
	up, fly, out geom.Vec3
}

func (w *weaver) add(x, f, down float64, uv [2]float64) int32 {
	top := w.pole.Top.Sub(w.up.Mul(belowFinial + down))
	w.mesh.V = append(w.mesh.V, top.Add(w.out.Mul(x)).Add(w.fly.Mul(f)))
	w.uv = append(w.uv, uv)
	return int32(len(w.mesh.V) - 1)
}

func (w *weaver) quad(a, b, c, d int32) {
	w.mesh.F = append(w.mesh.F, [3]int32{a, b, c}, [3]int32{a, c, d})
}

// row is the strip y mm from the top, as it is seen from outside from left to
// right: the reverse from its fly edge to the pole, round the pole, the obverse.
func (w *weaver) row(y float64) []int32 {
	c := &w.c
	line, angle := c.middle(y, clothColumns)
	whole := 2*c.Fly + c.Sleeve
	wide := w.pole.Radius + 0.12 // of the sleeve
	var out []int32
	face := func(i int, side float64) {
		s := c.edge(y) * float64(i) / clothColumns
		near := max(0, 1-s/(2.5*wide)) // the faces close up beyond the pole
		gap := clothHalf + (wide-clothHalf)*near*near*(3-2*near)
		sin, cos := math.Sincos(angle[i])
		u := (c.Fly + (1+side)/2*c.Sleeve + side*s) / whole
		out = append(out, w.add(line[i][0]+side*gap*cos, line[i][1]-side*gap*sin, y+c.sag(s), [2]float64{u, y / c.Hoist}))
	}
	for i := clothColumns; i > 0; i-- {
		face(i, -1)
	}
	for k := range sleeveSteps + 1 {
		t := float64(k) / sleeveSteps
		sin, cos := math.Sincos(math.Pi * t)
		out = append(out, w.add(-wide*cos, -wide*sin, y, [2]float64{(c.Fly + t*c.Sleeve) / whole, y / c.Hoist}))
	}
	for i := 1; i <= clothColumns; i++ {
		face(i, 1)
	}
	return out
}

// rims closes the cloth along its edges, with corners of its own so that they
// stay sharp and show the colour of the obverse's edge.
func (w *weaver) rims(rows [][]int32) {
	n := len(rows[0])
	again := func(v int32, uv [2]float64) int32 {
		w.mesh.V, w.uv = append(w.mesh.V, w.mesh.V[v]), append(w.uv, uv)
		return int32(len(w.mesh.V) - 1)
	}
	for i := range clothRows { // the fly edge
		a, b := rows[i][n-1], rows[i+1][n-1]
		w.quad(again(a, w.uv[a]), again(b, w.uv[b]), again(rows[i+1][0], w.uv[b]), again(rows[i][0], w.uv[a]))
	}
	for j := range (n - 1) / 2 { // top and foot, the strip's halves against each other
		for _, end := range []int{0, clothRows} {
			a, b := rows[end][n-1-j], rows[end][n-2-j]
			c, d := rows[end][j+1], rows[end][j]
			ids := [4]int32{again(a, w.uv[a]), again(b, w.uv[b]), again(c, w.uv[b]), again(d, w.uv[a])}
			if end == 0 {
				ids[0], ids[1], ids[2], ids[3] = ids[3], ids[2], ids[1], ids[0]
			}
			w.quad(ids[0], ids[1], ids[2], ids[3])
		}
	}
}

// Stream turns the way a cloth streams about the pole until it runs clear of a
// figure; the way with most room if none is free.
func (p Pole) Stream(c Cloth, figure *geom.Mesh) Pole {
	const clear = 1.3 // mm
	tree := geom.NewBVH(figure)
	axis := p.Top.Sub(p.Foot).Unit()
	solid := func(face int) bool {
		label := figure.Labels[figure.FaceLabel(face)]
		return label != "flag pole" && label != "finial"
	}
	best, most := p, -1.0
	for _, deg := range []float64{0, 15, -15, 30, -30, 45, -45, 60, -60, 75, -75, 90, -90, 110, -110, 130, -130} {
		q := p
		q.Fly = turnAbout(p.Fly, axis, deg)
		room := clear
		for i := 0; i <= 10 && room > most; i++ {
			y := c.Hoist * float64(i) / 10
			line, _ := c.middle(y, 20)
			for k, at := range line {
				if s := c.edge(y) * float64(k) / 20; s > 3 {
					place := p.Top.Sub(axis.Mul(belowFinial + y + c.sag(s))).Add(q.Fly.Cross(axis).Mul(at[0])).Add(q.Fly.Mul(at[1]))
					if face, _, d := tree.Nearest(place, clear, solid); face >= 0 {
						room = min(room, d)
					}
				}
			}
		}
		if room > most {
			best, most = q, room
		}
		if room >= clear {
			break
		}
	}
	return best
}

// turnAbout turns v about a unit axis, degrees counter-clockwise seen from its
// tip (Rodrigues' formula).
func turnAbout(v, axis geom.Vec3, deg float64) geom.Vec3 {
	sin, cos := math.Sincos(deg * math.Pi / 180)
	return v.Mul(cos).Add(axis.Cross(v).Mul(sin)).Add(axis.Mul(axis.Dot(v) * (1 - cos)))
}
