package sched

import "slices"

// A blockRule says that the jobs of some groups of classes can't be done in
// few blocks: in every order that keeps the lags, the number of times a job of
// a group follows a job outside that group (or nothing), summed over the
// groups, is at least count. Classes in no group may come anywhere.
type blockRule struct {
	group []int8 // class → its group from 1; 0: none
	count int
	mu    int // multiplier, 1/1024 s
	seen  int // entries in the tree
}

// manyJobs is from how many jobs on rules for several groups take too long.
const manyJobs = 1500

// blockCounter counts blocks among the jobs of one segment.
//
// Adding a job to what is done never makes more blocks necessary later. So a
// block may always take every job of its group that can be reached, and the
// fewest blocks are the shortest path over the sets that such greedy blocks
// lead to.
type blockCounter struct {
	m     *model
	jobs  []int32 // in a topological order
	prior []bitset
	limit int // most sets looked at for one rule
	// blocks is for fewestAlone: job → blocks of the group up to its end.
	blocks []int
}

func newBlockCounter(m *model, jobs []int32, limit int) *blockCounter {
	b := &blockCounter{m: m, jobs: jobs, limit: limit, blocks: make([]int, m.n)}
	if len(jobs) > manyJobs {
		return b
	}
	local := map[int32]int{}
	for i, j := range jobs {
		local[j] = i
	}
	for _, j := range jobs {
		p := newBitset(len(jobs))
		for _, a := range m.into[j] {
			if i, ok := local[a.job]; ok {
				p.or(b.prior[i])
				p.set(i)
			}
		}
		b.prior = append(b.prior, p)
	}
	return b
}

// take adds to done all jobs of one group that can be reached through jobs of
// that group alone.
func (b *blockCounter) take(done bitset, group []int8, g int8) (any bool) {
	for i, j := range b.jobs {
		if group[b.m.class[j]] == g && !done.has(i) && b.prior[i].within(done) {
			done.set(i)
			any = true
		}
	}
	return any
}

// fewest is a lower bound on the number of blocks, exact unless the limit on
// sets is met.
func (b *blockCounter) fewest(group []int8, labels int) int {
	want := 0
	for _, j := range b.jobs {
		if group[b.m.class[j]] > 0 {
			want++
		}
	}
	if want == 0 {
		return 0
	}
	start := newBitset(len(b.jobs))
	b.take(start, group, 0)
	level := []bitset{start}
	seen := map[string]bool{}
	for depth := 1; ; depth++ {
		var next []bitset
		for _, s := range level {
			for g := int8(1); int(g) <= labels; g++ {
				t := slices.Clone(s)
				if !b.take(t, group, g) {
					continue
				}
				b.take(t, group, 0)
				if b.holds(t, group) == want {
					return depth
				}
				if k := t.key(); !seen[k] {
					seen[k] = true
					next = append(next, t)
				}
			}
		}
		if level = maximal(next); len(seen) > b.limit {
			return depth + 1
		}
	}
}

func (b *blockCounter) holds(s bitset, group []int8) int {
	sum := 0
	for i, j := range b.jobs {
		if group[b.m.class[j]] > 0 && s.has(i) {
			sum++
		}
	}
	return sum
}

// maximal leaves out sets that lie within another.
func maximal(sets []bitset) []bitset {
	if len(sets) > 200 {
		return sets
	}
	var keep []bitset
	for i, s := range sets {
		inside := false
		for k, t := range sets {
			if i != k && s.within(t) && (k < i || !t.within(s)) {
				inside = true
				break
			}
		}
		if !inside {
			keep = append(keep, s)
		}
	}
	return keep
}

// rules finds block rules that say something: single classes, sets of classes
// that must alternate, and groups of classes between which switching is cheap.
func (b *blockCounter) rules(most int) []*blockRule {
	classes := b.classes()
	var rules []*blockRule
	if b.m.m > 1 {
		return b.onceEach(classes)
	}
	alone := make([]int, len(classes))
	for i, c := range classes {
		r := b.rule([][]int{{c}})
		alone[i] = r.count
		rules = append(rules, r)
	}
	for _, groups := range b.cheap(classes) {
		counts := make([]int, len(groups))
		for i, g := range groups {
			r := b.rule([][]int{g})
			counts[i] = r.count
			if len(g) > 1 {
				rules = append(rules, r)
			}
		}
		if len(groups) > 1 && len(b.jobs) <= manyJobs {
			if len(groups) <= 12 {
				rules = append(rules, b.rule(groups))
			} else {
				rules = append(rules, b.tangles(groups, counts, most)...)
			}
		}
	}
	if len(b.jobs) > manyJobs {
		return rules
	}
	return append(rules, b.tangles(singles(classes), alone, most)...)
}

// onceEach is what remains of the rules for several workers, where what must
// come between two jobs may be done by another: each class, and each of the
// cheap groups, is entered once.
func (b *blockCounter) onceEach(classes []int) []*blockRule {
	var rules []*blockRule
	for _, c := range classes {
		r := &blockRule{group: make([]int8, b.m.c), count: 1}
		r.group[c] = 1
		rules = append(rules, r)
	}
	for _, groups := range b.cheap(classes) {
		if len(groups) > 100 {
			continue
		}
		r := &blockRule{group: make([]int8, b.m.c), count: len(groups)}
		for g, list := range groups {
			for _, c := range list {
				r.group[c] = int8(g + 1)
			}
		}
		rules = append(rules, r)
	}
	return rules
}

