// Package seat deals out traits over places: every place gets one value of
// every trait, in exact numbers, so that places which touch differ as much as
// they can.
//
// It knows plain integers only: places with a rank and a file, traits with
// numbered values. What a value means, how shares become counts (see
// [Apportion]) and how a conflict is put in words is the caller's business.
// Two traits that must always go together are one trait here: the caller
// merges them and gives the merged trait its own distances.
//
// # What is asked
//
// Hard: every [Count] is met exactly, no [Pair] of Problem.Forbid stands on
// one place, every [Allow] is kept. If that is impossible the answer is
// infeasible and names a conflict from which nothing can be left out.
//
// Wanted, all in one number to be maximised:
//
//	objective = Prefer·preferred + Neighbour·distance
//	          − Breach·breaches − Run·runs − Repeat·repeats
//
// with the five factors from Problem.Weights and the five terms defined at
// [Terms]. [Standard] gives factors by which breaches come before
// preferences, preferences before all the rest, and repeats last.
//
// # How
//
// A feasibility test (feasible.go, with flow.go and glue.go) finds how many
// places of each kind get which combination. Annealing by exchanges (anneal.go,
// state.go) keeps the counts exact throughout. Beside it a prover (prove.go)
// works downwards: the most preferences there can be (wanted.go), the best sum
// of distances of each trait by itself, exactly where the table fits (table.go)
// and by a Lagrangian bound where not (relax.go), then branch and bound over
// whole places (branch.go, with memory.go and runs.go). Start reading at
// [Solve].
//
// All arithmetic is in integers. The answer depends on the problem, Work and
// Seed alone, not on the machine or on Threads, unless a wall-clock Limit or
// the context cuts the search short.
package seat

import (
	"fmt"

	"facings/internal/solve"
)

// Limits on the size of a problem; [Problem.Check] reports what exceeds them.
const (
	MaxPlaces = 5000
	MaxStep   = 1 << 20 // ranks and files, either way
	MaxTraits = 16
	MaxValues = 64
	MaxRules  = 20000
	MaxFactor = 1 << 20 // distances, trait weights and preference weights
	maxCombos = 1 << 16 // combinations of values of traits tied by Forbid
)

// Place is one position. Places of the same block whose rank and file each
// differ by at most one are neighbours; a loose place has none.
type Place struct {
	Block int  `json:"block"`
	Rank  int  `json:"rank"`
	File  int  `json:"file"`
	Loose bool `json:"loose,omitempty"`
}

// Trait is one thing that differs. Distance[a][b] says how far apart two
// values look (symmetric, zero on the diagonal); without it any two different
// values are 1 apart. Weight multiplies it. A hidden trait is dealt out too,
// but counts neither for distance nor for being alike.
type Trait struct {
	Name     string  `json:"name"`
	Values   int     `json:"values"`
	Weight   int     `json:"weight"`
	Distance [][]int `json:"distance,omitempty"`
	Hidden   bool    `json:"hidden,omitempty"`
}

// Count asks for exactly N places with Value among Places (all, if nil).
// Values without a Count are free.
type Count struct {
	ID     string `json:"id"`
	Trait  int    `json:"trait"`
	Value  int    `json:"value"`
	N      int    `json:"n"`
	Places []int  `json:"places,omitempty"`
}

// Pair is value A of TraitA together with value B of TraitB on one place.
// Weight is read in Problem.Prefer only.
type Pair struct {
	ID     string `json:"id"`
	TraitA int    `json:"trait_a"`
	A      int    `json:"a"`
	TraitB int    `json:"trait_b"`
	B      int    `json:"b"`
	Weight int    `json:"weight,omitempty"`
}

// Allow confines a trait at some places to some values; one value fixes it.
type Allow struct {
	ID     string `json:"id"`
	Trait  int    `json:"trait"`
	Places []int  `json:"places"`
	Values []int  `json:"values"`
}

