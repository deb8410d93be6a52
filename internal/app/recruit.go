package app

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"facings"
	"facings/internal/projectfile"
)

// Recruit is what a newcomer is asked on the guided way from nothing to a first
// plan. Everything but the body may be left empty and takes the usual.
type Recruit struct {
	Project  string            `json:"project,omitempty"` // its name; the unit's by default
	Name     string            `json:"name,omitempty"`    // of the unit
	Body     string            `json:"body"`              // foot, mounted or gun
	Headgear string            `json:"headgear,omitempty"`
	Cut      string            `json:"cut,omitempty"`
	SizeMM   float64           `json:"size_mm,omitempty"`
	Figures  []RecruitRole     `json:"figures,omitempty"`
	Ranks    int               `json:"ranks,omitempty"`
	Base     facings.BaseSize  `json:"base,omitzero"`
	Colours  map[string]string `json:"colours,omitempty"` // by the key of a RecruitArea: "#rrggbb" or a plain name
	Horses   string            `json:"horses,omitempty"`  // see RecruitChoices.Horses
	Flag     *RecruitFlag      `json:"flag,omitempty"`    // nil for none
	// Evenings is how many there are in a week, three by default.
	Evenings int    `json:"evenings_per_week,omitempty"`
	Start    string `json:"start,omitempty"`    // date; the day of planning by default
	ReadyBy  string `json:"ready_by,omitempty"` // date
	Zone     string `json:"zone,omitempty"`     // IANA
}

// RecruitRole is so many figures of a role.
type RecruitRole struct {
	Role  string `json:"role"`
	Count int    `json:"count"`
}

// RecruitFlag is a plain flag: how its field is divided and in what colours.
type RecruitFlag struct {
	Division string   `json:"division,omitempty"` // see facings.Divisions; plain by default
	Colours  []string `json:"colours"`            // "#rrggbb" or plain names
	FlyMM    float64  `json:"fly_mm,omitempty"`   // real size; a large colour of foot or a small standard of horse by default
	HoistMM  float64  `json:"hoist_mm,omitempty"`
}

// RecruitFaults are the answers that cannot be taken, each with its place in
// the Recruit as a JSON Pointer ("/colours/coat"). It wraps ErrFaulty.
type RecruitFaults struct{ Findings facings.Diagnostics }

func (f *RecruitFaults) Error() string { return f.Findings.Error() }

// Unwrap makes errors.Is(err, ErrFaulty) true.
func (f *RecruitFaults) Unwrap() error { return ErrFaulty }

// RecruitChoices are the options of the guided way.
type RecruitChoices struct {
	Bodies    []RecruitOption               `json:"bodies"`
	Headgears []string                      `json:"headgears"`
	Cuts      []string                      `json:"cuts"`
	Horses    []RecruitOption               `json:"horses"`
	Areas     []RecruitArea                 `json:"areas"`
	Roles     map[string][]RecruitRole      `json:"figures"` // usual numbers by body
	Bases     map[string][]facings.BaseSize `json:"bases"`   // by body, the usual first
	Colours   []RecruitColour               `json:"colours"` // plain names with what they mean
	Divisions []facings.Division            `json:"divisions"`
}

// RecruitOption is one value to choose, and what it is in plain words.
type RecruitOption struct {
	Value string `json:"value"`
	About string `json:"about"`
}

// RecruitColour is a plain name with the colour it stands for.
type RecruitColour struct {
	Name string `json:"name"`
	Hex  string `json:"hex"`
}

// RecruitChoices lists the options of the guided way.
func (a *App) RecruitChoices() RecruitChoices {
	c := RecruitChoices{
		Bodies: []RecruitOption{
			{facings.BodyFoot, "foot soldiers with muskets"}, {facings.BodyMounted, "horse and rider"},
			{facings.BodyGun, "a gun with its crew on foot"}},
		Headgears: facings.Headgears(), Cuts: facings.Cuts(), Horses: horseOptions(), Areas: recruitAreas(),
		Roles: map[string][]RecruitRole{}, Bases: map[string][]facings.BaseSize{}, Colours: plainColours(), Divisions: facings.Divisions(),
	}
	for _, b := range c.Bodies {
		c.Roles[b.Value] = usualFigures(b.Value)
		c.Bases[b.Value] = usualBases(b.Value)
	}
	return c
}

