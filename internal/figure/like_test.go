package figure

import (
	"testing"

	"facings"
)

// Every ready-made body, and every area of the catalogue that can be added to
// one, leads to a casting that can be built.
func TestLikeCanBeBuilt(t *testing.T) {
	for _, b := range facings.ReadyBodies() {
		for _, role := range []string{facings.RoleOfficer, facings.RoleStandardBearer, facings.RoleMusician, facings.RoleTrooper} {
			for number := 1; number <= 3; number++ {
				s := Like(b, role, number, Hints{}).normal()
				if err := s.check(nil); err != nil {
					t.Errorf("%s, %s %d: %v", b.Name, role, number, err)
				}
			}
		}
	}
}

func TestLikeFollowsTheAreas(t *testing.T) {
	foot, _ := facings.ReadyBody(facings.BodyFoot)
	drum, _ := facings.CatalogueArea("drum shell")
	foot.Areas = append(foot.Areas, drum)
	if got := Like(foot, facings.RoleMusician, 1, Hints{}).Pose; got != Drum {
		t.Errorf("a man with a drum is in pose %q", got)
	}
	mounted, _ := facings.ReadyBody(facings.BodyMounted)
	over, _ := facings.CatalogueArea("over-jacket")
	mounted.Areas = append(mounted.Areas, over)
	s := Like(mounted, facings.RoleTrooper, 1, Hints{Headgear: FurCap})
	if s.Kind != Mounted || !s.Dress.OverJacket || s.Dress.Coat != LacedCoat || s.Dress.Headgear != FurCap {
		t.Errorf("got %+v", s)
	}
}
