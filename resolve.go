package facings

import (
	"slices"
	"strconv"
)

// Defaults of a project that says nothing else.
const (
	DefaultToleranceDeltaE = DeltaE(5)
	DefaultElevationDeg    = 45.0
	DefaultRanks           = 2
	DefaultPoleMM          = 1.0
	DefaultTemperatureC    = 20.0
	DefaultHumidityPercent = 50.0
	DefaultPatience        = Minutes(90)
	DefaultClosing         = Minutes(10)
	DefaultBatchMounted    = 24
	DefaultBatchFoot       = 30
)

// Size is the figures' size in mm.
func (p *Project) Size() float64 {
	if p.SizeMM > 0 {
		return p.SizeMM
	}
	return NominalSize
}

// Tolerance is the CIEDE2000 under which a coat would not show.
func (p *Project) Tolerance() DeltaE {
	if p.ToleranceDeltaE != nil {
		return *p.ToleranceDeltaE
	}
	return DefaultToleranceDeltaE
}

// Patience is the longest drying time that anybody sits through.
func (c *Calendar) Patience() Minutes {
	if c.PatienceMinutes > 0 {
		return c.PatienceMinutes
	}
	return DefaultPatience
}

// Closing is how long before the end of a sitting nothing else is put out.
func (c *Calendar) Closing() Minutes {
	if c.ClosingMinutes != nil {
		return *c.ClosingMinutes
	}
	return DefaultClosing
}

// Climate is the air at the bench with defaults filled in.
func (p *Project) Climate() Air {
	a := p.Air
	if a.TemperatureC == 0 {
		a.TemperatureC = DefaultTemperatureC
	}
	if a.HumidityPercent == 0 {
		a.HumidityPercent = DefaultHumidityPercent
	}
	return a
}

// DryingOf is the drying table of a kind in this project's air.
func (p *Project) DryingOf(k Kind) Drying {
	d, ok := p.DryingTimes[k]
	if !ok {
		d = DefaultDrying(k)
	}
	air := p.Climate()
	f := Minutes(DryingFactor(air.TemperatureC, air.HumidityPercent))
	return Drying{Touch: d.Touch * f, Overcoat: d.Overcoat * f, WashOver: d.WashOver * f, BeforeVarnish: d.BeforeVarnish * f}
}

// Changes is what changing paint, mix, tool and water costs.
func (p *Project) Changes() SetUp {
	if p.SetUp != nil {
		return *p.SetUp
	}
	return DefaultSetUp()
}

// WorkPace is the factor on all working times: the project's own pace times
// that of its painters, whose mean counts where several share the bench.
func (p *Project) WorkPace() float64 {
	or := func(pace float64) float64 {
		if pace > 0 {
			return pace
		}
		return 1
	}
	n := len(p.Calendar.Painters)
	if n == 0 {
		return or(p.Pace)
	}
	sum := 0.0
	for _, painter := range p.Calendar.Painters {
		sum += or(painter.Pace)
	}
	return or(p.Pace) * sum / float64(n)
}

// PainterPace is how many times as long as a task's planned seconds painter i
// takes for it: tasks are timed at the mean of all painters (see WorkPace). 1
// where there is only one.
func (p *Project) PainterPace(i int) float64 {
	n, sum := len(p.Calendar.Painters), 0.0
	if i < 0 || i >= n {
		return 1
	}
	paces := make([]float64, n)
	for k, painter := range p.Calendar.Painters {
		paces[k] = painter.Pace
		if paces[k] <= 0 {
			paces[k] = 1
		}
		sum += paces[k]
	}
	return paces[i] * float64(n) / sum
}

// Elevation is the height of the light from above over the horizon, in degrees.
func (p *Project) Elevation() float64 {
	if p.Undercoat.ElevationDeg > 0 {
		return p.Undercoat.ElevationDeg
	}
	return DefaultElevationDeg
}

// Prepares reports whether cleaning and mounting is part of the plan.
func (p *Project) Prepares() bool { return p.Prepare == nil || *p.Prepare }

// On reads a rule's switch: nil means yes.
func On(b *bool) bool { return b == nil || *b }

// FindPaint finds a paint by name.
func (p *Project) FindPaint(name string) (Paint, bool) {
	for _, x := range p.Rack {
		if x.Name == name {
			return x, true
		}
	}
	return Paint{}, false
}

