package check_test

import (
	"context"
	"io/fs"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"facings"
	"facings/internal/app"
	"facings/internal/check"
	"facings/internal/demo"
)

// planned plans one of the demo's files once for all tests.
func planned(t *testing.T, name string) *app.Plan {
	t.Helper()
	text, err := fs.ReadFile(demo.Files(), name)
	if err != nil {
		t.Fatal(err)
	}
	a := &app.App{Now: func() time.Time { return time.Date(2027, 1, 4, 12, 0, 0, 0, time.UTC) }, Steps: 200_000, Runs: 5}
	o, err := a.Read(name, text)
	if err != nil {
		t.Fatal(o.Findings)
	}
	plan, err := a.Plan(context.Background(), o)
	if err != nil {
		t.Fatal(err, plan.Findings)
	}
	return plan
}

// clone copies what a mutation may change.
func clone(plan *app.Plan) (facings.Roster, facings.Coats, facings.Order) {
	r, c, o := *plan.Roster, *plan.Coats, *plan.Order
	r.Units, r.Figures = slices.Clone(r.Units), slices.Clone(r.Figures)
	for i := range r.Figures {
		r.Figures[i].Traits = maps.Clone(r.Figures[i].Traits)
	}
	c.Tasks, c.LeftOut = slices.Clone(c.Tasks), slices.Clone(c.LeftOut)
	o.Passes, o.Pieces, o.Sittings = slices.Clone(o.Passes), slices.Clone(o.Pieces), slices.Clone(o.Sittings)
	return r, c, o
}

// mutation breaks one rule, or returns false when it finds nothing to break.
type mutation struct {
	name string
	do   func(rng *rand.Rand, p *facings.Project, r *facings.Roster, c *facings.Coats, o *facings.Order) bool
}

// pieceOf finds the piece of a task.
func pieceOf(o *facings.Order, task int) *facings.Piece {
	i := slices.IndexFunc(o.Pieces, func(p facings.Piece) bool { return p.Task == task })
	return &o.Pieces[i]
}

// swap exchanges the times of two tasks that have a rule between them.
func swapRule(rule facings.RuleID) func(*rand.Rand, *facings.Project, *facings.Roster, *facings.Coats, *facings.Order) bool {
	return func(rng *rand.Rand, _ *facings.Project, _ *facings.Roster, c *facings.Coats, o *facings.Order) bool {
		var some []facings.Lag
		for _, l := range c.Lags {
			if l.Rule == rule {
				some = append(some, l)
			}
		}
		if len(some) == 0 {
			return false
		}
		l := some[rng.IntN(len(some))]
		a, b := pieceOf(o, l.From), pieceOf(o, l.To)
		la, lb := a.End.Sub(a.Start), b.End.Sub(b.Start)
		a.Start, b.Start = b.Start, a.Start
		a.End, b.End = a.Start.Add(la), b.Start.Add(lb)
		return true
	}
}

