package swatch

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"facings"
	"facings/internal/colour"
)

// cellReader reads one cell.
type cellReader struct {
	p      *Photo
	l      *located
	tone   *tone
	cell   *Cell
	field  *field
	common rgb // the bare black of all cells
	out    CellReading
}

// Limits of a cell, CIEDE2000 unless said otherwise.
const (
	sameAsGround = 3.0  // a paint nearer to the bare ground is not seen on it
	hardlySeen   = 5.0  // a part nearer to the bare ground is not covered
	patchy       = 9.0  // of a part to the mean
	liftedBlack  = 0.02 // luminance factor by which shine lifts a bare black
	offWhite     = 0.04 // share by which the bare white departs from the white around
	roughWhite   = 0.03 // misfit of the white around, logarithm
	bareWhite    = 0.6  // share of the white around that must be bare
	channelGone  = 0.0016
	tooUncertain = 5.0
)

func (r *cellReader) warn(id, message, hint string) {
	r.out.Findings = append(r.out.Findings, facings.Diagnostic{
		ID: id, Severity: facings.Warning, Path: facings.Pointer("cells", fmt.Sprint(r.cell.Number)),
		Message: fmt.Sprintf("cell %d: %s", r.cell.Number, message), Hint: hint,
	})
}

func (r *cellReader) read() CellReading {
	r.out = CellReading{Number: r.cell.Number, State: Good, GroundWhite: PaperWhite, Findings: facings.Diagnostics{}}
	if r.field.kept == 0 {
		r.out.State = Doubtful
		r.warn("cell-white", "the white around it cannot be read", "keep paint and shadows off the white around the field")
		return r.out
	}
	white := rgb{PaperWhite, PaperWhite, PaperWhite}
	overBlack, overWhite := r.half(r.cell.Black), r.half(r.cell.White)
	if overBlack == nil || overWhite == nil {
		r.out.State = Doubtful
		r.warn("cell-cut-off", "it is not wholly in the photograph", "show the whole card")
		return r.out
	}
	black := r.bareBlack(overBlack)
	r.out.GroundBlack = round(black.luminance(), 4)
	onBlack, onWhite := difference(overBlack.mean, black), difference(overWhite.mean, white)
	if onBlack < sameAsGround && onWhite < sameAsGround && !overBlack.uncovered(black) && !overWhite.uncovered(white) {
		r.out.State = Empty
		return r.out
	}
	r.judgeWhite()
	r.judgeHalf(overBlack, black, "black")
	r.judgeHalf(overWhite, white, "white")
	r.judgeBoth(overBlack, overWhite, onBlack, onWhite)
	r.out.OverBlack, r.out.OverWhite = r.colour(overBlack), r.colour(overWhite)
	if u := max(r.out.OverBlack.Uncertainty, r.out.OverWhite.Uncertainty); u > tooUncertain {
		r.warn("cell-uncertain", fmt.Sprintf("its colours may be off by %.1f", u), "brush the coat more evenly, and photograph it in even light")
	}
	widen(r.out.OverBlack, overBlack)
	widen(r.out.OverWhite, overWhite)
	r.addRack()
	if len(r.out.Findings) > 0 {
		r.out.State = Doubtful
	}
	return r.out
}

// half is what the painted part of one half shows.
type half struct {
	mean    rgb
	raw     rgb // as photographed
	parts   []rgb
	spread  float64 // uncertainty of the mean from the parts, CIEDE2000
	full    float64
	top     float64 // luminance of the lightest fiftieth
	typical float64 // median luminance
}

// Parts of the window, along the stripe and across it.
const (
	partsAlong  = 6
	partsAcross = 3
)

