package light

import (
	"fmt"
	"slices"

	"facings/internal/colour"
	"facings/internal/geom"
)

// Look is how an area is painted.
type Look struct {
	// Ramp gives the colour over the exposure, relative to a level open facet:
	// its entries are evenly spaced from 0 to 1, values between are blended. One
	// entry is one colour everywhere. For metal it is the colour of the reflection.
	Ramp      []colour.Linear
	Metal     bool
	Roughness float64 // 0 to 1; 0 stands for 0.6, satin varnish
	// Wash is how strongly recesses are darkened, 0 to 1, and WashColour to what.
	Wash       float64
	WashColour colour.Linear
	// Texture, where given, takes the ramp's place; Paint.UV lays it on.
	Texture *Texture
}

// Scene is a mesh in its light, seen by a camera: all that pictures of the same
// casting, painted in different ways, have in common.
type Scene struct {
	Mesh          *geom.Mesh
	Camera        Camera
	Studio        Studio
	Width, Height int
	GroundShadow  bool // on the plane Z = lowest point of the mesh
	// ByVertex works out the light of matt surfaces at the vertices and blends it
	// over the faces, which is quicker and looks the same where faces are a few
	// pixels large. In perspective it does nothing.
	ByVertex bool
	Threads  int // 0: as many as the machine has; the picture is the same
}

// Paint is how one figure is painted and shown.
type Paint struct {
	Looks []Look // by label number; missing ones are mid-grey
	// Exposure is relative to a level open facet, per vertex; nil counts as 1.
	Exposure []float64
	Recess   []float64 // per vertex, from Recess; nil counts as 0
	// VertexColour, where given, replaces the ramps.
	VertexColour []colour.Linear
	// UV is where each vertex lies on its label's texture, across and down from 0
	// to 1; needed where a look has one.
	UV         [][2]float64
	Background *colour.Linear // nil: transparent
	// Active are the labels under way: they are outlined in black and white and
	// all else fades, so that no one needs hues to find them.
	Active []uint16
	// Keep is how much of its own look all else keeps then, 0 to 1.
	Keep float64
}

const maxPixels = 40_000_000

func checkSize(m *geom.Mesh, width, height int) error {
	if m == nil || len(m.F) == 0 {
		return fmt.Errorf("there is no mesh to draw")
	}
	if width < 1 || height < 1 || width > maxPixels/height {
		return fmt.Errorf("a picture of %d × %d: at least 1 × 1 and at most %d pixels", width, height, maxPixels)
	}
	return m.Validate()
}

func (p *Paint) validate(vertices int) error {
	for _, c := range []struct {
		name string
		n    int
	}{{"exposures", len(p.Exposure)}, {"recesses", len(p.Recess)}, {"vertex colours", len(p.VertexColour)}, {"places on a texture", len(p.UV)}} {
		if c.n != 0 && c.n != vertices {
			return fmt.Errorf("%d %s for %d vertices", c.n, c.name, vertices)
		}
	}
	for _, l := range p.Looks {
		if l.Texture != nil && len(p.UV) == 0 {
			return fmt.Errorf("a texture without the places of the vertices on it")
		}
	}
	return nil
}

// Stage is a scene with its light worked out. It is not changed by drawing, so
// several pictures may be drawn at once.
type Stage struct {
	scene   Scene
	shot    shot
	corners []corner
	normals []geom.Vec3
	solid   bool
	light   lit
	key     geom.Vec3
	ground  *geom.Mesh
	caster  *geom.Caster // of the figure, and of the ground's points without faces, so that they block nothing
	facing  []geom.Vec3  // the normals that rays are cast by: the figure's and the ground's
	floor   lit          // the light at the ground's vertices
	shade   []float64    // how dark the ground is at each of them

	materials *materials
}

// NewStage casts the rays that every picture of the scene needs.
func NewStage(s Scene) (*Stage, error) {
	if err := checkSize(s.Mesh, s.Width, s.Height); err != nil {
		return nil, err
	}
	st := &Stage{scene: s, normals: s.Mesh.VertexNormals(), materials: &materials{}}
	st.ready()
	all := s.Studio.skyAt(st.caster, st.facing, st.near(), Options{s.Threads}.threads())
	n := len(s.Mesh.V)
	st.light = lit{sky: all.sky[:n], open: all.open[:n]}
	st.floor = lit{sky: all.sky[n:], open: all.open[n:]}
	st.look(s.Camera)
	return st, nil
}

// From returns the same scene from another side. The key light stays with the
// camera; what the sky gives is not worked out again.
func (st *Stage) From(c Camera) *Stage {
	out := *st
	out.look(c)
	return &out
}

func (st *Stage) near() float64 { return st.scene.Mesh.Bounds().Size().Len() * NearShare }

// ready makes the caster.
func (st *Stage) ready() {
	m := st.scene.Mesh
	st.facing = st.normals
	if st.scene.GroundShadow {
		st.ground = groundUnder(m)
		st.facing = slices.Clone(st.normals)
		box := st.ground.Bounds()
		for _, p := range st.ground.V {
			up := geom.Vec3{Z: 1}
			if p.Sub(box.Center()).Len() >= box.Size().X/2 {
				up = geom.Vec3{} // no shadow is drawn there, so that no ray is cast
			}
			st.facing = append(st.facing, up)
		}
		m = &geom.Mesh{V: slices.Concat(m.V, st.ground.V), F: m.F}
	}
	st.caster = geom.NewCaster(m, st.facing)
	st.solid = st.caster.Solid()
}

// look points the camera and lights the lamp that goes with it.
func (st *Stage) look(c Camera) {
	s := &st.scene
	s.Camera = c
	st.key = s.Studio.keyDir(c.AzimuthDeg)
	lamp := s.Studio.lampAt(st.caster, st.facing, st.key, st.near(), Options{s.Threads}.threads())
	n := len(s.Mesh.V)
	st.light.lamp, st.floor.lamp = lamp[:n], lamp[n:]
	if st.ground != nil {
		st.shade = st.groundShade()
	}
	st.shot = c.frame(s.Mesh.V, s.Width, s.Height)
	st.corners = cornersOf(&st.shot, s.Mesh.V)
}

// Draw draws the figure painted so, in linear light. The same scene and paint
// give the same values on every machine and for any number of threads.
func (st *Stage) Draw(p Paint) (*Image, error) { return new(Easel).draw(st, p, false) }
