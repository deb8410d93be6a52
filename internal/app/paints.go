package app

import (
	"fmt"

	"facings"
	"facings/internal/pigment"
)

// Paints remembers paints worked out, for whoever plans the same rack again;
// those used last are kept. It is safe for use from several goroutines.
type Paints struct{ made *cache[pigment.Paint] }

// heldPaints is how many paints are remembered.
const heldPaints = 4 * facings.MaxPaints

// NewPaints remembers none yet.
func NewPaints() *Paints {
	return &Paints{newCache(heldPaints, func(pigment.Paint) int { return 1 })}
}

// resolve works a paint out, or remembers it; a nil Paints remembers none.
func (p *Paints) resolve(paint facings.Paint) (pigment.Paint, error) {
	if p == nil {
		return pigment.Resolve(paint)
	}
	key := fmt.Sprintf("%q %q %q %q %q %q", paint.Name, paint.Kind, paint.Like, paint.OverBlack, paint.OverWhite, paint.Colour)
	if made, ok := p.made.get(key); ok {
		return made, nil
	}
	made, err := pigment.Resolve(paint)
	if err == nil {
		p.made.put(key, made)
	}
	return made, err
}
