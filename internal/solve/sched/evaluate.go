package sched

import (
	"errors"
	"fmt"
)

// ErrCalendar is returned by Evaluate when a worker's windows end before the
// sequence does.
var ErrCalendar = errors.New("the calendar ends before the work")

// Evaluate plays the sequences through and returns what they mean; it is the
// definition that every search must agree with. sequences[w] are worker w's
// jobs in order.
//
// Each job starts as early as its worker, its set-up and its lags allow; the
// worker waits first, then sets up, then works. In a window, as many chunks
// are taken as end inside it, and the piece starts late enough that none of
// them must be waited for in between; the rest of the job opens the worker's
// next window. Idle time before the first piece of a window is not counted:
// the sitting starts later. If the piece must wait for a long lag (LongDry),
// the sitting ends instead and the job opens the next window. So it does when a
// job of another class can't be finished in the last seconds (Close).
//
// The error says which job is missing, repeated, with the wrong worker or out
// of order; it wraps ErrCalendar when the windows are too short.
func Evaluate(p *Problem, sequences [][]int) (Solution, error) {
	sol := Solution{Sequences: sequences, Jobs: make([]Times, len(p.Jobs))}
	if err := complete(p, sequences); err != nil {
		return sol, err
	}
	into := make([][]Lag, len(p.Jobs))
	for _, l := range p.Lags {
		into[l.To] = append(into[l.To], l)
	}
	benches := make([]bench, p.Workers)
	for w := range benches {
		benches[w] = bench{windows: p.windows(w), class: -1, made: map[int]int{}}
	}
	next := make([]int, p.Workers)
	for placed := 0; placed < len(p.Jobs); {
		before := placed
		for w, seq := range sequences {
			for next[w] < len(seq) && ready(into[seq[next[w]]], sol.Jobs) {
				j := seq[next[w]]
				times, err := benches[w].do(p, j, releases(p, j, into[j], sol.Jobs))
				if err != nil {
					return sol, err
				}
				times.Worker = w
				sol.Jobs[j] = times
				next[w]++
				placed++
			}
		}
		if placed == before {
			return sol, errors.New("the sequences and the lags wait for each other")
		}
	}
	for _, b := range benches {
		sol.Work += b.work
		sol.Setup += b.setup
		sol.Wait += b.wait
		sol.Changes += b.changes
		sol.Makespan = max(sol.Makespan, b.work+b.setup+b.wait)
	}
	for _, t := range sol.Jobs {
		sol.WallEnd = max(sol.WallEnd, t.End)
	}
	return sol, nil
}

// complete checks that each job is there once, with a worker who may do it.
func complete(p *Problem, sequences [][]int) error {
	if len(sequences) != p.Workers {
		return fmt.Errorf("%d sequences for %d workers", len(sequences), p.Workers)
	}
	seen := make([]bool, len(p.Jobs))
	for w, seq := range sequences {
		for _, j := range seq {
			if j < 0 || j >= len(p.Jobs) {
				return fmt.Errorf("job %d is outside the %d jobs", j, len(p.Jobs))
			}
			if seen[j] {
				return fmt.Errorf("job %d comes twice", j)
			}
			seen[j] = true
			if who := p.Jobs[j].Workers; who != 0 && who&(1<<w) == 0 {
				return fmt.Errorf("job %d may not be done by worker %d", j, w)
			}
		}
	}
	for j, ok := range seen {
		if !ok {
			return fmt.Errorf("job %d is missing", j)
		}
	}
	return nil
}

func ready(into []Lag, done []Times) bool {
	for _, l := range into {
		if done[l.From].Pieces == nil {
			return false
		}
	}
	return true
}

// release is the earliest wall second a chunk may start, and whether a long
// lag decides it.
type release struct {
	at   int
	long bool
}

func (r *release) raise(at int, long bool) {
	if at > r.at {
		*r = release{at, long}
	} else if at == r.at && long {
		r.long = true
	}
}

// releases gives the release of each chunk of job j.
func releases(p *Problem, j int, into []Lag, done []Times) []release {
	rel := make([]release, len(p.Jobs[j].Chunks))
	for _, l := range into {
		long := p.LongDry > 0 && l.Dry >= p.LongDry
		ends := chunkEnds(p.Jobs[l.From], done[l.From])
		shared := false
		if !l.Whole {
			for a, figure := range p.Jobs[l.From].Figures {
				for b, other := range p.Jobs[j].Figures {
					if figure == other {
						rel[b].raise(ends[a]+l.Dry, long)
						shared = true
					}
				}
			}
		}
		if !shared {
			rel[0].raise(done[l.From].End+l.Dry, long)
		}
	}
	return rel
}

func chunkEnds(j Job, t Times) []int {
	var ends []int
	for _, piece := range t.Pieces {
		at := piece.Start
		for _, s := range j.Chunks[piece.Chunk : piece.Chunk+piece.Count] {
			at += s
			ends = append(ends, at)
		}
	}
	return ends
}

// bench is the state of one worker between two pieces.
type bench struct {
	windows []Window    // nil: one endless window
	window  int         // index of the current window
	busy    bool        // work was done in the current window
	at      int         // wall seconds at which the worker is free
	class   int         // what is loaded; -1 nothing
	made    map[int]int // mix → wall second of the work it was made for

	work, setup, wait, changes int
}

