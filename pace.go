package facings

// Fiddliness sorts areas by how fiddly they are, for what is learned of a
// painter's pace: somebody quick on open cloth may be slow on lace.
type Fiddliness string

const (
	EasyAreas     Fiddliness = "easy"     // flanks of horses, coats, bases
	MiddlingAreas Fiddliness = "middling" // faces, hands, weapons
	FiddlyAreas   Fiddliness = "fiddly"   // lace, straps, eyes
)

// Fiddlinesses lists them, the easiest first.
func Fiddlinesses() []Fiddliness { return []Fiddliness{EasyAreas, MiddlingAreas, FiddlyAreas} }

// FiddlinessOf sorts an area's fiddliness (see AreaSpec.Fiddly). The bounds
// part the catalogue's areas into three of about equal number.
func FiddlinessOf(fiddly float64) Fiddliness {
	switch {
	case fiddly < 1.3:
		return EasyAreas
	case fiddly < 1.8:
		return MiddlingAreas
	}
	return FiddlyAreas
}

// PaceFactor is what was learned of one technique on areas of one kind: how
// many times as long as by the defaults it takes.
type PaceFactor struct {
	Technique  Technique
	Fiddliness Fiddliness
	Factor     float64
}

// PaceOf is the factor on the default time of a technique on an area so
// fiddly: the project's pace (see WorkPace), times what was learned.
func (p *Project) PaceOf(t Technique, fiddly float64) float64 {
	class := FiddlinessOf(fiddly)
	for _, l := range p.Learned {
		if l.Technique == t && l.Fiddliness == class && l.Factor > 0 {
			return p.WorkPace() * l.Factor
		}
	}
	return p.WorkPace()
}