// FindMix finds a mix by name.
func (p *Project) FindMix(name string) (Mix, bool) {
	for _, x := range p.Mixes {
		if x.Name == name {
			return x, true
		}
	}
	return Mix{}, false
}

// Medium resolves the name of a paint or mix: its parts (one part of itself
// for a plain paint) and its kind. A mix has the kind of its weightiest part,
// the first of them on a tie.
func (p *Project) Medium(name string) (parts []Part, kind Kind, mixed, ok bool) {
	if m, isMix := p.FindMix(name); isMix {
		most := 0
		for _, part := range m.Parts {
			if paint, found := p.FindPaint(part.Paint); found && part.Parts > most {
				most, kind = part.Parts, paint.Kind
			}
		}
		return m.Parts, kind, true, len(m.Parts) > 0
	}
	if paint, isPaint := p.FindPaint(name); isPaint {
		return []Part{{Paint: name, Parts: 1}}, paint.Kind, false, true
	}
	return nil, "", false, false
}

// FindFinish resolves what a scheme says of an area: a finish by name, "leave"
// for no coats, or a paint or mix by name for one plain coat of it.
func (p *Project) FindFinish(name string) (Finish, bool) {
	for _, f := range p.Finishes {
		if f.Name == name {
			return f, true
		}
	}
	if name == LeaveFinish {
		return Finish{Name: LeaveFinish}, true
	}
	if _, _, _, ok := p.Medium(name); ok {
		return Finish{Name: name, Coats: []Coat{{Paint: name}}}, true
	}
	return Finish{}, false
}

// FindTrait finds a trait by name.
func (p *Project) FindTrait(name string) (*Trait, bool) {
	for i := range p.Traits {
		if p.Traits[i].Name == name {
			return &p.Traits[i], true
		}
	}
	return nil, false
}

// Value finds a value of the trait by name.
func (t *Trait) Value(name string) (*TraitValue, bool) {
	for i := range t.Values {
		if t.Values[i].Name == name {
			return &t.Values[i], true
		}
	}
	return nil, false
}

// FindBody resolves a ready-made body or a casting; castings may build on
// castings, up to eight deep.
func (p *Project) FindBody(name string) (Body, bool) { return p.findBody(name, 8) }

func (p *Project) findBody(name string, depth int) (Body, bool) {
	for _, c := range p.Castings {
		if c.Name != name {
			continue
		}
		if depth == 0 {
			return Body{}, false
		}
		b, ok := p.findBody(c.Like, depth-1)
		if !ok {
			return Body{}, false
		}
		return vary(b, c.Name, c.Lacks, c.Adds), true
	}
	return ReadyBody(name)
}

// Shape is the form of headgear and coat of a casting, from itself or the
// casting it is like; empty for ready-made bodies.
func (p *Project) Shape(casting string) Shape {
	var out Shape
	for range 8 {
		i := slices.IndexFunc(p.Castings, func(c Casting) bool { return c.Name == casting })
		if i < 0 {
			return out
		}
		c := p.Castings[i]
		if out.Headgear == "" {
			out.Headgear = c.Headgear
		}
		if out.Cut == "" {
			out.Cut = c.Cut
		}
		casting = c.Like
	}
	return out
}

// vary takes areas off a body and adds others, keeping inside-before-outside
// relations to areas that are there.
func vary(b Body, name string, lacks []string, adds []AddsArea) Body {
	out := Body{Name: name}
	for _, a := range b.Areas {
		if !slices.Contains(lacks, a.Name) {
			out.Areas = append(out.Areas, a)
		}
	}
	for _, add := range adds {
		spec, known := catalogueAreaOn(b, add.Area)
		if !known {
			spec = AreaSpec{Name: add.Area, Part: PartMan, Fiddly: 1.3, Exposure: 0.5, Estimated: true}
		}
		if add.AreaMM2 > 0 {
			spec.AreaMM2 = add.AreaMM2
		}
		if add.Fiddly > 0 {
			spec.Fiddly = add.Fiddly
		}
		if len(add.Over) > 0 {
			spec.Over = add.Over
		}
		if i := slices.IndexFunc(out.Areas, func(a AreaSpec) bool { return a.Name == add.Area }); i >= 0 {
			out.Areas[i] = spec
		} else {
			out.Areas = append(out.Areas, spec)
		}
	}
	return out
}

