package check

import (
	"maps"
	"slices"
	"time"

	"facings"
)

// areaWork is what is done to one area of one figure, in coat order.
type areaWork struct {
	spec  facings.AreaSpec
	tasks []int // before varnish
	after []int // after varnish
}

// rules checks every rule of a plan on every figure, from the times alone.
func (k *checker) rules() {
	byFigure := make([][]int, len(k.r.Figures))
	for i, t := range k.c.Tasks {
		byFigure[t.Figure] = append(byFigure[t.Figure], i)
	}
	for f, tasks := range byFigure {
		k.figureRules(f, tasks)
	}
	k.stated()
}

func (k *checker) figureRules(f int, tasks []int) {
	body := k.r.Figures[f].Body
	work := map[string]*areaWork{}
	var undercoat, endings, paint []int
	prepare, flag, flown := -1, -1, -1
	for _, i := range tasks {
		t := k.c.Tasks[i]
		switch t.Stage {
		case facings.StagePrepare:
			prepare = i
		case facings.StageUndercoat:
			undercoat = append(undercoat, i)
		case facings.StageMakeFlag:
			flag = i
		case facings.StagePaint, facings.StageAfterVarnish:
			w := work[t.Area]
			if w == nil {
				spec, _ := body.Area(t.Area)
				w = &areaWork{spec: spec}
				work[t.Area] = w
			}
			if t.Stage == facings.StagePaint {
				w.tasks = append(w.tasks, i)
				paint = append(paint, i)
			} else {
				w.after = append(w.after, i)
			}
		default:
			endings = append(endings, i)
			if t.Stage == facings.StageFlag {
				flown = i
			}
		}
	}
	byCoat := func(list []int) {
		slices.SortFunc(list, func(a, b int) int { return k.c.Tasks[a].Coat - k.c.Tasks[b].Coat })
	}
	byCoat(undercoat)
	byCoat(endings)
	for _, w := range inOrder(work) {
		byCoat(w.tasks)
		byCoat(w.after)
	}
	k.underneath(prepare, undercoat, work, endings)
	for _, area := range body.Areas {
		if w := work[area.Name]; w != nil {
			k.coatsInOrder(w)
			k.insideFirst(body, w, work)
			k.messyFirst(body, w, work)
		}
	}
	if flag >= 0 && flown >= 0 {
		k.before(flag, flown, 0, facings.RuleEnding)
	}
	k.eyesLast(work)
	k.ownRules(work)
	k.endings(work, paint, endings)
}

// stated checks the rules that the plan itself gives: some rest on predicted
// colours, of which the checker knows nothing.
func (k *checker) stated() {
	for _, l := range k.c.Lags {
		if l.From < 0 || l.From >= len(k.when) || l.To < 0 || l.To >= len(k.when) {
			k.add("rule-index", "", "a rule (%s) speaks of tasks that do not exist", l.Rule)
			continue
		}
		if !k.done[l.From] || !k.done[l.To] {
			k.before(l.From, l.To, l.Seconds.Minutes(), l.Rule)
		}
	}
}

// inOrder lists the areas of a figure by name, so that findings come out the
// same every time.
func inOrder(work map[string]*areaWork) []*areaWork {
	var out []*areaWork
	for _, name := range slices.Sorted(maps.Keys(work)) {
		out = append(out, work[name])
	}
	return out
}

// before demands that task b starts at least dry minutes after task a ends.
// What is done is done: of it only the drying matters.
func (k *checker) before(a, b int, dry facings.Minutes, rule facings.RuleID) {
	if k.done[b] {
		return
	}
	gap := k.when[b].start.Sub(k.when[a].end)
	if need := time.Duration(dry.Seconds()) * time.Second; gap < need {
		k.add("rule-broken", "", "%s: %s begins %v after %s ends; %v is needed", rule, k.name(b), gap, k.name(a), need)
	}
}

// drying is the time between a coat and the next one over it.
func (k *checker) drying(under, next int) facings.Minutes {
	d := k.p.DryingOf(k.c.Tasks[under].Kind)
	n := k.c.Tasks[next]
	thin := n.Technique == facings.WashOn || n.Technique == facings.Glaze || n.Kind == facings.Wash || n.Kind == facings.OilWash
	soaking := n.Kind == facings.Translucent || n.Kind == facings.Ink
	if thin || (soaking && k.c.Tasks[under].Kind != facings.Primer) {
		return d.WashOver
	}
	return d.Overcoat
}

