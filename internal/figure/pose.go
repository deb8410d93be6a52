package figure

import "math"

// Lengths of a man of 1.70 m at 1/56, in mm. Heads, hands and feet are a little
// large, as on castings: the height is about seven heads.
const (
	manHeight = 30.4
	hipHeight = 15.45 // middle of the pelvis over the ground
	upperArm  = 5.1
	foreArm   = 4.3
	handReach = 1.35 // wrist to the middle of the grip
	thighLen  = 7.5
	shinLen   = 7.1
	ankleHigh = 1.35
)

// side is +1 for the right hand or leg, −1 for the left.
type side float64

const (
	right side = 1
	left  side = -1
)

var sides = [2]side{right, left}

func (s side) index() int {
	if s == right {
		return 0
	}
	return 1
}

// grip says where a hand closes and how.
type grip struct {
	at   vec // middle of what is gripped
	axis vec // along what is gripped, to the thumb's side
}

// stance is a man's pose, all in the frame he stands in. Index 0 is the right
// side.
type stance struct {
	hip                         vec
	turn                        float64 // pelvis, degrees to the left
	lean, sway, twist           float64 // chest against pelvis, degrees: forward, to the right, to the left
	headTurn, headNod, headTilt float64
	hand                        [2]grip
	elbow                       [2]vec // where the elbow points
	ankle                       [2]vec
	toe                         [2]float64 // degrees outward
	pitch                       [2]float64 // degrees toe down
	knee                        [2]vec     // where the knee points
}

// body holds the frames and joints that dress and arms are hung on.
type body struct {
	root, pelvis, chest, head frame
	shoulder, elbow, wrist    [2]vec
	hand                      [2]frame // z along the grip, y from wrist to knuckles
	hip, knee, ankle          [2]vec
	foot                      [2]frame // y to the toe, origin at the ankle
}

// bend returns the middle joint of two bones from a to b, bent towards pole; b
// is drawn in when it is out of reach.
func bend(a, b, pole vec, l1, l2 float64) (mid, end vec) {
	d := b.Sub(a)
	l := d.Len()
	u := d.Unit()
	if most := 0.995 * (l1 + l2); l > most {
		l = most
		b = a.Add(u.Mul(l))
	}
	x := (float64(l*l) + float64(l1*l1) - float64(l2*l2)) / (2 * l)
	h := math.Sqrt(max(float64(l1*l1)-float64(x*x), 0))
	side := pole.Sub(u.Mul(pole.Dot(u))).Unit()
	return a.Add(u.Mul(x)).Add(side.Mul(h)), b
}

// build works out all joints of the stance.
func (st *stance) build(root frame) *body {
	b := &body{root: root}
	h := st.hip
	b.pelvis = root.move(h.X, h.Y, h.Z).turnZ(st.turn)
	waist := b.pelvis.move(0, 0, 2.4).turnZ(st.twist).turnX(-st.lean).turnY(st.sway)
	b.chest = waist.move(0, 0, 3.6) // origin mid-chest, 21.6 over the ground
	neck := b.chest.move(0, -0.1, 4.1).turnX(st.lean * 0.6).turnY(-st.sway * 0.7)
	b.head = neck.turnZ(st.headTurn).turnX(-st.headNod).turnY(st.headTilt).move(0, 0.35, 2.05)
	for i, s := range sides {
		b.shoulder[i] = b.chest.at(float64(s)*3.2, -0.15, 2.6)
		b.arm(i, st)
		b.hip[i] = b.pelvis.at(float64(s)*1.4, 0, 0.1)
		ankle := root.at(st.ankle[i].X, st.ankle[i].Y, st.ankle[i].Z)
		pole := root.dir(st.knee[i].X, st.knee[i].Y, st.knee[i].Z)
		b.knee[i], b.ankle[i] = bend(b.hip[i], ankle, pole, thighLen, shinLen)
		f := root
		f.o = b.ankle[i]
		b.foot[i] = f.turnZ(-float64(s) * st.toe[i]).turnX(-st.pitch[i])
	}
	return b
}

func (b *body) arm(i int, st *stance) {
	g := st.hand[i]
	at := b.root.at(g.at.X, g.at.Y, g.at.Z)
	axis := b.root.dir(g.axis.X, g.axis.Y, g.axis.Z).Unit()
	pole := b.root.dir(st.elbow[i].X, st.elbow[i].Y, st.elbow[i].Z)
	reach := at.Sub(b.shoulder[i]).Unit()
	for range 4 {
		reach = reach.Sub(axis.Mul(0.85 * reach.Dot(axis))).Unit()
		wrist := at.Sub(reach.Mul(handReach))
		b.elbow[i], b.wrist[i] = bend(b.shoulder[i], wrist, pole, upperArm, foreArm)
		reach = at.Sub(b.elbow[i]).Unit()
	}
	y := at.Sub(b.wrist[i]).Unit()
	x := y.Cross(axis).Unit()
	b.hand[i] = frame{b.wrist[i].Add(y.Mul(handReach)), x, y, x.Cross(y)}
}

// held is the frame of what a hand holds: z along the grip as the stance wants
// it, y away from the wrist.
func (b *body) held(i int, st *stance) frame {
	a := st.hand[i].axis
	o := b.hand[i].o
	return along(o, o.Add(b.root.dir(a.X, a.Y, a.Z)), b.hand[i].y)
}
