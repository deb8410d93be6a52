package app

import (
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"slices"

	"facings"
	"facings/internal/figure"
	"facings/internal/light"
	"facings/internal/sheet"
)

// flown is a unit's flag as it is printed, on the cloth of one casting.
type flown struct {
	uv      [][2]float64 // of the casting with its cloth
	texture *light.Texture
	printed []float64 // linear red, green and blue at the cloth's vertices, the casting's last
}

// clothDPI is how finely a flag is drawn for pictures: some sixteen pixels to
// the millimetre of a 28 mm figure.
const clothDPI = 400

// bearing is the casting a figure is shown as: of the project's own mesh, if it
// has one. Of the others, who carries a flag that can be
// printed has a bare pole until the flag is up, and then the flag.
func (ps *Pictures) bearing(v View) *castingLight {
	f := &ps.plan.Roster.Figures[v.Figure]
	if own := ps.ownCasting(f); own != nil {
		return own
	}
	spec, coarse := ps.spec(f), ps.coarse(v.Width, v.Height)
	pole, held, err := figure.FlagPole(spec)
	if err != nil || !held {
		return ps.casting(v.Figure, coarse)
	}
	unit := ps.plan.unit(f.ID.Unit)
	options, data, ok := ps.plan.printing(unit)
	if !ok {
		return ps.casting(v.Figure, coarse)
	}
	spec.Lacks = append(slices.Clone(spec.Lacks), flagArea)
	elevation := ps.plan.Project.Elevation()
	bare := ps.studio.casting(spec, elevation, coarse)
	if bare.err != nil || !ps.flagUp(v) {
		return bare
	}
	key, err := json.Marshal([]any{unit.Flag, options.Scale, options.Colours, data})
	if err != nil {
		return bare
	}
	up := ps.studio.lit.getOrPut(fmt.Sprintf("%g %g %+v %x", coarse, elevation, spec, sha256.Sum256(key)), func() *castingLight { return &castingLight{} })
	up.once.Do(func() { up.raise(bare, pole, unit, options) })
	if up.err != nil {
		return bare
	}
	return up
}

// raise adds a unit's flag to a casting with a bare pole.
func (c *castingLight) raise(bare *castingLight, pole figure.Pole, unit *facings.Unit, o sheet.FlagOptions) {
	printed, err := sheet.FlagCloth(unit, o, clothDPI)
	if err != nil {
		c.err = err
		return
	}
	cloth := figure.Cloth{Fly: printed.FaceMM, Hoist: printed.HeightMM, Sleeve: printed.SleeveMM, Reach: printed.Reach}
	mesh, uv := pole.Stream(cloth, bare.mesh).Flying(cloth)
	c.mesh = bare.mesh.Clone()
	c.mesh.Append(mesh)
	// It was printed, not sprayed, and no wash runs into it.
	c.coverage, c.recess = slices.Clone(bare.coverage), slices.Clone(bare.recess)
	for range uv {
		c.coverage, c.recess = append(c.coverage, 1), append(c.recess, 0)
	}
	c.flag = &flown{uv: append(make([][2]float64, len(bare.mesh.V)), uv...), texture: light.NewTexture(printed.Strip)}
	const around = 3 // pixels to either side: some fifth of a millimetre
	for _, p := range uv {
		mean := c.flag.texture.Around(p[0], p[1], around)
		c.flag.printed = append(c.flag.printed, mean.R, mean.G, mean.B)
	}
}

// flagUp reports whether a figure's flag is on its pole at the moment shown.
func (ps *Pictures) flagUp(v View) bool {
	done := ps.done(v.Passes)
	for i, t := range ps.plan.Coats.Tasks {
		if t.Figure == v.Figure && t.Stage == facings.StageFlag {
			return done(i)
		}
	}
	return v.Passes >= Finished
}

// printing is how a unit's flag is printed at the castings' own size, and the
// pictures it is made of; false if it has nothing to print, or a picture that
// cannot be read.
func (plan *Plan) printing(unit *facings.Unit) (o sheet.FlagOptions, data [][]byte, ok bool) {
	p := plan.Project
	if unit == nil || unit.Flag == nil || len(unit.Flag.Parts) == 0 && unit.Flag.Picture == "" {
		return o, nil, false
	}
	read := map[string][]byte{}
	for _, name := range []string{unit.Flag.Picture, unit.Flag.PictureReverse} {
		if name == "" {
			continue
		}
		if plan.beside == nil {
			return o, nil, false
		}
		bytes, err := plan.beside(name)
		if err != nil {
			return o, nil, false
		}
		read[name], data = bytes, append(data, bytes)
	}
	o = sheet.FlagOptions{Scale: p.FlagScale() * p.Size() / facings.NominalSize, Colours: hexesOf(p, plan.colours),
		Read: func(name string) ([]byte, error) { return read[name], nil }}
	return o, data, true
}

// unit finds a unit by name, nil if there is none.
func (plan *Plan) unit(name string) *facings.Unit {
	for i := range plan.Project.Units {
		if u := &plan.Project.Units[i]; u.Name == name {
			return u
		}
	}
	return nil
}
