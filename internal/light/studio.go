package light

import (
	"math"

	"facings/internal/colour"
	"facings/internal/geom"
)

// Studio is the light a figure stands in: a soft key light, placed relative to
// the camera, and a sky all around. Radiances are such that a white, matt, open
// facet in a sky of 1 shows as 1.
type Studio struct {
	KeyAzimuthDeg   float64 // to the right of the camera
	KeyElevationDeg float64
	KeyRadiusDeg    float64 // half the angle the lamp fills; softens its shadow
	Key             colour.Linear
	Zenith          colour.Linear
	Horizon         colour.Linear
	Ground          colour.Linear
	KeyDirections   int // rays towards the lamp from each vertex
	SkyDirections   int // rays into the sky from each vertex
}

// Bench is the usual studio: key from the upper left, bright horizon, dark
// ground, so that metal shows a bright and a dark side. A white figure comes out
// a little below white where the key meets it.
func Bench() Studio {
	grey := func(v float64) colour.Linear { return colour.Linear{R: v, G: v, B: v} }
	return Studio{KeyAzimuthDeg: -38, KeyElevationDeg: 48, KeyRadiusDeg: 9, Key: grey(0.52),
		Zenith: grey(0.5), Horizon: grey(0.78), Ground: grey(0.16), KeyDirections: 16, SkyDirections: 64}
}

// Furnace is a uniform light of 1 from everywhere: what is white then shows as 1.
func Furnace() Studio {
	w := colour.Linear{R: 1, G: 1, B: 1}
	return Studio{Zenith: w, Horizon: w, Ground: w, SkyDirections: 64, KeyDirections: 1}
}

// radiance is the sky seen in direction d, blurred over a width of blur (0 to 1,
// in height).
func (s *Studio) radiance(d geom.Vec3, blur float64) colour.Linear {
	w := 0.04 + blur
	t := min(max((d.Z+w)/(2*w), 0), 1)
	t = t * t * (3 - 2*t)
	up := min(max(d.Z, 0), 1)
	return mixRGB(s.Ground, mixRGB(s.Horizon, s.Zenith, up), t)
}

// keyDir is the direction to the middle of the lamp for a camera at azimuth az.
func (s *Studio) keyDir(cameraAzimuthDeg float64) geom.Vec3 {
	return aim(math.Pi/2-(cameraAzimuthDeg-s.KeyAzimuthDeg)*math.Pi/180, s.KeyElevationDeg)
}

// lampDirections spreads n directions over the lamp's disc (a sunflower).
func (s *Studio) lampDirections(middle geom.Vec3) []geom.Vec3 {
	n := max(1, min(s.KeyDirections, MaxDirections))
	u, v := middle.Basis()
	radius := math.Tan(min(s.KeyRadiusDeg, 60) * math.Pi / 180)
	out := make([]geom.Vec3, n)
	for i := range out {
		r := radius * math.Sqrt((float64(i)+0.5)/float64(n))
		sin, cos := math.Sincos(2.399963229728653 * float64(i))
		out[i] = middle.Add(u.Mul(r * cos)).Add(v.Mul(r * sin)).Unit()
	}
	return out
}

// lit is the light at each vertex of a mesh, with what blocks it taken off.
type lit struct {
	sky  []colour.Linear // mean radiance over the hemisphere: irradiance / π
	open []float64       // share of the hemisphere that is open
	lamp []float64       // share of the lamp that can be seen
}

// skyAt casts rays into the sky from every vertex.
func (s *Studio) skyAt(c *geom.Caster, normals []geom.Vec3, near float64, threads int) lit {
	sources := sphereSources(max(s.SkyDirections, 8))
	dirs := directions(sources)
	radiance := make([]colour.Linear, len(dirs))
	for i, d := range dirs {
		radiance[i] = s.radiance(d, 0)
	}
	blocked := geom.Parallel{Near: near, Threads: threads}.From(c, dirs)
	out := lit{sky: make([]colour.Linear, len(normals)), open: make([]float64, len(normals))}
	for i, n := range normals {
		all, through := 0.0, 0.0
		var sum colour.Linear
		for d, dir := range dirs {
			if c := n.Dot(dir); c > 0 {
				all += c
				if !blocked.Hit(d, i) {
					through += c
					sum = addRGB(sum, scaleRGB(radiance[d], c))
				}
			}
		}
		if all > 0 {
			out.open[i] = through / all
			out.sky[i] = scaleRGB(sum, 1/all)
		}
	}
	return out
}

// lampAt returns the share of the lamp that each vertex sees. Directions below a
// vertex's horizon count as unseen, which softens the edge of its own shade.
func (s *Studio) lampAt(c *geom.Caster, normals []geom.Vec3, middle geom.Vec3, near float64, threads int) []float64 {
	dirs := s.lampDirections(middle)
	blocked := geom.Parallel{Near: near, Threads: threads}.From(c, dirs)
	out := make([]float64, len(normals))
	for i := range normals {
		seen := 0
		for d := range dirs {
			if blocked.Cast(d, i) && !blocked.Hit(d, i) {
				seen++
			}
		}
		out[i] = float64(seen) / float64(len(dirs))
	}
	return out
}