var mutations = []mutation{
	{"undercoat and paint change places", swapRule(facings.RuleUndercoat)},
	{"coats of an area change places", swapRule(facings.RuleCoats)},
	{"outside before inside", swapRule(facings.RuleInside)},
	{"neat before messy", swapRule(facings.RuleMessy)},
	{"a rule that the plan states is broken", func(rng *rand.Rand, _ *facings.Project, _ *facings.Roster, c *facings.Coats, o *facings.Order) bool {
		i := rng.IntN(len(o.Pieces))
		c.Lags = append(slices.Clone(c.Lags), facings.Lag{From: o.Pieces[len(o.Pieces)-1].Task, To: o.Pieces[i].Task, Rule: facings.RuleMessy})
		return i < len(o.Pieces)-1
	}},
	{"a flag glued on before it is made", func(_ *rand.Rand, _ *facings.Project, _ *facings.Roster, c *facings.Coats, o *facings.Order) bool {
		i := slices.IndexFunc(c.Tasks, func(t facings.Task) bool { return t.Stage == facings.StageMakeFlag })
		j := slices.IndexFunc(c.Tasks, func(t facings.Task) bool { return t.Stage == facings.StageFlag && t.Figure == c.Tasks[i].Figure })
		a, b := pieceOf(o, i), pieceOf(o, j)
		long, short := a.End.Sub(a.Start), b.End.Sub(b.Start)
		a.Start, b.Start = b.Start, a.Start
		a.End, b.End = a.Start.Add(long), b.Start.Add(short)
		c.Lags = nil
		return true
	}},
	{"a flag that nobody makes", func(_ *rand.Rand, _ *facings.Project, _ *facings.Roster, c *facings.Coats, o *facings.Order) bool {
		i := slices.IndexFunc(c.Tasks, func(t facings.Task) bool { return t.Stage == facings.StageMakeFlag })
		c.Tasks[i].Coat = 9
		return true
	}},
	{"eyes not last", swapRule(facings.RuleEyes)},
	{"varnish before paint", swapRule(facings.RuleVarnish)},
	{"ending out of order", swapRule(facings.RuleEnding)},
	{"under the varnish what goes after it", swapRule(facings.RuleAfter)},
	{"against the project's own rule", swapRule(facings.RuleOwn)},
	{"undercoat before preparing", swapRule(facings.RulePrepare)},
	{"not dry yet", func(rng *rand.Rand, _ *facings.Project, _ *facings.Roster, c *facings.Coats, o *facings.Order) bool {
		for range 1000 {
			l := c.Lags[rng.IntN(len(c.Lags))]
			if l.Seconds > 60 {
				a, b := pieceOf(o, l.From), pieceOf(o, l.To)
				long := b.End.Sub(b.Start)
				b.Start = a.End.Add(time.Duration(l.Seconds-30) * time.Second)
				b.End = b.Start.Add(long)
				return true
			}
		}
		return false
	}},
	{"a task is forgotten", func(rng *rand.Rand, _ *facings.Project, _ *facings.Roster, _ *facings.Coats, o *facings.Order) bool {
		i := rng.IntN(len(o.Pieces))
		o.Pieces = slices.Delete(o.Pieces, i, i+1)
		return true
	}},
	{"a task is done twice", func(rng *rand.Rand, _ *facings.Project, _ *facings.Roster, _ *facings.Coats, o *facings.Order) bool {
		o.Pieces = append(o.Pieces, o.Pieces[rng.IntN(len(o.Pieces))])
		return true
	}},
	{"a coat is neither done nor left out", func(rng *rand.Rand, _ *facings.Project, _ *facings.Roster, c *facings.Coats, _ *facings.Order) bool {
		i := rng.IntN(len(c.LeftOut))
		c.LeftOut = slices.Delete(c.LeftOut, i, i+1)
		return true
	}},
	{"left out though it would show", func(rng *rand.Rand, p *facings.Project, _ *facings.Roster, c *facings.Coats, _ *facings.Order) bool {
		c.LeftOut[rng.IntN(len(c.LeftOut))].DeltaE = p.Tolerance() + 0.1
		return true
	}},
	{"left out without a reason", func(rng *rand.Rand, _ *facings.Project, _ *facings.Roster, c *facings.Coats, _ *facings.Order) bool {
		c.LeftOut[rng.IntN(len(c.LeftOut))].Reason = ""
		return true
	}},
	{"another paint than the finish says", func(rng *rand.Rand, _ *facings.Project, _ *facings.Roster, c *facings.Coats, _ *facings.Order) bool {
		i := rng.IntN(len(c.Tasks))
		c.Tasks[i].Medium += " no"
		return true
	}},
	{"a task in no time", func(rng *rand.Rand, _ *facings.Project, _ *facings.Roster, c *facings.Coats, _ *facings.Order) bool {
		c.Tasks[rng.IntN(len(c.Tasks))].Seconds = 0
		return true
	}},
	{"less time than the surface needs", func(rng *rand.Rand, _ *facings.Project, _ *facings.Roster, c *facings.Coats, o *facings.Order) bool {
		i := rng.IntN(len(c.Tasks))
		if c.Tasks[i].Seconds < 10 {
			return false
		}
		c.Tasks[i].Seconds /= 2
		piece := pieceOf(o, i)
		piece.End = piece.Start.Add(time.Duration(c.Tasks[i].Seconds) * time.Second)
		return true
	}},
	{"two things at once", func(rng *rand.Rand, _ *facings.Project, _ *facings.Roster, _ *facings.Coats, o *facings.Order) bool {
		i := 1 + rng.IntN(len(o.Pieces)-1)
		long := o.Pieces[i].End.Sub(o.Pieces[i].Start)
		o.Pieces[i].Start = o.Pieces[i-1].Start
		o.Pieces[i].End = o.Pieces[i].Start.Add(long)
		return true
	}},
	{"at three in the morning", func(rng *rand.Rand, _ *facings.Project, _ *facings.Roster, _ *facings.Coats, o *facings.Order) bool {
		last := len(o.Pieces) - 1
		long := o.Pieces[last].End.Sub(o.Pieces[last].Start)
		o.Pieces[last].Start = o.Pieces[last].Start.Add(time.Duration(5+rng.IntN(3)) * time.Hour)
		o.Pieces[last].End = o.Pieces[last].Start.Add(long)
		return true
	}},
	{"no time to change the paint", func(_ *rand.Rand, _ *facings.Project, _ *facings.Roster, c *facings.Coats, o *facings.Order) bool {
		for i := 1; i < len(o.Pieces); i++ {
			a, b := &o.Pieces[i-1], &o.Pieces[i]
			if c.Tasks[a.Task].Medium != c.Tasks[b.Task].Medium && b.Start.Sub(a.End) < time.Hour {
				long := b.End.Sub(b.Start)
				b.Start = a.End
				b.End = b.Start.Add(long)
				return true
			}
		}
		return false
	}},
	{"no time to make a mix", func(_ *rand.Rand, p *facings.Project, _ *facings.Roster, c *facings.Coats, o *facings.Order) bool {
		for i := 1; i < len(o.Pieces); i++ {
			a, b := &o.Pieces[i-1], &o.Pieces[i]
			if _, _, mixed, _ := p.Medium(c.Tasks[b.Task].Medium); mixed && c.Tasks[a.Task].Medium != c.Tasks[b.Task].Medium && b.Start.Sub(a.End) < time.Hour {
				set := p.Changes()
				long := b.End.Sub(b.Start)
				b.Start = a.End.Add(time.Duration((set.PaintMinutes+set.ToolMinutes).Seconds()+5) * time.Second)
				b.End = b.Start.Add(long)
				return true
			}
		}
		return false
	}},
	{"no fresh water after a metallic", func(_ *rand.Rand, p *facings.Project, _ *facings.Roster, c *facings.Coats, o *facings.Order) bool {
		for i := 1; i < len(o.Pieces); i++ {
			a, b := &o.Pieces[i-1], &o.Pieces[i]
			watered := []facings.Kind{facings.Opaque, facings.Translucent, facings.Wash, facings.Ink}
			if c.Tasks[a.Task].Kind == facings.Metallic && slices.Contains(watered, c.Tasks[b.Task].Kind) && b.Start.Sub(a.End) < time.Hour {
				long := b.End.Sub(b.Start)
				b.Start = a.End.Add(time.Duration(p.Changes().PaintMinutes.Seconds()+40) * time.Second)
				b.End = b.Start.Add(long)
				return true
			}
		}
		return false
	}},
	{"a sitting that begins with the brush in hand", func(_ *rand.Rand, _ *facings.Project, _ *facings.Roster, _ *facings.Coats, o *facings.Order) bool {
		first := &o.Pieces[0]
		long := first.End.Sub(first.Start)
		first.Start = o.Sittings[0].Start
		first.End = first.Start.Add(long)
		return true
	}},
	{"a bare area that no pass names", func(_ *rand.Rand, _ *facings.Project, _ *facings.Roster, c *facings.Coats, o *facings.Order) bool {
		for i := range o.Passes {
			for _, bare := range c.Bare {
				if slices.ContainsFunc(o.Passes[i].KeepOff, func(name string) bool { return slices.Contains(bare, name) }) {
					o.Passes[i].KeepOff = nil
					return true
				}
			}
		}
		return false
	}},
	{"a wash said to be already right", func(_ *rand.Rand, p *facings.Project, r *facings.Roster, c *facings.Coats, o *facings.Order) bool {
		i := slices.IndexFunc(c.Tasks, func(t facings.Task) bool { return t.Technique == facings.WashOn })
		t := c.Tasks[i]
		c.LeftOut = append(c.LeftOut, facings.LeftOut{Figure: t.Figure, ID: r.Figures[t.Figure].ID, Area: t.Area, Coat: t.Coat, Medium: t.Medium, Reason: "so"})
		c.Tasks = slices.Delete(c.Tasks, i, i+1)
		o.Pieces = slices.DeleteFunc(o.Pieces, func(x facings.Piece) bool { return x.Task == i })
		for j := range o.Pieces {
			if o.Pieces[j].Task > i {
				o.Pieces[j].Task--
			}
		}
		return true
	}},
	{"a wash that dries like paint", func(_ *rand.Rand, _ *facings.Project, _ *facings.Roster, c *facings.Coats, _ *facings.Order) bool {
		for i := range c.Tasks {
			if c.Tasks[i].Kind == facings.Wash {
				c.Tasks[i].Kind = facings.Opaque
				return true
			}
		}
		return false
	}},
	{"a pass that mixes paints", func(rng *rand.Rand, _ *facings.Project, _ *facings.Roster, _ *facings.Coats, o *facings.Order) bool {
		i := rng.IntN(len(o.Pieces))
		other := rng.IntN(len(o.Passes))
		if o.Passes[other].Medium == o.Passes[o.Pieces[i].Pass].Medium {
			return false
		}
		o.Pieces[i].Pass = other
		return true
	}},
	{"a spray pass without its caution", func(_ *rand.Rand, _ *facings.Project, _ *facings.Roster, _ *facings.Coats, o *facings.Order) bool {
		for i := range o.Passes {
			if o.Passes[i].Technique == facings.Spray {
				o.Passes[i].Caution = ""
				return true
			}
		}
		return false
	}},
	{"work that does not add up", func(_ *rand.Rand, _ *facings.Project, _ *facings.Roster, _ *facings.Coats, o *facings.Order) bool {
		o.WorkMinutes--
		return true
	}},
	{"waiting that is kept quiet", func(_ *rand.Rand, _ *facings.Project, _ *facings.Roster, _ *facings.Coats, o *facings.Order) bool {
		o.SetUpMinutes--
		o.Minutes--
		return true
	}},
	{"a bound above the plan", func(_ *rand.Rand, _ *facings.Project, _ *facings.Roster, _ *facings.Coats, o *facings.Order) bool {
		o.LowerBoundMinutes = o.Minutes + 1
		return true
	}},
	{"a gap made smaller", func(_ *rand.Rand, _ *facings.Project, _ *facings.Roster, _ *facings.Coats, o *facings.Order) bool {
		o.Gap /= 2
		return o.Gap > 1e-3
	}},
	{"a figure that is no one", func(rng *rand.Rand, _ *facings.Project, r *facings.Roster, _ *facings.Coats, _ *facings.Order) bool {
		r.Figures[rng.IntN(len(r.Figures))].ID.Number = 99
		return true
	}},
	{"two in one place", func(rng *rand.Rand, _ *facings.Project, r *facings.Roster, _ *facings.Coats, _ *facings.Order) bool {
		r.Figures[1].Rank, r.Figures[1].File = r.Figures[0].Rank, r.Figures[0].File
		return true
	}},
	{"a horse too many of one colour", func(rng *rand.Rand, _ *facings.Project, r *facings.Roster, _ *facings.Coats, _ *facings.Order) bool {
		a, b := &r.Figures[rng.IntN(12)], &r.Figures[rng.IntN(12)]
		if a.Traits["skin"] == b.Traits["skin"] {
			return false
		}
		a.Traits["skin"] = b.Traits["skin"]
		return true
	}},
	{"a white mane on a bay", func(_ *rand.Rand, _ *facings.Project, r *facings.Roster, _ *facings.Coats, _ *facings.Order) bool {
		for i := range r.Figures {
			if r.Figures[i].Traits["horse"] == "bay" {
				r.Figures[i].Traits["mane"] = "white"
				return true
			}
		}
		return false
	}},
	{"alike neighbours kept quiet", func(_ *rand.Rand, _ *facings.Project, r *facings.Roster, _ *facings.Coats, _ *facings.Order) bool {
		r.Units[0].Alike++
		return true
	}},
}

