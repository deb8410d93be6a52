package facings

import (
	"fmt"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

// flag checks a unit's flag.
func (c *checker) flag(path string, u *Unit) {
	f := u.Flag
	if f == nil {
		return
	}
	at := path + "/flag"
	for _, x := range []struct {
		field, what string
		mm          float64
	}{{"fly_mm", "fly", f.FlyMM}, {"hoist_mm", "hoist", f.HoistMM}} {
		if !(x.mm >= 50 && x.mm <= 10_000) {
			c.fault("flag-size", at+Pointer(x.field), number(x.mm), fmt.Sprintf("the %s of the flag is %s mm", x.what, number(x.mm)), "write the real flag's millimetres, not the model's: a cavalry standard is about 700 × 700")
		}
	}
	c.between("pole-range", at+"/pole_mm", "the model's flag pole", f.PoleMM, 0.2, 20, "mm thick")
	role := f.Role
	if role == "" {
		role = RoleStandardBearer
	}
	if u.role(role) == nil {
		c.unknownRole(at+"/role", role, "the flag is carried by", u)
	}
	if f.Shape != "" && !slices.Contains(FlagShapes(), f.Shape) {
		c.unknown("unknown-flag-shape", at+"/shape", f.Shape, fmt.Sprintf("%q is no shape of a flag", f.Shape), FlagShapes(), "the shapes are")
	}
	if len(f.Parts) > 0 && f.Picture != "" {
		c.fault("flag-both", at+"/picture", f.Picture, "the flag has both parts and a picture", "print one of the two: take the parts or the picture out")
	}
	if f.Picture == "" && f.PictureReverse != "" {
		c.fault("flag-reverse", at+"/picture_reverse", f.PictureReverse, "the reverse has a picture but the obverse has none", "give the obverse's as picture")
	}
	c.flagPicture(at+"/picture", f.Picture)
	c.flagPicture(at+"/picture_reverse", f.PictureReverse)
	if len(f.Parts) > MaxFlagParts {
		c.fault("flag-parts", at+"/parts", strconv.Itoa(len(f.Parts)), fmt.Sprintf("the flag has %d parts", len(f.Parts)), fmt.Sprintf("at most %d can be printed; draw it as a picture instead", MaxFlagParts))
		return
	}
	for i := range f.Parts {
		c.flagPart(at+Pointer("parts", strconv.Itoa(i)), &f.Parts[i])
	}
}

// flagPicture allows files beside the project or in folders below, never others.
func (c *checker) flagPicture(path, name string) {
	if name == "" {
		return
	}
	kind := strings.ToLower(filepath.Ext(name))
	if !filepath.IsLocal(name) || strings.Contains(name, "\\") || !slices.Contains([]string{".svg", ".png", ".jpg", ".jpeg"}, kind) {
		c.fault("flag-picture", path, name, fmt.Sprintf("%q is no picture beside the project", name), "give the name of an .svg, .png or .jpg file that lies beside the project")
	}
}

// flagPart checks one part of a flag's design.
func (c *checker) flagPart(path string, x *FlagPart) {
	spec, ok := FlagPartNamed(x.Part)
	if !ok {
		var names []string
		for _, s := range FlagParts() {
			names = append(names, s.Part)
		}
		c.unknown("unknown-flag-part", path+"/part", x.Part, fmt.Sprintf("%q is no part of a flag", x.Part), names, "the parts are")
		return
	}
	c.flagColours(path, x, spec)
	for _, r := range []struct {
		field, what string
		x           float64
		low, high   float64
		unit        string
	}{
		{"x", "the place along the fly", deref(x.X, 50), -20, 120, "% from the pole"},
		{"y", "the place down the hoist", deref(x.Y, 50), -20, 120, "% from the top"},
		{"size", "the size", x.Size, 1, 200, "% of the hoist"},
		{"turn_deg", "the turn", x.TurnDeg, -360, 360, "degrees"},
		{"pieces", "the number of pieces", float64(x.Pieces), 2, 48, "pieces"},
	} {
		if r.x != 0 || r.field == "x" || r.field == "y" {
			if !(r.x >= r.low && r.x <= r.high) {
				c.fault("flag-part-range", path+Pointer(r.field), number(r.x), fmt.Sprintf("%s of the %s is %s", r.what, x.Part, number(r.x)),
					fmt.Sprintf("it runs from %s to %s %s", number(r.low), number(r.high), r.unit))
			}
		}
	}
	switch {
	case spec.Text && strings.TrimSpace(x.Text) == "":
		c.fault("flag-text", path, "", fmt.Sprintf("the %s has no text", x.Part), "add text: …")
	case !spec.Text && x.Text != "":
		c.fault("flag-text", path+"/text", x.Text, fmt.Sprintf("a %s bears no text", x.Part), "use part: lettering or part: ribbon for it")
	case utf8.RuneCountInString(x.Text) > 60:
		c.fault("flag-text", path+"/text", x.Text, "the text is longer than 60 letters, which nobody reads on a model", "shorten it, or split it over two parts")
	}
}

func deref(x *float64, otherwise float64) float64 {
	if x == nil {
		return otherwise
	}
	return *x
}

// flagColours checks a part's division and colours.
func (c *checker) flagColours(path string, x *FlagPart, spec FlagPartSpec) {
	fewest, most := 1, spec.Colours
	switch {
	case x.Division != "" && x.Part != "field":
		c.fault("flag-division", path+"/division", x.Division, fmt.Sprintf("a %s is not divided, only a field is", x.Part), "take division out, or lay the parts one by one")
	case x.Part == "field":
		name := x.Division
		if name == "" {
			name = "plain"
		}
		i := slices.IndexFunc(Divisions(), func(d Division) bool { return d.Name == name })
		if i < 0 {
			var names []string
			for _, d := range Divisions() {
				names = append(names, d.Name)
			}
			c.unknown("unknown-division", path+"/division", name, fmt.Sprintf("no field is divided %q", name), names, "the divisions are")
			break
		}
		fewest, most = Divisions()[i].Fewest, Divisions()[i].Most
	}
	if n := len(x.Colours); n < fewest || n > most {
		takes := fmt.Sprintf("%d to %d colours", fewest, most)
		switch {
		case fewest == most && fewest == 1:
			takes = "one colour"
		case fewest == most:
			takes = fmt.Sprintf("%d colours", most)
		}
		c.fault("flag-colours", path, strconv.Itoa(n), fmt.Sprintf("the %s has %d colours, but takes %s", x.Part, n, takes), "write them as colours: [red, …]")
	}
	for i, name := range x.Colours {
		if c.finishes[name] != nil || c.mixes[name] != nil || c.paints[name] != nil || isHex(name) ||
			slices.ContainsFunc(Tinctures(), func(t Tincture) bool { return t.Name == name }) {
			continue
		}
		known := slices.Concat(c.finishNames, c.mixNames, c.paintNames)
		for _, t := range Tinctures() {
			known = append(known, t.Name)
		}
		c.unknown("unknown-flag-colour", path+Pointer("colours", strconv.Itoa(i)), name,
			fmt.Sprintf("%q is no colour: neither a finish, a mix, a paint, a tincture nor \"#rrggbb\"", name), known, "known here are")
	}
}
