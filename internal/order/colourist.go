package order

import "facings"

// Surface is what a Colourist knows of a painted spot; order passes it on
// without looking inside.
type Surface any

// Colourist predicts colour. The program's own is built on pigment.
type Colourist interface {
	// Undercoat is the surface after the dark undercoat and the light one from
	// above, where exposure (0 to 1) of the latter arrives.
	Undercoat(exposure float64) Surface
	// Lay is the surface after a coat of a paint or mix, by its name in the
	// project, on ground; cover is the share of the area covered, 0 to 1.
	Lay(ground Surface, medium string, technique facings.Technique, cover float64) Surface
	// Look describes a surface.
	Look(Surface) facings.Look
	// Distance is the CIEDE2000 between two surfaces.
	Distance(a, b Surface) facings.DeltaE
}
