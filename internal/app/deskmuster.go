package app

import (
	"context"

	"facings"
)

// Bodies is what a unit's castings may be made of: the ready-made bodies with
// their areas, the catalogue of areas that a casting may add, and the shapes
// that pictures know.
type Bodies struct {
	Bodies    []facings.Body     `json:"bodies"`
	Catalogue []facings.AreaSpec `json:"catalogue"`
	Headgears []string           `json:"headgears"`
	Cuts      []string           `json:"cuts"`
}

// Bodies lists the ready-made bodies and the catalogue.
func (d *Desk) Bodies() Bodies {
	return Bodies{Bodies: facings.ReadyBodies(), Catalogue: facings.Catalogue(), Headgears: facings.Headgears(), Cuts: facings.Cuts()}
}

// Recruit adds a unit to a project by the guided way. What stood in the file
// keeps its text and comments.
func (d *Desk) Recruit(ctx context.Context, e Edit, r Recruit) (*Head, error) {
	return d.edit(ctx, e, func(rev *revision) (draft, error) {
		if rev.opened.Findings.Faulty() {
			return draft{}, &Mistake{Message: "the project has faults, so no unit can be fitted into it", Hint: "mend them first", Findings: rev.opened.Findings}
		}
		p, text, err := d.app.RecruitInto(ctx, rev.opened.Project, r)
		if err != nil {
			return draft{}, recruitMistake(err)
		}
		doc := *rev.opened.Doc // edits replace what it holds and change nothing in place
		if doc.Update(p) != nil {
			return draft{text: text}, nil // not every change can be made in place
		}
		return draftOf(&doc), nil
	})
}
