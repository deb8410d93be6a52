package order

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"time"

	"facings"
	"facings/internal/solve/sched"
)

// builder turns the engine's answer back into passes, pieces and sittings.
type builder struct {
	project *facings.Project
	roster  *facings.Roster
	coats   *facings.Coats
	jobs    jobs
	setups  *setups
	set     Settings
	order   *facings.Order

	timed  *sched.Problem // with each job's seconds as its painter takes them
	passOf []int          // job to index of its pass
}

func (b *builder) build(res sched.Result) {
	sol := res.Solution
	b.passOf = make([]int, len(b.jobs.list))
	for worker, seq := range sol.Sequences {
		at := desk{class: -1}
		for i, j := range seq {
			if i == 0 || !b.same(seq[i-1], j) {
				b.open(worker, j)
			}
			b.extend(j, sol.Jobs[j], &at)
		}
	}
	b.inTime()
	b.sittings(sol)
	b.describe()
	b.totals(res)
}

// same reports whether two jobs after each other are one pass to the painter.
func (b *builder) same(x, y int) bool {
	p, q := b.jobs.list[x], b.jobs.list[y]
	return p.medium == q.medium && p.tool == q.tool && p.technique == q.technique && p.stage == q.stage && p.batch == q.batch
}

func (b *builder) open(worker, j int) {
	job := b.jobs.list[j]
	parts, _, mixed, _ := b.project.Medium(job.medium)
	if !mixed {
		parts = nil
	}
	b.order.Passes = append(b.order.Passes, facings.Pass{Medium: job.medium, Mix: parts, Kind: job.kind, Tool: job.tool,
		Technique: job.technique, Stage: job.stage, Batch: job.batch, Painter: worker})
}

// desk is what is loaded at a painter's place, -1 for nothing, and in which window.
type desk struct{ class, window int }

// makes reports whether a mix is made in front of a piece: its set-up is then
// more than the change alone.
func (b *builder) makes(at desk, class int, piece sched.Piece) bool {
	change := b.setups.first[class]
	if at.class >= 0 && at.window == piece.Window {
		change = b.setups.change[at.class][class]
	}
	return b.setups.make[class] > 0 && piece.Setup > change
}

func (b *builder) extend(j int, times sched.Times, desk *desk) {
	job, at := b.jobs.list[j], len(b.order.Passes)-1
	pass := &b.order.Passes[at]
	b.passOf[j] = at
	if !slices.Contains(pass.Areas, job.area) {
		pass.Areas = append(pass.Areas, job.area)
	}
	pass.Tasks = append(pass.Tasks, job.tasks...)
	class := b.setups.index[bench{job.medium, job.tool}]
	for _, piece := range times.Pieces {
		if b.makes(*desk, class, piece) {
			pass.Makes++
		}
		desk.class, desk.window = class, piece.Window
		pass.SetUp += facings.Seconds(piece.Setup).Minutes()
		pass.Wait += facings.Seconds(piece.Wait + piece.Left).Minutes()
		from := piece.Start
		for k := piece.Chunk; k < piece.Chunk+piece.Count; k++ {
			t, s := job.tasks[k], b.timed.Jobs[j].Chunks[k]
			b.order.Pieces = append(b.order.Pieces, facings.Piece{Task: t, Pass: at, Start: b.at(from), End: b.at(from + s)})
			pass.Minutes += facings.Seconds(s).Minutes()
			from += s
		}
	}
	if start := b.at(times.Start); pass.Start.IsZero() || start.Before(pass.Start) {
		pass.Start = start
	}
	if end := b.at(times.End); end.After(pass.End) {
		pass.End = end
	}
}

func (b *builder) at(second int) time.Time {
	return b.set.Start.Add(time.Duration(second) * time.Second)
}

// inTime numbers the passes by when they start.
func (b *builder) inTime() {
	order := make([]int, len(b.order.Passes))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(x, y int) int {
		return b.order.Passes[x].Start.Compare(b.order.Passes[y].Start)
	})
	sorted, moved := make([]facings.Pass, len(order)), make([]int, len(order))
	for n, i := range order {
		sorted[n] = b.order.Passes[i]
		sorted[n].Number = n + 1
		moved[i] = n
	}
	b.order.Passes = sorted
	for i := range b.order.Pieces {
		b.order.Pieces[i].Pass = moved[b.order.Pieces[i].Pass]
	}
	for j := range b.passOf {
		b.passOf[j] = moved[b.passOf[j]]
	}
	slices.SortStableFunc(b.order.Pieces, func(x, y facings.Piece) int {
		return cmp.Or(x.Start.Compare(y.Start), cmp.Compare(x.Task, y.Task))
	})
}

