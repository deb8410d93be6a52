package facings

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
)

// unitList checks the units.
func (c *checker) unitList() {
	if len(c.p.Units) == 0 {
		c.fault("no-units", Pointer("units"), "", "there are no units", "add one under units, with a body and figures")
	}
	var names []string
	for i := range c.p.Units {
		u := &c.p.Units[i]
		names = append(names, u.Name)
		c.unit(Pointer("units", u.Name), u)
	}
	c.names(Pointer("units"), "unit", names)
}

func (c *checker) unit(path string, u *Unit) {
	if u.Batch != "" {
		c.name(path+"/batch", "batch", u.Batch)
	}
	if u.Body == "" {
		c.fault("no-body", path+"/body", "", fmt.Sprintf("the unit %q does not say its body", u.Name), "add body: foot, mounted, gun or a casting")
	} else if !c.knownBody(u.Body) {
		c.unknownBody(path+"/body", u.Body, fmt.Sprintf("the unit %q has the body", u.Name))
	}
	c.roles(path, u)
	if u.Ranks < 0 || (u.Ranks > 1 && u.Ranks > u.Size()) {
		c.fault("ranks-range", path+"/ranks", strconv.Itoa(u.Ranks), fmt.Sprintf("%d figures cannot stand in %d ranks", u.Size(), u.Ranks), "write 1, 2 or 3")
	}
	c.baseSize(path+"/base", u.Base)
	c.unitTraits(path, u)
	c.singles(path, u)
	groups, complete := c.groups(u)
	on := map[string]bool{}
	for _, g := range groups {
		for _, a := range g.body.Areas {
			on[a.Name] = true
		}
	}
	if !complete {
		on = nil
	}
	c.scheme(path+"/scheme", u.Scheme, on)
	if complete {
		c.unspoken(path, u, groups)
	}
	c.fixedPairs(path, u, groups)
	c.flag(path, u)
	if u.ReadyBy != "" {
		c.readyBy(path+"/ready_by", u.ReadyBy)
	}
	c.between("worth-range", path+"/worth", "worth", u.Worth, 0.01, MaxWorth, "(1 is usual)")
}

// knownBody reports whether a body of that name exists, whole or not.
func (c *checker) knownBody(name string) bool {
	_, whole := c.body(name)
	return whole || c.castings[name] != nil
}

// roles checks the figures of a unit by role.
func (c *checker) roles(path string, u *Unit) {
	if len(u.Roles) == 0 {
		c.fault("no-figures", path+"/figures", "", fmt.Sprintf("the unit %q has no figures", u.Name), "write how many of each, as in figures: {officer: 1, trooper: 11}")
	}
	var names []string
	for i := range u.Roles {
		r := &u.Roles[i]
		names = append(names, r.Name)
		at := path + "/figures" + Pointer(r.Name)
		if r.Count < 1 || r.Count > MaxFigures {
			c.fault("count-range", at+"/count", strconv.Itoa(r.Count), fmt.Sprintf("there are %d figures of the role %q", r.Count, r.Name), fmt.Sprintf("write a whole number from 1 to %d, or take the role out", MaxFigures))
		}
		if r.Body != "" && !c.knownBody(r.Body) {
			c.unknownBody(at+"/body", r.Body, fmt.Sprintf("the role %q has the body", r.Name))
		}
		c.fixed(at, u, r.Traits, r.Name)
		base, ok := c.body(bodyOf(u, r))
		if !ok {
			c.scheme(at+"/scheme", r.Scheme, nil)
			continue
		}
		c.vary(at, r.Lacks, r.Adds, base)
		on := areasOf(varied(base, r.Lacks, r.Adds))
		for _, s := range u.Single {
			if s.Role == r.Name {
				for _, a := range s.Adds {
					on[a.Area] = true
				}
			}
		}
		c.scheme(at+"/scheme", r.Scheme, on)
	}
	c.names(path+"/figures", "role", names)
}

// bodyOf is the name of a role's body.
func bodyOf(u *Unit, r *Role) string {
	if r.Body != "" {
		return r.Body
	}
	return u.Body
}

// varied is vary for the many figures that lack and add nothing.
func varied(b *Body, lacks []string, adds []AddsArea) Body {
	if len(lacks)+len(adds) == 0 {
		return *b
	}
	return vary(*b, b.Name, lacks, adds)
}

func areasOf(b Body) map[string]bool {
	out := map[string]bool{}
	for _, a := range b.Areas {
		out[a.Name] = true
	}
	return out
}

