package swatch

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Limits of what the marks show, millimetres on the card.
const (
	leastScale  = 2.2  // pixels per millimetre of the reduced photograph
	mostMisfit  = 1.2  // of marks and dots to the plane
	warnMisfit  = 0.5  // from here on the card is bent, or the lens bends
	mostBlur    = 1.0  // standard deviation
	warnBlur    = 0.6  // from here on the edges of the fields are near what is measured
	leastWindow = 0.02 // of luminance between black and white
)

// located is a card found in a photograph.
type located struct {
	layout *Layout
	view   view
	scale  float64 // pixels per millimetre
	misfit float64 // mm, root mean square
	blur   float64 // mm, standard deviation
	turn   float64 // degrees clockwise
}

var cornerNames = [4]string{"top left", "top right", "bottom right", "bottom left"}

// locate finds the card.
func locate(p *Photo) (*located, error) {
	marks, err := oneCard(findMarks(p))
	if err != nil {
		return nil, err
	}
	layout, err := NewLayout(marks[0].cells)
	if err != nil {
		return nil, err
	}
	var card, photo []Point
	for i, m := range marks {
		b := layout.Marks[i]
		card = append(card, Point{b.X, b.Y}, Point{b.X + b.W, b.Y}, Point{b.X + b.W, b.Y + b.H}, Point{b.X, b.Y + b.H})
		photo = append(photo, m.corners[:]...)
	}
	l := &located{layout: layout}
	var ok bool
	if l.view, _, ok = plainView(card, photo, p); !ok {
		return nil, notFound()
	}
	for _, d := range layout.Dots {
		if at, ok := l.findDot(p, d); ok {
			card, photo = append(card, d.Centre()), append(photo, at)
		}
	}
	var misfit float64
	if len(card) > 16 { // the marks alone hardly tell a bent lens from a tilted card
		l.view, misfit, ok = fitView(card, photo, p.W, p.H)
	} else {
		l.view, misfit, ok = plainView(card, photo, p)
	}
	if !ok {
		return nil, notFound()
	}
	return l, l.judge(p, misfit)
}

func plainView(card, photo []Point, p *Photo) (view, float64, bool) {
	v := view{middle: Point{float64(p.W) / 2, float64(p.H) / 2}, radius: math.Hypot(float64(p.W), float64(p.H)) / 2}
	var ok bool
	if v.h, ok = fitHomography(card, photo); !ok {
		return v, 0, false
	}
	var sum float64
	for i := range card {
		q := v.photo(card[i])
		sum += (q.X-photo[i].X)*(q.X-photo[i].X) + (q.Y-photo[i].Y)*(q.Y-photo[i].Y)
	}
	return v, math.Sqrt(sum / float64(len(card))), true
}

func notFound() error {
	return fault("card-not-found", "no swatch card is found in the photograph", "show the whole card, sharp and evenly lit, with a little of its white paper around the four corner marks; print one with: facings swatch --card --out card.svg")
}

// oneCard picks the four corner marks of one card.
func oneCard(all []found) ([4]found, error) {
	type key struct{ version, cells int }
	groups := map[key][]found{}
	var most key
	for _, f := range all {
		k := key{f.version, f.cells}
		groups[k] = append(groups[k], f)
		if n, m := len(groups[k]), len(groups[most]); n > m || n == m && (k.version < most.version || k.version == most.version && k.cells < most.cells) {
			most = k
		}
	}
	var out [4]found
	group := groups[most]
	if len(group) < 2 {
		return out, notFound()
	}
	if most.version != Version {
		return out, fault("card-version", fmt.Sprintf("the card is of layout %d, which this program does not know", most.version), fmt.Sprintf("print a card of layout %d with: facings swatch --card --out card.svg", Version))
	}
	var count [4]int
	for _, f := range group {
		out[f.corner] = f
		count[f.corner]++
	}
	var missing []string
	for i, n := range count {
		switch n {
		case 0:
			missing = append(missing, cornerNames[i])
		case 1:
		default:
			return out, fault("card-twice", "more than one card is in the photograph", "photograph one card at a time")
		}
	}
	if len(missing) > 0 {
		return out, fault("card-cut-off", "the card is cut off, covered or out of focus at its "+strings.Join(missing, " and ")+" corner", "show all four corner marks with a little white around them")
	}
	return out, nil
}