// TestEveryMutationIsRejected breaks the demo's plan in every way the checker
// knows of, each with several seeds, and demands a finding each time.
func TestEveryMutationIsRejected(t *testing.T) {
	plan := planned(t, "mounted24.yaml")
	if found := append(check.Roster(plan.Project, plan.Roster), check.Order(plan.Project, plan.Roster, plan.Coats, plan.Order)...); len(found) > 0 {
		t.Fatalf("the plan itself is rejected: %v", found[0])
	}
	r, c, o := clone(plan)
	if found := append(check.Roster(plan.Project, &r), check.Order(plan.Project, &r, &c, &o)...); len(found) > 0 {
		t.Fatalf("the copy is rejected: %v", found[0])
	}
	for _, m := range mutations {
		t.Run(strings.ReplaceAll(m.name, " ", "-"), func(t *testing.T) {
			done := 0
			for seed := range uint64(8) {
				r, c, o := clone(plan)
				if !m.do(rand.New(rand.NewPCG(seed, 7)), plan.Project, &r, &c, &o) {
					continue
				}
				done++
				found := append(check.Roster(plan.Project, &r), check.Order(plan.Project, &r, &c, &o)...)
				if len(found) == 0 {
					t.Errorf("seed %d: the checker accepts it", seed)
				}
			}
			if done == 0 {
				t.Error("the mutation found nothing to break, so it tests nothing")
			}
		})
	}
}

