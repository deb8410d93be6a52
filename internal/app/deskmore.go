package app

import (
	"context"
	"strings"
)

// More is a project of its own for so many figures more of a unit, painted as
// the first were, and what the rack has not for it. Nothing is kept.
func (d *Desk) More(ctx context.Context, like Like) (*More, error) {
	r, log, err := d.logged(ctx, like.Project)
	if err != nil {
		return nil, err
	}
	more, err := d.app.More(ctx, r.opened, log, like.Unit, like.Figures, nil)
	if err != nil {
		message, hint, _ := strings.Cut(err.Error(), "\n")
		return nil, &Mistake{Message: message, Hint: strings.TrimSpace(hint)}
	}
	return more, nil
}