// findDot finds the middle of a dot near where it should be.
func (l *located) findDot(p *Photo, d Box) (Point, bool) {
	const reach, step = 5.0, 0.2
	c := d.Centre()
	var at []Point
	var light []float64
	for y := -reach; y <= reach; y += step {
		for x := -reach; x <= reach; x += step {
			q := l.view.photo(Point{c.X + x, c.Y + y})
			v, ok := p.at(q)
			if !ok {
				continue // the reach may leave the paper's edge and the picture
			}
			at, light = append(at, q), append(light, v.luminance())
		}
	}
	if len(light) < 500 {
		return Point{}, false
	}
	sorted := slices.Clone(light)
	slices.Sort(sorted)
	low, high := sorted[len(sorted)/50], sorted[len(sorted)/2]
	if high < 2*low {
		return Point{}, false
	}
	// The dot is one sixth of what is looked at; what is dark in the rest is
	// something else.
	var sum Point
	var n float64
	for i := range at {
		if light[i] < (low+high)/2 {
			sum.X, sum.Y, n = sum.X+at[i].X, sum.Y+at[i].Y, n+1
		}
	}
	share := n / float64(len(light)) * (2 * reach) * (2 * reach) / (dotSide * dotSide)
	if share < 0.7 || share > 1.3 {
		return Point{}, false
	}
	return Point{sum.X / n, sum.Y / n}, true
}

// judge measures scale, turn, misfit and blur, and refuses what is too bad.
func (l *located) judge(p *Photo, misfit float64) error {
	a, b := l.view.photo(Point{0, cardH / 2}), l.view.photo(Point{cardW, cardH / 2})
	c, d := l.view.photo(Point{cardW / 2, 0}), l.view.photo(Point{cardW / 2, cardH})
	l.scale = min(math.Hypot(b.X-a.X, b.Y-a.Y)/cardW, math.Hypot(d.X-c.X, d.Y-c.Y)/cardH)
	l.turn = math.Mod(math.Atan2(b.Y-a.Y, b.X-a.X)*180/math.Pi+360, 360)
	if !(l.scale >= leastScale) {
		return fault("photo-small", fmt.Sprintf("the card is too small in the photograph: %.1f pixels per millimetre", l.scale*float64(p.Factor)), "go nearer, so that the card fills the picture")
	}
	l.misfit = misfit / l.scale
	if !(l.misfit <= mostMisfit) {
		return fault("card-bent", fmt.Sprintf("the marks lie %.1f mm from where they should", l.misfit), "lay the card flat and photograph it square on")
	}
	blur, ok := l.edgeBlur(p)
	if !ok {
		return notFound()
	}
	if l.blur = blur; l.blur > mostBlur {
		return fault("photo-blurred", fmt.Sprintf("the photograph is blurred: edges spread over %.1f mm", 2.56*l.blur), "hold the camera still and let it focus on the card")
	}
	return nil
}

// edgeBlur returns the standard deviation in millimetres of the blur across
// the outer edges of the marks, all sides averaged, the worst mark counting.
func (l *located) edgeBlur(p *Photo) (float64, bool) {
	worst := 0.0
	for _, b := range l.layout.Marks {
		across, okA := l.edge(p, b, true)
		along, okB := l.edge(p, b, false)
		if !okA || !okB {
			return 0, false
		}
		worst = max(worst, across, along)
	}
	return worst, true
}

// edge averages the profile across two opposite sides of a mark and returns
// the spread of its rise.
func (l *located) edge(p *Photo, b Box, upright bool) (float64, bool) {
	const reach, steps = 1.9, 76
	var v [steps + 1]float64
	for i := range v {
		s := reach * (2*float64(i)/steps - 1)
		for n := range 15 {
			t := 0.1 + 0.8*float64(n)/14
			places := [2]Point{{b.X - s, b.Y + t*b.H}, {b.X + b.W + s, b.Y + t*b.H}}
			if upright {
				places = [2]Point{{b.X + t*b.W, b.Y - s}, {b.X + t*b.W, b.Y + b.H + s}}
			}
			for _, q := range places {
				c, ok := p.at(l.view.photo(q))
				if !ok {
					return 0, false
				}
				v[i] += c.luminance() / 30
			}
		}
	}
	low, high := slices.Min(v[:]), slices.Max(v[:])
	if high-low < leastWindow {
		return 0, false
	}
	pass := func(share float64) float64 {
		level := low + share*(high-low)
		for i := range steps {
			if v[i] <= level && v[i+1] > level {
				return reach * (2*(float64(i)+(level-v[i])/(v[i+1]-v[i]))/steps - 1)
			}
		}
		return reach
	}
	const rise = 2 * 0.8416 // from 20 to 80 % of a normal distribution
	return (pass(0.8) - pass(0.2)) / rise, true
}
