package ranks

import (
	"slices"

	"facings"
)

// Place is where one figure stands: rank from 1 at the front, file from 1 at
// the left as the unit faces away from the reader.
type Place struct {
	ID         facings.FigureID
	Rank, File int
}

// Layout places a unit's figures: the command (officer, standard-bearer,
// musician) front and centre, other roles after them in file order, front
// rank before rear. The rear rank takes what does not fill a rank.
func Layout(u *facings.Unit) (places []Place, ranks, files int) {
	var command, others []facings.FigureID
	for _, r := range u.Roles {
		for n := 1; n <= r.Count; n++ {
			id := facings.FigureID{Unit: u.Name, Role: r.Name, Number: n}
			if facings.IsCommand(r.Name) {
				command = append(command, id)
			} else {
				others = append(others, id)
			}
		}
	}
	n := len(command) + len(others)
	if n == 0 {
		return nil, 0, 0
	}
	ranks = u.Ranks
	if ranks <= 0 {
		ranks = facings.DefaultRanks
	}
	ranks = min(ranks, n)
	files = (n + ranks - 1) / ranks
	ranks = (n + files - 1) / files
	slices.SortStableFunc(command, func(a, b facings.FigureID) int { return commandOrder(a.Role) - commandOrder(b.Role) })
	centre := centreFirst(files)
	taken := map[[2]int]facings.FigureID{}
	for i, id := range command {
		taken[[2]int{i/files + 1, centre[i%files] + 1}] = id
	}
	for rank := 1; rank <= ranks; rank++ {
		for file := 1; file <= files && (rank-1)*files+file <= n; file++ {
			id, ok := taken[[2]int{rank, file}]
			if !ok && len(others) > 0 {
				id, others = others[0], others[1:]
			} else if !ok {
				continue
			}
			places = append(places, Place{ID: id, Rank: rank, File: file})
		}
	}
	return places, ranks, files
}

func commandOrder(role string) int {
	return slices.Index([]string{facings.RoleOfficer, facings.RoleStandardBearer, facings.RoleMusician}, role)
}

// centreFirst lists 0 to n-1 from the middle outwards: 2, 3, 1, 4, 0 for five.
func centreFirst(n int) []int {
	out := []int{}
	for step := 0; len(out) < n; step++ {
		if a := (n-1)/2 - step; a >= 0 {
			out = append(out, a)
		}
		if b := (n-1)/2 + step + 1; b < n && len(out) < n {
			out = append(out, b)
		}
	}
	return out
}

// batches numbers the batch of every figure of every unit, from 0. Units with
// the same batch word are painted together; others are joined in file order
// while the bench has room; a unit larger than the bench is split evenly.
func batches(p *facings.Project) [][]int {
	out := make([][]int, len(p.Units))
	words := map[string]int{}
	next, open, room := 0, -1, 0
	openMounted := false
	for i := range p.Units {
		u := &p.Units[i]
		n := u.Size()
		out[i] = make([]int, n)
		if u.Batch != "" {
			b, ok := words[u.Batch]
			if !ok {
				b = next
				words[u.Batch] = b
				next++
			}
			for f := range out[i] {
				out[i][f] = b
			}
			open = -1
			continue
		}
		mounted := isMounted(p, u)
		limit := benchRoom(p, mounted)
		switch {
		case n > limit:
			parts := (n + limit - 1) / limit
			for f := range out[i] {
				out[i][f] = next + f*parts/n
			}
			next += parts
			open = -1
		case open >= 0 && openMounted == mounted && n <= room:
			room -= n
			for f := range out[i] {
				out[i][f] = open
			}
		default:
			open, room, openMounted = next, limit-n, mounted
			next++
			for f := range out[i] {
				out[i][f] = open
			}
		}
	}
	return out
}

func benchRoom(p *facings.Project, mounted bool) int {
	if p.Rules.BatchFigures > 0 {
		return p.Rules.BatchFigures
	}
	if mounted {
		return facings.DefaultBatchMounted
	}
	return facings.DefaultBatchFoot
}

func isMounted(p *facings.Project, u *facings.Unit) bool {
	b, _ := p.FindBody(u.Body)
	_, horse := b.Area("horse coat")
	return horse
}