// underneath: prepared, then dark, then light, then everything else.
func (k *checker) underneath(prepare int, undercoat []int, work map[string]*areaWork, endings []int) {
	if prepare >= 0 && len(undercoat) > 0 {
		k.before(prepare, undercoat[0], 0, facings.RulePrepare)
	}
	for i := 1; i < len(undercoat); i++ {
		k.before(undercoat[i-1], undercoat[i], k.p.DryingOf(facings.Primer).Overcoat, facings.RuleUndercoat)
	}
	if len(undercoat) == 0 {
		return
	}
	last := undercoat[len(undercoat)-1]
	for _, w := range inOrder(work) {
		for _, t := range append(slices.Clone(w.tasks), w.after...) {
			if k.done[last] {
				break // the first coat is all that can be wet of it
			}
			k.before(last, t, k.p.DryingOf(facings.Primer).Overcoat, facings.RuleUndercoat)
		}
		if len(w.tasks) > 0 {
			k.before(last, w.tasks[0], k.drying(last, w.tasks[0]), facings.RuleUndercoat)
		}
	}
	for _, e := range endings {
		k.before(last, e, k.p.DryingOf(facings.Primer).Touch, facings.RuleUndercoat)
	}
}

func (k *checker) coatsInOrder(w *areaWork) {
	list := slices.Concat(w.tasks, w.after)
	for i := 1; i < len(list); i++ {
		for under := i - 1; under >= 0; under-- {
			if left := !k.done[list[under]]; left || under == i-1 {
				k.before(list[under], list[i], k.drying(list[under], list[i]), facings.RuleCoats)
				if left {
					break // what is under that one is its own matter
				}
			}
		}
	}
}

// base reports whether a task gives its area its colour.
func (k *checker) base(i int) bool {
	t := k.c.Tasks[i]
	return t.Technique != facings.WashOn && t.Technique != facings.Drybrush && t.Technique != facings.Dot && t.Kind != facings.Varnish
}

func (k *checker) lastBase(w *areaWork) int {
	for i := len(w.tasks) - 1; i >= 0; i-- {
		if k.base(w.tasks[i]) {
			return w.tasks[i]
		}
	}
	return -1
}

// own reports whether the project has a rule of its own about two areas.
func (k *checker) own(a, b string) bool {
	return slices.ContainsFunc(k.p.Rules.Also, func(r facings.ExtraRule) bool {
		return (r.First == a && r.Then == b) || (r.First == b && r.Then == a)
	})
}

func (k *checker) insideFirst(body facings.Body, w *areaWork, work map[string]*areaWork) {
	if (k.p.Rules.InsideBeforeOutside != nil && !*k.p.Rules.InsideBeforeOutside) || len(w.tasks) == 0 {
		return
	}
	for _, name := range w.spec.Over {
		under := work[name]
		if under == nil || k.own(name, w.spec.Name) {
			continue
		}
		if last := k.lastBase(under); last >= 0 {
			k.before(last, w.tasks[0], k.p.DryingOf(k.c.Tasks[last].Kind).Touch, facings.RuleInside)
		}
	}
}

// messy reports whether a task strays: by its technique, or as the work of the
// large brush.
func (k *checker) messy(i int) bool {
	switch t := k.c.Tasks[i]; t.Technique {
	case facings.WashOn, facings.Drybrush, facings.Spray, facings.GlueOn:
		return true
	default:
		return t.Technique == facings.Brush && t.Tool == facings.ToolLarge
	}
}

// messyFirst: what strays onto a neat area is painted over there afterwards.
func (k *checker) messyFirst(body facings.Body, w *areaWork, work map[string]*areaWork) {
	if k.p.Rules.MessyBeforeNeat != nil && !*k.p.Rules.MessyBeforeNeat {
		return
	}
	for _, t := range w.tasks {
		if !k.messy(t) {
			continue
		}
		for _, name := range body.Reach(w.spec.Name) {
			near := work[name]
			if near == nil || len(near.tasks) == 0 || k.own(name, w.spec.Name) {
				continue
			}
			if last := near.tasks[len(near.tasks)-1]; !k.messy(last) {
				k.before(t, last, k.p.DryingOf(k.c.Tasks[t].Kind).Touch, facings.RuleMessy)
			}
		}
	}
}