// do places job j and returns its times.
func (b *bench) do(p *Problem, j int, rel []release) (Times, error) {
	job := p.Jobs[j]
	var t Times
	left := 0
	for k := 0; k < len(job.Chunks); {
		if b.windows != nil && b.window >= len(b.windows) {
			return t, fmt.Errorf("job %d, chunk %d: %w", j, k, ErrCalendar)
		}
		begin, end := b.bounds()
		fit := b.fit(p, job, rel, k, begin, end)
		if k == 0 && fit.count < len(job.Chunks) && b.closes(p, job.Class, end) {
			b.leave(p, fitting{}, begin, end)
			continue
		}
		if fit.count == 0 {
			left += b.leave(p, fit, begin, end)
			continue
		}
		piece := Piece{Window: b.window, Chunk: k, Count: fit.count, Left: left, Setup: fit.setup, Start: fit.start}
		left = 0
		piece.Wait = b.counted(p, fit.start-fit.setup-begin)
		piece.End = fit.start
		for _, s := range job.Chunks[k : k+fit.count] {
			piece.End += s
		}
		b.take(p, job.Class, piece)
		k += fit.count
		t.Pieces = append(t.Pieces, piece)
		if k < len(job.Chunks) {
			rest := fitting{waits: rel[k].at > b.at && b.at+job.Chunks[k] <= end, long: rel[k].long}
			left = b.leave(p, rest, b.at, end)
		}
	}
	t.Start, t.End = t.Pieces[0].Start, b.at
	return t, nil
}

// bounds gives the wall seconds from which the worker is free in the current
// window, and the window's end.
func (b *bench) bounds() (begin, end int) {
	if b.windows == nil {
		return b.at, 1 << 60
	}
	w := b.windows[b.window]
	return max(b.at, w.Start), w.End
}

// counted is how much of an idle stretch in the current window counts.
func (b *bench) counted(p *Problem, idle int) int {
	if b.windows == nil {
		return idle
	}
	if !b.busy {
		return 0
	}
	if p.Patience > 0 {
		return min(idle, p.Patience)
	}
	return idle
}

// fitting is what of a job the current window can take.
type fitting struct {
	count, start, setup int
	// waits: nothing fits because the first chunk, or for a long lag any
	// chunk of the piece, is not dry; long: a long lag decides it.
	waits, long bool
}

// fit finds the longest piece from chunk k that the window takes, with a make
// only if what was made is too old when the work starts.
func (b *bench) fit(p *Problem, job Job, rel []release, k, begin, end int) fitting {
	c := job.Class
	setup := p.First[c]
	if b.class >= 0 && (b.busy || b.windows == nil) {
		setup = p.Switch[b.class][c]
	}
	if p.Make == nil || p.Make[c] == 0 {
		return b.fitSetup(p, job, rel, k, begin, end, setup)
	}
	if made, ok := b.made[p.mixOf(c)]; ok {
		f := b.fitSetup(p, job, rel, k, begin, end, setup)
		// The making may fill the time that a long lag would end the sitting for.
		if f.count == 0 && f.start == begin+setup || !stale(p, c, made, f.start) {
			return f
		}
	}
	return b.fitSetup(p, job, rel, k, begin, end, setup+p.Make[c])
}

// stale reports whether what was made for class c at one second is too old for
// work that starts at another.
func stale(p *Problem, c, made, start int) bool {
	return p.Life != nil && p.Life[c] > 0 && start-made > p.Life[c]
}

func (b *bench) fitSetup(p *Problem, job Job, rel []release, k, begin, end, setup int) fitting {
	f := fitting{setup: setup, start: begin + setup}
	offset := 0
	for i := k; i < len(job.Chunks); i++ {
		start, long := f.start, f.long
		if r := rel[i]; r.at-offset > start {
			start, long = r.at-offset, r.long
		} else if r.at-offset == start && start > begin+setup {
			long = long || r.long
		}
		if start+offset+job.Chunks[i] > end {
			if i == k {
				f.waits = start > begin+setup && begin+setup+job.Chunks[i] <= end
				f.long = long
			}
			break
		}
		f.start, f.long = start, long
		f.count++
		offset += job.Chunks[i]
	}
	if f.count > 0 && f.long && b.busy && b.windows != nil {
		return fitting{waits: true, long: true, start: f.start, setup: setup}
	}
	return f
}

// closes reports whether the window is so near its end that another class is
// not loaded for part of a job.
func (b *bench) closes(p *Problem, class, end int) bool {
	return b.busy && b.windows != nil && class != b.class && end-b.at <= p.Close
}

// leave ends the sitting because no chunk fits any more; it counts the rest of
// the window, and returns it, when the worker had to wait for a short lag.
func (b *bench) leave(p *Problem, f fitting, begin, end int) (waited int) {
	if f.waits && !f.long {
		waited = b.counted(p, end-begin)
	}
	b.wait += waited
	b.window++
	b.busy = false
	return waited
}

// take books a piece.
func (b *bench) take(p *Problem, class int, piece Piece) {
	if class != b.class || !b.busy {
		b.changes++
	}
	base := p.First[class]
	if b.class >= 0 && (b.busy || b.windows == nil) {
		base = p.Switch[b.class][class]
	}
	if p.Make != nil && p.Make[class] > 0 {
		x := p.mixOf(class)
		if _, ok := b.made[x]; !ok || piece.Setup > base {
			b.made[x] = piece.Start
		}
	}
	b.work += piece.End - piece.Start
	b.setup += piece.Setup
	b.wait += piece.Wait
	b.at, b.class, b.busy = piece.End, class, true
}
