package order

import (
	"cmp"
	"slices"

	"facings"
	"facings/internal/solve/sched"
)

// job is one coat on one area over the figures of a batch: the piece of work
// that the engine puts in sequence.
type job struct {
	stage     facings.Stage
	area      string
	coat      int
	medium    string
	kind      facings.Kind
	technique facings.Technique
	tool      string
	batch     int
	tasks     []int // in roster order
}

// jobLag is a rule between two jobs: the longest of its tasks' lags.
type jobLag struct {
	from, to int
	dry      facings.Seconds
	whole    bool
	rule     facings.RuleID
	why      string
}

type jobs struct {
	list []job
	of   []int // task to job
	lags []jobLag
}

// jobKey says which tasks make one job. apart is 0 for all figures of a batch
// together, 1 for unit by unit, 2 for figure by figure.
type jobKey struct {
	batch      int
	stage      facings.Stage
	area       string
	coat       int
	medium     string
	technique  facings.Technique
	tool, unit string
	figure     int
}

// gather makes jobs of tasks: first over all figures of a batch, which is how
// a colour that units share gets onto all of them in one go. Where that makes
// jobs wait for each other in a circle though no single figure's tasks do, the
// jobs in the circle are taken unit by unit, then figure by figure.
//
// What is done already makes no job. A job that a mix would not live through is
// cut into several. byUnit takes preparing and undercoating unit by unit from
// the start: one unit can then be worked on while another's undercoat dries.
func gather(p *facings.Project, roster *facings.Roster, coats *facings.Coats, rest rest, byUnit bool) jobs {
	apart := map[jobKey]int{}
	if byUnit {
		for i, t := range coats.Tasks {
			if !rest.done(i) && partOf(t.Stage) == beginning {
				apart[key(roster, t)] = 1
			}
		}
	}
	for {
		g := group(p, roster, coats, rest, apart)
		circle := circle(g)
		if len(circle) == 0 || !separate(roster, coats, g, circle, apart) {
			g.lags = append(g.lags, batchLags(g)...)
			return g
		}
	}
}

func key(roster *facings.Roster, t facings.Task) jobKey {
	return jobKey{batch: roster.Figures[t.Figure].Batch, stage: t.Stage, area: t.Area, coat: t.Coat, medium: t.Medium,
		technique: t.Technique, tool: t.Tool, figure: -1}
}

func group(p *facings.Project, roster *facings.Roster, coats *facings.Coats, rest rest, apart map[jobKey]int) jobs {
	g := jobs{of: make([]int, len(coats.Tasks))}
	index := map[jobKey]int{}
	var long []facings.Seconds // per job, of its tasks so far
	for i, t := range coats.Tasks {
		if rest.done(i) {
			g.of[i] = -1
			continue
		}
		k := key(roster, t)
		switch apart[k] {
		case 1:
			k.unit = roster.Figures[t.Figure].ID.Unit
		case 2:
			k.figure = t.Figure
		}
		j, ok := index[k]
		if limit := partLimit(p, t.Medium); ok && limit > 0 && long[j]+t.Seconds > limit {
			ok = false
		}
		if !ok {
			j = len(g.list)
			long = append(long, 0)
			index[k] = j
			g.list = append(g.list, job{stage: t.Stage, area: t.Area, coat: t.Coat, medium: t.Medium, kind: t.Kind,
				technique: t.Technique, tool: t.Tool, batch: k.batch})
		}
		g.list[j].tasks = append(g.list[j].tasks, i)
		long[j] += t.Seconds
		g.of[i] = j
	}
	at := map[[2]int]int{}
	for _, l := range rest.lags {
		pair := [2]int{g.of[l.From], g.of[l.To]}
		i, ok := at[pair]
		if !ok {
			at[pair] = len(g.lags)
			g.lags = append(g.lags, jobLag{from: pair[0], to: pair[1], dry: l.Seconds, rule: l.Rule, why: l.Why})
			continue
		}
		if l.Seconds > g.lags[i].dry {
			g.lags[i].dry, g.lags[i].rule, g.lags[i].why = l.Seconds, l.Rule, l.Why
		}
	}
	slices.SortFunc(g.lags, func(a, b jobLag) int {
		return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(a.to, b.to))
	})
	return g
}

