package colour

import (
	"fmt"
	"math"
)

// SmallestStroke returns the width in millimetres of the narrowest line that
// an eye resolving acuity arcminutes (1 is normal sight) tells from its
// surroundings at a distance in millimetres (over 0): 0.13 mm at 450 mm.
func SmallestStroke(distance, acuity float64) float64 {
	return 2 * distance * math.Tan(acuity/60*math.Pi/180/2)
}

// Weber returns the luminance contrast of a detail against its ground, signed:
// (Y − Yg)/Yg. Undefined (+Inf) on a ground that sends no light back.
func Weber(detail, ground XYZ) float64 {
	if ground.Y == 0 {
		return math.Inf(1)
	}
	return (detail.Y - ground.Y) / ground.Y
}

// Michelson returns the luminance contrast of two neighbours, 0..1; that of
// two blacks is 0.
func Michelson(a, b XYZ) float64 {
	if a.Y+b.Y == 0 {
		return 0
	}
	return math.Abs(a.Y-b.Y) / (a.Y + b.Y)
}

// Visibility is what is left of a stroke at a distance.
type Visibility struct {
	Smallest  float64 // mm, the narrowest stroke resolved there
	Michelson float64 // luminance contrast with the ground, as it arrives
	DeltaE00  float64 // colour difference to the ground, as it arrives
	Visible   bool
	// Widen is the least width in mm at which the stroke would show; 0 when it
	// shows already, or when it is too like its ground to show at any width.
	Widen float64
}

// LeastVisibleDeltaE is the difference, after blurring, under which a stroke is
// taken as lost: twice the just noticeable one of about 1 (common practice).
const LeastVisibleDeltaE = 2.0

// Stroke tells whether a stroke of the given width (mm) and colour on a ground
// can be seen at a distance (mm) by an eye of the given acuity (arcminutes, 1
// is normal). A stroke narrower than the smallest is blurred into its ground:
// its light arrives mixed with the ground's in proportion to its width, so a
// bright hair-line still shows where a dull one is gone. Colours are seen
// under D65; width, distance and acuity are over 0.
func Stroke(stroke, ground XYZ, width, distance, acuity float64) Visibility {
	v := Visibility{Smallest: SmallestStroke(distance, acuity)}
	white := ViewD65().White()
	seen := func(w float64) (XYZ, float64) {
		c := mixXYZ(ground, stroke, math.Min(1, w/v.Smallest))
		return c, DeltaE00(LabFrom(c, white), LabFrom(ground, white))
	}
	c, d := seen(width)
	v.Michelson, v.DeltaE00 = Michelson(c, ground), d
	v.Visible = d >= LeastVisibleDeltaE && width >= v.Smallest/2
	if v.Visible {
		return v
	}
	if _, full := seen(v.Smallest); full < LeastVisibleDeltaE {
		return v
	}
	low, high := math.Min(width, v.Smallest/2), v.Smallest
	for range 30 {
		mid := (low + high) / 2
		if _, d := seen(mid); d >= LeastVisibleDeltaE && mid >= v.Smallest/2 {
			high = mid
		} else {
			low = mid
		}
	}
	v.Widen = high
	return v
}

// Hint says in words what became of a stroke of the given width (mm) at the
// distance (mm), and how to save it; "" for one that shows.
func (v Visibility) Hint(width, distance float64) string {
	switch {
	case v.Visible:
		return ""
	case v.Widen > 0:
		return fmt.Sprintf("a line of %.2f mm is lost at %.1f m; paint it %.2f mm wide", width, distance/1000, v.Widen)
	}
	return fmt.Sprintf("this line is too like its ground to show at %.1f m at any width; choose a lighter or darker colour", distance/1000)
}