func (k *checker) eyesLast(work map[string]*areaWork) {
	if k.p.Rules.EyesLast != nil && !*k.p.Rules.EyesLast {
		return
	}
	isEye := func(name string) bool { return name == "eyes" || name == "horse eyes" }
	for _, eye := range inOrder(work) {
		if !isEye(eye.spec.Name) || len(eye.tasks) == 0 {
			continue
		}
		for _, w := range inOrder(work) {
			if isEye(w.spec.Name) || w.spec.Part == facings.PartBase {
				continue
			}
			for _, t := range w.tasks {
				k.before(t, eye.tasks[0], 0, facings.RuleEyes)
			}
		}
	}
}

func (k *checker) ownRules(work map[string]*areaWork) {
	for _, r := range k.p.Rules.Also {
		a, b := work[r.First], work[r.Then]
		if a == nil || b == nil || len(a.tasks) == 0 || len(b.tasks) == 0 {
			continue
		}
		last := k.lastBase(a)
		if last < 0 {
			last = a.tasks[len(a.tasks)-1]
		}
		k.before(last, b.tasks[0], 0, facings.RuleOwn)
	}
}

// endings: the closing steps after all painting and in the project's order,
// varnish after the long drying time, what is marked so after the varnish. The
// rim of a base gets its last coat after the texture, whose glue strays onto it.
func (k *checker) endings(work map[string]*areaWork, paint, endings []int) {
	dry := func(t, step int) facings.Minutes {
		d := k.p.DryingOf(k.c.Tasks[t].Kind)
		if k.c.Tasks[step].Stage == facings.StageVarnish {
			return d.BeforeVarnish
		}
		return d.Touch
	}
	texture, rim := -1, -1 // the last step that textures the base, and the rim's last coat
	for n, e := range endings {
		if k.c.Tasks[e].Stage == facings.StageBase {
			texture = n
		}
	}
	if w := work["base rim"]; w != nil && len(w.tasks) > 0 && texture >= 0 {
		rim = w.tasks[len(w.tasks)-1]
	}
	varnish := -1
	for n, e := range endings {
		for _, t := range paint {
			if k.covered(work, t) {
				continue
			}
			if t != rim || n > texture {
				k.before(t, e, dry(t, e), facings.RuleVarnish)
			} else if k.c.Tasks[e].Stage == facings.StageBase {
				k.before(e, rim, k.p.DryingOf(k.c.Tasks[e].Kind).Touch, facings.RuleMessy)
			}
		}
		for _, earlier := range endings[:n] {
			k.before(earlier, e, dry(earlier, e), facings.RuleEnding)
		}
		if k.c.Tasks[e].Stage == facings.StageVarnish {
			varnish = e
		}
	}
	if varnish < 0 {
		return
	}
	for _, w := range inOrder(work) {
		for _, t := range w.after {
			k.before(varnish, t, k.p.DryingOf(facings.Varnish).Overcoat, facings.RuleAfter)
		}
	}
}

// covered reports whether a task that is done lies under another that is.
func (k *checker) covered(work map[string]*areaWork, t int) bool {
	list := work[k.c.Tasks[t].Area].tasks
	return k.done[t] && slices.ContainsFunc(list, func(x int) bool { return k.done[x] && k.c.Tasks[x].Coat > k.c.Tasks[t].Coat })
}

// batches: a batch is painted when the one before it is, and nothing is done to
// a third batch while two are on the bench.
func (k *checker) batches() {
	const begun, painted, finished = 0, 1, 2 // the three parts of a batch's work
	var first, last [3][]int                 // per part and batch: its first and its last task
	for i, t := range k.c.Tasks {
		if k.done[i] {
			continue
		}
		part := finished
		switch t.Stage {
		case facings.StagePrepare, facings.StageUndercoat:
			part = begun
		case facings.StagePaint:
			part = painted
		case facings.StageMakeFlag:
			continue // it belongs to no batch's figures
		}
		b := k.r.Figures[t.Figure].Batch
		for part := range first {
			for len(first[part]) <= b {
				first[part], last[part] = append(first[part], -1), append(last[part], -1)
			}
		}
		if at := &first[part][b]; *at < 0 || k.when[i].start.Before(k.when[*at].start) {
			*at = i
		}
		if at := &last[part][b]; *at < 0 || k.when[i].end.After(k.when[*at].end) {
			*at = i
		}
	}
	after := func(part, b, earlier, before int) {
		if b < len(first[part]) && before >= 0 && first[part][b] >= 0 && last[earlier][before] >= 0 {
			k.before(last[earlier][before], first[part][b], 0, facings.RuleBatch)
		}
	}
	for b := range first[painted] {
		for before := b - 1; before >= 0; before-- {
			after(painted, b, painted, before)
		}
		after(begun, b, painted, b-2)
		after(painted, b, finished, b-2)
	}
}
