package facings

// ReadyTrait is a built-in table of shares and pairs for a trait.
type ReadyTrait struct {
	Name  string
	About string
	// Shares gives the usual share per value name, in percent.
	Shares map[string]float64
	// Apart lists pairs of a value of this trait with a value of a mane and
	// tail trait that do not occur together.
	Apart [][2]string
	// Together lists pairs that are usual.
	Together [][2]string
}

// Names of the ready-made traits.
const (
	ReadyRealisticCoats = "realistic coats"
	ReadyFreeCrossing   = "free crossing"
	ReadyHair           = "northern hair"
	ReadyFaces          = "horse faces"
)

// ReadyTraits lists the built-in tables.
//
// Realistic coats follow what coats go with what manes (standard texts on
// equine coat colour: a bay, a black and a dun have black mane and tail, a
// chestnut never has); the shares are estimates for a mixed unit. A free
// crossing makes every body colour go with every mane colour in equal shares,
// which is enough to make two dozen horses differ (common practice).
func ReadyTraits() []ReadyTrait {
	return []ReadyTrait{
		{
			Name:  ReadyRealisticCoats,
			About: "horse coats in the shares of a mixed unit, with manes as nature gives them",
			Shares: map[string]float64{"bay": 45, "dark bay": 20, "chestnut": 20, "black": 8, "grey": 4, "roan": 2,
				"dun": 1, "palomino": 0.5},
			Apart: [][2]string{
				{"bay", "chestnut"}, {"bay", "flaxen"}, {"bay", "white"}, {"bay", "dark grey"},
				{"dark bay", "chestnut"}, {"dark bay", "flaxen"}, {"dark bay", "white"}, {"dark bay", "dark grey"},
				{"chestnut", "black"}, {"chestnut", "white"}, {"chestnut", "dark grey"},
				{"black", "chestnut"}, {"black", "flaxen"}, {"black", "white"}, {"black", "dark grey"},
				{"grey", "chestnut"}, {"grey", "flaxen"}, {"grey", "black"},
				{"roan", "flaxen"}, {"roan", "white"},
				{"dun", "chestnut"}, {"dun", "flaxen"}, {"dun", "white"}, {"dun", "dark grey"},
				{"palomino", "black"}, {"palomino", "chestnut"}, {"palomino", "dark grey"},
			},
			Together: [][2]string{{"chestnut", "chestnut"}, {"grey", "white"}, {"palomino", "white"}},
		},
		{Name: ReadyFreeCrossing, About: "every value as often as every other, and with every other trait's"},
		{
			Name:   ReadyHair,
			About:  "men's hair as in northern Europe",
			Shares: map[string]float64{"brown": 55, "dark": 25, "fair": 17, "red": 3},
		},
		{
			Name:   ReadyFaces,
			About:  "white markings on horses' faces",
			Shares: map[string]float64{"none": 45, "star": 30, "blaze": 18, "snip": 7},
		},
	}
}

// FindReadyTrait finds a built-in table by name.
func FindReadyTrait(name string) (ReadyTrait, bool) {
	for _, r := range ReadyTraits() {
		if r.Name == name {
			return r, true
		}
	}
	return ReadyTrait{}, false
}

// ShareOf is the share wanted of a value in a unit: the unit's own word, else
// the value's, else the ready-made table's, else 1 (relative to the others).
func (t *Trait) ShareOf(u *Unit, value string) float64 {
	if own, ok := u.Shares[t.Name]; ok {
		// A unit that speaks of a trait's shares speaks of all of them.
		return own[value]
	}
	v, ok := t.Value(value)
	if !ok {
		return 0
	}
	if v.Share != nil {
		return *v.Share
	}
	if r, ok := FindReadyTrait(t.ReadyMade); ok && r.Shares != nil {
		if s, ok := r.Shares[value]; ok {
			return s
		}
	}
	return 1
}