// Weights are the factors of the terms in the objective, none negative.
type Weights struct {
	Breach    int `json:"breach"`
	Prefer    int `json:"prefer"`
	Neighbour int `json:"neighbour"`
	Run       int `json:"run"`
	Repeat    int `json:"repeat"`
}

// Problem is everything [Solve] needs. Main is the trait whose runs count, -1
// for none. Reach is how far away a repeat still counts; below 2 none does.
type Problem struct {
	Name    string  `json:"name"`
	Places  []Place `json:"places"`
	Traits  []Trait `json:"traits"`
	Counts  []Count `json:"counts"`
	Forbid  []Pair  `json:"forbid,omitempty"`
	Prefer  []Pair  `json:"prefer,omitempty"`
	Allow   []Allow `json:"allow,omitempty"`
	Main    int     `json:"main"`
	Reach   int     `json:"reach"`
	Weights Weights `json:"weights"`
}

// Terms are what an assignment is worth, each before its factor.
type Terms struct {
	// Breaches counts neighbour pairs that agree in every trait not hidden.
	Breaches int `json:"breaches"`
	// Preferred sums the weights of the wanted pairs present, place by place.
	Preferred int `json:"preferred"`
	// Distance sums weight·distance over all neighbour pairs and traits.
	Distance int `json:"distance"`
	// Runs counts lines of three neighbouring places (along rank, file or a
	// diagonal) with one value of the main trait: a run of n makes n-2.
	Runs int `json:"runs"`
	// Repeats sums Reach+1-d over pairs of places of one block that agree in
	// every trait not hidden and lie d apart, 2 ≤ d ≤ Reach, where d is the
	// larger of the steps in rank and in file.
	Repeats int `json:"repeats"`
	// Closest is the least distance of a neighbour pair; it is told, not
	// sought. It is 0 without neighbours.
	Closest int `json:"closest"`
}

// Objective is the number to be maximised.
func (w Weights) Objective(t Terms) int {
	return w.Prefer*t.Preferred + w.Neighbour*t.Distance -
		w.Breach*t.Breaches - w.Run*t.Runs - w.Repeat*t.Repeats
}

// Result is how a search ended. Values[place][trait] is nil unless the status
// is optimal or feasible. UpperBound is proved; Gap is UpperBound less the
// objective as a share of the bound's size, 0 if proved optimal.
type Result struct {
	Status     solve.Status
	Values     [][]int
	Objective  int
	Terms      Terms
	UpperBound int
	Gap        float64
	Breaches   [][2]int // neighbour pairs alike, as places
	// Conflict lists IDs of Counts, Forbid and Allow that cannot hold
	// together; each is needed for that if Minimal. A smaller set of other
	// rules may conflict as well.
	Conflict []string
	Minimal  bool
	Seed     uint64
}

// Check says what is wrong with a problem as data, or nil.
func (p *Problem) Check() error {
	switch {
	case len(p.Places) == 0 || len(p.Places) > MaxPlaces:
		return fmt.Errorf("places: %d given; between 1 and %d are possible", len(p.Places), MaxPlaces)
	case len(p.Traits) == 0 || len(p.Traits) > MaxTraits:
		return fmt.Errorf("traits: %d given; between 1 and %d are possible", len(p.Traits), MaxTraits)
	case p.Main < -1 || p.Main >= len(p.Traits):
		return fmt.Errorf("main: trait %d does not exist; give -1 for none", p.Main)
	case p.Reach < 0 || p.Reach > 8:
		return fmt.Errorf("reach: %d given; between 0 and 8 is possible", p.Reach)
	case len(p.Counts)+len(p.Forbid)+len(p.Prefer)+len(p.Allow) > MaxRules:
		return fmt.Errorf("rules: more than %d", MaxRules)
	}
	seen := map[Place]int{}
	for i, pl := range p.Places {
		if pl.Loose {
			continue
		}
		if max(pl.Rank, -pl.Rank, pl.File, -pl.File) > MaxStep {
			return fmt.Errorf("places[%d]: rank and file must lie within %d", i, MaxStep)
		}
		if j, twice := seen[pl]; twice {
			return fmt.Errorf("places[%d]: same block, rank and file as places[%d]; move one or mark it loose", i, j)
		}
		seen[pl] = i
	}
	for i, tr := range p.Traits {
		if err := tr.check(); err != nil {
			return fmt.Errorf("traits[%d] %q: %w", i, tr.Name, err)
		}
	}
	return p.checkRules()
}