// FindSingle finds what makes one figure of a unit differ, or nil.
func (u *Unit) FindSingle(role string, number int) *Single {
	for i := range u.Single {
		if u.Single[i].Role == role && u.Single[i].Number == number {
			return &u.Single[i]
		}
	}
	return nil
}

// Size is the number of figures in the unit.
func (u *Unit) Size() int {
	n := 0
	for _, r := range u.Roles {
		n += r.Count
	}
	return n
}

// FigureBody is the body of one figure: the unit's or role's casting with what
// role and figure lack or add, on the unit's base.
func (p *Project) FigureBody(u *Unit, r *Role, number int) (Body, bool) {
	name := u.Body
	if r.Body != "" {
		name = r.Body
	}
	b, ok := p.FindBody(name)
	if !ok {
		return Body{}, false
	}
	if len(r.Lacks)+len(r.Adds) > 0 {
		b = vary(b, b.Name, r.Lacks, r.Adds)
	}
	if s := u.FindSingle(r.Name, number); s != nil && len(s.Lacks)+len(s.Adds) > 0 {
		b = vary(b, b.Name, s.Lacks, s.Adds)
	}
	return onBase(b, u.Base, p.Size()), true
}

// onBase gives a body's base and its rim the size of a unit's bases, which are
// told in true millimetres, by those of the built-in castings. What a casting
// says of them itself stands.
func onBase(b Body, base BaseSize, size float64) Body {
	if base.WidthMM <= 0 || base.DepthMM <= 0 {
		return b
	}
	kind, built := BodyFoot, BaseSize{20, 20}
	if _, horse := b.Area("horse coat"); horse {
		kind, built = BodyMounted, BaseSize{25, 50}
	} else if _, gun := b.Area("barrel"); gun {
		kind, built = BodyGun, BaseSize{40, 70}
	}
	times := map[string]float64{
		"base":     base.WidthMM * base.DepthMM / (built.WidthMM * built.DepthMM),
		"base rim": (base.WidthMM + base.DepthMM) / (built.WidthMM + built.DepthMM),
	}
	b.Areas = slices.Clone(b.Areas)
	for i := range b.Areas {
		a := &b.Areas[i]
		if by, ok := times[a.Name]; ok && a.AreaMM2 == measurements()[[2]string{kind, a.Name}].mm2 {
			a.AreaMM2 *= SquareMillimetres(by / Scale(size))
		}
	}
	return b
}

// Chosen says which finish an area of a figure gets and which rule said so.
type Chosen struct {
	Finish string
	// From is "figure", "role", "trait" or "unit"; empty when nothing was said.
	From string
	// Path is the place of that rule in the project file.
	Path string
}

// Choose resolves the finish of one area of one figure. The figure's own word
// stands above its role's, that above the traits it was dealt, that above the
// unit's default. An area no rule speaks of is left as undercoated.
func (p *Project) Choose(u *Unit, r *Role, number int, traits map[string]string, area string) Chosen {
	if s := u.FindSingle(r.Name, number); s != nil {
		if f, ok := s.Scheme[area]; ok {
			return Chosen{f, "figure", Pointer("units", u.Name, "single", SingleName(s.Role, s.Number), "scheme", area)}
		}
	}
	if f, ok := r.Scheme[area]; ok {
		return Chosen{f, "role", Pointer("units", u.Name, "figures", r.Name, "scheme", area)}
	}
	for _, name := range u.Traits {
		if t, ok := p.FindTrait(name); ok {
			if v, ok := t.Value(traits[name]); ok {
				if f, ok := v.Scheme[area]; ok {
					return Chosen{f, "trait", Pointer("traits", name, "values", v.Name, "scheme", area)}
				}
			}
		}
	}
	if f, ok := u.Scheme[area]; ok {
		return Chosen{f, "unit", Pointer("units", u.Name, "scheme", area)}
	}
	return Chosen{Finish: LeaveFinish}
}

// SingleName is how one figure is written in a project file: "trooper 3".
func SingleName(role string, number int) string {
	return role + " " + strconv.Itoa(number)
}

// UnitAt finds the unit and role a figure belongs to.
func (p *Project) UnitAt(id FigureID) (*Unit, *Role, bool) {
	for i := range p.Units {
		if p.Units[i].Name != id.Unit {
			continue
		}
		for j := range p.Units[i].Roles {
			if p.Units[i].Roles[j].Name == id.Role {
				return &p.Units[i], &p.Units[i].Roles[j], true
			}
		}
	}
	return nil, nil, false
}
