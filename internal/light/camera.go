package light

import (
	"math"

	"facings/internal/geom"
)

// Camera looks at a figure from an azimuth and an elevation. Azimuth 0 sees the
// front, 90 the figure's right hand, 180 the back, 270 its left.
type Camera struct {
	AzimuthDeg   float64
	ElevationDeg float64
	// FieldDeg is the vertical angle of view; 0 draws in parallel (orthographic)
	// projection. At most 100.
	FieldDeg float64
	// Margin is the share of the picture kept free on each side, 0 to 0.45.
	Margin float64
	// PixelsPerMM, if not 0, fixes the scale instead of fitting the figure in, so
	// that figures side by side keep their sizes; they then stand on the lower
	// margin, and what does not fit is cut off.
	PixelsPerMM float64
	// Close, if not nil, is the part of the picture to come close to.
	Close *Frame
}

// Frame is a part of a picture: its middle, in shares of the picture's width and
// height from its upper left corner, and how many times larger it is to be shown.
type Frame struct{ X, Y, Times float64 }

// FourSides returns the views of front, right, back and left, a little from above.
func FourSides() []Camera { return Turntable(4) }

// Turntable returns n views all around, starting at the front.
func Turntable(n int) []Camera {
	out := make([]Camera, n)
	for i := range out {
		out[i] = Camera{AzimuthDeg: 360 * float64(i) / float64(n), ElevationDeg: 12, Margin: 0.06}
	}
	return out
}

// shot is a camera set up for one picture: it takes points to pixels.
type shot struct {
	right, up, back geom.Vec3 // the camera's axes; back points from the figure to it
	target          geom.Vec3
	distance        float64 // mm from target to eye; +Inf for parallel projection
	scale           float64 // pixels per unit of the image plane through the target
	cx, cy          float64 // where the image plane's origin falls
}

// frame sets up the camera so that all points fit into width × height pixels.
func (c Camera) frame(points []geom.Vec3, width, height int) shot {
	s := shot{distance: math.Inf(1), scale: 1}
	s.back = aim(math.Pi/2-c.AzimuthDeg*math.Pi/180, min(max(c.ElevationDeg, -89.9), 89.9))
	s.right = geom.Vec3{Z: 1}.Cross(s.back).Unit()
	s.up = s.back.Cross(s.right)
	box := geom.EmptyBox()
	for _, p := range points {
		box = box.Add(p)
	}
	s.target = box.Center()
	if c.FieldDeg > 0 {
		half := min(c.FieldDeg, 100) / 2 * math.Pi / 180
		s.distance = max(box.Size().Len()/2, 1e-6) / math.Sin(half)
	}
	flat := geom.EmptyBox()
	for _, p := range points {
		x, y, _ := s.project(p)
		flat = flat.Add(geom.Vec3{X: x, Y: y})
	}
	size, mid := flat.Size(), flat.Center()
	free := 1 - 2*min(max(c.Margin, 0), 0.45)
	s.scale = free * min(float64(width)/max(size.X, 1e-9), float64(height)/max(size.Y, 1e-9))
	s.cx = float64(width)/2 - mid.X*s.scale
	s.cy = float64(height)/2 - mid.Y*s.scale
	if c.PixelsPerMM > 0 {
		s.scale = c.PixelsPerMM
		s.cx = float64(width)/2 - mid.X*s.scale
		s.cy = float64(height)*(1-min(max(c.Margin, 0), 0.45)) - flat.Max.Y*s.scale
	}
	if f := c.Close; f != nil && f.Times > 0 {
		w, h := float64(width), float64(height)
		s.scale *= f.Times
		s.cx = w/2 + f.Times*(s.cx-f.X*w)
		s.cy = h/2 + f.Times*(s.cy-f.Y*h)
	}
	return s
}

// project returns the pixel of p, x to the right and y down, and the inverse of
// its distance along the view (perspective) or a linear depth (parallel): larger
// is nearer in both.
func (s *shot) project(p geom.Vec3) (x, y, near float64) {
	d := p.Sub(s.target)
	x, y, near = d.Dot(s.right), -d.Dot(s.up), d.Dot(s.back)
	if !math.IsInf(s.distance, 1) {
		w := s.distance / max(s.distance-near, 1e-3*s.distance)
		x, y, near = x*w, y*w, w
	}
	return s.cx + x*s.scale, s.cy + y*s.scale, near
}

// toEye returns the unit vector from p to the camera.
func (s *shot) toEye(p geom.Vec3) geom.Vec3 {
	if math.IsInf(s.distance, 1) {
		return s.back
	}
	return s.target.Add(s.back.Mul(s.distance)).Sub(p).Unit()
}

// onLevel returns the point at height z that is seen at a pixel; false if there
// is none before the camera.
func (s *shot) onLevel(x, y, z float64) (geom.Vec3, bool) {
	u, v := (x-s.cx)/s.scale, -(y-s.cy)/s.scale
	from := s.target.Add(s.right.Mul(u)).Add(s.up.Mul(v)) // on the plane through the target
	ahead := s.back
	if !math.IsInf(s.distance, 1) {
		ahead = s.target.Add(s.back.Mul(s.distance)).Sub(from)
	}
	if math.Abs(ahead.Z) < 1e-9 {
		return geom.Vec3{}, false
	}
	t := (z - from.Z) / ahead.Z
	if !math.IsInf(s.distance, 1) && t >= 1 {
		return geom.Vec3{}, false // behind the eye
	}
	return from.Add(ahead.Mul(t)), true
}

// rowOnLevel is, in parallel projection, where the points at height z lie that are
// seen along a row of pixels: at from + x·step. It is false in perspective, and
// where onLevel is.
func (s *shot) rowOnLevel(y, z float64) (from, step geom.Vec3, ok bool) {
	if !math.IsInf(s.distance, 1) {
		return from, step, false
	}
	a, ok := s.onLevel(0, y, z)
	b, _ := s.onLevel(1, y, z)
	return a, b.Sub(a), ok
}
