package sheet

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"facings"
)

// record is what the log tells of one pass.
type record struct {
	first, last time.Time // when its tasks were done
	seconds     facings.Seconds
	done        map[int]bool // tasks
	skipped     map[int]bool
	used, notes []string
}

// records sorts the log's entries by the passes they are about. Entries that
// were undone, or are about no pass of this plan, do not count.
func records(b *Bench, passOf []int, log []facings.Entry) map[int]*record {
	undone := map[string]bool{}
	for _, e := range log {
		if e.Kind == facings.EntryUndo {
			undone[e.Undoes] = true
		}
	}
	task := map[facings.TaskKey]int{}
	for i, t := range b.Coats.Tasks {
		task[facings.TaskKey{Figure: b.Roster.Figures[t.Figure].ID, Area: t.Area, Coat: t.Coat, Medium: t.Medium}] = i
	}
	out := map[int]*record{}
	seen := map[string]bool{}
	for _, e := range log {
		if undone[e.ID] || e.ID != "" && seen[e.ID] {
			continue
		}
		seen[e.ID] = true
		about := map[int][]int{}
		for _, k := range e.Tasks {
			if i, ok := task[k]; ok && passOf[i] != 0 {
				about[passOf[i]] = append(about[passOf[i]], i)
			}
		}
		for pass, tasks := range about {
			if out[pass] == nil {
				out[pass] = &record{done: map[int]bool{}, skipped: map[int]bool{}}
			}
			out[pass].add(e, tasks, float64(len(tasks))/float64(len(e.Tasks)))
		}
	}
	return out
}

// add takes in an entry; share is how much of it is about this pass.
func (r *record) add(e facings.Entry, tasks []int, share float64) {
	switch e.Kind {
	case facings.EntryDone:
		if r.first.IsZero() || e.At.Before(r.first) {
			r.first = e.At
		}
		if e.At.After(r.last) {
			r.last = e.At
		}
		r.seconds += facings.Seconds(float64(e.Seconds) * share)
		for _, t := range tasks {
			r.done[t] = true
		}
	case facings.EntrySkip:
		for _, t := range tasks {
			r.skipped[t] = true
		}
	}
	if u := e.Used; u != nil && u.Medium != "" {
		words := u.Medium
		if len(u.Mix) > 0 {
			words += " (" + partsWords(u.Mix) + ")"
		}
		if u.Lot != "" {
			words += ", lot " + u.Lot
		}
		if !slices.Contains(r.used, words) {
			r.used = append(r.used, words)
		}
	}
	if e.Note != "" {
		r.notes = append(r.notes, e.Note)
	}
}

// words tells a record, "" if nothing was done.
func (r *record) words(tasks int) []Words {
	if r == nil {
		return nil
	}
	var out []Words
	if !r.first.IsZero() {
		text := dateSpan(r.first, r.last)
		if r.seconds > 0 {
			text += ", " + duration(facings.Minutes(math.Round(float64(r.seconds.Minutes())))) + " as measured"
		}
		if n := len(r.done); n < tasks {
			text += fmt.Sprintf("; %d of %d pieces of it", n, tasks)
		}
		out = append(out, Words{"Done", text + "."})
	}
	if n := len(r.skipped); n > 0 {
		out = append(out, Words{"Not done", fmt.Sprintf("%d of %d pieces were left unpainted.", n, tasks)})
	}
	if len(r.used) > 0 {
		out = append(out, Words{"Really used", strings.Join(r.used, "; ") + "."})
	}
	if len(r.notes) > 0 {
		out = append(out, Words{"Noted", strings.Join(r.notes, " / ")})
	}
	return out
}

// recordSpan is the first and the last day on which anything was done.
func recordSpan(list map[int]*record) (from, to time.Time, ok bool) {
	for _, r := range list {
		if r.first.IsZero() {
			continue
		}
		if !ok || r.first.Before(from) {
			from = r.first
		}
		if !ok || r.last.After(to) {
			to = r.last
		}
		ok = true
	}
	return from, to, ok
}

// partsWords is a mix in parts: "3 sky blue + 1 deep green".
func partsWords(parts []facings.Part) string {
	var out []string
	for _, p := range parts {
		out = append(out, fmt.Sprintf("%d %s", p.Parts, p.Paint))
	}
	return strings.Join(out, " + ")
}
