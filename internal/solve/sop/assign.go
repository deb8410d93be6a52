package sop

// assignment solves the assignment relaxation: every node but the last gets a
// follower, every node but the first is one's follower, at the least cost. It
// returns dual prices with tail[i] + head[j] <= cost[i*n+j]; their sum is a lower
// bound. spend is told the steps taken and may call the work off (ok false).
//
// Ref: jonker1987
func assignment(n int, cost []int64, spend func(int) bool) (tail, head []int64, ok bool) {
	tail, head = make([]int64, n), make([]int64, n)
	follower, leader := make([]int32, n), make([]int32, n)
	for j := range n {
		follower[j], leader[j] = -1, -1
	}
	for j := 1; j < n; j++ {
		best := 0
		for i := range n {
			if i < n-1 && cost[i*n+j] < cost[best*n+j] {
				best = i
			}
		}
		head[j] = cost[best*n+j]
		if follower[best] < 0 {
			follower[best], leader[j] = int32(j), int32(best)
		}
	}
	dist, from, done := make([]int64, n), make([]int32, n), make([]bool, n)
	for i := range n - 1 {
		if follower[i] >= 0 {
			continue
		}
		rows := augment(n, cost, i, tail, head, follower, leader, dist, from, done)
		if !spend(rows * n) {
			return nil, nil, false
		}
	}
	return tail, head, true
}

// augment finds a cheapest alternating path from the free tail root to a free
// head, brings the prices up to date and switches the path. It returns how
// many rows it looked at.
func augment(n int, cost []int64, root int, tail, head []int64, follower, leader []int32,
	dist []int64, from []int32, done []bool) int {
	const far = int64(1) << 62
	for j := range n {
		dist[j], done[j] = far, false
	}
	i, reached, rows := root, int64(0), 0
	sink := -1
	for sink < 0 {
		rows++
		row := cost[i*n : i*n+n]
		next := -1
		for j := 1; j < n; j++ {
			if done[j] {
				continue
			}
			if d := reached + row[j] - tail[i] - head[j]; d < dist[j] {
				dist[j], from[j] = d, int32(i)
			}
			if next < 0 || dist[j] < dist[next] {
				next = j
			}
		}
		done[next] = true
		reached = dist[next]
		if leader[next] < 0 {
			sink = next
		} else {
			i = int(leader[next])
		}
	}
	tail[root] += reached
	for j := 1; j < n; j++ {
		if done[j] && j != sink {
			head[j] -= reached - dist[j]
			tail[leader[j]] += reached - dist[j]
		}
	}
	for j := sink; ; {
		i := from[j]
		leader[j] = i
		old := follower[i]
		follower[i] = int32(j)
		if int(i) == root {
			return rows
		}
		j = int(old)
	}
}
