package light

import (
	"fmt"
	"math"

	"facings/internal/geom"
)

// Source is a direction that spray (or light) comes from, and its share of it.
type Source struct {
	To     geom.Vec3 // unit vector from the figure towards the source
	Weight float64   // all weights add up to 1
}

// Spray describes undercoating from above: shots from a ring all around the
// figure at one elevation, and a share from straight overhead.
type Spray struct {
	// ElevationDeg is the height of the ring in degrees above the horizontal:
	// 0 is level with the figure, 90 straight above. Hobby texts also count from
	// the vertical; 30–45° above the horizontal is common practice.
	ElevationDeg float64
	// SpreadDeg is how far the cone of a shot reaches to either side, in degrees.
	SpreadDeg float64
	// OverheadShare is the part of the spray that comes from overhead, 0 to 1.
	OverheadShare float64
	// Directions is how many directions stand for all of it.
	Directions int
}

// DefaultSpray is a ring at 40° with a cone of ±10° and a quarter from overhead
// (common practice for the elevation; the rest is an estimate).
func DefaultSpray() Spray {
	return Spray{ElevationDeg: 40, SpreadDeg: 10, OverheadShare: 0.25, Directions: 64}
}

// MaxDirections bounds the work that a caller can ask for.
const MaxDirections = 4096

// Sources spreads the directions over ring and cap: azimuths in equal steps,
// elevations by the radical inverse within the cone, so that any number of
// directions covers both evenly. The same Spray gives the same directions.
func (s Spray) Sources() ([]Source, error) {
	switch {
	case !(s.ElevationDeg >= 0 && s.ElevationDeg <= 90):
		return nil, fmt.Errorf("elevation of %g°: give degrees above the horizontal, 0 to 90", s.ElevationDeg)
	case !(s.SpreadDeg >= 0 && s.SpreadDeg <= 45):
		return nil, fmt.Errorf("spread of %g°: give 0 to 45", s.SpreadDeg)
	case !(s.OverheadShare >= 0 && s.OverheadShare <= 1):
		return nil, fmt.Errorf("overhead share of %g: give 0 to 1", s.OverheadShare)
	case s.Directions < 1 || s.Directions > MaxDirections:
		return nil, fmt.Errorf("%d directions: give 1 to %d", s.Directions, MaxDirections)
	}
	over := int(math.Round(s.OverheadShare * float64(s.Directions)))
	if s.OverheadShare > 0 {
		over = max(over, 1)
	}
	if s.OverheadShare < 1 {
		over = min(over, s.Directions-1)
	}
	ring := s.Directions - over
	share := s.OverheadShare
	if ring == 0 {
		share = 1
	} else if over == 0 {
		share = 0
	}
	var out []Source
	for i := range ring {
		azimuth := 2 * math.Pi * (float64(i) + 0.5) / float64(ring)
		elevation := s.ElevationDeg + s.SpreadDeg*(2*radicalInverse(uint32(i))-1)
		out = append(out, Source{aim(azimuth, min(max(elevation, 0), 90)), (1 - share) / float64(ring)})
	}
	golden := math.Pi * (3 - math.Sqrt(5))
	for i := range over {
		tilt := s.SpreadDeg * math.Sqrt((float64(i)+0.5)/float64(over))
		if over == 1 {
			tilt = 0
		}
		out = append(out, Source{aim(golden*float64(i), 90-tilt), share / float64(over)})
	}
	return out, nil
}

// aim returns the unit vector at an azimuth in radians and an elevation in
// degrees above the horizontal.
func aim(azimuth, elevationDeg float64) geom.Vec3 {
	sa, ca := math.Sincos(azimuth)
	se, ce := math.Sincos(elevationDeg * math.Pi / 180)
	return geom.Vec3{X: ca * ce, Y: sa * ce, Z: se}.Unit()
}

// radicalInverse mirrors the binary digits of i at the point: 0, 1/2, 1/4, 3/4 …
func radicalInverse(i uint32) float64 {
	x := 0.5 // half a step in, so that the mean is the middle
	for f := 0.5; i > 0; i, f = i>>1, f/2 {
		if i&1 != 0 {
			x += f
		}
	}
	return math.Mod(x, 1)
}

// Open returns what a facet with unit normal n gets with nothing in the way:
// the mean cosine, 0 to 1.
func Open(sources []Source, n geom.Vec3) float64 {
	sum := 0.0
	for _, s := range sources {
		if c := n.Dot(s.To); c > 0 {
			sum += s.Weight * c
		}
	}
	return sum
}

// aimZ returns the unit vector at an azimuth in radians with height z.
func aimZ(azimuth, z float64) geom.Vec3 {
	sa, ca := math.Sincos(azimuth)
	r := math.Sqrt(max(0, 1-z*z))
	return geom.Vec3{X: ca * r, Y: sa * r, Z: z}.Unit()
}