func (r *cellReader) half(box Box) *half {
	w := r.cell.window(box)
	h := &half{}
	var all, raw []rgb
	for j := range partsAcross {
		for i := range partsAlong {
			b := Box{w.X + w.W*float64(i)/partsAlong, w.Y + w.H*float64(j)/partsAcross, w.W / partsAlong, w.H / partsAcross}
			s := r.l.sample(r.p, b)
			if len(s.light) == 0 {
				return nil
			}
			here := r.corrected(&s)
			all, raw = append(all, here...), append(raw, s.light...)
			h.parts = append(h.parts, middleLight(here))
			h.full += s.full / (partsAlong * partsAcross)
		}
	}
	h.mean, h.raw = middleLight(all), middleLight(raw)
	var sum float64
	for _, p := range h.parts {
		d := difference(p, h.mean)
		sum += d * d
	}
	n := float64(len(h.parts))
	// Streaks run along the stripe, so that its parts are not independent: as
	// many count as lie across it.
	h.spread = math.Sqrt(sum/n) / math.Sqrt(partsAcross)
	lum := make([]float64, len(all))
	for i, c := range all {
		lum[i] = c.luminance()
	}
	slices.Sort(lum)
	h.typical, h.top = lum[len(lum)/2], lum[len(lum)-1-len(lum)/50]
	return h
}

// corrected is the light of a sample freed of the lighting and the camera's
// curve.
func (r *cellReader) corrected(s *areaSample) []rgb {
	out := make([]rgb, len(s.light))
	for i, c := range s.light {
		out[i] = r.tone.undo(divide(c, r.field.at(s.at[i])))
	}
	return out
}

func difference(a, b rgb) float64 { return colour.DeltaE00(labOf(a), labOf(b)) }

// uncovered reports whether a part shows the bare ground while another does
// not.
func (h *half) uncovered(ground rgb) bool {
	least, most := math.Inf(1), 0.0
	for _, p := range h.parts {
		d := difference(p, ground)
		least, most = min(least, d), max(most, d)
	}
	return least < hardlySeen && most > least+6
}

// bareBlack is the printed black of this cell, above and below the stripe. If
// it stands out from the other cells', it is paint or shine.
func (r *cellReader) bareBlack(over *half) rgb {
	var best rgb
	least := math.Inf(1)
	lifted := false
	for _, b := range r.cell.bare(r.cell.Black) {
		s := r.l.sample(r.p, b)
		if len(s.light) == 0 {
			continue
		}
		c := middleLight(r.corrected(&s))
		if v := c.luminance(); v < least {
			best, least = c, v
		}
		if c.luminance() > r.common.luminance()+liftedBlack && difference(c, over.mean) > 6 {
			lifted = true
		}
	}
	if lifted {
		r.warn("cell-glare", "its bare black is lighter than in other cells: shine, or paint on it", "move the lamp or the camera so that nothing shines")
	}
	if least > r.common.luminance()+liftedBlack {
		return r.common
	}
	return best
}

// judgeWhite looks at the white around the field and inside it.
func (r *cellReader) judgeWhite() {
	if r.field.kept < bareWhite {
		r.warn("cell-white", "too little of the white around it is bare", "keep paint and writing off the white around the field")
	}
	if r.field.rough > roughWhite {
		r.warn("cell-shadow", "the light is uneven across it, as from a shadow", "light the card evenly")
	}
	if r.field.full > 0.2 {
		r.warn("cell-clipped", "the white around it is overexposed", "photograph it again with less exposure")
	}
	for _, b := range r.cell.bare(r.cell.White) {
		s := r.l.sample(r.p, b)
		if len(s.light) == 0 {
			continue
		}
		if c := middleLight(r.corrected(&s)); c.luminance() > PaperWhite*(1+offWhite) {
			r.warn("cell-glare", "its bare white is lighter than the white around it: shine", "move the lamp or the camera so that nothing shines")
			return
		}
	}
}

