package sched

import "fmt"

// verify checks a solution against the words of Problem's comments, second by
// second where that is simplest, and shares no code with Evaluate.
func verify(p *Problem, s Solution) error {
	v := verifier{p: p, s: s}
	for _, check := range []func() error{v.once, v.chunks, v.lags, v.desks} {
		if err := check(); err != nil {
			return err
		}
	}
	return nil
}

type verifier struct {
	p *Problem
	s Solution
	// from and to are the wall seconds of each chunk of each job.
	from, to [][]int
}

// once: every job is in one sequence, with a worker who may do it.
func (v *verifier) once() error {
	count := map[int]int{}
	for w, seq := range v.s.Sequences {
		for _, j := range seq {
			count[j]++
			if v.s.Jobs[j].Worker != w {
				return fmt.Errorf("job %d: worker %d in its times, %d in the sequences", j, v.s.Jobs[j].Worker, w)
			}
			if who := v.p.Jobs[j].Workers; who != 0 && who>>w&1 == 0 {
				return fmt.Errorf("job %d: not for worker %d", j, w)
			}
		}
	}
	for j := range v.p.Jobs {
		if count[j] != 1 {
			return fmt.Errorf("job %d: %d times", j, count[j])
		}
	}
	return nil
}

// chunks: the pieces hold every chunk once, in order, without a break inside.
func (v *verifier) chunks() error {
	for j, job := range v.p.Jobs {
		var from, to []int
		for _, piece := range v.s.Jobs[j].Pieces {
			if piece.Chunk != len(from) {
				return fmt.Errorf("job %d: piece begins with chunk %d, not %d", j, piece.Chunk, len(from))
			}
			at := piece.Start
			for range piece.Count {
				from = append(from, at)
				at += job.Chunks[len(from)-1]
				to = append(to, at)
			}
			if at != piece.End {
				return fmt.Errorf("job %d: piece ends at %d, not %d", j, piece.End, at)
			}
		}
		if len(from) != len(job.Chunks) || from[0] != v.s.Jobs[j].Start || to[len(to)-1] != v.s.Jobs[j].End {
			return fmt.Errorf("job %d: %d of %d chunks", j, len(from), len(job.Chunks))
		}
		v.from, v.to = append(v.from, from), append(v.to, to)
	}
	return nil
}

// lags: each figure is dry.
func (v *verifier) lags() error {
	for k, l := range v.p.Lags {
		pairs := 0
		for x, f := range v.p.Jobs[l.From].Figures {
			for y, g := range v.p.Jobs[l.To].Figures {
				if f != g || l.Whole {
					continue
				}
				pairs++
				if v.from[l.To][y] < v.to[l.From][x]+l.Dry {
					return fmt.Errorf("lag %d: figure %d is not dry", k, f)
				}
			}
		}
		if pairs == 0 && v.s.Jobs[l.To].Start < v.s.Jobs[l.From].End+l.Dry {
			return fmt.Errorf("lag %d: not dry", k)
		}
	}
	return nil
}

// desks: each worker does one thing at a time, sets up what is due, inside the
// windows, and the totals are the sums.
func (v *verifier) desks() error {
	work, setup, wait, longest, end := 0, 0, 0, 0, 0
	for w, seq := range v.s.Sequences {
		var windows []Window
		if len(v.p.Windows) > 0 {
			windows = v.p.Windows[w%len(v.p.Windows)]
		}
		free, window, class := 0, -1, -1
		made := map[int]int{}
		bench := 0
		for _, j := range seq {
			c := v.p.Jobs[j].Class
			for _, piece := range v.s.Jobs[j].Pieces {
				if piece.Start-piece.Setup < free {
					return fmt.Errorf("job %d: set-up begins at %d, before %d", j, piece.Start-piece.Setup, free)
				}
				need := v.p.First[c]
				if class >= 0 && (windows == nil || piece.Window == window) {
					need = v.p.Switch[class][c]
				}
				if v.p.Make != nil && v.p.Make[c] > 0 {
					at, ok := made[mix(v.p, c)]
					life := 0
					if v.p.Life != nil {
						life = v.p.Life[c]
					}
					// What is just fresh enough without the make is not made.
					if fresh := ok && (life == 0 || piece.Start-at <= life); !fresh {
						need += v.p.Make[c]
						made[mix(v.p, c)] = piece.Start
					}
				}
				if piece.Setup != need {
					return fmt.Errorf("job %d: set-up %d, due is %d", j, piece.Setup, need)
				}
				if windows != nil {
					win := windows[piece.Window]
					if piece.Start-piece.Setup < win.Start || piece.End > win.End || piece.Window < window {
						return fmt.Errorf("job %d: outside window %d", j, piece.Window)
					}
				} else if piece.Wait != piece.Start-piece.Setup-free {
					return fmt.Errorf("job %d: waiting %d", j, piece.Wait)
				}
				if cut := len(v.s.Jobs[j].Pieces) > 1 && piece.Chunk == 0; cut && piece.Window == window && c != class && windows[window].End-free <= v.p.Close {
					return fmt.Errorf("job %d: begun %d seconds before the end of window %d, and not finished in it", j, windows[window].End-free, window)
				}
				if limit := v.p.Patience; windows != nil && limit > 0 && piece.Wait > limit {
					return fmt.Errorf("job %d: waiting %d is beyond patience", j, piece.Wait)
				}
				free, window, class = piece.End, piece.Window, c
				bench += piece.Left + piece.Wait + piece.Setup + piece.End - piece.Start
				work += piece.End - piece.Start
				setup += piece.Setup
				wait += piece.Left + piece.Wait
				end = max(end, piece.End)
			}
		}
		longest = max(longest, bench)
	}
	if work != v.s.Work || setup != v.s.Setup || wait != v.s.Wait || longest != v.s.Makespan || end != v.s.WallEnd {
		return fmt.Errorf("totals %d %d %d %d %d, the sums are %d %d %d %d %d",
			v.s.Work, v.s.Setup, v.s.Wait, v.s.Makespan, v.s.WallEnd, work, setup, wait, longest, end)
	}
	return nil
}

// mix is what a class needs made.
func mix(p *Problem, class int) int {
	if p.Mix == nil {
		return class
	}
	return p.Mix[class]
}