func (tr *Trait) check() error {
	switch {
	case tr.Values < 1 || tr.Values > MaxValues:
		return fmt.Errorf("%d values; between 1 and %d are possible", tr.Values, MaxValues)
	case tr.Weight < 0 || tr.Weight > MaxFactor:
		return fmt.Errorf("weight %d; between 0 and %d is possible", tr.Weight, MaxFactor)
	case tr.Distance == nil:
		return nil
	case len(tr.Distance) != tr.Values:
		return fmt.Errorf("distance has %d rows; one for each of the %d values is needed", len(tr.Distance), tr.Values)
	}
	for a, row := range tr.Distance {
		if len(row) != tr.Values {
			return fmt.Errorf("distance[%d] has %d entries; %d are needed", a, len(row), tr.Values)
		}
		for b, d := range row {
			if d < 0 || d > MaxFactor || d*tr.Weight > MaxFactor {
				return fmt.Errorf("distance[%d][%d]: %d times weight %d is outside 0 to %d", a, b, d, tr.Weight, MaxFactor)
			}
			if a == b && d != 0 || len(tr.Distance[b]) > a && tr.Distance[b][a] != d {
				return fmt.Errorf("distance[%d][%d]: must be symmetric with zeros on the diagonal", a, b)
			}
		}
	}
	return nil
}

func (p *Problem) checkRules() error {
	value := func(t, v int) error {
		if t < 0 || t >= len(p.Traits) {
			return fmt.Errorf("trait %d does not exist", t)
		}
		if v < 0 || v >= p.Traits[t].Values {
			return fmt.Errorf("trait %d has no value %d", t, v)
		}
		return nil
	}
	places := func(ps []int) error {
		seen := map[int]bool{}
		for _, q := range ps {
			if q < 0 || q >= len(p.Places) {
				return fmt.Errorf("place %d does not exist", q)
			}
			if seen[q] {
				return fmt.Errorf("place %d is named twice", q)
			}
			seen[q] = true
		}
		return nil
	}
	first := func(errs ...error) error {
		for _, err := range errs {
			if err != nil {
				return err
			}
		}
		return nil
	}
	for _, c := range p.Counts {
		err := first(value(c.Trait, c.Value), places(c.Places))
		if err == nil && (c.N < 0 || c.N > len(p.Places)) {
			err = fmt.Errorf("n is %d; between 0 and %d is possible", c.N, len(p.Places))
		}
		if err != nil {
			return fmt.Errorf("count %q: %w", c.ID, err)
		}
	}
	for _, pr := range append(append([]Pair(nil), p.Forbid...), p.Prefer...) {
		err := first(value(pr.TraitA, pr.A), value(pr.TraitB, pr.B))
		if err == nil && pr.TraitA == pr.TraitB {
			err = fmt.Errorf("both values belong to trait %d", pr.TraitA)
		}
		if err == nil && (pr.Weight < 0 || pr.Weight > MaxFactor) {
			err = fmt.Errorf("weight %d; between 0 and %d is possible", pr.Weight, MaxFactor)
		}
		if err != nil {
			return fmt.Errorf("pair %q: %w", pr.ID, err)
		}
	}
	for _, a := range p.Allow {
		err := places(a.Places)
		for _, v := range a.Values {
			err = first(err, value(a.Trait, v))
		}
		if len(a.Values) == 0 {
			err = first(err, fmt.Errorf("no value is left"))
		}
		if err != nil {
			return fmt.Errorf("allow %q: %w", a.ID, err)
		}
	}
	return p.checkWeights()
}
