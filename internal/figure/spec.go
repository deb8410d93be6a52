package figure

import (
	"fmt"
	"slices"
	"strings"
)

// Kind is the body: foot soldier, mounted soldier, or the gun alone.
type Kind string

// The built-in bodies.
const (
	Foot    Kind = "foot"
	Mounted Kind = "mounted"
	Gun     Kind = "gun"
)

// Pose is what a man does; which poses fit depends on the body.
type Pose string

// The poses. Those after Sabre are for the mounted, the rest for foot.
const (
	Shoulder  Pose = "shoulder"  // at attention, shouldered arms
	March     Pose = "march"     // marching, shouldered arms
	Fire      Pose = "fire"      // levelling the musket
	Command   Pose = "command"   // officer with drawn sword
	Standard  Pose = "standard"  // bearer with pole and flag; foot or mounted
	Drum      Pose = "drum"      // drummer
	Trumpet   Pose = "trumpet"   // trumpeter; foot or mounted
	Ram       Pose = "ram"       // gunner with rammer
	Linstock  Pose = "linstock"  // gunner with burning match
	Handspike Pose = "handspike" // gunner with lever
	Sabre     Pose = "sabre"     // rider, sword at the shoulder
	Lance     Pose = "lance"     // rider, lance upright
	Carbine   Pose = "carbine"   // rider, carbine on the thigh
)

// Headgear is what is on the head.
type Headgear string

// The headgear.
const (
	CockedHat Headgear = "cocked hat"
	Bicorne   Headgear = "bicorne"
	Shako     Headgear = "shako"
	FurCap    Headgear = "fur cap"
	Helmet    Headgear = "helmet"
	RoundHat  Headgear = "round hat"
	ForageCap Headgear = "forage cap"
	BareHead  Headgear = "bare"
)

// Coat is the cut of the coat.
type Coat string

// The coats.
const (
	LongCoat   Coat = "long coat"
	ShortCoat  Coat = "short coat"
	LacedCoat  Coat = "laced jacket"
	PlainCoat  Coat = "plain jacket"
	TailedCoat Coat = "tail coat"
)

// Footwear is what is on the legs below the knee.
type Footwear string

// The footwear.
const (
	Boots   Footwear = "boots"
	Shoes   Footwear = "shoes"
	Gaiters Footwear = "gaiters"
)

// Gait is how the horse stands.
type Gait string

// The gaits.
const (
	Standing Gait = "standing"
	Walking  Gait = "walking"
)

// Dress tells what a man wears and carries besides what his pose puts in his
// hands.
type Dress struct {
	Headgear    Headgear
	Coat        Coat
	Footwear    Footwear
	Plume       bool
	Cockade     bool
	Lapels      bool
	Turnbacks   bool
	Epaulettes  bool
	Lace        bool // on the coat
	Buttons     bool
	OverJacket  bool
	Breastplate bool
	Sash        bool
	Stripe      bool // on the breeches
	Gloves      bool
	CrossStraps bool
	WaistBelt   bool
	Pouch       bool
	Pack        bool
	Bedroll     bool
	Haversack   bool
	Canteen     bool
	Sword       bool // scabbard at the side
	Carbine     bool // slung at a rider's right side
	Moustache   bool
	Queue       bool // hair in a pigtail, else short

	swordDrawn bool // the pose has it in the hand
	drumBefore bool // a drum hides the middle of the coat
}

// Spec describes one casting. Zero fields take the usual thing for the body.
type Spec struct {
	Kind  Kind
	Pose  Pose
	Dress Dress
	Gait  Gait // mounted only
	// Square asks for a square base under a foot figure instead of a round one.
	Square bool
	// NoBase leaves the base off, for measuring.
	NoBase bool
	// Lacks names areas this casting does without; Adds names areas it has over
	// and above its dress.
	Lacks, Adds []string
}

// AreaNames lists all areas of built-in bodies in a settled order: man, arms,
// horse, gun, base.
func AreaNames() []string {
	return []string{
		"face", "eyes", "hair", "moustache", "hands", "gloves",
		"hat", "hat lace", "hat plate", "plume", "cockade",
		"jacket", "collar", "cuffs", "lapels", "turnbacks", "shoulder straps", "jacket lace", "buttons",
		"over-jacket", "over-jacket lace", "fur", "breastplate",
		"waistcoat", "sash", "breeches", "breeches stripe", "gaiters", "boots", "shoes",
		"cross straps", "waist belt", "pouch", "pack", "bedroll", "haversack", "canteen",
		"musket stock", "musket metal", "musket sling",
		"sword blade", "sword hilt", "sword knot", "scabbard", "lance shaft", "lance head",
		"drum shell", "drum hoops", "drum head", "drum sticks", "trumpet", "trumpet cord",
		"flag pole", "finial", "flag", "gun tool",
		"horse coat", "horse legs", "horse face", "horse eyes", "mane", "tail", "hooves",
		"bridle", "reins", "bit", "saddle", "saddle cloth", "saddle cloth border", "holsters",
		"barrel", "carriage", "carriage metal", "wheels", "tyres",
		"base", "base rim",
	}
}

