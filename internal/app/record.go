package app

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"facings"
)

// Record is what was really painted with what: a project's memory for whoever
// wants to match it years later.
type Record struct {
	Project string       `json:"project"`
	Units   []UnitRecord `json:"units"`
	// Remarks are those about no unit.
	Remarks []Remark `json:"remarks"`
}

// UnitRecord is one unit's memory. First and Last are when it was painted, zero
// when nothing was.
type UnitRecord struct {
	Unit    string     `json:"unit"`
	Figures int        `json:"figures"`
	First   time.Time  `json:"first,omitzero"`
	Last    time.Time  `json:"last,omitzero"`
	Laid    []LaidCoat `json:"laid"`
	Remarks []Remark   `json:"remarks"`
}

// LaidCoat is one paint or mix as it was really laid, on areas and figures
// where everything about it is the same.
type LaidCoat struct {
	Medium    string             `json:"medium"`
	Mix       []facings.Part     `json:"mix,omitempty"` // its parts, of a mix
	Lot       string             `json:"lot,omitempty"`
	Planned   string             `json:"planned,omitempty"` // where another medium was planned
	Technique facings.Technique  `json:"technique,omitempty"`
	Coat      int                `json:"coat"` // from 0, within the areas' finishes
	Areas     []string           `json:"areas"`
	Figures   []facings.FigureID `json:"figures"`
	Words     string             `json:"figures_words"`
	First     time.Time          `json:"first"`
	Last      time.Time          `json:"last"`
	Remarks   []Remark           `json:"remarks,omitempty"`
	// Gone is true of work that the project does not ask for any more.
	Gone bool `json:"gone,omitempty"`
}

// Remark is a note or photograph of the log.
type Remark struct {
	At   time.Time `json:"at"`
	Text string    `json:"text,omitempty"`
	File string    `json:"file,omitempty"`
}

// Record gathers what a log says of every unit. The plan is the project's
// coats (App.Coats); work that it knows no more is kept and marked.
func (a *App) Record(plan *Plan, log []facings.Entry) *Record {
	k := newRecorder(plan)
	for _, e := range standing(log) {
		k.entry(e)
	}
	return k.record()
}

// actual is how one task was really done.
type actual struct {
	at      time.Time
	used    facings.Used
	remarks []Remark
}

type recorder struct {
	plan  *Plan
	tasks map[facings.TaskKey]facings.Task
	done  map[facings.TaskKey]*actual
	// order keeps the first mention of every task; made is the last mix made
	// under each name.
	order   []facings.TaskKey
	made    map[string]facings.Used
	remarks map[string][]Remark // by unit, "" for none
}

func newRecorder(plan *Plan) *recorder {
	k := &recorder{plan: plan, tasks: map[facings.TaskKey]facings.Task{}, done: map[facings.TaskKey]*actual{}, made: map[string]facings.Used{}, remarks: map[string][]Remark{}}
	for _, t := range plan.Coats.Tasks {
		k.tasks[facings.KeyOf(plan.Roster, t)] = t
	}
	return k
}

// entry takes one entry of the log in its turn.
func (k *recorder) entry(e facings.Entry) {
	var remark []Remark
	if e.Note != "" || e.File != "" {
		remark = []Remark{{e.At, e.Note, e.File}}
	}
	switch e.Kind {
	case facings.EntryMix:
		if e.Used != nil {
			k.made[e.Used.Medium] = *e.Used
		}
	case facings.EntryDone:
		for _, key := range e.Tasks {
			if k.done[key] == nil {
				k.order = append(k.order, key)
			}
			a := &actual{at: e.At, used: k.used(key.Medium, e.Used), remarks: remark}
			if e.Used == nil {
				if made, ok := k.made[key.Medium]; ok {
					a.used = made
				}
			}
			k.done[key] = a
		}
		return
	case facings.EntrySkip:
		for _, key := range e.Tasks {
			delete(k.done, key)
		}
	case facings.EntryUsed:
		for _, key := range e.Tasks {
			if a := k.done[key]; a != nil && e.Used != nil {
				a.used, a.remarks = k.used(key.Medium, e.Used), append(slices.Clone(a.remarks), remark...)
			}
		}
		if len(e.Tasks) > 0 {
			return
		}
	}
	if len(remark) == 0 {
		return
	}
	units := map[string]bool{}
	for _, key := range e.Tasks {
		units[key.Figure.Unit] = true
	}
	if len(units) == 0 {
		units[""] = true
	}
	for unit := range units {
		k.remarks[unit] = append(k.remarks[unit], remark...)
	}
}

