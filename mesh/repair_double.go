package mesh

import "slices"

// doubles are the facets that have all three corners in common with another,
// gathered in sets.
type doubles struct {
	t    *Topology
	of   []int32   // the set of each facet, -1 for those that are alone
	sets [][]int32 // the facets of each set, ascending
}

// findDoubles compares each facet with those on its first edge, for facets with
// the same corners have all edges in common.
func findDoubles(t *Topology) *doubles {
	d := &doubles{t: t, of: make([]int32, len(t.mesh.Facets))}
	for i := range d.of {
		d.of[i] = -1
	}
	var set []int32
	for i, f := range t.mesh.Facets {
		side := 3 * i
		if d.of[i] >= 0 || int(t.ring[side]) == side || collapsed(f) {
			continue
		}
		set = set[:0]
		opposite := t.Opposite(side)
		t.Around(side, func(s int) {
			if t.Opposite(s) == opposite {
				set = append(set, int32(s/3))
			}
		})
		if len(set) < 2 {
			continue
		}
		slices.Sort(set)
		for _, j := range set {
			d.of[j] = int32(len(d.sets))
		}
		d.sets = append(d.sets, slices.Clone(set))
	}
	return d
}

// drops decides which facets to take out: same of them as plain copies, and
// those of walls without thickness, which are pairs that face opposite ways. One
// facet of a wall stays where it closes the surface around it, none where the
// surface is closed without it, as between two blocks that were put together,
// and both where neither is clear.
func (d *doubles) drops() (drop []bool, same, walls int) {
	drop = make([]bool, len(d.of))
	wall := make([]bool, len(d.sets))
	for i, set := range d.sets {
		forward, backward := d.facing(set)
		keep := 1 // of each facing
		if wall[i] = len(forward) == len(backward); !wall[i] && len(forward) > len(backward) {
			same += markRest(backward, 0, drop)
		} else if !wall[i] {
			same += markRest(forward, 0, drop)
			forward, backward = backward, nil
		}
		same += markRest(forward, keep, drop)
		if wall[i] {
			same += markRest(backward, keep, drop)
		}
	}
	for _, group := range d.groups(wall) {
		walls += d.decide(group, drop)
	}
	return drop, same, walls
}

// facing parts a set into those that face as its first facet does and others.
func (d *doubles) facing(set []int32) (forward, backward []int32) {
	a, b := d.t.Ends(3 * int(set[0]))
	for _, j := range set {
		if runs(d.t.mesh.Facets[j], a, b) {
			forward = append(forward, j)
		} else {
			backward = append(backward, j)
		}
	}
	return forward, backward
}

// runs reports whether a facet has a side from a to b.
func runs(f [3]int32, a, b int32) bool {
	return f[0] == a && f[1] == b || f[1] == a && f[2] == b || f[2] == a && f[0] == b
}

// markRest marks all but the first keep of a list and counts them.
func markRest(list []int32, keep int, drop []bool) int {
	list = list[min(keep, len(list)):]
	for _, j := range list {
		drop[j] = true
	}
	return len(list)
}

// groups gathers the walls that hang together over edges.
func (d *doubles) groups(wall []bool) [][]int32 {
	var out [][]int32
	seen := make([]bool, len(d.sets))
	for start := range d.sets {
		if !wall[start] || seen[start] {
			continue
		}
		seen[start] = true
		group := []int32{int32(start)}
		for i := 0; i < len(group); i++ {
			for k := range 3 {
				d.t.Around(3*int(d.sets[group[i]][0])+k, func(s int) {
					if set := d.of[s/3]; set >= 0 && wall[set] && !seen[set] {
						seen[set] = true
						group = append(group, set)
					}
				})
			}
		}
		out = append(out, group)
	}
	return out
}

// decide drops one facet of each wall of a group, or both, or none, and counts
// the walls it dealt with.
func (d *doubles) decide(group []int32, drop []bool) int {
	one, both := d.votes(group)
	if one > 0 && both > 0 {
		return 0
	}
	for _, i := range group {
		forward, backward := d.facing(d.sets[i])
		drop[backward[0]] = true
		if both > 0 {
			drop[forward[0]] = true
		}
	}
	return len(group)
}

// votes looks at the edges around a group: where an odd number of other facets
// ends, one facet of the wall belongs there; where an even number does, none.
func (d *doubles) votes(group []int32) (one, both int) {
	in := map[int32]bool{}
	for _, i := range group {
		in[i] = true
	}
	for _, i := range group {
		for k := range 3 {
			n := 0
			d.t.Around(3*int(d.sets[i][0])+k, func(s int) {
				facet := int32(s / 3)
				set := d.of[facet]
				if set < 0 || !in[set] && d.sets[set][0] == facet { // of copies, one will stay
					n++
				}
			})
			switch {
			case n%2 == 1:
				one++
			case n > 0:
				both++
			}
		}
	}
	return one, both
}