// Recruit builds a whole project from a newcomer's answers and returns it with
// its file's text. Colours become the nearest single paint of the starter rack,
// or the best mix of up to three where that comes nearer, with the distance and
// the reason in the file. What it builds has no faults.
func (a *App) Recruit(ctx context.Context, r Recruit) (*facings.Project, []byte, error) {
	return a.RecruitInto(ctx, nil, r)
}

// RecruitInto adds a unit to a copy of a project, sharing the paints, finishes,
// castings and traits that are there already. The calendar, size and project
// name of r are not used then.
func (a *App) RecruitInto(ctx context.Context, onto *facings.Project, r Recruit) (*facings.Project, []byte, error) {
	if found := r.check(onto); len(found) > 0 {
		return nil, nil, &RecruitFaults{found}
	}
	s, err := newSergeant(ctx, onto, r)
	if err != nil {
		return nil, nil, err
	}
	if err := s.muster(); err != nil {
		return nil, nil, err
	}
	text, err := projectfile.Marshal(s.p)
	if err != nil {
		return nil, nil, err
	}
	p, _, found := projectfile.Read("", text)
	if found.Faulty() {
		return nil, nil, &RecruitFaults{s.asAnswers(found)}
	}
	return p, text, nil
}

// asAnswers gives faults of the project that was built the places of the
// answers they come from; those that come from none keep theirs.
func (s *sergeant) asAnswers(found facings.Diagnostics) facings.Diagnostics {
	unit := facings.Pointer("units", s.unit.Name)
	for i := range found {
		f := &found[i]
		for _, place := range [][2]string{{"/calendar/start", "/start"}, {"/calendar/ready_by", "/ready_by"}, {"/calendar/zone", "/zone"},
			{unit + "/ranks", "/ranks"}, {unit + "/base", "/base"}, {unit + "/flag", "/flag"}, {unit + "/ready_by", "/ready_by"},
			{unit + "/figures", "/figures"}, {unit, "/name"}, {"/name", "/project"}} {
			if rest, ok := strings.CutPrefix(f.Path, place[0]); ok && (rest == "" || rest[0] == '/') {
				f.Path = place[1] + rest
				break
			}
		}
	}
	return found
}

// check finds every answer that cannot be taken.
func (r *Recruit) check(onto *facings.Project) facings.Diagnostics {
	var out facings.Diagnostics
	fault := func(id, value, message, hint string, path ...string) {
		out = append(out, facings.Diagnostic{ID: id, Severity: facings.Fault, Path: facings.Pointer(path...), Value: value, Message: message, Hint: hint})
	}
	oneOf := func(value string, list []string, what string, path string) {
		if value != "" && !slices.Contains(list, value) {
			hint := "one of: " + strings.Join(list, ", ")
			fault("unknown-"+path, value, fmt.Sprintf("unknown %s %q", what, value), hint, path)
		}
	}
	text := func(value string, path ...string) {
		if !utf8.ValidString(value) {
			fault("not-text", strings.ToValidUTF8(value, "?"), "this is not text", "write it in UTF-8", path...)
		}
	}
	text(r.Project, "project")
	text(r.Name, "name")
	text(r.Start, "start")
	text(r.ReadyBy, "ready_by")
	text(r.Zone, "zone")
	if r.Body == "" {
		fault("no-body", "", "no body is chosen", "foot, mounted or gun", "body")
	}
	oneOf(r.Body, []string{facings.BodyFoot, facings.BodyMounted, facings.BodyGun}, "body", "body")
	oneOf(r.Headgear, facings.Headgears(), "headgear", "headgear")
	oneOf(r.Cut, facings.Cuts(), "cut of coat", "cut")
	oneOf(r.Horses, optionValues(horseOptions()), "choice of horses", "horses")
	total := 0
	for i, role := range r.Figures {
		text(role.Role, "figures", fmt.Sprint(i), "role")
		if role.Count < 0 || role.Count > facings.MaxFigures {
			fault("count-range", fmt.Sprint(role.Count), fmt.Sprintf("%d figures of the role %q", role.Count, role.Role), fmt.Sprintf("0 to %d", facings.MaxFigures), "figures", fmt.Sprint(i), "count")
			continue
		}
		if role.Count > 0 && (strings.TrimSpace(role.Role) == "" || slices.ContainsFunc(r.Figures[:i], func(o RecruitRole) bool { return o.Role == role.Role && o.Count > 0 })) {
			fault("bad-name", role.Role, fmt.Sprintf("the role %q has no name or stands twice", role.Role), "give each role one name", "figures", fmt.Sprint(i), "role")
		}
		total += role.Count
	}
	if len(r.Figures) > 0 && total == 0 {
		fault("no-figures", "", "there are no figures", "give at least one", "figures")
	}
	if onto != nil {
		if slices.ContainsFunc(onto.Units, func(u facings.Unit) bool { return u.Name == r.Name }) && r.Name != "" {
			fault("duplicate-name", r.Name, fmt.Sprintf("the project has a unit called %q already", r.Name), "give this one another name", "name")
		}
	}
	for key, colour := range r.Colours {
		if !slices.ContainsFunc(recruitAreas(), func(a RecruitArea) bool { return a.Key == key }) {
			fault("unknown-area", key, fmt.Sprintf("no colour is asked for %q", key), "see the areas of the choices", "colours", key)
		} else if _, err := readColour(onto, colour); err != nil && strings.TrimSpace(colour) != "" {
			fault("unknown-colour", colour, err.Error(), "give #rrggbb or a plain name such as dark blue", "colours", key)
		}
	}
	if r.Flag != nil {
		r.checkFlag(onto, fault)
	}
	if r.Evenings < 0 || r.Evenings > 7 {
		fault("evenings-range", fmt.Sprint(r.Evenings), fmt.Sprintf("a week does not have %d evenings", r.Evenings), "1 to 7", "evenings_per_week")
	}
	slices.SortFunc(out, func(a, b facings.Diagnostic) int { return strings.Compare(a.Path, b.Path) })
	return out
}