func (b *blockCounter) classes() []int {
	var list []int
	for _, j := range b.jobs {
		list = append(list, int(b.m.class[j]))
	}
	slices.Sort(list)
	return slices.Compact(list)
}

func (b *blockCounter) rule(groups [][]int) *blockRule {
	r := &blockRule{group: make([]int8, b.m.c)}
	for g, classes := range groups {
		for _, c := range classes {
			r.group[c] = int8(g + 1)
		}
	}
	if len(groups) == 1 {
		r.count = b.fewestAlone(r.group)
	} else {
		r.count = b.fewest(r.group, len(groups))
	}
	return r
}

// fewestAlone is the number of blocks that a single group needs: the most that
// some chain of jobs leaves and enters it.
func (b *blockCounter) fewestAlone(group []int8) int {
	m := b.m
	most := 0
	for _, j := range b.jobs {
		b.blocks[j] = 0
		in := group[m.class[j]] > 0
		for _, a := range m.into[j] {
			blocks := b.blocks[a.job] // 0 outside the segment
			if in && group[m.class[a.job]] == 0 {
				blocks++
			}
			b.blocks[j] = max(b.blocks[j], blocks)
		}
		if in {
			b.blocks[j] = max(b.blocks[j], 1)
		}
		most = max(most, b.blocks[j])
	}
	for _, j := range b.jobs {
		b.blocks[j] = 0
	}
	return most
}

// ahead says, group by group, before which other groups it must come with some
// job.
func (b *blockCounter) ahead(groups [][]int) []bitset {
	of := slices.Repeat([]int{-1}, b.m.c)
	out := make([]bitset, len(groups))
	for g, classes := range groups {
		out[g] = newBitset(len(groups))
		for _, c := range classes {
			of[c] = g
		}
	}
	for i, j := range b.jobs {
		for k, p := range b.jobs[:i] {
			f, g := of[b.m.class[p]], of[b.m.class[j]]
			if f >= 0 && g >= 0 && f != g && b.prior[i].has(k) {
				out[f].set(g)
			}
		}
	}
	return out
}

// tangles grows sets of groups that get into each other's way: from each
// group, the one whose company costs the most blocks is added, and the next.
// alone is how many blocks each group needs by itself.
func (b *blockCounter) tangles(groups [][]int, alone []int, most int) []*blockRule {
	ahead := b.ahead(groups)
	var rules []*blockRule
	seen := map[string]bool{}
	for first := range groups {
		set, sum := []int{first}, alone[first]
		excess := 0
		for len(set) < maxTangle {
			var best *blockRule
			bestGroup := -1
			for d := range groups {
				if slices.Contains(set, d) || !tangled(set, d, ahead) {
					continue
				}
				var with [][]int
				for _, g := range append(slices.Clip(set), d) {
					with = append(with, groups[g])
				}
				r := b.rule(with)
				gain := r.count - sum - alone[d]
				if best == nil && gain >= excess || best != nil && r.count-alone[d] > best.count-alone[bestGroup] {
					best, bestGroup = r, d
				}
			}
			if best == nil {
				break
			}
			set, sum = append(set, bestGroup), sum+alone[bestGroup]
			better := best.count-sum > excess
			excess = best.count - sum
			if better && len(rules) < most && !seen[string(best.key())] {
				seen[string(best.key())] = true
				rules = append(rules, best)
			}
		}
	}
	return rules
}

// maxTangle is the most classes in one set of tangles.
const maxTangle = 4

// tangled reports that some group of the set must come with some job before
// group c, and c before some group of the set.
func tangled(set []int, c int, ahead []bitset) bool {
	before, behind := false, false
	for _, a := range set {
		before = before || ahead[a].has(c)
		behind = behind || ahead[c].has(a)
	}
	return before && behind
}

func singles(classes []int) [][]int {
	var groups [][]int
	for _, c := range classes {
		groups = append(groups, []int{c})
	}
	return groups
}

// key tells rules with the same classes apart from others.
func (r *blockRule) key() []byte {
	k := make([]byte, len(r.group))
	for c, g := range r.group {
		if g > 0 {
			k[c] = 1
		}
	}
	return k
}

// cheap groups classes, once for each of a few prices: within a group each
// switch costs no more than the price.
func (b *blockCounter) cheap(classes []int) [][][]int {
	var prices []int
	for _, a := range classes {
		for _, c := range classes {
			if a != c {
				prices = append(prices, b.between(a, c))
			}
		}
	}
	slices.Sort(prices)
	prices = slices.Compact(prices)
	if len(prices) > 0 {
		prices = prices[:len(prices)-1] // all classes in one group says nothing
	}
	for len(prices) > 6 {
		for i := range prices[:len(prices)/2] {
			prices[i] = prices[2*i]
		}
		prices = prices[:len(prices)/2]
	}
	var all [][][]int
	for _, price := range prices {
		all = append(all, b.cliques(classes, price))
	}
	return all
}

// between is what it costs to switch between two classes, the cheaper way.
func (b *blockCounter) between(a, c int) int {
	return min(b.m.switchCost(int32(a), int32(c)), b.m.switchCost(int32(c), int32(a)))
}

func (b *blockCounter) cliques(classes []int, price int) [][]int {
	var groups [][]int
	for _, c := range classes {
		best := -1
		for g, group := range groups {
			fits := !slices.ContainsFunc(group, func(a int) bool {
				return b.between(a, c) > price
			})
			if fits && (best < 0 || len(group) > len(groups[best])) {
				best = g
			}
		}
		if best < 0 {
			groups = append(groups, nil)
			best = len(groups) - 1
		}
		groups[best] = append(groups[best], c)
	}
	return groups
}
