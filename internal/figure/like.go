package figure

import (
	"math"
	"slices"

	"facings"
)

// Hints say of a project's casting what its list of areas cannot: the shape of
// the headgear and the cut of the coat, as in Headgear and Coat. Empty fields
// are told from the areas.
type Hints struct {
	Headgear Headgear
	Coat     Coat
}

// Like returns the built-in casting that is most like a body of a project: its
// areas decide dress and arms, its role the pose. number is the figure's number
// within its role; men of one role may stand differently.
func Like(b facings.Body, role string, number int, hints Hints) Spec {
	has := func(area string) bool { _, ok := b.Area(area); return ok }
	s := Spec{Kind: Foot}
	switch {
	case has("barrel") && !has("face"):
		return Spec{Kind: Gun}
	case has("horse coat"):
		s.Kind = Mounted
		s.Gait = Standing
		if number%2 == 0 {
			s.Gait = Walking
		}
	}
	s.Pose = poseOf(s.Kind, role, number, has)
	s.Dress = dressOf(s.Kind, has)
	s.Dress.Headgear, s.Dress.Coat = headgearOf(has), coatOf(has)
	if hints.Headgear != "" {
		s.Dress.Headgear = hints.Headgear
	}
	if hints.Coat != "" {
		s.Dress.Coat = hints.Coat
	}
	// What the body has not, the casting is to lack, whatever dress brings it.
	for _, area := range AreaNames() {
		if !has(area) && !slices.Contains([]string{"base", "base rim", "flag", "hands"}, area) {
			s.Lacks = append(s.Lacks, area)
		}
	}
	return s
}

func poseOf(k Kind, role string, number int, has func(string) bool) Pose {
	switch {
	case has("flag pole"):
		return Standard
	case has("drum shell"):
		return Drum
	case has("trumpet"):
		return Trumpet
	case has("gun tool"):
		return []Pose{Ram, Linstock, Handspike}[number%3]
	case has("lance shaft") && k == Mounted:
		return Lance
	case k == Mounted && has("sword blade") && role == facings.RoleOfficer:
		return Command
	case k == Mounted && has("sword blade"):
		return Sabre
	case k == Mounted && has("musket stock"):
		return Carbine
	case k == Mounted:
		return Sabre
	case has("sword blade"):
		return Command
	case has("musket stock"):
		return []Pose{March, Shoulder}[number%2]
	}
	return Command
}

func dressOf(k Kind, has func(string) bool) Dress {
	d := Dress{
		Plume: has("plume"), Cockade: has("cockade"), Lapels: has("lapels"), Turnbacks: has("turnbacks"),
		Epaulettes: has("shoulder straps"), Lace: has("jacket lace"), Buttons: has("buttons"), OverJacket: has("over-jacket"),
		Breastplate: has("breastplate"), Sash: has("sash"), Stripe: has("breeches stripe"), Gloves: has("gloves"),
		CrossStraps: has("cross straps"), WaistBelt: has("waist belt"), Pouch: has("pouch"), Pack: has("pack"),
		Bedroll: has("bedroll"), Haversack: has("haversack"), Canteen: has("canteen"), Sword: has("scabbard"),
		Moustache: has("moustache"), Carbine: k == Mounted && has("musket stock") && has("sword blade"),
	}
	switch {
	case has("boots"):
		d.Footwear = Boots
	case has("gaiters"):
		d.Footwear = Gaiters
	default:
		d.Footwear = Shoes
	}
	return d
}

func headgearOf(has func(string) bool) Headgear {
	switch {
	case !has("hat"):
		return BareHead
	case has("over-jacket"):
		return Shako
	case has("fur"):
		return FurCap
	case has("breastplate"), has("plume") && has("lapels") && has("horse coat"):
		return Helmet
	case has("plume"):
		return Shako
	}
	return CockedHat
}

func coatOf(has func(string) bool) Coat {
	switch {
	case has("over-jacket"), has("jacket lace") && !has("lapels"):
		return LacedCoat
	case has("turnbacks") && has("lapels"):
		return LongCoat
	case has("turnbacks"):
		return TailedCoat
	}
	return ShortCoat
}

// Slowness turns an area's fiddliness (0 to 1, see AreaMeasure) into the factor
// by which its surface takes longer to paint than a smooth open one of the same
// size: about 1 for the flank of a horse or the skirt of a coat, 2 to 3 for lace
// and eyes (an estimate, fitted to the trade's minutes per figure).
func Slowness(fiddly float64) float64 { return math.Exp(2.2 * (fiddly - 0.25)) }
