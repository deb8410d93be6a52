package order_test

import (
	"context"
	"fmt"
	"math"
	"os"
	"testing"
	"time"

	"facings"
	"facings/internal/colour"
	"facings/internal/demo"
	"facings/internal/order"
	"facings/internal/projectfile"
	"facings/internal/ranks"
	"facings/internal/sitting"
	"io/fs"
)

// flat is a plain stand-in for pigment: every opaque or metallic coat hides,
// every other lets half of the ground through.
type flat struct{ p *facings.Project }

type rgb [3]float64

func (f flat) Undercoat(e float64) order.Surface { return rgb{e, e, e} }

func (f flat) Lay(ground order.Surface, medium string, _ facings.Technique, cover float64) order.Surface {
	g := ground.(rgb)
	parts, kind, _, _ := f.p.Medium(medium)
	var c rgb
	total := 0.0
	for _, part := range parts {
		paint, _ := f.p.FindPaint(part.Paint)
		text := paint.OverWhite
		if text == "" {
			text = paint.Colour
		}
		var r, gg, b int
		fmt.Sscanf(text, "#%02x%02x%02x", &r, &gg, &b)
		for i, v := range []int{r, gg, b} {
			c[i] += float64(part.Parts) * math.Pow(float64(v)/255, 2.2)
		}
		total += float64(part.Parts)
	}
	hide := 0.5
	if kind == facings.Opaque || kind == facings.Metallic {
		hide = 0.98
	}
	var out rgb
	for i := range out {
		out[i] = g[i] + (c[i]/total-g[i])*hide*cover
	}
	return out
}

func (f flat) Look(s order.Surface) facings.Look {
	lab := labOf(s.(rgb))
	return facings.Look{Hex: fmt.Sprintf("%.2f", s), Lab: lab, Name: fmt.Sprintf("L %.0f", lab[0])}
}

func (f flat) Distance(a, b order.Surface) facings.DeltaE {
	x, y := labOf(a.(rgb)), labOf(b.(rgb))
	return facings.DeltaE(colour.DeltaE00(colour.Lab{L: x[0], A: x[1], B: x[2]}, colour.Lab{L: y[0], A: y[1], B: y[2]}))
}

func labOf(c rgb) [3]float64 {
	y := 0.2126*c[0] + 0.7152*c[1] + 0.0722*c[2]
	l := 116*math.Cbrt(math.Max(y, 0.0089)) - 16
	return [3]float64{l, 80 * (c[0] - c[1]), 80 * (c[1] - c[2])}
}

func load(t testing.TB, name string) *facings.Project {
	t.Helper()
	text, err := fs.ReadFile(demo.Files(), name)
	if err != nil {
		t.Fatal(err)
	}
	p, _, found := projectfile.Read(name, text)
	if found.Faulty() {
		t.Fatal(found)
	}
	return p
}

func plan(t testing.TB, p *facings.Project, steps int64) (*facings.Roster, *facings.Coats, *facings.Order) {
	t.Helper()
	roster, found, err := ranks.Deal(context.Background(), p, ranks.Settings{Work: 20000})
	if err != nil || found.Faulty() {
		t.Fatal(err, found)
	}
	coats := order.Settle(p, roster, flat{p})
	start, err := sitting.Start(p.Calendar, time.Date(2027, 1, 4, 0, 0, 0, 0, time.UTC))
	if err != nil {
		t.Fatal(err)
	}
	var windows [][]order.Window
	for _, painter := range sitting.Painters(p.Calendar) {
		ws, err := sitting.Windows(painter, start, 100000, 60)
		if err != nil {
			t.Fatal(err)
		}
		var list []order.Window
		for _, w := range ws {
			list = append(list, order.Window(w))
		}
		windows = append(windows, list)
	}
	began := time.Now()
	o, _, err := order.Plan(context.Background(), p, roster, coats, order.Settings{Start: start, Windows: windows, Steps: steps})
	if err != nil {
		t.Fatal(err)
	}
	if os.Getenv("SHOW") != "" {
		t.Logf("%s: %d tasks, %d lags, %d left out, %d passes, %d sittings; %s work %.0f set-up %.0f wait %.0f bound %.0f gap %.3f, %v", p.Name, len(coats.Tasks), len(coats.Lags), len(coats.LeftOut), len(o.Passes), len(o.Sittings), o.Status, o.WorkMinutes, o.SetUpMinutes, o.WaitMinutes, o.LowerBoundMinutes-o.WorkMinutes, o.Gap, time.Since(began))
		for _, c := range o.Conflicts {
			t.Log(c)
		}
	}
	return roster, coats, o
}

func TestShow(t *testing.T) {
	for _, name := range []string{"mounted24.yaml", "demo.yaml"} {
		p := load(t, name)
		_, _, o := plan(t, p, 0)
		for _, pass := range o.Passes {
			t.Logf("%3d %s %-22s %-12s %-9s %2d figs %v setup %.1f wait %.1f min %.0f  keepoff %v also %v", pass.Number, pass.Start.Format("01-02 15:04"), pass.Medium, pass.Tool, pass.Technique, len(pass.Figures), pass.Areas, pass.SetUp, pass.Wait, pass.Minutes, pass.KeepOff, pass.AlsoCover)
		}
	}
}