// used fills in what an entry leaves unsaid of what was used.
func (k *recorder) used(planned string, u *facings.Used) facings.Used {
	out := facings.Used{Medium: planned}
	if u != nil {
		out.Lot, out.Mix = u.Lot, u.Mix
		if u.Medium != "" {
			out.Medium = u.Medium
		}
	}
	if parts, _, mixed, ok := k.plan.Project.Medium(out.Medium); ok && mixed && out.Mix == nil {
		out.Mix = parts
	}
	return out
}

func (k *recorder) record() *Record {
	r := &Record{Project: k.plan.Project.Name, Units: []UnitRecord{}, Remarks: append([]Remark{}, k.remarks[""]...)}
	known := map[string]bool{}
	for _, u := range k.plan.Project.Units {
		known[u.Name] = true
		r.Units = append(r.Units, k.unit(u.Name, u.Size()))
	}
	var gone []string
	for _, key := range k.order {
		if name := key.Figure.Unit; !known[name] {
			known[name] = true
			gone = append(gone, name)
		}
	}
	for _, name := range gone {
		r.Units = append(r.Units, k.unit(name, 0))
	}
	return r
}

// unit gathers a unit's tasks into rows that are alike in everything.
func (k *recorder) unit(name string, figures int) UnitRecord {
	u := UnitRecord{Unit: name, Figures: figures, Laid: []LaidCoat{}, Remarks: append([]Remark{}, k.remarks[name]...)}
	type row struct {
		area string
		laid LaidCoat
	}
	rows := map[string]*row{}
	var order []string
	for _, key := range k.order {
		a := k.done[key]
		if key.Figure.Unit != name || a == nil {
			continue
		}
		if u.First.IsZero() || a.at.Before(u.First) {
			u.First = a.at
		}
		if a.at.After(u.Last) {
			u.Last = a.at
		}
		task, there := k.tasks[key]
		l := LaidCoat{Medium: a.used.Medium, Mix: a.used.Mix, Lot: a.used.Lot, Technique: task.Technique, Coat: key.Coat,
			Areas: []string{key.Area}, First: a.at, Last: a.at, Gone: !there}
		if l.Medium != key.Medium {
			l.Planned = key.Medium
		}
		id := fmt.Sprintf("%q %q %v %q %q %d %v", key.Area, l.Medium, l.Mix, l.Lot, l.Planned, l.Coat, l.Gone)
		if rows[id] == nil {
			rows[id] = &row{key.Area, l}
			order = append(order, id)
		}
		have := &rows[id].laid
		have.Figures = append(have.Figures, key.Figure)
		if a.at.Before(have.First) {
			have.First = a.at
		}
		if a.at.After(have.Last) {
			have.Last = a.at
		}
		for _, remark := range a.remarks {
			if !slices.Contains(have.Remarks, remark) {
				have.Remarks = append(have.Remarks, remark)
			}
		}
	}
	for _, id := range order {
		u.Laid = k.join(u.Laid, rows[id].laid)
	}
	return u
}

// join adds a row, or its area to a row that is the same but for the area.
func (k *recorder) join(list []LaidCoat, l LaidCoat) []LaidCoat {
	slices.SortFunc(l.Figures, func(a, b facings.FigureID) int {
		return cmp.Or(cmp.Compare(a.Role, b.Role), cmp.Compare(a.Number, b.Number))
	})
	l.Words = k.figuresWords(l.Figures)
	for i := range list {
		o := &list[i]
		if o.Medium == l.Medium && slices.Equal(o.Mix, l.Mix) && o.Lot == l.Lot && o.Planned == l.Planned && o.Coat == l.Coat && o.Gone == l.Gone &&
			o.Technique == l.Technique && slices.Equal(o.Figures, l.Figures) && len(o.Remarks)+len(l.Remarks) == 0 {
			o.Areas = append(o.Areas, l.Areas...)
			if l.First.Before(o.First) {
				o.First = l.First
			}
			if l.Last.After(o.Last) {
				o.Last = l.Last
			}
			return list
		}
	}
	return append(list, l)
}