func (r *Recruit) checkFlag(onto *facings.Project, fault func(id, value, message, hint string, path ...string)) {
	i := slices.IndexFunc(facings.Divisions(), func(d facings.Division) bool { return d.Name == r.Flag.division() })
	if i < 0 {
		fault("unknown-division", r.Flag.Division, fmt.Sprintf("unknown division of a field %q", r.Flag.Division), "plain, per pale, per fess, quarterly …", "flag", "division")
		return
	}
	d := facings.Divisions()[i]
	if n := len(r.Flag.Colours); n < d.Fewest || n > d.Most {
		fault("flag-colours", fmt.Sprint(n), fmt.Sprintf("a field %s has %d to %d colours, not %d", d.Name, d.Fewest, d.Most, n), "give as many colours", "flag", "colours")
	}
	for i, colour := range r.Flag.Colours {
		if _, err := readColour(onto, colour); err != nil {
			fault("unknown-colour", colour, err.Error(), "give #rrggbb or a plain name such as dark blue", "flag", "colours", fmt.Sprint(i))
		}
	}
}

// division is the flag's, or the one that goes with so many colours.
func (f *RecruitFlag) division() string {
	switch {
	case f.Division != "":
		return f.Division
	case len(f.Colours) == 2:
		return "per fess"
	case len(f.Colours) > 2:
		return "quarterly"
	}
	return "plain"
}

func optionValues(options []RecruitOption) []string {
	var out []string
	for _, o := range options {
		out = append(out, o.Value)
	}
	return out
}

func usualFigures(body string) []RecruitRole {
	switch body {
	case facings.BodyMounted:
		return []RecruitRole{{facings.RoleOfficer, 1}, {facings.RoleStandardBearer, 1}, {facings.RoleMusician, 1}, {facings.RoleTrooper, 9}}
	case facings.BodyGun:
		return []RecruitRole{{roleGun, 1}, {"gunner", 4}}
	}
	return []RecruitRole{{facings.RoleOfficer, 1}, {facings.RoleStandardBearer, 1}, {facings.RoleMusician, 1}, {"private", 21}}
}

// usualBases follow common practice at 28 mm.
func usualBases(body string) []facings.BaseSize {
	switch body {
	case facings.BodyMounted:
		return []facings.BaseSize{{WidthMM: 25, DepthMM: 50}, {WidthMM: 30, DepthMM: 60}}
	case facings.BodyGun:
		return []facings.BaseSize{{WidthMM: 20, DepthMM: 20}, {WidthMM: 60, DepthMM: 60}}
	}
	return []facings.BaseSize{{WidthMM: 20, DepthMM: 20}, {WidthMM: 25, DepthMM: 25}}
}

// evenings spreads so many sittings over the week.
func evenings(n int) []string {
	if n == 0 {
		n = 3
	}
	week := [][]string{{"wed"}, {"tue", "thu"}, {"mon", "wed", "fri"}, {"mon", "tue", "thu", "fri"}, {"mon", "tue", "wed", "thu", "fri"},
		{"mon", "tue", "wed", "thu", "fri", "sat"}, facings.Weekdays()}
	return week[n-1]
}
