package geom

import "math"

// Vec3 is a point or a direction; millimetres where it is a point.
type Vec3 struct{ X, Y, Z float64 }

// Add returns a + b.
func (a Vec3) Add(b Vec3) Vec3 { return Vec3{a.X + b.X, a.Y + b.Y, a.Z + b.Z} }

// Sub returns a - b.
func (a Vec3) Sub(b Vec3) Vec3 { return Vec3{a.X - b.X, a.Y - b.Y, a.Z - b.Z} }

// Mul returns a scaled by s.
func (a Vec3) Mul(s float64) Vec3 { return Vec3{a.X * s, a.Y * s, a.Z * s} }

// Neg returns -a.
func (a Vec3) Neg() Vec3 { return Vec3{-a.X, -a.Y, -a.Z} }

// Dot returns the scalar product. The explicit conversions keep the products
// from being fused, so that every machine gets the same bits.
func (a Vec3) Dot(b Vec3) float64 {
	return float64(a.X*b.X) + float64(a.Y*b.Y) + float64(a.Z*b.Z)
}

// Cross returns the vector product.
func (a Vec3) Cross(b Vec3) Vec3 {
	return Vec3{
		float64(a.Y*b.Z) - float64(a.Z*b.Y),
		float64(a.Z*b.X) - float64(a.X*b.Z),
		float64(a.X*b.Y) - float64(a.Y*b.X),
	}
}

// Len returns the length.
func (a Vec3) Len() float64 { return math.Sqrt(a.Dot(a)) }

// Len2 returns the squared length.
func (a Vec3) Len2() float64 { return a.Dot(a) }

// Unit returns a scaled to length 1, or the zero vector for the zero vector.
func (a Vec3) Unit() Vec3 {
	l := a.Len()
	if l == 0 {
		return Vec3{}
	}
	return Vec3{a.X / l, a.Y / l, a.Z / l}
}

// Lerp returns the point the share t of the way from a to b.
func (a Vec3) Lerp(b Vec3, t float64) Vec3 {
	return Vec3{a.X + float64(t*(b.X-a.X)), a.Y + float64(t*(b.Y-a.Y)), a.Z + float64(t*(b.Z-a.Z))}
}

// Min returns the smaller of each coordinate.
func (a Vec3) Min(b Vec3) Vec3 {
	return Vec3{min(a.X, b.X), min(a.Y, b.Y), min(a.Z, b.Z)}
}

// Max returns the larger of each coordinate.
func (a Vec3) Max(b Vec3) Vec3 {
	return Vec3{max(a.X, b.X), max(a.Y, b.Y), max(a.Z, b.Z)}
}

// Finite reports whether no coordinate is NaN or infinite.
func (a Vec3) Finite() bool {
	s := (a.X - a.X) + (a.Y - a.Y) + (a.Z - a.Z)
	return s == 0
}

// Angle returns the angle between a and b in [0, π]; 0 if either is zero.
func (a Vec3) Angle(b Vec3) float64 {
	if a == (Vec3{}) || b == (Vec3{}) {
		return 0
	}
	return math.Atan2(a.Cross(b).Len(), a.Dot(b))
}

// Basis returns two unit vectors u, v so that u, v, n are right-handed and
// orthonormal; n must have length 1.
func (a Vec3) Basis() (u, v Vec3) {
	helper := Vec3{X: 1}
	if math.Abs(a.X) > 0.6 {
		helper = Vec3{Y: 1}
	}
	u = helper.Cross(a).Unit()
	return u, a.Cross(u)
}

// Box is an axis-parallel box. The zero value is the point at the origin; start
// from EmptyBox to collect points.
type Box struct{ Min, Max Vec3 }

// EmptyBox returns a box that holds nothing and grows with Add.
func EmptyBox() Box {
	inf := math.Inf(1)
	return Box{Min: Vec3{inf, inf, inf}, Max: Vec3{-inf, -inf, -inf}}
}

// Add returns the box grown to hold p.
func (b Box) Add(p Vec3) Box { return Box{b.Min.Min(p), b.Max.Max(p)} }

// Empty reports whether the box holds no point.
func (b Box) Empty() bool { return b.Min.X > b.Max.X || b.Min.Y > b.Max.Y || b.Min.Z > b.Max.Z }

// Size returns the lengths of the edges; zero for an empty box.
func (b Box) Size() Vec3 {
	if b.Empty() {
		return Vec3{}
	}
	return b.Max.Sub(b.Min)
}

// Center returns the middle of the box; the origin for an empty box.
func (b Box) Center() Vec3 {
	if b.Empty() {
		return Vec3{}
	}
	return b.Min.Lerp(b.Max, 0.5)
}

// Rigid is a similarity: p ↦ Scale · R p + T, with the rows of R orthonormal.
type Rigid struct {
	R     [3]Vec3
	T     Vec3
	Scale float64
}

// Identity returns the map that changes nothing.
func Identity() Rigid {
	return Rigid{R: [3]Vec3{{X: 1}, {Y: 1}, {Z: 1}}, Scale: 1}
}

// RotateZ returns the turn by angle radians about the Z axis, counter-clockwise
// seen from above.
func RotateZ(angle float64) Rigid {
	s, c := math.Sincos(angle)
	return Rigid{R: [3]Vec3{{X: c, Y: -s}, {X: s, Y: c}, {Z: 1}}, Scale: 1}
}

// Point maps a point.
func (r Rigid) Point(p Vec3) Vec3 { return r.Dir(p).Mul(r.Scale).Add(r.T) }

// Dir turns a direction; neither scale nor shift touch it.
func (r Rigid) Dir(d Vec3) Vec3 { return Vec3{r.R[0].Dot(d), r.R[1].Dot(d), r.R[2].Dot(d)} }

// Then returns the map that applies r first and s after it.
func (r Rigid) Then(s Rigid) Rigid {
	var out Rigid
	cols := r.columns()
	for i := range 3 {
		out.R[i] = Vec3{s.R[i].Dot(cols[0]), s.R[i].Dot(cols[1]), s.R[i].Dot(cols[2])}
	}
	out.Scale = r.Scale * s.Scale
	out.T = s.Point(r.T)
	return out
}

// Inverse returns the map that undoes r; Scale must not be zero.
func (r Rigid) Inverse() Rigid {
	inv := Rigid{R: r.columns(), Scale: 1 / r.Scale}
	inv.T = inv.Dir(r.T).Mul(-inv.Scale)
	return inv
}

func (r Rigid) columns() [3]Vec3 {
	return [3]Vec3{
		{r.R[0].X, r.R[1].X, r.R[2].X},
		{r.R[0].Y, r.R[1].Y, r.R[2].Y},
		{r.R[0].Z, r.R[1].Z, r.R[2].Z},
	}
}
