package app

import (
	"context"
	"testing"

	"facings"
	"facings/internal/colour"
	"facings/internal/demo"
	"facings/internal/order"
	"facings/internal/pigment"
	"facings/internal/projectfile"
)

func demoProject(t *testing.T) *facings.Project {
	t.Helper()
	files, err := demo.Unpack(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		if p, _, found := projectfile.Load(f); !found.Faulty() && p != nil && len(p.Units) > 2 {
			return p
		}
	}
	t.Fatal("no demo project")
	return nil
}

// Common practice: bright yellow lace over dark cloth wants a white underlay.
func TestWhiteUnderlayBrightensYellow(t *testing.T) {
	c, found := newColourist(demoProject(t))
	if found.Faulty() {
		t.Fatal(found)
	}
	_, white := pigment.Chart()
	yellow := c.films["lemon yellow"]
	wanted := pigment.Show(&yellow.ks, yellow.surface, &white, 1).Lab
	dE := func(s order.Surface) float64 { return colour.DeltaE00(s.(*surface).show().Lab, wanted) }
	for _, cloth := range []string{"deep green", "glass blue"} {
		dark := c.Lay(c.Undercoat(0.3), cloth, facings.Brush, 1)
		straight := dE(c.Lay(dark, "lemon yellow", facings.Line, 1))
		underlaid := dE(c.Lay(c.Lay(dark, "titanium white", facings.Line, 1), "lemon yellow", facings.Line, 1))
		t.Logf("yellow on %s: straight ΔE %.1f, over white ΔE %.1f", cloth, straight, underlaid)
		if underlaid > 12 || straight < 25 {
			t.Errorf("yellow on %s: straight ΔE %.1f, over white ΔE %.1f to the yellow wanted", cloth, straight, underlaid)
		}
	}
}

// Common practice: a pale grey wash shades white fur and leaves it white; a
// brown one makes it brown.
func TestWashOnWhiteFur(t *testing.T) {
	c, _ := newColourist(demoProject(t))
	fur := c.Lay(c.Undercoat(0.7), "titanium white", facings.Brush, 1)
	grey := c.Lay(fur, "pale grey wash", facings.WashOn, 1)
	brown := c.Lay(fur, "umber wash", facings.WashOn, 1)
	kept, browned := float64(c.Distance(fur, grey)), float64(c.Distance(fur, brown))
	t.Logf("pale grey wash: %s, ΔE %.1f; umber wash: %s, ΔE %.1f", c.Look(grey).Name, kept, c.Look(brown).Name, browned)
	g, b := grey.(*surface).show().Lab.LCh(), brown.(*surface).show().Lab.LCh()
	if g.C > 6 || g.L < 75 || b.C < 15 || browned < kept+10 {
		t.Errorf("grey-washed fur %+v ΔE %.1f, brown-washed fur %+v ΔE %.1f", g, kept, b, browned)
	}
}

// Black tack on a black horse is left out because of what it would show, not
// because of what its paint is called.
func TestBlackTackIsLeftOutByColour(t *testing.T) {
	if testing.Short() {
		t.Skip("settles the demo three times")
	}
	a := App{}
	dealt, err := a.Roster(context.Background(), &Opened{Project: demoProject(t)})
	if err != nil {
		t.Fatal(err)
	}
	black := func(f int) bool { return dealt.Roster.Figures[f].Traits["horse"] == "black" }
	left := func(paint facings.Paint) (onBlack, onOther, painted int) {
		p := demoProject(t)
		if _, there := p.FindPaint(paint.Name); !there {
			p.Rack = append(p.Rack, paint)
		}
		for i := range p.Finishes {
			if p.Finishes[i].Name == "black leather" {
				p.Finishes[i].Coats = []facings.Coat{{Paint: paint.Name}}
			}
		}
		colours, found := newColourist(p)
		if found.Faulty() {
			t.Fatal(found)
		}
		coats := order.Settle(p, dealt.Roster, colours)
		for _, l := range coats.LeftOut {
			switch {
			case l.Area != "bridle":
			case black(l.Figure):
				onBlack++
			default:
				onOther++
			}
		}
		for _, task := range coats.Tasks {
			if task.Area == "bridle" && black(task.Figure) {
				painted++
			}
		}
		return onBlack, onOther, painted
	}
	same, _, samePainted := left(facings.Paint{Name: "carbon black"})
	other, elsewhere, otherPainted := left(facings.Paint{Name: "harness black", Kind: facings.Opaque, Like: "lamp black"})
	brown, _, brownPainted := left(facings.Paint{Name: "harness brown", Kind: facings.Opaque, OverWhite: "#7d4f2e", OverBlack: "#744729"})
	t.Logf("left out on black horses: %d, by another name %d, brown %d", same, other, brown)
	if same == 0 || samePainted > 0 || other != same || otherPainted > 0 {
		t.Errorf("black bridles on black horses: %d left out and %d painted; by another name %d and %d", same, samePainted, other, otherPainted)
	}
	if brown != 0 || brownPainted != same {
		t.Errorf("brown bridles on black horses: %d left out, %d painted", brown, brownPainted)
	}
	if elsewhere > same {
		t.Errorf("%d black bridles left out on horses that are not black", elsewhere)
	}
}
