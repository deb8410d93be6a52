package app

import (
	"context"
	"fmt"

	"facings"
	"facings/internal/colour"
	"facings/internal/pigment"
)

// MatchResult is the single paints nearest to a target, and the best mix.
type MatchResult struct {
	Target    Seen `json:"target"` // over the white of the chart
	OverBlack Seen `json:"target_over_black"`
	// OneColour is true when the target is a colour, not a paint: it is wanted
	// alike over black and over white.
	OneColour bool         `json:"one_colour"`
	Paints    []PaintMatch `json:"paints"`
	Mix       MixAnswer    `json:"mix"` // over the ground asked for
	Over      Seen         `json:"over"`
	Warnings  []string     `json:"warnings"`
}

// PaintMatch is one paint beside the target over both grounds of the chart.
type PaintMatch struct {
	Paint       string  `json:"paint"`
	From        string  `json:"from"` // "rack" or "starter"
	DeltaEBlack float64 `json:"delta_e00_over_black"`
	DeltaEWhite float64 `json:"delta_e00_over_white"`
	OverBlack   Seen    `json:"over_black"`
	OverWhite   Seen    `json:"over_white"`
}

// mostMatches is how many paints are listed.
const mostMatches = 8

// Match finds the paints that stand in best for a target over black and white.
func (a *App) Match(ctx context.Context, q MixRequest) (*MatchResult, error) {
	q = q.withDefaults()
	pal, err := newPalette(q)
	if err != nil {
		return nil, err
	}
	out := &MatchResult{OneColour: !pal.known, Over: pal.over}
	black, white := *pal, *pal
	black.set.Ground, white.set.Ground = pigment.Chart()
	black.over.Guess, white.over.Guess = false, false
	for _, p := range []*palette{&black, &white} {
		if err := p.aim(q.Target); err != nil {
			return nil, err
		}
	}
	out.Target, out.OverBlack = white.wanted, black.wanted
	names, rack, from := pal.names, pal.rack, make([]string, len(pal.names))
	guess := map[string]bool{}
	own := "rack"
	if q.Project == nil {
		own = "starter"
	}
	for i := range from {
		from[i], guess[names[i]] = own, pal.colours.films[names[i]].guess
	}
	if q.Starter && q.Project != nil {
		for _, s := range pigment.StarterRack() {
			if s.Name != q.Target && pal.mixes(facings.Paint{Kind: s.Kind}) {
				names, rack, from = append(names, s.Name), append(rack, s.KS), append(from, "starter")
			}
		}
	}
	wantBlack, wantWhite := pal.set.View.Lab(&black.target), pal.set.View.Lab(&white.target)
	for _, m := range pigment.Nearest(rack, pal.set, wantBlack, wantWhite) {
		match := PaintMatch{Paint: names[m.Paint], From: from[m.Paint], DeltaEBlack: m.OverBlack, DeltaEWhite: m.OverWhite,
			OverBlack: labSeen(m.LabBlack), OverWhite: labSeen(m.LabWhite)}
		match.OverBlack.Guess = guess[match.Paint]
		match.OverWhite.Guess = guess[match.Paint]
		if out.Paints = append(out.Paints, match); len(out.Paints) == mostMatches {
			break
		}
	}
	best, err := pigment.Best(ctx, pal.rack, pigment.Query{Setting: pal.set, Target: pal.set.View.Lab(&pal.target), Paints: q.Paints, Parts: q.Parts})
	if err != nil {
		return nil, err
	}
	out.Mix = pal.answer(q, &best)
	out.Warnings, _ = pal.warnings(q, &out.Mix)
	return out, nil
}

func labSeen(c colour.Lab) Seen {
	return Seen{Hex: c.SRGB().Hex(), Lab: steady(c), Name: colour.Name(c)}
}

// Replacement says what to use instead of a paint that is short or not owned:
// the best mix of the other owned paints, one coat over white, if it comes
// within the project's tolerance, else how near the nearest gets. Paints named
// in short are not counted on. It is "" for what no mix can replace: cans,
// metals, varnish, glue and textures.
func (a *App) Replacement(ctx context.Context, p *facings.Project, paint string, short map[string]bool) (string, error) {
	answer, guess, err := a.replacement(ctx, p, paint, short)
	if answer == nil || err != nil {
		return "", err
	}
	near := fmt.Sprintf("%s (ΔE %.1f)", answer.Words(), answer.DeltaE)
	if answer.DeltaE > float64(p.Tolerance()) {
		return "nothing near enough; nearest is " + near, nil
	}
	if guess {
		near += ", a guess"
	}
	if len(answer.Parts) == 1 {
		return "use " + near, nil
	}
	return "mix " + near, nil
}

// replacement is the mix that stands in best for a paint, nil where none can;
// guess is true where a colour of it is guessed.
func (a *App) replacement(ctx context.Context, p *facings.Project, paint string, short map[string]bool) (answer *MixAnswer, guess bool, err error) {
	wanted, ok := p.FindPaint(paint)
	if !ok || !(&palette{}).mixes(wanted) {
		return nil, false, nil
	}
	with := *p
	with.Rack = nil
	no := false
	for _, x := range p.Rack {
		if short[x.Name] {
			x.Owned = &no
		}
		with.Rack = append(with.Rack, x)
	}
	q := MixRequest{Project: &with, Target: paint}.withDefaults()
	pal, err := newPalette(q)
	if err != nil {
		return nil, false, nil // nothing is left to mix with
	}
	best, err := pigment.Best(ctx, pal.rack, pigment.Query{Setting: pal.set, Target: pal.set.View.Lab(&pal.target), Paints: q.Paints, Parts: q.Parts})
	if err != nil {
		return nil, false, err
	}
	out := pal.answer(q, &best)
	return &out, out.Look.Guess || pal.wanted.Guess, nil
}

// Instead fills in, for every paint to buy, what could be used instead.
func (a *App) Instead(ctx context.Context, plan *Plan) error {
	short := map[string]bool{}
	for _, n := range plan.Shopping.Paints {
		short[n.Paint] = n.Buy > 0
	}
	for i := range plan.Shopping.Paints {
		n := &plan.Shopping.Paints[i]
		if n.Buy == 0 {
			continue
		}
		var err error
		if n.Instead, err = a.Replacement(ctx, plan.Project, n.Paint, short); err != nil {
			return err
		}
	}
	return nil
}
