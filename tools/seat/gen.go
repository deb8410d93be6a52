package main

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"

	"facings/internal/solve/seat"
)

// generate writes the test problems: units of 24, 120 and 500 with four body
// colours crossed with four mane colours, and variants. Everything random
// comes from the fixed seeds below.
func generate(dir string) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	for _, p := range problems() {
		p.Weights = seat.Standard(&p)
		if err := p.Check(); err != nil {
			return fmt.Errorf("%s: %w", p.Name, err)
		}
		data, err := json.Marshal(p)
		if err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(dir, p.Name+".json"), append(data, '\n'), 0o644); err != nil {
			return err
		}
	}
	return nil
}

var (
	even  = []int{25, 25, 25, 25}
	mixed = []int{40, 30, 20, 10}
	bays  = []int{45, 25, 20, 10}
)

func problems() []seat.Problem {
	var list []seat.Problem
	for _, size := range []struct{ ranks, files int }{{3, 8}, {4, 6}, {2, 12}, {4, 30}, {6, 20}, {10, 50}, {20, 25}} {
		n := size.ranks * size.files
		for _, kind := range []struct {
			name       string
			body, mane []int
		}{{"even", even, even}, {"mixed", bays, mixed}, {"seeded", seeded(uint64(n + size.ranks)), seeded(uint64(n - size.ranks))}} {
			p := unit(fmt.Sprintf("%d-%dx%d-%s", n, size.ranks, size.files, kind.name), size.ranks, size.files)
			add(&p, "body", kind.body, nil)
			add(&p, "mane", kind.mane, nil)
			list = append(list, p)
		}
	}
	for _, size := range []struct{ ranks, files int }{{3, 8}, {4, 30}, {10, 50}} {
		n := fmt.Sprintf("%d-%dx%d", size.ranks*size.files, size.ranks, size.files)
		list = append(list, coats(n+"-coats", size.ranks, size.files), shades(n+"-shades", size.ranks, size.files),
			many(n+"-many", size.ranks, size.files), spread(n+"-spread", size.ranks, size.files), tight(n+"-tight", size.ranks, size.files))
	}
	return append(list, impossible())
}

// unit is a block in ranks and files whose first trait is the main one.
func unit(name string, ranks, files int) seat.Problem {
	p := seat.Problem{Name: name}
	for r := range ranks {
		for f := range files {
			p.Places = append(p.Places, seat.Place{Rank: r, File: f})
		}
	}
	return p
}

// add gives a problem a trait with exact counts by share.
func add(p *seat.Problem, name string, shares []int, distance [][]int) {
	t := len(p.Traits)
	p.Traits = append(p.Traits, seat.Trait{Name: name, Values: len(shares), Weight: 1, Distance: distance})
	counts, err := seat.Apportion(shares, len(p.Places))
	if err != nil {
		panic(err) // the shares are in this file
	}
	for v, n := range counts {
		p.Counts = append(p.Counts, seat.Count{ID: fmt.Sprintf("%s %d", name, v), Trait: t, Value: v, N: n})
	}
}

// seeded draws four shares, the first the largest.
func seeded(seed uint64) []int {
	rng := rand.New(rand.NewPCG(seed, 0))
	s := []int{0, 10 + rng.IntN(16), 10 + rng.IntN(16), 10 + rng.IntN(16)}
	s[0] = 100 - s[1] - s[2] - s[3]
	return s
}

// coats forbids some manes on some bodies, wishes for others, and fixes three
// places in the leading rank.
func coats(name string, ranks, files int) seat.Problem {
	p := unit(name, ranks, files)
	add(&p, "body", []int{40, 25, 20, 15}, nil)
	add(&p, "mane", []int{45, 20, 20, 15}, nil)
	pair := func(body, mane, weight int) seat.Pair {
		return seat.Pair{ID: fmt.Sprintf("body %d with mane %d", body, mane), TraitA: 0, A: body, TraitB: 1, B: mane, Weight: weight}
	}
	p.Forbid = []seat.Pair{pair(0, 3, 0), pair(1, 2, 0), pair(3, 0, 0)}
	p.Prefer = []seat.Pair{pair(0, 0, 1), pair(2, 3, 2)}
	for i, body := range []int{3, 2, 1} {
		p.Allow = append(p.Allow, seat.Allow{ID: fmt.Sprintf("post %d", i), Trait: 0, Places: []int{files/2 - 1 + i}, Values: []int{body}})
	}
	return p
}

// shades has distances between values that are not all alike.
func shades(name string, ranks, files int) seat.Problem {
	p := unit(name, ranks, files)
	add(&p, "body", bays, [][]int{{0, 3, 5, 9}, {3, 0, 4, 10}, {5, 4, 0, 7}, {9, 10, 7, 0}})
	add(&p, "mane", mixed, [][]int{{0, 2, 6, 8}, {2, 0, 4, 6}, {6, 4, 0, 3}, {8, 6, 3, 0}})
	p.Traits[0].Weight = 2
	return p
}

// many has five traits, the last of them hidden at three feet.
func many(name string, ranks, files int) seat.Problem {
	p := unit(name, ranks, files)
	add(&p, "body", bays, nil)
	add(&p, "mane", mixed, nil)
	add(&p, "face", []int{45, 30, 18, 7}, nil)
	add(&p, "legs", []int{50, 22, 17, 6, 5}, nil)
	add(&p, "hair", []int{55, 25, 17, 3}, nil)
	p.Traits[0].Weight, p.Traits[1].Weight = 3, 2
	return p
}

// spread also keeps equal figures three places apart.
func spread(name string, ranks, files int) seat.Problem {
	p := unit(name, ranks, files)
	add(&p, "body", even, nil)
	add(&p, "mane", mixed, nil)
	p.Reach = 3
	return p
}

// tight has so much of one coat that neighbours alike are hard to avoid.
func tight(name string, ranks, files int) seat.Problem {
	p := unit(name, ranks, files)
	add(&p, "body", []int{70, 15, 10, 5}, nil)
	add(&p, "mane", []int{60, 20, 15, 5}, nil)
	return p
}

// impossible has more bodies that take one mane only than there are manes.
func impossible() seat.Problem {
	p := unit("24-3x8-impossible", 3, 8)
	add(&p, "body", bays, nil)
	add(&p, "mane", mixed, nil)
	for mane := 1; mane < 4; mane++ {
		p.Forbid = append(p.Forbid, seat.Pair{ID: fmt.Sprintf("body 0 with mane %d", mane), TraitA: 0, A: 0, TraitB: 1, B: mane})
	}
	return p
}