// judgeHalf looks at the stripe over one ground.
func (r *cellReader) judgeHalf(h *half, ground rgb, name string) {
	switch {
	case h.full > mostFull:
		r.warn("cell-clipped", "the stripe over "+name+" is overexposed in places: shine, or too light a photograph", "move the lamp, or photograph it again with less exposure")
	case h.mean.luminance() > 1.02*PaperWhite:
		r.warn("cell-glare", "the stripe over "+name+" is lighter than the card's white: shine", "move the lamp or the camera so that nothing shines")
	}
	if h.uncovered(ground) {
		r.warn("cell-uncovered", "the stripe does not cover the "+name+" half between the marks", "brush a wider or longer stripe")
	} else {
		var most float64
		for _, p := range h.parts {
			most = max(most, difference(p, h.mean))
		}
		if most > patchy || h.top > h.typical+max(0.12, 0.5*h.typical) {
			r.warn("cell-uneven", "the stripe over "+name+" is patchy, or something shines on it", "brush the coat more evenly; move the lamp or the camera so that nothing shines")
		}
	}
}

// judgeBoth compares the two halves.
func (r *cellReader) judgeBoth(overBlack, overWhite *half, onBlack, onWhite float64) {
	r.judgeGamut(overBlack, overWhite)
	between := difference(overBlack.mean, overWhite.mean)
	switch {
	case onBlack < sameAsGround && between > 10:
		r.warn("cell-one-half", "no paint is seen over black: either it is quite transparent, or the stripe misses that half", "check the card; if the paint is transparent the reading holds")
	case onWhite < sameAsGround:
		r.warn("cell-one-half", "no paint is seen over white: either it is white, or the stripe misses that half", "check the card; if the paint is white the reading holds")
	}
	if labOf(overBlack.mean).L > labOf(overWhite.mean).L+3 {
		r.warn("cell-swapped", "it is lighter over black than over white", "lay a coat of the same thickness over both halves")
	}
}

// judgeGamut warns of colours that the photograph's three channels cannot hold:
// one of them is empty.
func (r *cellReader) judgeGamut(overBlack, overWhite *half) {
	var where []string
	for i, h := range []*half{overBlack, overWhite} {
		if h.empty() {
			where = append(where, []string{"black", "white"}[i])
		}
	}
	if len(where) > 0 {
		r.warn("cell-gamut", "a channel of the photograph is empty over "+strings.Join(where, " and ")+": the colour may be fuller or darker than could be photographed", "photograph in more light, or take the colour as the nearest that can be shown")
	}
}

// beyondGamut is how far off a colour may be whose weakest channel is empty (by
// the greens and yellows of tools/swatches).
const beyondGamut = 7.0

// widen adds to the uncertainty of a colour that lies beyond what three channels
// hold.
func widen(c *Colour, h *half) {
	if h.empty() {
		c.Uncertainty = round(math.Hypot(c.Uncertainty, beyondGamut), 1)
	}
}

// empty reports whether the weakest channel holds nothing.
func (h *half) empty() bool { return min(h.raw[0], h.raw[1], h.raw[2]) < channelGone }

// The parts that make up an uncertainty besides the spread of the stripe.
const (
	cameraFloor  = 1.2   // CIEDE2000: what three channels leave open of a grey (an estimate)
	cameraChroma = 0.025 // and how much more with each unit of chroma; see docs/measurements/swatch.md
	paperSpread  = 0.025 // share by which papers' whites differ from PaperWhite (an estimate)
	printerShare = 0.06  // by which the printer's greys may be off, logarithm of gamma
)

// colour adds up the uncertainty of a half's mean.
func (r *cellReader) colour(h *half) *Colour {
	var light, curve rgb
	share := paperSpread + r.field.rough
	power := math.Exp(printerShare/2 + 0.1*math.Abs(math.Log(r.tone.Gamma)) + r.tone.misfit/4)
	for i, v := range h.mean {
		light[i] = v * (1 + share)
		curve[i] = PaperWhite * math.Pow(max(0, v)/PaperWhite, power)
	}
	chroma := labOf(h.mean).LCh().C
	u := math.Hypot(cameraFloor+cameraChroma*chroma, 2*h.spread)
	u = math.Hypot(u, difference(light, h.mean))
	u = math.Hypot(u, difference(curve, h.mean))
	return newColour(h.mean, u)
}