// poses lists what a body can do, the usual pose first.
func poses(k Kind) []Pose {
	switch k {
	case Foot:
		return []Pose{Shoulder, March, Fire, Command, Standard, Drum, Trumpet, Ram, Linstock, Handspike}
	case Mounted:
		return []Pose{Sabre, Command, Standard, Trumpet, Lance, Carbine}
	}
	return []Pose{""}
}

// normal fills in the defaults and folds Adds into the dress.
func (s Spec) normal() Spec {
	if s.Kind == "" {
		s.Kind = Foot
	}
	if s.Pose == "" {
		s.Pose = poses(s.Kind)[0]
	}
	if s.Kind == Mounted && s.Gait == "" {
		s.Gait = Standing
	}
	d := &s.Dress
	if d.Headgear == "" {
		d.Headgear = CockedHat
	}
	if d.Coat == "" {
		d.Coat = LongCoat
	}
	if d.Footwear == "" {
		d.Footwear = Gaiters
		if s.Kind == Mounted {
			d.Footwear = Boots
		}
	}
	for area, flag := range d.byArea() {
		if slices.Contains(s.Adds, area) {
			*flag = true
		}
	}
	s.Lacks = slices.Sorted(slices.Values(s.Lacks))
	s.Adds = nil
	return s
}

// byArea returns the switch behind each area that can be added.
func (d *Dress) byArea() map[string]*bool {
	return map[string]*bool{
		"plume": &d.Plume, "cockade": &d.Cockade, "lapels": &d.Lapels, "turnbacks": &d.Turnbacks,
		"shoulder straps": &d.Epaulettes, "jacket lace": &d.Lace, "buttons": &d.Buttons,
		"over-jacket": &d.OverJacket, "breastplate": &d.Breastplate, "sash": &d.Sash,
		"breeches stripe": &d.Stripe, "gloves": &d.Gloves, "cross straps": &d.CrossStraps,
		"waist belt": &d.WaistBelt, "pouch": &d.Pouch, "pack": &d.Pack, "bedroll": &d.Bedroll,
		"haversack": &d.Haversack, "canteen": &d.Canteen, "scabbard": &d.Sword, "moustache": &d.Moustache,
	}
}

func oneOf[T ~string](what string, v T, from ...T) error {
	if slices.Contains(from, v) {
		return nil
	}
	names := make([]string, len(from))
	for i, f := range from {
		names[i] = fmt.Sprintf("%q", string(f))
	}
	return fmt.Errorf("%s %q is not known; use one of %s", what, string(v), strings.Join(names, ", "))
}

// check tells what is wrong with a spec that normal has filled in.
func (s Spec) check(adds []string) error {
	if err := oneOf("body", s.Kind, Foot, Mounted, Gun); err != nil {
		return err
	}
	if s.Kind == Gun {
		return nil
	}
	if err := oneOf("pose of a "+string(s.Kind)+" body", s.Pose, poses(s.Kind)...); err != nil {
		return err
	}
	if err := oneOf("headgear", s.Dress.Headgear, CockedHat, Bicorne, Shako, FurCap, Helmet, RoundHat, ForageCap, BareHead); err != nil {
		return err
	}
	if err := oneOf("coat", s.Dress.Coat, LongCoat, ShortCoat, LacedCoat, PlainCoat, TailedCoat); err != nil {
		return err
	}
	if err := oneOf("footwear", s.Dress.Footwear, Boots, Shoes, Gaiters); err != nil {
		return err
	}
	if s.Kind == Mounted {
		if err := oneOf("gait", s.Gait, Standing, Walking); err != nil {
			return err
		}
	}
	for _, a := range s.Lacks {
		if !slices.Contains(AreaNames(), a) {
			return fmt.Errorf("lacks names %q, which is no area", a)
		}
	}
	flags := s.Dress.byArea()
	for _, a := range adds {
		if flags[a] == nil {
			return fmt.Errorf("adds names %q, which can not be added to a casting", a)
		}
	}
	return nil
}
