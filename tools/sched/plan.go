package main

import (
	"flag"
	"fmt"
	"math/rand/v2"

	"facings/internal/solve/sched"
)

// genPlan writes one plan-like instance: batches of figures, each with a few
// dozen areas, most of several coats, in the order a painter would keep.
func genPlan(args []string) error {
	set := flag.NewFlagSet("plan", flag.ContinueOnError)
	figures := set.Int("figures", 24, "figures in a batch")
	batches := set.Int("batches", 1, "batches, one after the other")
	areas := set.Int("areas", 24, "areas of a figure")
	calendar := set.Bool("calendar", true, "evenings of two hours instead of one endless window")
	workers := set.Int("workers", 1, "workers")
	seed := set.Uint64("seed", 1, "seed")
	if err := set.Parse(args); err != nil {
		return err
	}
	if set.NArg() != 1 {
		return fmt.Errorf("usage: sched gen plan [flags] FILE")
	}
	g := &planGen{rng: rand.New(rand.NewPCG(*seed, 7)), p: &sched.Problem{Workers: *workers}}
	g.classes()
	var before []int
	for b := range *batches {
		before = g.batch(b**figures, *figures, *areas, before)
	}
	if *calendar {
		g.calendar()
	}
	return write(set.Arg(0), g.p)
}

// planGen draws a plan. A class is a paint with a brush; a mix must be made.
type planGen struct {
	rng   *rand.Rand
	p     *sched.Problem
	paint []int // class → paint
	brush []int // class → brush
	wash  []int // classes that are washes
	plain []int // classes that are not
}

const (
	paints = 30
	washes = 4
)

func (g *planGen) classes() {
	for c := range paints + paints/2 + washes {
		paint, brush := c, 1+g.rng.IntN(3)
		if c >= paints && c < paints+paints/2 {
			paint, brush = g.rng.IntN(paints), 0 // the same paint with the fine brush
		}
		if c >= paints+paints/2 {
			paint, brush = c, 4
			g.wash = append(g.wash, c)
		} else {
			g.plain = append(g.plain, c)
		}
		g.paint, g.brush = append(g.paint, paint), append(g.brush, brush)
		mix := 0
		if paint < paints && paint%4 == 0 {
			mix = 90
		}
		g.p.Make, g.p.Life = append(g.p.Make, mix), append(g.p.Life, 20*mix)
	}
	for a := range g.paint {
		row := make([]int, len(g.paint))
		for b := range g.paint {
			if g.paint[a] != g.paint[b] {
				row[b] += 60 // open the pot, load the palette, rinse
			}
			if g.brush[a] != g.brush[b] {
				row[b] += 25 // clean one brush, take the other
			}
		}
		g.p.Switch = append(g.p.Switch, row)
		g.p.First = append(g.p.First, 120)
	}
}

// batch adds the jobs of figures first to first+count-1 and returns its last
// job, which follows all others.
func (g *planGen) batch(first, count, areas int, before []int) []int {
	all := make([]int, count)
	for f := range all {
		all[f] = first + f
	}
	prime := g.job(g.plain[0], all, 15)
	for _, b := range before {
		g.lag(b, prime, 0)
	}
	var last [][]int // area → its last jobs
	for a := range areas {
		var firsts, lasts []int
		for _, group := range g.groups(all) {
			f, l := g.coats(group)
			firsts, lasts = append(firsts, f), append(lasts, l)
		}
		for _, f := range firsts {
			g.lag(prime, f, 3600)
		}
		// An area lies over some that came before.
		for o := range last {
			if g.rng.IntN(8) == 0 && o >= a-8 {
				for _, l := range last[o] {
					for _, f := range firsts {
						g.shareLag(l, f, 600)
					}
				}
			}
		}
		last = append(last, lasts)
	}
	varnish := g.job(g.wash[0], all, 20)
	for _, lasts := range last {
		for _, l := range lasts {
			g.lag(l, varnish, 12*3600)
		}
	}
	return []int{varnish}
}

// groups splits figures: most areas are alike on all, some differ in groups,
// a few belong to one figure.
func (g *planGen) groups(all []int) [][]int {
	switch r := g.rng.IntN(10); {
	case r < 5:
		return [][]int{all}
	case r < 7:
		i := g.rng.IntN(len(all))
		return [][]int{all[i : i+1]}
	}
	k := 2 + g.rng.IntN(3)
	groups := make([][]int, k)
	for i, f := range all {
		groups[i%k] = append(groups[i%k], f)
	}
	return groups
}

// coats adds one area's jobs on some figures: base, perhaps a wash, perhaps a
// highlight; it returns the first and the last.
func (g *planGen) coats(figures []int) (first, last int) {
	seconds := 15 + g.rng.IntN(60)
	first = g.job(g.plain[1+g.rng.IntN(len(g.plain)-1)], figures, seconds)
	last = first
	if g.rng.IntN(3) == 0 {
		w := g.job(g.wash[g.rng.IntN(len(g.wash))], figures, seconds/2)
		g.lag(last, w, 1200)
		last = w
	}
	if g.rng.IntN(3) == 0 {
		h := g.job(g.plain[1+g.rng.IntN(len(g.plain)-1)], figures, seconds/2)
		dry := 900
		if last != first {
			dry = 2400
		}
		g.lag(last, h, dry)
		last = h
	}
	return first, last
}

func (g *planGen) job(class int, figures []int, seconds int) int {
	j := sched.Job{Class: class, Figures: figures}
	for range figures {
		j.Chunks = append(j.Chunks, max(5, seconds+g.rng.IntN(11)-5))
	}
	g.p.Jobs = append(g.p.Jobs, j)
	return len(g.p.Jobs) - 1
}

func (g *planGen) lag(from, to, dry int) {
	g.p.Lags = append(g.p.Lags, sched.Lag{From: from, To: to, Dry: dry})
}

// shareLag adds a lag only between jobs that share a figure.
func (g *planGen) shareLag(from, to, dry int) {
	for _, a := range g.p.Jobs[from].Figures {
		for _, b := range g.p.Jobs[to].Figures {
			if a == b {
				g.lag(from, to, dry)
				return
			}
		}
	}
}

// calendar gives evenings from 19:00 to 21:00, three of four days, for more
// than twice the work.
func (g *planGen) calendar() {
	work := 0
	for _, j := range g.p.Jobs {
		work += j.Work()
	}
	var list []sched.Window
	for day := 0; work > -len(g.p.Jobs)*600; day++ {
		if day%4 == 3 {
			continue
		}
		at := day*86400 + 19*3600
		list = append(list, sched.Window{Start: at, End: at + 7200})
		work -= 3600
	}
	g.p.Windows = [][]sched.Window{list}
	g.p.Patience, g.p.LongDry = 1800, 4*3600
}