// TestEachPainterAtTheirOwnPace: a slow painter beside a quick one is not given
// the mean of their times.
func TestEachPainterAtTheirOwnPace(t *testing.T) {
	text, err := fs.ReadFile(demo.Files(), "mounted24.yaml")
	if err != nil {
		t.Fatal(err)
	}
	two := strings.Replace(string(text), "  painters:\n", `  painters:
    Jost: {pace: 2, sittings: [{days: [mon, wed, fri], from: "19:30", to: "22:00"}]}
`, 1)
	a := &app.App{Steps: 20_000, Runs: 5}
	o, err := a.Read("two.yaml", []byte(two))
	if err != nil {
		t.Fatal(o.Findings)
	}
	plan, err := a.Plan(context.Background(), o) // goes through the checker
	if err != nil {
		t.Fatal(err, plan.Findings)
	}
	_, c, ord := clone(plan)
	for i := range ord.Pieces {
		if piece := &ord.Pieces[i]; ord.Passes[piece.Pass].Painter == 0 {
			piece.End = piece.Start.Add(time.Duration(c.Tasks[piece.Task].Seconds) * time.Second)
		}
	}
	found := check.Order(plan.Project, plan.Roster, &c, &ord)
	if !slices.ContainsFunc(found, func(d facings.Diagnostic) bool { return d.ID == "task-time" }) {
		t.Error("the checker accepts the mean of two painters' times for the slow one")
	}
}

// TestDemoIsAccepted runs the checker over the whole demo.
func TestDemoIsAccepted(t *testing.T) {
	plan := planned(t, "demo.yaml")
	if found := append(check.Roster(plan.Project, plan.Roster), check.Order(plan.Project, plan.Roster, plan.Coats, plan.Order)...); len(found) > 0 {
		t.Errorf("%d findings, the first: %v", len(found), found[0])
	}
}