func (k *recorder) figuresWords(ids []facings.FigureID) string {
	var indexes []int
	for _, id := range ids {
		if i := slices.IndexFunc(k.plan.Roster.Figures, func(f facings.Figure) bool { return f.ID == id }); i >= 0 {
			indexes = append(indexes, i)
		}
	}
	if len(indexes) < len(ids) {
		if len(ids) == 1 {
			return "1 figure"
		}
		return fmt.Sprintf("%d figures", len(ids))
	}
	return facings.FiguresInWords(k.plan.Roster, indexes)
}

// Text is everything a row says, for reading and for searching.
func (l LaidCoat) Text() string {
	var b strings.Builder
	switch {
	case l.Medium != "":
		b.WriteString(l.Medium)
	case l.Technique == facings.Prepare:
		b.WriteString("cleaned and mounted")
	case l.Technique == facings.Fit:
		b.WriteString("printed, cut and folded")
	default:
		b.WriteString(string(l.Technique))
	}
	if len(l.Mix) > 0 {
		var parts []string
		for _, p := range l.Mix {
			parts = append(parts, fmt.Sprintf("%d %s", p.Parts, p.Paint))
		}
		fmt.Fprintf(&b, " (%s)", strings.Join(parts, " + "))
	}
	if l.Medium != "" && l.Technique != "" && l.Technique != facings.Brush {
		fmt.Fprintf(&b, ", %s", l.Technique)
	}
	if l.Lot != "" {
		fmt.Fprintf(&b, ", lot %s", l.Lot)
	}
	if l.Planned != "" {
		fmt.Fprintf(&b, ", in place of %s", l.Planned)
	}
	fmt.Fprintf(&b, ": %s of %s; %s", strings.Join(l.Areas, ", "), l.Words, l.First.Format("2 January 2006"))
	if day := l.Last.Format("2 January 2006"); day != l.First.Format("2 January 2006") {
		fmt.Fprintf(&b, " to %s", day)
	}
	if l.Gone {
		b.WriteString(" (not in the project any more)")
	}
	for _, r := range l.Remarks {
		b.WriteString("; " + r.Words())
	}
	return b.String()
}

// Words is a remark with its photograph.
func (r Remark) Words() string {
	out := r.Text
	if r.File != "" {
		out = strings.TrimSpace(out + " [" + r.File + "]")
	}
	return out
}

// Find keeps what holds every word looked for, in any order and case: rows,
// remarks, and whole units whose name does.
func (r *Record) Find(text string) *Record {
	words := strings.Fields(strings.ToLower(text))
	has := func(s string) bool {
		s = strings.ToLower(s)
		return !slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(s, w) })
	}
	remarks := func(list []Remark, unit string) []Remark {
		out := []Remark{}
		for _, x := range list {
			if has(unit + " " + x.At.Format("2 January 2006 2006-01-02 ") + x.Words()) {
				out = append(out, x)
			}
		}
		return out
	}
	out := &Record{Project: r.Project, Units: []UnitRecord{}, Remarks: remarks(r.Remarks, "")}
	for _, u := range r.Units {
		found := u
		found.Laid = []LaidCoat{}
		for _, l := range u.Laid {
			if has(u.Unit + " " + l.First.Format("2006-01-02 ") + l.Text()) {
				found.Laid = append(found.Laid, l)
			}
		}
		found.Remarks = remarks(u.Remarks, u.Unit)
		if len(found.Laid)+len(found.Remarks) > 0 {
			out.Units = append(out.Units, found)
		}
	}
	return out
}

// usedOn is what was really used for each coat of a unit: area, coat and
// planned medium to what most figures got.
func (k *recorder) usedOn(unit string) map[facings.TaskKey]facings.Used {
	votes := map[facings.TaskKey]map[string]int{}
	said := map[string]facings.Used{}
	for _, key := range k.order {
		a := k.done[key]
		if key.Figure.Unit != unit || a == nil {
			continue
		}
		u := a.used
		u.Lot, u.ML = "", 0
		id := fmt.Sprintf("%q %v", u.Medium, u.Mix)
		said[id] = u
		key.Figure = facings.FigureID{Unit: unit}
		if votes[key] == nil {
			votes[key] = map[string]int{}
		}
		votes[key][id]++
	}
	out := map[facings.TaskKey]facings.Used{}
	for key, count := range votes {
		best := ""
		for _, id := range slices.Sorted(maps.Keys(count)) {
			if best == "" || count[id] > count[best] {
				best = id
			}
		}
		out[key] = said[best]
	}
	return out
}