// circle lists jobs that wait for each other, none when all is well.
func circle(g jobs) []int {
	cycle := sched.Cycle(len(g.list), engineLags(g.lags))
	var out []int
	for _, k := range cycle {
		out = append(out, g.lags[k].from)
	}
	return out
}

func engineLags(lags []jobLag) []sched.Lag {
	out := make([]sched.Lag, len(lags))
	for i, l := range lags {
		out[i] = sched.Lag{From: l.from, To: l.to, Dry: int(l.dry), Whole: l.whole, Rule: i}
	}
	return out
}

// separate takes the jobs of a circle apart one step further; false when they
// are single figures already.
func separate(roster *facings.Roster, coats *facings.Coats, g jobs, circle []int, apart map[jobKey]int) bool {
	changed := false
	for _, j := range circle {
		k := key(roster, coats.Tasks[g.list[j].tasks[0]])
		if apart[k] < 2 && len(g.list[j].tasks) > 1 {
			apart[k]++
			changed = true
		}
	}
	return changed
}

// batchLags keeps batches apart. A batch is painted when the one before it is;
// at most two are on the bench at once: the next one's castings are prepared
// and undercoated while one is painted, and one is based and varnished while
// the next is painted.
func batchLags(g jobs) []jobLag {
	last := 0
	for _, j := range g.list {
		last = max(last, j.batch)
	}
	if last == 0 {
		return nil
	}
	heads, tails := edges(g, last)
	var out []jobLag
	chain := func(from, to []int, why string) {
		for _, f := range from {
			for _, t := range to {
				out = append(out, jobLag{from: f, to: t, whole: true, rule: facings.RuleBatch, why: why})
			}
		}
	}
	for b := 1; b <= last; b++ {
		chain(tails[painting][b-1], heads[painting][b], "the batch before is painted first")
		chain(tails[beginning][b-1], heads[beginning][b], "the batch before is undercoated first")
		chain(tails[finishing][b-1], heads[finishing][b], "the batch before is finished first")
		if b > 1 {
			chain(tails[painting][b-2], heads[beginning][b], "no third batch on the bench")
			chain(tails[finishing][b-2], heads[painting][b], "no third batch on the bench")
		}
	}
	return out
}

// The three parts of a batch's work.
const (
	beginning = iota // prepared and undercoated
	painting
	finishing // based, flagged, varnished
	anytime   // making flags
)

func partOf(s facings.Stage) int {
	switch s {
	case facings.StagePrepare, facings.StageUndercoat:
		return beginning
	case facings.StagePaint:
		return painting
	case facings.StageMakeFlag:
		return anytime
	}
	return finishing
}

// edges lists, per part and batch, the jobs with nothing before or after them
// in the same part and batch. Behind an empty part the batch before it counts.
func edges(g jobs, last int) (heads, tails [3][][]int) {
	hasBefore, hasAfter := make([]bool, len(g.list)), make([]bool, len(g.list))
	for _, l := range g.lags {
		a, b := g.list[l.from], g.list[l.to]
		if a.batch == b.batch && partOf(a.stage) == partOf(b.stage) {
			hasAfter[l.from], hasBefore[l.to] = true, true
		}
	}
	for part := range heads {
		heads[part], tails[part] = make([][]int, last+1), make([][]int, last+1)
	}
	for i, j := range g.list {
		part := partOf(j.stage)
		if part == anytime {
			continue
		}
		if !hasBefore[i] {
			heads[part][j.batch] = append(heads[part][j.batch], i)
		}
		if !hasAfter[i] {
			tails[part][j.batch] = append(tails[part][j.batch], i)
		}
	}
	for part := range tails {
		for b := 1; b <= last; b++ {
			if len(tails[part][b]) == 0 {
				tails[part][b] = tails[part][b-1]
			}
		}
	}
	return heads, tails
}
