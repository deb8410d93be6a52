package app

import (
	"slices"
	"testing"

	"facings"
	"facings/internal/light"
)

// A pass's own picture shows more of what is under way than the usual view of the
// same size, never less; the rest is faded; a quarter turn shows another side.
func TestPassIsShownCloseUp(t *testing.T) {
	skipDrawing(t)
	_, plan := oneManPlan(t)
	ps := NewPictures(plan)
	usual := pictureCamera(PictureAsk{AzimuthDeg: standardSide})
	nearer := 0
	for i := range plan.Order.Passes {
		pass := &plan.Order.Passes[i]
		f := ps.shownFigure(pass)
		if !slices.Contains(pass.Figures, f) {
			t.Fatalf("pass %d: figure %d is not of it", pass.Number, f)
		}
		v := View{Figure: f, Passes: pass.Number, Underway: pass.Number, Keep: keepLook, Camera: pictureCamera(PictureAsk{}), Width: 320, Height: 320}
		close, err := ps.closeTo(v)
		if err != nil {
			t.Fatal(err)
		}
		c := ps.bearing(v)
		active := labelNumbers(c.mesh, ps.areasOn(pass, f))
		p := ps.paint(c, close)
		if pass.Stage == facings.StagePaint && !slices.Equal(p.Active, active) || pass.Stage == facings.StageUndercoat && p.Active != nil {
			t.Errorf("pass %d outlines %v of %v", pass.Number, p.Active, active)
		}
		if len(active) == 0 {
			if close.Camera.Close != nil {
				t.Errorf("pass %d, all over the figure, is shown close up", pass.Number)
			}
			continue
		}
		samples := func(camera light.Camera) (n int) {
			seen, err := light.Seen(c.mesh, camera, v.Width, v.Height)
			if err != nil {
				t.Fatal(err)
			}
			for _, l := range active {
				n += seen[l].Samples
			}
			return n
		}
		if near, far := samples(close.Camera), samples(usual); near <= far && close.Camera.Close != nil || near < far*9/10 {
			t.Errorf("pass %d (%v) shows %d samples, the usual view %d", pass.Number, pass.Areas, near, far)
		}
		if close.Camera.Close != nil {
			nearer++
		}
		v.Camera.AzimuthDeg = 90
		if turned, err := ps.closeTo(v); err != nil || turned.Camera.AzimuthDeg != close.Camera.AzimuthDeg+90 {
			t.Errorf("a quarter turn from %g° leads to %g° (%v)", close.Camera.AzimuthDeg, turned.Camera.AzimuthDeg, err)
		}
	}
	if nearer < 2 {
		t.Errorf("only %d passes are shown close up", nearer)
	}
}