// singles checks what makes single figures differ.
func (c *checker) singles(path string, u *Unit) {
	seen := map[string]bool{}
	for i := range u.Single {
		s := &u.Single[i]
		name := SingleName(s.Role, s.Number)
		at := path + "/single" + Pointer(name)
		if seen[name] {
			c.fault("duplicate-name", at, name, fmt.Sprintf("%q is spoken of twice", name), "join the two entries")
		}
		seen[name] = true
		r := u.role(s.Role)
		if r == nil {
			c.unknownRole(at, s.Role, fmt.Sprintf("%q speaks of", name), u)
			c.scheme(at+"/scheme", s.Scheme, nil)
			continue
		}
		if r.Count > 0 && (s.Number < 1 || s.Number > r.Count) { // of a count that cannot be, it is said elsewhere
			c.fault("no-such-figure", at, name, fmt.Sprintf("there is no %s: the role %q has %d", name, s.Role, r.Count), fmt.Sprintf("count from 1 to %d", r.Count))
		}
		c.fixed(at, u, s.Traits, name)
		base, ok := c.body(bodyOf(u, r))
		if !ok {
			c.scheme(at+"/scheme", s.Scheme, nil)
			continue
		}
		own := varied(base, r.Lacks, r.Adds)
		c.vary(at, s.Lacks, s.Adds, &own)
		c.scheme(at+"/scheme", s.Scheme, areasOf(varied(&own, s.Lacks, s.Adds)))
	}
}

// role finds a role of the unit by name, or nil.
func (u *Unit) role(name string) *Role {
	for i := range u.Roles {
		if u.Roles[i].Name == name {
			return &u.Roles[i]
		}
	}
	return nil
}

func (c *checker) unknownRole(path, role, before string, u *Unit) {
	var known []string
	for _, r := range u.Roles {
		known = append(known, r.Name)
	}
	c.unknown("unknown-role", path, role, fmt.Sprintf("%s %q, which is no role of the unit %q", before, role, u.Name), known, "its roles are")
}

func (c *checker) baseSize(path string, b BaseSize) {
	if (b.WidthMM == 0) != (b.DepthMM == 0) {
		c.fault("base-range", path, "", "the base has a width or a depth, but not both", "write {width_mm: 25, depth_mm: 50}")
	}
	c.between("base-range", path+"/width_mm", "the base's width", b.WidthMM, 2, 500, "mm")
	c.between("base-range", path+"/depth_mm", "the base's depth", b.DepthMM, 2, 500, "mm")
}

// unitTraits checks which traits a unit's figures differ in and their shares.
func (c *checker) unitTraits(path string, u *Unit) {
	c.doubles(path+"/traits", "traits", u.Traits)
	for i, name := range u.Traits {
		t := c.traits[name]
		if t == nil {
			c.unknownTrait(path+"/traits"+Pointer(strconv.Itoa(i)), name, "the unit's figures differ in")
			continue
		}
		c.shares(path, i, u, t)
	}
	for _, name := range sortedKeys(u.Shares) {
		at := path + "/shares" + Pointer(name)
		t := c.traits[name]
		switch {
		case t == nil:
			c.unknownTrait(at, name, "shares are given for")
			continue
		case !slices.Contains(u.Traits, name):
			c.fault("trait-not-dealt", at, name, fmt.Sprintf("shares of %q are given, but the unit's traits do not list it", name), fmt.Sprintf("add %s to the unit's traits", name))
		}
		for _, value := range sortedKeys(u.Shares[name]) {
			if _, ok := t.Value(value); !ok {
				c.unknownValue(at+Pointer(value), value, t)
			}
			c.share(at+Pointer(value), value, u.Shares[name][value])
		}
	}
}

// shares checks that a trait can be dealt to a unit as wanted.
func (c *checker) shares(path string, index int, u *Unit, t *Trait) {
	at := path + "/traits" + Pointer(strconv.Itoa(index))
	if _, own := u.Shares[t.Name]; own {
		at = path + "/shares" + Pointer(t.Name)
	}
	total := 0.0
	for _, v := range t.Values {
		total += max(t.ShareOf(u, v.Name), 0)
	}
	fixed, count := fixedCounts(u, t.Name)
	size := u.Size()
	if size < 1 {
		return // a count that cannot be is said elsewhere
	}
	if !(total > 0) {
		if count < size && len(t.Values) > 0 {
			c.fault("shares-all-zero", at, t.Name, fmt.Sprintf("all shares of %q are 0, so no figure of %q can have any of its values", t.Name, u.Name), "give at least one value a share")
		}
		return
	}
	if math.IsInf(total, 0) {
		return
	}
	for _, v := range t.Values {
		share := t.ShareOf(u, v.Name)
		allowed := int(math.Ceil(float64(size)*share/total - 1e-9))
		if share > 0 && fixed[v.Name] > allowed {
			c.warn("shares-not-met", at, v.Name, fmt.Sprintf("%d figures of %q have the %s %s fixed, by their role or one by one, but its share of the %d is %d at most", fixed[v.Name], u.Name, t.Name, v.Name, size, allowed),
				"raise its share, or fix it for fewer figures")
		}
	}
}