// sittings lists every window in which something happens.
func (b *builder) sittings(sol sched.Solution) {
	at := map[[2]int]int{}
	for j, times := range sol.Jobs {
		for _, piece := range times.Pieces {
			k := [2]int{times.Worker, piece.Window}
			i, ok := at[k]
			if !ok {
				i = len(b.order.Sittings)
				at[k] = i
				w := b.set.Windows[times.Worker][piece.Window]
				b.order.Sittings = append(b.order.Sittings, facings.Sitting{Painter: b.painter(times.Worker), Start: w.Start, Until: w.End})
			}
			s := &b.order.Sittings[i]
			s.WorkMinutes += facings.Seconds(piece.End - piece.Start).Minutes()
			s.SetUpMinutes += facings.Seconds(piece.Setup).Minutes()
			s.WaitMinutes += facings.Seconds(piece.Wait).Minutes()
			if begins := b.at(piece.Start - piece.Setup); s.Begins.IsZero() || begins.Before(s.Begins) {
				s.Begins = begins
			}
			if end := b.at(piece.End); end.After(s.End) {
				s.End = end
			}
			if n := b.order.Passes[b.passOf[j]].Number; !slices.Contains(s.Passes, n) {
				s.Passes = append(s.Passes, n)
			}
		}
	}
	b.leftWaiting(sol, at)
	slices.SortStableFunc(b.order.Sittings, func(x, y facings.Sitting) int {
		return cmp.Or(x.Begins.Compare(y.Begins), strings.Compare(x.Painter, y.Painter))
	})
	for i := range b.order.Sittings {
		s := &b.order.Sittings[i]
		s.Number = i + 1
		slices.Sort(s.Passes)
		for _, n := range s.Passes {
			if pass := &b.order.Passes[n-1]; pass.Sitting == 0 {
				pass.Sitting = s.Number
			}
		}
	}
}

// leftWaiting books waiting at the end of a sitting, for something that was not
// dry in time, on that sitting: the painter's last one before the piece.
func (b *builder) leftWaiting(sol sched.Solution, at map[[2]int]int) {
	for _, times := range sol.Jobs {
		for _, piece := range times.Pieces {
			for w := piece.Window - 1; piece.Left > 0 && w >= 0; w-- {
				if i, ok := at[[2]int{times.Worker, w}]; ok {
					b.order.Sittings[i].WaitMinutes += facings.Seconds(piece.Left).Minutes()
					break
				}
			}
		}
	}
}

func (b *builder) painter(w int) string {
	if w < len(b.project.Calendar.Painters) {
		return b.project.Calendar.Painters[w].Name
	}
	return "painter"
}

func (b *builder) totals(res sched.Result) {
	o, sol := b.order, res.Solution
	o.WorkMinutes = facings.Seconds(sol.Work).Minutes()
	o.SetUpMinutes = facings.Seconds(sol.Setup).Minutes()
	o.WaitMinutes = facings.Seconds(sol.Wait).Minutes()
	o.Minutes = facings.Seconds(sol.Bench()).Minutes()
	o.ElapsedMinutes = facings.Seconds(sol.Makespan).Minutes()
	o.ElapsedLowerBoundMinutes = facings.Seconds(res.LowerBound).Minutes()
	o.LowerBoundMinutes = o.ElapsedLowerBoundMinutes
	if len(sol.Sequences) > 1 {
		o.LowerBoundMinutes = facings.Seconds(sol.Work + b.setups.least()).Minutes()
	}
	if loose := o.Minutes - o.WorkMinutes; loose > 0 {
		o.Gap = math.Max(0, float64((o.Minutes-o.LowerBoundMinutes)/loose))
	}
}

// least is the set-up that several painters cannot do without: every bench is
// loaded at least once by somebody, and every mix made.
func (s *setups) least() int {
	sum := 0
	made := map[int]bool{}
	for b := range s.benches {
		least := s.first[b]
		for a := range s.benches {
			if a != b {
				least = min(least, s.change[a][b])
			}
		}
		sum += least
		if !made[s.mix[b]] {
			made[s.mix[b]] = true
			sum += s.make[b]
		}
	}
	return sum
}