// fixedCounts counts the figures of a unit whose value of a trait is fixed by
// role or singly: per value, and all together.
func fixedCounts(u *Unit, trait string) (perValue map[string]int, all int) {
	perValue = map[string]int{}
	for _, r := range u.Roles {
		n := r.Count
		for _, s := range u.Single {
			if value, ok := s.Traits[trait]; ok && s.Role == r.Name && s.Number >= 1 && s.Number <= r.Count {
				perValue[value]++
				all++
				n--
			}
		}
		if value, ok := r.Traits[trait]; ok && n > 0 {
			perValue[value] += n
			all += n
		}
	}
	return perValue, all
}

// fixed checks trait values fixed for a role or a figure.
func (c *checker) fixed(path string, u *Unit, values map[string]string, whose string) {
	for _, name := range sortedKeys(values) {
		at := path + "/traits" + Pointer(name)
		t := c.traits[name]
		switch {
		case t == nil:
			c.unknownTrait(at, name, whose+" has a fixed")
			continue
		case !slices.Contains(u.Traits, name):
			c.fault("trait-not-dealt", at, name, fmt.Sprintf("%q is fixed for %s, but the unit's traits do not list it", name, whose), fmt.Sprintf("add %s to the unit's traits", name))
		}
		if _, ok := t.Value(values[name]); !ok {
			c.unknownValue(at, values[name], t)
		}
	}
}

// group is figures of a unit that are alike before traits are dealt: a role's,
// or one figure that differs.
type group struct {
	role   *Role
	single *Single // nil for the role's plain figures
	body   Body
}

// path is where the group is spoken of in the file.
func (g group) path(unit string) string {
	if g.single != nil {
		return unit + "/single" + Pointer(SingleName(g.single.Role, g.single.Number))
	}
	return unit + "/figures" + Pointer(g.role.Name)
}

// groups lists a unit's groups; false when a body is not known.
func (c *checker) groups(u *Unit) ([]group, bool) {
	var out []group
	complete := len(u.Roles) > 0
	for i := range u.Roles {
		r := &u.Roles[i]
		base, ok := c.body(bodyOf(u, r))
		if !ok {
			complete = false
			continue
		}
		own := varied(base, r.Lacks, r.Adds)
		out = append(out, group{role: r, body: own})
		for j := range u.Single {
			if s := &u.Single[j]; s.Role == r.Name {
				out = append(out, group{role: r, single: s, body: varied(&own, s.Lacks, s.Adds)})
			}
		}
	}
	return out, complete
}

// unspoken warns once of all areas that no rule speaks of. A flag is printed,
// and a base gets its texture from the closing steps.
func (c *checker) unspoken(path string, u *Unit, groups []group) {
	said := map[string]bool{"flag": true}
	for area := range u.Scheme {
		said[area] = true
		if !c.areas[area] { // misspelt, and reported as that
			said[c.nearest(area, c.areaNames)] = true
		}
	}
	for _, s := range c.p.Ending {
		if s.Step == EndBase {
			said["base"] = true
		}
	}
	for _, name := range u.Traits {
		if t := c.traits[name]; t != nil {
			for _, v := range t.Values {
				for area := range v.Scheme {
					said[area] = true
				}
			}
		}
	}
	var bare []string
	for _, g := range groups {
		for _, a := range g.body.Areas {
			_, role := g.role.Scheme[a.Name]
			single := false
			if g.single != nil {
				_, single = g.single.Scheme[a.Name]
			}
			if !said[a.Name] && !role && !single {
				bare = append(bare, a.Name)
				said[a.Name] = true // listed
			}
		}
	}
	if len(bare) == 0 {
		return
	}
	what := fmt.Sprintf("%d areas, which stay as undercoated: ", len(bare))
	if len(bare) == 1 {
		what = "one area, which stays as undercoated: "
	}
	c.warn("unspoken-areas", path+"/scheme", "", fmt.Sprintf("nothing is said of %q about %s%s", u.Name, what, strings.Join(bare, ", ")),
		"give each a finish, or \"leave\" where that is meant; lacks: takes areas off that the casting does not have")
}

// fixedPairs finds forbidden pairs that a role or a figure is given.
func (c *checker) fixedPairs(path string, u *Unit, groups []group) {
	for _, g := range groups {
		values := maps.Clone(g.role.Traits)
		if g.single != nil && len(g.single.Traits) > 0 {
			if values == nil {
				values = map[string]string{}
			}
			maps.Copy(values, g.single.Traits)
		} else if g.single != nil {
			continue // the role's own, reported there
		}
		for _, name := range sortedKeys(values) {
			t := c.traits[name]
			if t == nil || !slices.Contains(u.Traits, name) {
				continue
			}
			for _, x := range t.Forbid {
				if x.Value == values[name] && x.With == values[x.Trait] {
					c.fault("fixed-forbidden", g.path(path)+"/traits", values[name], fmt.Sprintf("the %s is fixed as %s and the %s as %s, which the trait %q forbids together", name, x.Value, x.Trait, x.With, name), "fix only one of them, or allow the pair")
				}
			}
		}
	}
}
